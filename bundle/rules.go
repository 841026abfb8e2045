package bundle

import (
	"reflect"
	"regexp"
	"strconv"
	"strings"
	"time"
	"unicode/utf8"
)

// The structures of this package that stand for a file carry their rules as
// field tags, so that the reader, the writer and the schema say the same:
//
//	json   the name; with omitempty the field may be left out
//	one    the words that are allowed, separated by |
//	match  the pattern of a text, see patterns
//	min, max, above   bounds of a number; above excludes its bound
//	least, most       bounds on the number of items of a list
//	say    what the field means, for the schema
//
// A pointer without omitempty may be null, and so may an item of a list of pointers.

// rule is what the tags of one field say.
type rule struct {
	name     string
	optional bool
	nullable bool
	words    []string
	match    string
	min, max *float64
	above    *float64
	least    *float64
	most     *float64
	say      string
}

func ruleOf(f reflect.StructField) rule {
	name, opts, _ := strings.Cut(f.Tag.Get("json"), ",")
	r := rule{
		name:     name,
		optional: opts != "",
		match:    f.Tag.Get("match"),
		say:      f.Tag.Get("say"),
		min:      bound(f.Tag, "min"),
		max:      bound(f.Tag, "max"),
		above:    bound(f.Tag, "above"),
		least:    bound(f.Tag, "least"),
		most:     bound(f.Tag, "most"),
	}
	r.nullable = f.Type.Kind() == reflect.Pointer && !r.optional
	if w := f.Tag.Get("one"); w != "" {
		r.words = strings.Split(w, "|")
	}
	return r
}

func bound(tag reflect.StructTag, key string) *float64 {
	s, ok := tag.Lookup(key)
	if !ok {
		return nil
	}
	v, err := strconv.ParseFloat(s, 64)
	if err != nil {
		panic("bundle: the tag " + key + " holds no number: " + s)
	}
	return &v
}

// pattern is a form that a text must have.
type pattern struct {
	source string
	is     *regexp.Regexp
	// letters is how long the text may be.
	letters int
	// wants says it in words, after "is not".
	wants string
}

func formOf(source string, letters int, wants string) pattern {
	return pattern{source, regexp.MustCompile(source), letters, wants}
}

// fits reports whether a text has the form.
func (p pattern) fits(s string) bool {
	return utf8.RuneCountInString(s) <= p.letters && p.is.MatchString(s)
}

// patterns by the word in the match tag. The sources stand in the schema, so
// they keep to what every regular expression engine knows.
var patterns = map[string]pattern{
	"id":     formOf(`^[\p{L}\p{N}][\p{L}\p{N}._-]*$`, 64, "a name of 1 to 64 letters, digits, dots, dashes or underscores that begins with a letter or digit"),
	"word":   formOf(`^[a-z][a-z0-9-]*$`, 32, "a word of 1 to 32 small letters, digits or dashes that begins with a letter"),
	"line":   formOf(`^[^\x00-\x1f\x7f]*$`, 400, "one line of at most 400 letters without control characters"),
	"text":   formOf(`^[^\x00-\x08\x0b-\x1f\x7f]*$`, 10000, "a text of at most 10000 letters without control characters"),
	"path":   formOf(`^[^\x00-\x1f\x7f]+$`, 4000, "a path of 1 to 4000 letters without control characters"),
	"sha256": formOf(`^[0-9a-f]{64}$`, 64, "64 hexadecimal digits in small letters"),
	"clock":  formOf(`^[0-9:.]*$`, 12, "a time of at most 12 digits, colons and dots, such as 1:23"),
	"date":   formOf(`^[0-9]{4}-[0-9]{2}-[0-9]{2}$`, 10, "a date written as 2026-03-07"),
}

// isDate reports whether a date exists in the calendar.
func isDate(s string) bool {
	_, err := time.Parse(time.DateOnly, s)
	return err == nil
}

// nearest returns the name that is least far from a word, counted in letters
// that differ, or "" where none is near: more than a third of the word differs.
func nearest(word string, names []string) string {
	best, least := "", len([]rune(word))/3+1
	for _, n := range names {
		if d := apart(word, n); d <= least && (best == "" || d < least) {
			best, least = n, d
		}
	}
	return best
}

// apart is the number of letters to insert, remove, replace or swap with their
// neighbour to turn one word into the other (optimal string alignment).
func apart(a, b string) int {
	s, t := []rune(strings.ToLower(a)), []rune(strings.ToLower(b))
	const wide = 64
	if len(s) > wide || len(t) > wide {
		return wide
	}
	rows := make([][]int, len(s)+1)
	for i := range rows {
		rows[i] = make([]int, len(t)+1)
		rows[i][0] = i
	}
	for j := range rows[0] {
		rows[0][j] = j
	}
	for i := 1; i <= len(s); i++ {
		for j := 1; j <= len(t); j++ {
			cost := 1
			if s[i-1] == t[j-1] {
				cost = 0
			}
			d := min(rows[i-1][j]+1, rows[i][j-1]+1, rows[i-1][j-1]+cost)
			if i > 1 && j > 1 && s[i-1] == t[j-2] && s[i-2] == t[j-1] {
				d = min(d, rows[i-2][j-2]+1)
			}
			rows[i][j] = d
		}
	}
	return rows[len(s)][len(t)]
}

package script

import (
	"strings"
	"unicode"
	"unicode/utf8"

	"mesure/sport/mark"
	"mesure/timing"
)

// Language is everything that a script says in words. Another language is another value
// of it: nothing else of this package has a sentence. What the study tells of tactics
// and notes is written in English; TakesStudy leaves it out elsewhere.
type Language struct {
	Tag        string
	TakesStudy bool
	// Lines are the sentences by key and claim, "race/likely", one for each level. A slot
	// is {name}; each level may leave slots out, and an empty sentence is not said.
	Lines map[string]Wording
	// Titles are those of the parts, of the page, and of the facts.
	Titles map[string]Title
	// List joins things: its first stands between two, its second before the last.
	List [2]string
	// Hedge is what the slot {hedge} says where a claim is likely and not clear.
	Hedge string
	// Next goes before what {who} is told to do next.
	Next     string
	Target   func(mark.Target) string
	Band     func(string) string
	Action   func(string) string
	Answer   func(timing.Answer) string
	Does     func(timing.Does) string
	Size     func(timing.Size) string
	Launched func(string) string
	Choice   func(string) string
	// Spoken is how many words a text has when it is said.
	Spoken func(string) int
	// Slow, Usual and Fast are words a minute.
	Slow, Usual, Fast float64
}

// Wording is one sentence for each level: beginner, club, competitor.
type Wording [len(levels)]string

// Title is a heading, or what a number is and how it came about.
type Title struct{ Title, How string }

// all makes one wording for all levels.
func all(s string) Wording { return Wording{s, s, s} }

func languageOf(tag string) (*Language, bool) {
	if tag == english.Tag {
		return english, true
	}
	return nil, false
}

// words are slots that take plain words.
type words map[string]string

// fill sets words and numbers into a sentence; missing is told each slot that has none.
func fill(template string, slots map[string][]Piece, missing func(string)) []Piece {
	var out []Piece
	plain := func(s string) {
		if s == "" {
			return
		}
		if n := len(out); n > 0 && out[n-1].Ref == "" {
			out[n-1].Text += s
			return
		}
		out = append(out, Piece{Text: s})
	}
	for {
		i := strings.IndexByte(template, '{')
		if i < 0 {
			break
		}
		j := strings.IndexByte(template[i:], '}')
		if j < 0 {
			break
		}
		plain(template[:i])
		name := template[i+1 : i+j]
		template = template[i+j+1:]
		ps, ok := slots[name]
		if !ok && missing != nil {
			missing(name)
		}
		for _, p := range ps {
			if p.Ref == "" {
				plain(p.Text)
			} else {
				out = append(out, p)
			}
		}
	}
	plain(template)
	if len(out) > 0 && out[0].Ref == "" {
		first, n := utf8.DecodeRuneInString(out[0].Text)
		out[0].Text = string(unicode.ToUpper(first)) + out[0].Text[n:]
	}
	return out
}

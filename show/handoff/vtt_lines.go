package handoff

import (
	"strings"
	"unicode"
	"unicode/utf8"
)

// What a break costs, in letters squared of unevenness: a new screen more than anything
// else, so that there are as few as can be; then a break within a sentence.
const (
	costScreen = 1e6
	costWithin = 900
	costClause = 200
)

// layOut breaks a text into screens of at most ScreenLines lines of at most LineLetters
// letters: as few screens as can be, then those that end with a sentence or a clause,
// then the most even ones. Nil for a text without words.
func layOut(text string) [][]string {
	words := wordsOf(text)
	n := len(words)
	if n == 0 {
		return nil
	}
	wide := make([]int, n)
	for i, w := range words {
		wide[i] = width(w)
	}
	best, then := make([]float64, n+1), make([]int, n)
	for i := n - 1; i >= 0; i-- {
		best[i] = -1
		for j := i; j < n; j++ {
			_, uneven, ok := split(wide[i : j+1])
			if !ok {
				break
			}
			cost := costScreen + uneven + best[j+1]
			if j+1 < n {
				cost += breakCost(words[j])
			}
			if best[i] < 0 || cost < best[i] {
				best[i], then[i] = cost, j+1
			}
		}
	}
	var out [][]string
	for i := 0; i < n; i = then[i] {
		part := words[i:then[i]]
		k, _, _ := split(wide[i:then[i]])
		if k == len(part) {
			out = append(out, []string{strings.Join(part, " ")})
		} else {
			out = append(out, []string{strings.Join(part[:k], " "), strings.Join(part[k:], " ")})
		}
	}
	return out
}

// split says after which word the first line of a screen ends, and how uneven the two
// lines are; all on one where that fits. Not ok where two lines are too few.
func split(wide []int) (after int, uneven float64, ok bool) {
	total := len(wide) - 1
	for _, w := range wide {
		total += w
	}
	if total <= LineLetters {
		return len(wide), 0, true
	}
	first, least := -1, -1
	for k := 1; k < len(wide); k++ {
		first += wide[k-1] + 1
		second := total - first - 1
		if first > LineLetters {
			break
		}
		if d := first - second; second <= LineLetters && (least < 0 || d*d < least) {
			after, least, ok = k, d*d, true
		}
	}
	return after, float64(least), ok
}

// breakCost is what it costs to go to the next screen after this word.
func breakCost(word string) float64 {
	r, _ := utf8.DecodeLastRuneInString(strings.TrimRight(word, `"'”’»)`))
	switch {
	case strings.ContainsRune(".?!…。？！।؟۔", r):
		return 0
	case strings.ContainsRune(",;:،؛、；：", r):
		return costClause
	}
	return costWithin
}

// wordsOf lists what may not be broken: words, numbers with their doubt and unit, and
// pieces of what is longer than a line.
func wordsOf(text string) []string {
	var words []string
	for _, w := range strings.FieldsFunc(oneLine(text), breaks) {
		if n := len(words); n > 0 && glued(words[n-1], w) && width(words[n-1])+1+width(w) <= LineLetters {
			words[n-1] += "\u00a0" + w
			continue
		}
		for c := clusters(w); len(c) > 0; {
			k := min(len(c), LineLetters)
			words = append(words, strings.Join(c[:k], ""))
			c = c[k:]
		}
	}
	return words
}

// breaks reports whether a line may end here: at every space but those made to hold.
func breaks(r rune) bool {
	return unicode.IsSpace(r) && r != '\u00a0' && r != '\u202f' && r != '\u2007'
}

// glued reports whether two words belong on one line: a number, its doubt and its unit.
func glued(a, b string) bool {
	if a == "±" || b == "±" || strings.HasSuffix(a, "\u00a0±") {
		return true
	}
	last, _ := utf8.DecodeLastRuneInString(a)
	switch strings.TrimRight(b, ".,;:?!)") {
	case "m", "cm", "mm", "ms", "s", "m/s", "km/h", "px", "%", "°":
		return unicode.IsDigit(last)
	}
	return false
}

// width is how many letters of a text are seen.
func width(s string) int { return len(clusters(s)) }

// clusters splits a text into letters as they are seen: a rune with the marks, joiners
// and modifiers that go with it. It keeps the rules of Unicode's annex 29 that captions
// meet (marks, joined emoji, tones of skin, flags, tags) and not those for Hangul jamo.
func clusters(s string) []string {
	var out []string
	start, flags := 0, 0
	joined := false // the rune before was a zero-width joiner
	for i, r := range s {
		isFlag := r >= 0x1F1E6 && r <= 0x1F1FF
		follows := unicode.In(r, unicode.Mn, unicode.Me, unicode.Mc) || r == '\u200d' || r == '\u200c' ||
			(r >= 0x1F3FB && r <= 0x1F3FF) || (r >= 0xE0020 && r <= 0xE007F) ||
			unseen(r) || (joined && !unicode.IsSpace(r)) || (isFlag && flags%2 == 1)
		if i > start && (!follows || s[start:i] == " ") {
			out = append(out, s[start:i])
			start = i
		}
		if isFlag {
			flags++
		} else {
			flags = 0
		}
		joined = r == '\u200d'
	}
	if start < len(s) {
		out = append(out, s[start:])
	}
	return out
}

// unseen are the marks that say which way writing runs.
func unseen(r rune) bool {
	return r == '\u200e' || r == '\u200f' || r == '\u061c' || (r >= '\u202a' && r <= '\u202e') || (r >= '\u2066' && r <= '\u2069')
}

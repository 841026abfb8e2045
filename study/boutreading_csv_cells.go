package study

import (
	"fmt"
	"strconv"
	"strings"
	"unicode"
	"unicode/utf8"

	"mesure/sport/bout"
)

// How long a word and a note may be, in letters: what a bout file takes.
const (
	longestWord = 400
	longestNote = 10_000
)

// oneLine is a cell without the control characters that came along.
func oneLine(s string) string {
	return strings.TrimSpace(strings.Map(func(r rune) rune {
		if unicode.IsControl(r) {
			return ' '
		}
		return r
	}, s))
}

// short leaves out a text that is longer than a bout file takes.
func (r *sheetReader) short(s string, most int, what string, touch int) string {
	if n := utf8.RuneCountInString(s); n > most {
		r.doubt("too-long", touch, float64(n-most), fmt.Sprintf("the %s has %d letters and is left out; %d are the most", what, n, most))
		return ""
	}
	return s
}

// clock keeps a time that can be left of a period, spelt as the sheet has it.
func (r *sheetReader) clock(s string, touch int) string {
	if s == "" {
		return ""
	}
	s = strings.ReplaceAll(s, ",", ".")
	if left, ok := clockLeft(s); !ok || left > periodLength || strings.Trim(s, "0123456789:.") != "" || len(s) > 12 {
		r.doubt("clock-impossible", touch, 1, fmt.Sprintf("%q cannot be the time left of a period and is left out; write it as 1:23, at most %s", s, timeWords(periodLength)))
		return ""
	}
	return s
}

// period keeps the number of a period, or of a relay. The extra minute after the last
// period may be written as one more.
func (r *sheetReader) period(s string, touch int) int {
	if s == "" {
		return 0
	}
	most, word := periodsOf(r.b.Touches)+1, "period"
	if r.b.IsRelay() {
		most, word = 9, "relay"
	}
	n, err := strconv.Atoi(s)
	if err != nil || n < 1 || n > most {
		said := fmt.Sprintf("1 to %d", most)
		if word == "period" {
			said = fmt.Sprintf("1 to %d, and %d for the extra minute", most-1, most)
			if most == 2 {
				said = "1, and 2 for the extra minute"
			}
		}
		r.doubt("period-impossible", touch, 1, fmt.Sprintf("%q is no %s of a bout to %d and is left out; write %s", s, word, r.b.Touches, said))
		return 0
	}
	return n
}

// measure keeps one of the bands of bout.Measures, by its name or its word.
func (r *sheetReader) measure(s string, touch int) string {
	if s == "" {
		return ""
	}
	var names []string
	for _, m := range bout.Measures() {
		if strings.EqualFold(s, m.Name) || bout.SameName(s, m.Word) {
			return m.Name
		}
		names = append(names, m.Name)
	}
	r.doubt("unknown-measure", touch, 1, fmt.Sprintf("%q is not a measure and is left out; write %s or %s", s, strings.Join(names[:len(names)-1], ", "), names[len(names)-1]))
	return ""
}

package script

import (
	"strings"
	"unicode"

	"mesure/quantity"
)

// Time is how long it takes to say the script, in seconds: its words, numbers counted as
// they are spoken, over the words a minute. The pace is taken as uniform between the
// slow and the fast one of the language; a pace of the coach's own keeps their spread.
// Pauses and clips are not in it.
func (s *Script) Time() quantity.Of[quantity.Seconds] {
	n := 0
	for _, p := range s.Parts {
		n += p.spoken(s.language())
	}
	return s.paced(n)
}

// TimeOf is that of one part.
func (s *Script) TimeOf(p Part) quantity.Of[quantity.Seconds] { return s.paced(p.spoken(s.language())) }

func (s *Script) language() *Language {
	if l, ok := languageOf(s.Options.Language); ok {
		return l
	}
	return english
}

func (p Part) spoken(l *Language) int {
	n := 0
	for _, x := range p.Lines {
		n += l.Spoken(x.String())
	}
	return n
}

func (s *Script) paced(words int) quantity.Of[quantity.Seconds] {
	l := s.language()
	scale := 1.0
	if s.PerMinute > 0 {
		scale = s.PerMinute / l.Usual
	}
	at := func(pace float64) quantity.Seconds { return quantity.Seconds(60 * float64(words) / (pace * scale)) }
	q := quantity.Uniform(at(l.Fast), at(l.Slow))
	q.Mean = at(l.Usual)
	return q
}

// signs are how many words a sign has when it is said.
var signs = map[rune]int{
	'±': 3, // plus or minus
	'−': 1, '%': 1, '°': 1,
	'<': 2, '>': 2, // less than
	',': 0, '–': 0, '(': 0, ')': 0, ']': 0,
}

// englishSpoken counts the words of a text as they are said: 56 is two words, 0.92 is
// four, "ms" one, "m/s" three.
func englishSpoken(text string) int {
	n := 0
	rs := []rune(text)
	for i := 0; i < len(rs); {
		switch r := rs[i]; {
		case r >= '0' && r <= '9':
			j := i
			for j < len(rs) && (rs[j] >= '0' && rs[j] <= '9') {
				j++
			}
			n += spokenWhole(string(rs[i:j]))
			if j+1 < len(rs) && rs[j] == '.' && rs[j+1] >= '0' && rs[j+1] <= '9' {
				j++
				n++ // "point", then digit by digit
				for j < len(rs) && rs[j] >= '0' && rs[j] <= '9' {
					j++
					n++
				}
			}
			i = j
		case unicode.IsLetter(r):
			j := i
			for j < len(rs) && (unicode.IsLetter(rs[j]) || unicode.IsMark(rs[j]) || rs[j] == '’' || rs[j] == '\'') {
				j++
			}
			if word := string(rs[i:j]); word == "m" && j+1 < len(rs) && rs[j] == '/' && rs[j+1] == 's' {
				n += 3 // metres per second
				j += 2
			} else {
				n++
			}
			i = j
		case r == '[':
			n += 2 // "from … to …"
			i++
		default:
			n += signs[r]
			i++
		}
	}
	return n
}

// spokenWhole is how many words a whole number has: 23 twenty three, 120 one hundred and
// twenty, 1110 one thousand one hundred and ten. From a million on, its digits.
func spokenWhole(digits string) int {
	d := strings.TrimLeft(digits, "0")
	if d == "" {
		return 1
	}
	if len(d) > 6 {
		return len(digits)
	}
	v := 0
	for _, r := range d {
		v = 10*v + int(r-'0')
	}
	n, rest := 0, v%1000
	if v >= 1000 {
		n = below1000(v/1000) + 1
		if rest > 0 && rest < 100 {
			n++ // one thousand and five
		}
	}
	return n + below1000(rest)
}

func below1000(v int) int {
	n := 0
	if v >= 100 {
		n, v = 2, v%100
		if v > 0 {
			n++ // and
		}
	}
	switch {
	case v == 0:
		return n
	case v < 20 || v%10 == 0:
		return n + 1
	}
	return n + 2
}

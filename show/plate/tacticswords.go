package plate

import (
	"maps"
	"slices"
	"strings"
	"unicode"
	"unicode/utf8"

	"mesure/sport/bout"
	"mesure/sport/mark"
	"mesure/study"
	"mesure/tactics/payoff"
)

// ChoiceWords says a kind of choice in a coach's words; a word of the coach's own
// stays as it is.
func ChoiceWords(kind string) string {
	for _, k := range bout.ChoiceKinds() {
		if k.Name == kind {
			return k.Word
		}
	}
	return Typeset(kind)
}

// OutcomeWords says how a touch ended, as the lamps have it.
func OutcomeWords(outcome string) string {
	switch outcome {
	case "left":
		return "left hit"
	case "right":
		return "right hit"
	case "double":
		return "double"
	}
	return "no hit"
}

// BearingWords says why an earlier touch bears on another.
func BearingWords(why string) string {
	switch why {
	case study.BearsSameAnswer:
		return "the same two choices met"
	case study.BearsLesson:
		return "taught the change"
	case study.BearsSameScore:
		return "the same state of the score"
	}
	return unhyphened(why)
}

// GapFromWords says where the measure is known from.
func GapFromWords(from string) string {
	switch from {
	case "measured":
		return "measured on this touch"
	case "asked":
		return "as asked"
	case "sheet":
		return "as the sheet notes it"
	case "usual":
		return "the usual one"
	}
	return unhyphened(from)
}

// SeenIn is how many phrases there are in counts.
func SeenIn(c payoff.Counts) float64 { return c.Me + c.Double + c.Opponent + c.Nothing }

// Unnamed puts the sides in the place of the two fencers' names, whole ones and single
// words of them, for sentences that were written with them. A word that both are called
// by becomes "the fencer".
func Unnamed(s string, names [2]string) string {
	return renamed(s, names, [2]string{Name(mark.Left), Name(mark.Right)}, true)
}

// renamed puts other words in the place of the two fencers' names; hidden says that single
// words of them must go as well.
func renamed(s string, names, as [2]string, hidden bool) string {
	sides := map[string]string{}
	for _, side := range mark.Sides {
		for _, w := range strings.Fields(names[side]) {
			first, _ := utf8.DecodeRuneInString(w)
			switch old, both := sides[w]; {
			case unicode.IsLower(first): // "von", "de"
			case both && old != as[side]:
				sides[w] = "the fencer"
			default:
				sides[w] = as[side]
			}
		}
	}
	for _, side := range mark.Sides {
		s = replaceWord(s, names[side], as[side])
	}
	if !hidden {
		return s
	}
	for _, w := range slices.Sorted(maps.Keys(sides)) {
		if w != as[mark.Left] && w != as[mark.Right] {
			s = replaceWord(s, w, sides[w])
		}
	}
	return s
}

// replaceWord replaces a word where no letter stands before or after it.
func replaceWord(s, word, with string) string {
	if word == "" || word == with {
		return s
	}
	var b strings.Builder
	for {
		i := strings.Index(s, word)
		if i < 0 {
			b.WriteString(s)
			return b.String()
		}
		before, _ := utf8.DecodeLastRuneInString(s[:i])
		after, _ := utf8.DecodeRuneInString(s[i+len(word):])
		b.WriteString(s[:i])
		if unicode.IsLetter(before) || unicode.IsLetter(after) {
			b.WriteString(word)
		} else {
			b.WriteString(with)
		}
		s = s[i+len(word):]
	}
}

package plate

import (
	"strings"

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

// Unnamed puts the sides in the place of the two fencers' names, for sentences that were
// written with them.
func Unnamed(s string, names [2]string) string {
	for _, side := range mark.Sides {
		if names[side] != "" {
			s = strings.ReplaceAll(s, names[side], Name(side))
		}
	}
	return s
}

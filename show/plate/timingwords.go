package plate

import (
	"strings"

	"mesure/study"
	"mesure/timing"
)

// AnswerWords says an answer to an attack in a coach's words, such as "parry with a
// step back".
func AnswerWords(a timing.Answer) string {
	switch a {
	case timing.ExtendSingle:
		return "extend, single light"
	case timing.ExtendDouble:
		return "extend, double"
	case timing.ParryLateral:
		return "lateral parry"
	case timing.ParrySemi:
		return "semicircular parry"
	case timing.ParryCircular:
		return "circular parry"
	case timing.ParryStepBack:
		return "parry with a step back"
	case timing.RetreatOut:
		return "retreat out of reach"
	case timing.RemoveTarget:
		return "remove the target"
	case timing.OpposeInTheLine:
		return "extend with opposition"
	}
	return unhyphened(string(a))
}

// DoesWords says what a fencer may do next.
func DoesWords(d timing.Does) string {
	switch d {
	case timing.DoExtend:
		return "extend the arm"
	case timing.DoTurnBack:
		return "turn to go back"
	case timing.DoTurnForward:
		return "turn to go forward"
	}
	return unhyphened(string(d))
}

// ZoneWords says what a place of the distance map means.
func ZoneWords(z timing.Zone) string {
	switch z {
	case timing.ZoneNobody:
		return "nobody threatens"
	case timing.ZoneDefender:
		return "only the defender hits"
	case timing.ZoneBoth:
		return "both hit: a double"
	case timing.ZoneParry:
		return "only the attacker hits, a parry is in time"
	case timing.ZoneOutruns:
		return "the attack outruns the parry"
	}
	return unhyphened(string(z))
}

// LaunchWords says during which move of the opponent an attack was launched, in
// words that stand after "launched".
func LaunchWords(into string) string {
	switch into {
	case study.LaunchIntoAdvance:
		return "into the opponent’s advance"
	case study.LaunchAtEndOfStep:
		return "as the opponent’s step ended"
	case study.LaunchOnRetreat:
		return "as the opponent went back"
	case study.LaunchOnStanding:
		return "while the opponent’s feet stood"
	case study.LaunchIntoAttack:
		return "into the opponent’s attack"
	case study.LaunchNotFollowed:
		return "in a step of the opponent that was not followed"
	}
	return unhyphened(into)
}

// SizeWords says what an observed parry was.
func SizeWords(s timing.Size) string {
	if s == timing.SizeNone {
		return "nothing was asked"
	}
	return unhyphened(string(s))
}

// PartWords says a part of a fencer that started, such as "front foot".
func PartWords(part string) string { return unhyphened(part) }

// FromWords says where a figure of a profile comes from.
func FromWords(from string) string {
	switch from {
	case study.FromDefault:
		return "usual"
	case study.FromStated:
		return "stated by the coach"
	case study.FromFitted:
		return "fitted to the movement"
	}
	return unhyphened(from)
}

// unhyphened writes a name of the files as words.
func unhyphened(name string) string { return strings.ReplaceAll(name, "-", " ") }

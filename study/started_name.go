package study

import (
	"fmt"
	"regexp"
	"strings"

	"mesure/quantity"
	"mesure/sport/bout"
	"mesure/sport/mark"
)

// Parts of a start beside those of a Proposal.
const (
	// PartLaunch is the first movement that cannot be taken back, where the coach does
	// not say whether hand or foot.
	PartLaunch = "launch"
)

// saying is what the name of a moment says: whose part begins what. Who is the attacker,
// the defender, or a side that the name itself gives.
type saying struct {
	part, kind string
	side       mark.Side
	sided      bool // side is given
	defender   bool // where it is not: of the one who answers
	feint      bool
	answer     bool // a parry, a counter-attack or "answer begins"
	threat     bool // the point goes for the target: the coach calls it an attack of a kind
}

// acceptedID is a moment that was a proposal: its ID says all.
var acceptedID = regexp.MustCompile(`-(left|right)-(hand|blade|front-foot|rear-foot)-(starts|lifts|lands)-\d+$`)

// nameOf reads the name of a moment; false where it is no start of a part that this
// knows: names are free, and what is not understood is left alone.
//
// It knows moments taken over from proposals, the usual moments by their words
// (launch, answer begins, riposte starts, front foot lands), and sentences that name
// a part ("hand", "arm", "blade", "front foot", "rear foot") or an action of it
// ("parry", "feint", "disengage" …) and say that it starts, begins, lifts or lands, or say
// in one word what a fencer does (launches, lunges, extends, feints, answers,
// counter-attacks, ripostes), with "Left" or "Right" for whose it is.
func nameOf(m mark.Moment) (saying, bool) {
	if got := acceptedID.FindStringSubmatch(m.ID); got != nil {
		return saying{part: got[2], kind: got[3], side: sideNamed(got[1]), sided: true}, true
	}
	text := strings.ToLower(strings.TrimSpace(m.Name))
	words := strings.FieldsFunc(text, func(r rune) bool { return !(r >= 'a' && r <= 'z' || r == 'è' || r == '-') })
	has := func(some ...string) bool {
		for _, w := range words {
			for _, s := range some {
				if w == s {
					return true
				}
			}
		}
		return false
	}
	var n saying
	// Whose it is stands first: "Right's hand goes to Left's blade" is Right's.
	for _, w := range words {
		if w == mark.Left.String() || w == mark.Right.String() {
			n.side, n.sided = sideNamed(w), true
			break
		}
	}
	for _, u := range bout.UsualMoments() {
		if m.ID != u.Name && text != u.Word && strings.TrimPrefix(strings.TrimPrefix(text, "left's "), "right's ") != u.Word {
			continue
		}
		switch u.Name {
		case "launch":
			n.part, n.kind = PartLaunch, OnsetStarts
			return n, true
		case "answer":
			n.part, n.kind, n.defender, n.answer = PartHand, OnsetStarts, true, true
			return n, true
		case "riposte":
			n.part, n.kind, n.defender, n.threat = PartHand, OnsetStarts, true, true
			return n, true
		case "landing":
			n.part, n.kind = PartFrontFoot, OnsetLands
			return n, true
		case "search":
			n.part, n.kind = PartBlade, OnsetStarts
			return n, true
		}
	}
	switch { // what a fencer does, in one word
	case has("launches", "lunges"):
		n.part, n.kind = PartLaunch, OnsetStarts
		return n, true
	case has("extends"):
		n.part, n.kind = PartHand, OnsetStarts
		return n, true
	case has("feints"):
		n.part, n.kind, n.feint = PartHand, OnsetStarts, true
		return n, true
	case has("answers"):
		n.part, n.kind, n.answer, n.defender = PartHand, OnsetStarts, true, true
		return n, true
	case has("counter-attacks", "ripostes"):
		n.part, n.kind, n.answer, n.defender, n.threat = PartHand, OnsetStarts, true, true, true
		return n, true
	}
	switch {
	case has("lift", "lifts", "leaves"):
		n.kind = OnsetLifts
	case has("land", "lands"):
		n.kind = OnsetLands
	case has("start", "starts", "begin", "begins", "goes"):
		n.kind = OnsetStarts
	default:
		return saying{}, false
	}
	foot := has("foot", "toe", "heel")
	switch {
	case foot && has("rear", "back"):
		n.part = PartRearFoot
	case foot && has("front"):
		n.part = PartFrontFoot
	case foot:
		return saying{}, false // which foot?
	case n.kind != OnsetStarts:
		return saying{}, false
	case has("hand", "arm", "extension"):
		n.part = PartHand
	case has("parry"):
		n.part, n.answer, n.defender = PartHand, true, true
	case has("counter-attack", "stop"):
		n.part, n.answer, n.defender, n.threat = PartHand, true, true, true
	case has("riposte"):
		n.part, n.defender, n.threat = PartHand, true, true
	case has("feint"):
		n.part, n.feint = PartHand, true
	case has("attack", "remise", "redoublement"):
		n.part, n.threat = PartHand, true
	case has("blade", "disengage", "cut-over", "beat", "point"):
		n.part = PartBlade
	default:
		return saying{}, false
	}
	if n.kind == OnsetStarts && (n.part == PartFrontFoot || n.part == PartRearFoot) {
		n.kind = OnsetLifts
	}
	return n, true
}

// by is whose moment it is, given the attacker; false where neither says.
func (n saying) by(attacker *mark.Side) (mark.Side, bool) {
	switch {
	case n.sided:
		return n.side, true
	case attacker == nil:
		return 0, false
	case n.defender:
		return attacker.Other(), true
	}
	return *attacker, true
}

// endsPhrase says which end of a phrase a moment is: "hit", "lamp" or "halt"; false for
// any other.
func endsPhrase(m mark.Moment) (string, bool) {
	text := strings.ToLower(strings.TrimSpace(m.Name))
	for _, end := range []string{"hit", "lamp", "halt"} {
		if m.ID == end || text == end {
			return end, true
		}
	}
	return "hit", strings.Contains(text, "arrives")
}

// attackerNamed is whose attack it is by the names of the moments: the first answer that
// says whose it is (a parry, a counter-attack, a riposte) is one to the other's attack.
func (r *Reading) attackerNamed() (s mark.Side, why string, ok bool) {
	var first quantity.Seconds
	for _, m := range r.Moments {
		n, known := nameOf(m.Moment)
		if !known || !n.sided || !n.defender || ok && m.At.Mean >= first {
			continue
		}
		s, why, ok, first = n.side.Other(), fmt.Sprintf("the moment %q is an answer to it", m.Moment.Name), true, m.At.Mean
	}
	return s, why, ok
}

func sideNamed(word string) mark.Side {
	if strings.HasPrefix(word, mark.Right.String()) {
		return mark.Right
	}
	return mark.Left
}

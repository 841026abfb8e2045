package bout

import (
	"cmp"
	"fmt"
	"strings"

	"mesure/sport/mark"
)

// Sentence writes the phrase as one English sentence: who did what, in the order in
// which the actions began (see When). left and right are the names of the fencers;
// empty, or the same for both, they are "the left fencer" and "the right fencer". A
// priority in foil and sabre is told as the coach's own call. Words that nobody knows
// stand in quotation marks.
func (p WrittenPhrase) Sentence(v Vocabulary, when When, left, right string) string {
	left, right = oneLine(left), oneLine(right)
	if left == right {
		left, right = "", ""
	}
	names := map[mark.Side]string{mark.Left: cmp.Or(left, "the left fencer"), mark.Right: cmp.Or(right, "the right fencer")}
	var turns []string
	all := p.told(v, when)
	for i := 0; i < len(all); {
		j := i + 1
		for j < len(all) && all[j].Who == all[i].Who {
			j++
		}
		who := cmp.Or(names[all[i].Who], "somebody")
		if i > 0 && all[i].timed && all[i-1].timed && all[i].from == all[i-1].from {
			who = "at the same moment " + who
		}
		turns = append(turns, who+" "+inTurn(clauses(all[i:j])))
		i = j
	}
	if len(turns) == 0 {
		return "Nothing is written yet."
	}
	told := strings.Join(turns, "; ")
	if p.Weapon == Foil || p.Weapon == Sabre {
		switch p.Priority {
		case GivenLeft:
			told += "; by the coach's own call the priority is with " + names[mark.Left]
		case GivenRight:
			told += "; by the coach's own call the priority is with " + names[mark.Right]
		case GivenNobody:
			told += "; by the coach's own call neither has the priority"
		}
	}
	first := []rune(told)
	return strings.ToUpper(string(first[:1])) + string(first[1:]) + "."
}

// oneLine keeps what a coach typed on the line of the sentence.
func oneLine(text string) string { return strings.Join(strings.Fields(text), " ") }

// inTurn joins what one fencer did one after the other.
func inTurn(parts []string) string {
	if len(parts) < 2 {
		return strings.Join(parts, "")
	}
	n := len(parts) - 1
	return strings.Join(parts[:n], ", ") + ", then " + parts[n]
}

// carriers are the movements of the feet that carry an offensive action, as they
// stand behind it.
var carriers = map[string]string{"lunge": "with a lunge", "half lunge": "with a half lunge", "step and lunge": "with step and lunge",
	"balestra": "with a balestra", "flèche": "in flèche", "step and flèche": "with step and flèche"}

// clauses says the actions of one fencer that follow each other. The feet that carry
// an offensive action are told with it, a parry with the name of its line, and a hit
// with what arrived, so that nothing is told twice.
func clauses(run []said) []string {
	var out []string
	for i := 0; i < len(run); i++ {
		s := run[i]
		next := said{}
		if i+1 < len(run) {
			next = run[i+1]
		}
		switch {
		case carried(s) && carries(next, s):
			out = append(out, says(s, carriers[next.word.Name]))
			i++
		case carried(next) && carries(s, next):
			out = append(out, says(next, carriers[s.word.Name]))
			i++
		case s.word.Name == "parry" && bare(s) && eightParries(next):
			out = append(out, says(next, ""))
			i++
		case eightParries(s) && bare(next) && next.word.Name == "parry":
			out = append(out, says(s, ""))
			i++
		case i > 0 && s.word.Name == "hit" && bare(s) && run[i-1].note.Result == Arrived: // told already
		case is(KindEnd)(s) && len(out) > 0:
			link := " and "
			if s.word.Name == "miss" {
				link = " but "
			}
			out[len(out)-1] += link + says(s, "")
		default:
			out = append(out, says(s, ""))
		}
	}
	return counted(out)
}

// carried are the actions with which the feet that carry them are told.
var carried = either(offence, is(KindThrust, KindTaking))

// counted says what follows itself once: "steps forward twice".
func counted(parts []string) []string {
	var out []string
	for i := 0; i < len(parts); {
		n := 1
		for i+n < len(parts) && parts[i+n] == parts[i] {
			n++
		}
		switch said := parts[i]; {
		case n == 1:
			out = append(out, said)
		case n == 2:
			out = append(out, said+" twice")
		default:
			out = append(out, fmt.Sprintf("%s %d times", said, n))
		}
		i += n
	}
	return out
}

// carries reports whether a movement of the feet is the one of an offensive action
// and can be told with it: both go on at once, as far as that is known.
func carries(feet, action said) bool {
	return carriers[feet.word.Name] != "" && bare(feet) &&
		(!feet.timed || !action.timed || feet.from <= action.to && action.from <= feet.to)
}

// bare reports whether nothing is noted of an action, so that it can be told with
// another one.
func bare(s said) bool { return s.note == PhraseNote{} || s.note == PhraseNote{ActionID: s.ID} }

// says is one action with its note.
func says(s said, feet string) string {
	does := s.word.Does
	if does == "" {
		does = "does “" + oneLine(s.Word) + "”"
	}
	n := s.note
	if n.Line != "" && folded(n.Line) != folded(s.word.Name) {
		does += " in " + oneLine(n.Line)
	}
	if n.Target != "" {
		at := " to the "
		if s.kind() == KindEnd {
			at = " on the "
		}
		does += at + oneLine(n.Target.Word())
	}
	if feet != "" {
		does += " " + feet
	}
	switch {
	case n.Nature == Feigned && s.kind() != KindFeint:
		does += " as a feint"
	case n.Nature == False && s.word.Name != "false attack":
		does += " as a false action"
	case n.Nature == Invitation && s.word.Name != "invitation":
		does += " as an invitation"
	}
	if n.Intention == SecondIntention {
		does += " in second intention"
	}
	if n.Result == Missed && s.kind() == KindParry {
		return does + " but does not find the blade"
	}
	switch n.Result {
	case Arrived:
		does += " and hits"
	case Missed:
		does += " but misses"
	case FellShort:
		does += " but falls short"
	case Parried:
		does += " but is parried"
	case Avoided:
		does += " but the target is gone"
	case OffTarget:
		does += " but lands off target"
	case Drew:
		does += " and draws the answer"
	}
	return does
}

package chart

import (
	"fmt"
	"strings"

	"mesure/quantity"
	"mesure/show/draw"
	"mesure/show/plate"
	"mesure/timing"
)

// attackWords is the room for the words of the attack above its way, on the phone.
const attackWords draw.MM = 6.6

// inPercent prints a share with its doubt in percent.
func inPercent(q quantity.Of[quantity.Ratio]) string {
	return plate.Percent(quantity.Of[quantity.Chance]{Mean: quantity.Chance(q.Mean), SD: quantity.Chance(q.SD), Lo: quantity.Chance(q.Lo), Hi: quantity.Chance(q.Hi)})
}

// attackOf says the attack, such as "Left’s lunge to the chest".
func (c *windows) attackOf() string {
	words := plate.Name(c.att) + "’s " + plate.ActionWords(c.w.AttackAction)
	if c.w.AttackAction == "" {
		words = plate.Name(c.att) + "’s attack"
	}
	if c.w.AttackTarget != "" {
		words += " to the " + plate.TargetWords(c.w.AttackTarget)
	}
	return words
}

// words says what the picture cannot: what the reading of the attack costs, what
// decides, and what the draws leave out.
func (c *windows) words() string {
	var all []string
	w := c.w
	if hits(w) && told(w.Cue.Left) && w.Cue.Gone.IsValid() {
		s := "When the attack can be seen, " + inPercent(w.Cue.Gone) + " of its time is gone and " + plate.Milliseconds(w.Cue.Left) + " are left"
		if rx := w.Exchange.Defence.Reaction; rx.Simple.IsValid() && rx.PerChoice.IsValid() && finite(float64(rx.Bits)) {
			s += "; reacting takes " + plate.Milliseconds(rx.Law())
		}
		all = append(all, s+".")
	}
	switch {
	case !hits(w):
		share := plate.Chance(w.Arrives.Mean)
		if w.Arrives.Mean == 0 {
			share = "none"
		}
		all = append(all, "The attack reaches in "+share+" of the draws: whatever defends has time.")
	case w.Arrives.Mean < 0.995:
		all = append(all, "The attack reaches in "+plate.Chance(w.Arrives.Mean)+" of the draws; where it falls short, whatever only defends is in time.")
	}
	if w.Deciding != "" {
		if e, ok := w.Of(w.Deciding); ok {
			s := "Nearest to even: " + plate.AnswerWords(w.Deciding) + ", " + plate.Chance(e.InTime.Mean) + "."
			if len(w.Matters) > 0 {
				m := w.Matters[0]
				s += " Its largest doubt: " + m.Name + " (" + plate.Chance(quantity.Chance(m.Share)) + "). " + plate.Sentences(strings.TrimSuffix(m.Mend, "."))
			}
			all = append(all, strings.TrimSpace(s))
		}
	}
	return plate.Typeset(strings.Join(all, " "))
}

// desc says the picture to those who cannot see it.
func (c *windows) desc() string {
	var b strings.Builder
	w := c.w
	fmt.Fprintf(&b, "%s over %s, counted from frame %d. ", c.attackOf(), plate.Metres(w.Exchange.Attack.Gap), c.tm.At.Frame)
	if told(w.Cue.At) && told(w.Ready) {
		fmt.Fprintf(&b, "It can be seen after %s; %s is ready after %s. ", plate.Milliseconds(w.Cue.At), strings.ToLower(plate.Name(c.def)), plate.Milliseconds(w.Ready))
	}
	if hits(w) {
		fmt.Fprintf(&b, "It hits after %s. ", plate.Milliseconds(w.Hit))
	}
	for _, g := range answerGroups() {
		for _, a := range g.of {
			if e, ok := w.Of(a); ok {
				fmt.Fprintf(&b, "%s: in time %s", plate.AnswerWords(a), plate.Percent(e.InTime))
				if told(e.Latest) {
					fmt.Fprintf(&b, ", last start %s", plate.Milliseconds(e.Latest))
				}
				b.WriteString(". ")
			}
		}
	}
	return strings.TrimSpace(b.String())
}

// toSpare stands behind a time that is left.
const toSpare = " to spare"

// spareWords says how much time an answer leaves, or by how much it is late.
func spareWords(e timing.Window) string {
	switch {
	case !open(e):
		return ""
	case e.Possible.Mean < 0.5: // the time to spare is that of few draws
		return "serves in " + plate.Chance(e.Possible.Mean) + " at all"
	case e.Spare.Mean < 0:
		return plate.Milliseconds(negated(e.Spare)) + " late"
	}
	return plate.Milliseconds(e.Spare) + toSpare
}

// emptyWords says why an answer has no stroke.
func (c *windows) emptyWords(e timing.Window) string {
	switch {
	case e.Possible.Mean < 0.005 && hitsBack(e.Answer):
		return "does not reach, whenever it starts"
	case e.Possible.Mean < 0.005:
		return "no start serves"
	}
	return "the attack falls short: always in time"
}

// hitsBack reports whether an answer also hits.
func hitsBack(a timing.Answer) bool {
	return a == timing.ExtendSingle || a == timing.ExtendDouble || a == timing.OpposeInTheLine
}

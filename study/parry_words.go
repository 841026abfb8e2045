package study

import (
	"fmt"
	"math"
	"strings"

	"mesure/quantity"
	"mesure/sport/mark"
	"mesure/timing"
)

// finding says in a few plain sentences what the parry has to do here.
func (k *parrying) finding() string {
	a, p := k.out.Asked, k.out
	att, def, zone := k.attacker, k.defender, targetWords(k.target)
	if a.Arrived.Mean >= 0.5 {
		return fmt.Sprintf("%s point is at the %s already: there is nothing left to parry here", sideName(att), zone)
	}
	var b strings.Builder
	if len(a.Ways) == 0 || a.Threatens.Mean < leastThreat {
		fmt.Fprintf(&b, "The line of %v's point passes the %s from here: a parry has nothing to do yet", att, zone)
		if c := a.Threatens.Mean; c >= leastThreat {
			fmt.Fprintf(&b, " (it meets it in %s of 100)", in100(c))
		}
		return b.String()
	}
	fmt.Fprintf(&b, "From %s, %v's blade must be turned by %s to miss the %s", metresOf(a.HandToZone), att, degreesOf(a.Needed), zone)
	late := p.latest()
	if late != &p.Asked && late.Needed.Mean > a.Needed.Mean {
		fmt.Fprintf(&b, ", and by %s as it arrives", degreesOf(late.Needed))
	}
	if c := a.Threatens.Mean; c < clearChance {
		fmt.Fprintf(&b, "; seen from the side its line is on the %s in %s of 100", zone, in100(c))
	}
	if late.Best == nil {
		fmt.Fprintf(&b, ". No place on %v's forte has the leverage for it: a step back or an opposition has", def)
		return b.String()
	}
	fmt.Fprintf(&b, ". %s has the least way with a %s parry: %s for the hand, %s", called(def), kindWords[late.Best.Kind], centimetresOf(late.Best.Travel), leverageWords(late.Best.Leverage))
	if p.Time.Mean > 0 {
		fmt.Fprintf(&b, ", in about %s", spreadMS(p.Time))
	}
	return b.String()
}

// leastThreat is the chance to meet the target below which nothing has to be parried.
const leastThreat = quantity.Chance(0.05)

// kindWords are the kinds of parry within a sentence.
var kindWords = map[timing.Answer]string{timing.ParryLateral: "lateral", timing.ParrySemi: "semicircular", timing.ParryCircular: "circular"}

func targetWords(t mark.Target) string { return plain(string(t)) }

// leverageWords says who has the better of the lever.
func leverageWords(q quantity.Of[quantity.Ratio]) string {
	if math.Abs(float64(q.Mean)-1) < 0.1 {
		return "neither hand having the better leverage"
	}
	if q.Mean < 1 {
		return fmt.Sprintf("against %.1f times the leverage", 1/float64(q.Mean))
	}
	return fmt.Sprintf("with %.1f times the leverage", float64(q.Mean))
}

// degreesOf prints an angle as 9 ± 2°.
func degreesOf(q quantity.Of[quantity.Radians]) string {
	return printed(float64(q.Mean)*180/math.Pi, float64(q.SD)*180/math.Pi, 0, "°")
}

// centimetresOf prints a length as 17 ± 3 cm.
func centimetresOf(q quantity.Of[quantity.Metres]) string {
	return printed(q.Mean.Centimetres(), q.SD.Centimetres(), 0, " cm")
}

// metresOf prints a length as 1.35 ± 0.04 m.
func metresOf(q quantity.Of[quantity.Metres]) string {
	return printed(float64(q.Mean), float64(q.SD), 2, " m")
}

func printed(v, sd float64, places int, unit string) string {
	least := math.Pow(10, -float64(places))
	if sd == 0 {
		return fmt.Sprintf("%.*f%s", places, v, unit)
	}
	return fmt.Sprintf("%.*f ± %.*f%s", places, v, places, max(least, sd), unit)
}

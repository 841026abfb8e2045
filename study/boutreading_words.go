package study

import (
	"fmt"
	"math"
	"strings"

	"mesure/quantity"
	"mesure/sport/mark"
)

// say writes the reading in plain sentences.
func (r *BoutReading) say() {
	add := func(format string, args ...any) { r.Said = append(r.Said, fmt.Sprintf(format, args...)) }
	name := func(s mark.Side) string { return r.NameOf(s) }
	left := name(mark.Left)

	heavy := r.Touches[r.Heaviest]
	sure := ""
	if r.HeaviestSure < 0.5 && len(r.Touches) > 1 {
		sure = " Other touches weighed nearly as much: by what is known of the two, which was heaviest is not sure."
	}
	add("%s weighed most: between a hit for %s and one for %s lay %s of the chance to win. %s.%s", r.touchWords(heavy), left, name(mark.Right), shareWords(heavy.Before.Importance), r.outcomeWords(heavy), sure)
	if t := r.turned(); t >= 0 && t != r.Heaviest {
		add("%s changed most: %s for %s.", r.touchWords(r.Touches[t]), changeWords(r.Touches[t].Changed), left)
	}
	r.sayDoubles(add, left)
	r.sayClock(add)
	r.sayRates(add, name)
	if r.Relay {
		r.sayStages(add)
	}
}

// NameOf is a fencer's name, else the side.
func (r *BoutReading) NameOf(s mark.Side) string {
	n := [2]string{r.Left, r.Right}[s]
	if n == "" {
		n = [2]string{"Left", "Right"}[s]
	}
	return n
}

// turned is the index of the touch that changed the chance most, −1 for none.
func (r *BoutReading) turned() int {
	best, at := 0.0, -1
	for i, t := range r.Touches {
		if c := math.Abs(float64(t.Changed.Mean)); c > best {
			best, at = c, i
		}
	}
	return at
}

func (r *BoutReading) touchWords(t BoutTouch) string {
	return fmt.Sprintf("Touch %d, at %s,", t.Number, scoreWords(t.Before.Score))
}

func (r *BoutReading) outcomeWords(t BoutTouch) string {
	switch t.Outcome {
	case "left":
		return r.NameOf(mark.Left) + " hit"
	case "right":
		return r.NameOf(mark.Right) + " hit"
	case "double":
		if t.Before.Void {
			return "It was a double, which is void there"
		}
		return "It was a double"
	}
	return "Nobody hit"
}

func (r *BoutReading) sayDoubles(add func(string, ...any), left string) {
	if r.Rates.CountDouble > 0 {
		add("What %s changed in all: %s for %s.", countOf(r.Rates.CountDouble, "double", "doubles"), changeWords(r.Doubles), left)
	}
	if r.Now == nil {
		return
	}
	when := ""
	if r.Now.Left != nil {
		when = ", with " + timeWords(*r.Now.Left) + " left,"
	}
	add("At %s%s %s wins with a chance of %s; %s hang on the next hit.", scoreWords(r.Now.Score), when, left, shareWords(r.Now.Win), shareWords(r.Now.Importance))
	d := r.Now.DoubleWorth
	switch {
	case r.Weapon != "epee":
	case r.Now.Extra:
		add("In the extra minute a double does not count.")
	case r.Now.Void:
		add("A double is void now.")
	case d.Lo > 0:
		add("A double now helps %s: %s.", left, changeWords(d))
	case d.Hi < 0:
		add("A double now helps %s: %s for %s.", r.NameOf(mark.Right), changeWords(d), left)
	default:
		add("Whom a double helps now cannot be told: %s for %s.", changeWords(d), left)
	}
}

// sayClock says what the time does to the values.
func (r *BoutReading) sayClock(add func(string, ...any)) {
	k := r.Clock
	if k == nil {
		return
	}
	switch {
	case k.Whole:
		add("The clock is in it: a touch with a hit comes %s a minute, by %s in %s of fencing and the usual pace, which weighs as two; who leads when time is up has won, and at a level score there is one more minute.",
			paceWords(k.Pace), countOf(k.Hits, "touch", "touches"), timeWords(k.Over))
	case r.Now != nil && r.Now.Left != nil:
		add("Only the last score is valued with its clock: the sheet does not note the time of every touch.")
	}
	if k.Priority != "" && r.Now != nil && r.Now.Extra {
		holder := mark.Left
		if k.Priority == mark.Right.String() {
			holder = mark.Right
		}
		add("%s has the priority and wins if nobody hits: %s has to act.", r.NameOf(holder), r.NameOf(holder.Other()))
	}
	if k.Unwillingness {
		add("A minute without a hit is counted: the second one is a hit for each, the third ends the bout for whoever leads.")
	}
}

// paceWords prints a pace with its interval, rounded outward.
func paceWords(q quantity.Of[quantity.Ratio]) string {
	return fmt.Sprintf("%.1f times [%.1f,\u00a0%.1f]", float64(q.Mean), math.Floor(10*float64(q.Lo)+1e-9)/10, math.Ceil(10*float64(q.Hi)-1e-9)/10)
}

func (r *BoutReading) sayRates(add func(string, ...any), name func(mark.Side) string) {
	k := r.Rates
	n := k.CountLeft + k.CountRight + k.CountDouble
	says := "cannot be told from it"
	switch b := k.LeftBetter; {
	case b >= 0.975:
		says = "is " + name(mark.Left)
	case b <= 0.025:
		says = "is " + name(mark.Right)
	}
	add("All this rests on %s with a hit, by the rates of the whole bout looking back: who hits alone more often %s (%s with a chance of %s).", countOf(n, "touch", "touches"), says, name(mark.Left), percentWords(float64(k.LeftBetter)))
}

// shareWords prints a chance with the interval that holds 95 %, rounded outward.
func shareWords(q quantity.Of[quantity.Chance]) string {
	return fmt.Sprintf("%s [%.0f,\u00a0%.0f]", percentWords(float64(q.Mean)), math.Floor(100*float64(q.Lo)+1e-9), math.Ceil(100*float64(q.Hi)-1e-9))
}

// percentWords prints a chance.
func percentWords(v float64) string { return quantity.Percent(quantity.Chance(v)) }

// changeWords prints a change of a chance with its sign and interval.
func changeWords(q quantity.Of[quantity.Chance]) string {
	signed := func(v float64) string {
		s := fmt.Sprintf("%+.0f", v)
		if s == "+0" || s == "-0" {
			return "0"
		}
		return strings.Replace(s, "-", "−", 1)
	}
	mean := signed(100*float64(q.Mean)) + "\u00a0%"
	if mean == "0\u00a0%" && q.SD > 0 {
		mean = "less than 1\u00a0%"
	}
	return fmt.Sprintf("%s [%s,\u00a0%s]", mean, signed(math.Floor(100*float64(q.Lo)+1e-9)), signed(math.Ceil(100*float64(q.Hi)-1e-9)))
}

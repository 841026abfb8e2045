package payoff

import (
	"fmt"
	"math"
	"strings"

	"mesure/quantity"
)

// Sentences says the advice in a coach's words: what to do, how sure it is, where
// the answer tips, which number drives it, what the opponent can do about it.
func (a Advice) Sentences() []string {
	r, p := a.Reply, a.Play
	best, second := quoted(a.Mine[r.Choice]), quoted(a.Mine[r.Second])
	say := []string{fmt.Sprintf("Your chance to win stands at %s; mixed so that it does not matter what they do, this touch is worth %s.",
		percent(a.After.Nothing), percent(p.Floor))}
	if a.TooLittle {
		say = append(say, fmt.Sprintf("Too little was seen of them to lean on a habit: mix %s.", a.mix(p.Even)))
	}
	verb := "pays best against what they do"
	if a.TooLittle {
		verb = "would pay best if they went on as they began"
	}
	say = append(say, fmt.Sprintf("%s %s: it is worth %s, %s.", best, verb, percent(r.Worth), above("your mix", r.Edge)))
	if r.Apart {
		say = append(say, fmt.Sprintf("It is ahead of %s by %s.", second, points(r.Ahead)))
	} else {
		say = append(say, fmt.Sprintf("%s cannot be told apart on what is known: %s is ahead of %s by %s.", a.alike(), best, second, points(r.Ahead)))
	}
	if b, ok := a.tips(); ok {
		say = append(say, fmt.Sprintf("%s pays while they choose %s less than %s of the time, %s above that; the estimate of their habit is %s.",
			quoted(a.Mine[b.Below]), quoted(a.Theirs[b.Choice]), percent(b.Share), quoted(a.Mine[b.Above]), percent(b.Habit)))
	} else {
		say = append(say, fmt.Sprintf("No share of any one of their choices makes another answer better than %s, the others keeping their proportions.", best))
	}
	if len(a.Drivers) > 0 {
		say = append(say, a.driver(a.Drivers[0]))
	}
	say = append(say, fmt.Sprintf("If they see through it they answer %s, which leaves you %s.", quoted(a.Theirs[r.Counter]), percent(r.Left)))
	if !a.TooLittle {
		say = append(say, fmt.Sprintf("Safe against being read: %s. Whatever they do it loses at most %s against your mix of the game, 39 times in 40.",
			a.mix(p.Mix), atMost(p.Regret)))
	}
	return append(say, a.expects())
}

// Sentences says one of the next choices in a coach's words: why, what it risks at
// this score, what the opponent will expect.
func (n Next) Sentences(a Advice) []string {
	name := quoted(a.Mine[n.Choice])
	say := []string{fmt.Sprintf("%s is worth %s. It pays against their %s (%s of the time), where it is worth %s.",
		name, percent(n.Worth), quoted(a.Theirs[n.Pays]), percent(a.Habit[n.Pays]), percent(n.PaysWorth))}
	if n.Choice != a.Reply.Choice && n.Alike {
		say[0] += fmt.Sprintf(" It cannot be told apart from %s.", quoted(a.Mine[a.Reply.Choice]))
	}
	double := "A double changes nothing"
	switch {
	case n.Double.Mean >= 0.005:
		double = fmt.Sprintf("A double (%s) helps you by %s", percent(n.Ends.Double), points(n.Double))
	case n.Double.Mean <= -0.005:
		double = fmt.Sprintf("A double (%s) costs you %s", percent(n.Ends.Double), points(quantity.Of[quantity.Ratio]{Mean: -n.Double.Mean, SD: n.Double.SD, Lo: -n.Double.Hi, Hi: -n.Double.Lo}))
	}
	say = append(say, fmt.Sprintf("You are hit alone %s of the time, which at this score costs %s. %s. Their %s meets it best and leaves you %s.",
		percent(n.Ends.Opponent), points(n.Cost), double, quoted(a.Theirs[n.Worst]), percent(n.Least)))
	switch {
	case n.Shown == nil:
		say = append(say, "Whether they expect it is not known: your own choices were not counted.")
	case n.Foreseen == nil:
		say = append(say, "They have seen too little of you to expect it or not.")
	default:
		say = append(say, fmt.Sprintf("They have seen it %s of the time; if they answer what you have shown, it is worth %s.", percent(*n.Shown), percent(*n.Foreseen)))
	}
	return say
}

// expects says what the opponent will likely expect.
func (a Advice) expects() string {
	e := a.Expected
	switch {
	case e == nil:
		return "What they expect of you is not known: your own choices were not counted."
	case e.TooLittle:
		return "They have seen too little of you to expect anything."
	}
	return fmt.Sprintf("They will most likely expect %s, which you have shown %s of the time; their answer to what you have shown is %s.",
		quoted(a.Mine[e.Choice]), percent(e.Habit[e.Choice]), quoted(a.Theirs[e.Answer]))
}

// tips returns the balance point nearest to the habit at which the best reply gives
// way.
func (a Advice) tips() (Balance, bool) {
	for _, b := range a.Balance {
		if b.Below == a.Reply.Choice || b.Above == a.Reply.Choice {
			return b, true
		}
	}
	return Balance{}, false
}

func (a Advice) driver(g Driver) string {
	what := ""
	switch g.Kind {
	case OfCell:
		what = fmt.Sprintf("what %s is worth against %s", quoted(a.Mine[g.Mine]), quoted(a.Theirs[g.Theirs]))
	case OfHabit:
		what = fmt.Sprintf("how often they choose %s", quoted(a.Theirs[g.Theirs]))
	case OfScore:
		what = "what the bout is worth after " + map[string]string{"me": "your hit", "double": "a double", "opponent": "their hit", "nothing": "no hit"}[g.End]
	}
	tail := "no value of it alone would turn the answer"
	if g.Tips != nil {
		tail = fmt.Sprintf("at %.0f %% the answer turns", 100*float64(*g.Tips))
	}
	return fmt.Sprintf("The number that drives the answer is %s, %s: %.0f %% of the doubt goes with it, and %s.", what, percent(g.Value), 100*float64(g.Part), tail)
}

// alike names the choices that cannot be told apart from the best.
func (a Advice) alike() string {
	var names []string
	for i, s := range a.Standings {
		if s.Alike {
			names = append(names, quoted(a.Mine[i]))
		}
	}
	return strings.Join(names[:len(names)-1], ", ") + " and " + names[len(names)-1]
}

// mix names the choices of a mix that are made at all, the most frequent first.
func (a Advice) mix(shares []quantity.Chance) string {
	v := make([]float64, len(shares))
	for i, s := range shares {
		v[i] = float64(s)
	}
	var parts []string
	for _, i := range ranked(v) {
		if v[i] >= 0.005 {
			parts = append(parts, fmt.Sprintf("%s %.0f %%", quoted(a.Mine[i]), 100*v[i]))
		}
	}
	return strings.Join(parts, ", ")
}

func above(what string, q quantity.Of[quantity.Ratio]) string {
	if math.Abs(float64(q.Mean)) < 0.0005 {
		return "no more than " + what
	}
	return fmt.Sprintf("%s more than %s", points(q), what)
}

// percent prints a chance in whole percent with its 95 %, such as "62 % [38, 82]";
// one that is given as exact stands alone.
func percent(q quantity.Of[quantity.Chance]) string {
	if float64(q.Hi-q.Lo) < 1e-9 {
		return fmt.Sprintf("%.0f %%", 100*float64(q.Mean))
	}
	return fmt.Sprintf("%.0f %% [%.0f, %.0f]", 100*float64(q.Mean), 100*float64(q.Lo), 100*float64(q.Hi))
}

// points prints a difference of chances in points of a hundred.
func points(q quantity.Of[quantity.Ratio]) string {
	if float64(q.Hi-q.Lo) < 1e-9 {
		return tenth(q.Mean) + " points"
	}
	return fmt.Sprintf("%s points [%s, %s]", tenth(q.Mean), tenth(q.Lo), tenth(q.Hi))
}

// atMost prints what is lost at most, the upper end of a regret.
func atMost(q quantity.Of[quantity.Ratio]) string { return tenth(max(0, q.Hi)) + " points" }

// tenth prints points of a hundred to a tenth, never as "-0.0".
func tenth(v quantity.Ratio) string {
	r := math.Round(1000*float64(v)) / 10
	if r == 0 {
		r = 0 // without the sign of what was rounded away
	}
	return fmt.Sprintf("%.1f", r)
}

func quoted(name string) string { return "“" + name + "”" }

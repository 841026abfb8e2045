package chart

import (
	"fmt"
	"math/rand/v2"
	"slices"
	"testing"

	"mesure/quantity"
	"mesure/sport/bout"
	"mesure/sport/mark"
	"mesure/study"
	"mesure/tactics/chain"
	"mesure/tactics/habit"
	"mesure/tactics/payoff"
)

// tactical is the sheet of an invented bout: who hit, and what both chose. The attack
// teaches the parry, the parry the feint, the feint the counter-attack.
var tactical = [][3]string{
	{"R", "attack", "counter"}, {"L", "attack", "distance"}, {"R", "parry", "attack"}, {"L", "counter", "attack"}, {"R", "parry", "attack"},
	{"L", "attack", "parry"}, {"R", "attack", "parry"}, {"L", "feint-attack", "parry"}, {"L", "counter-time", "counter"}, {"D", "attack", "counter"},
	{"L", "attack", "counter"}, {"R", "attack", "parry"}, {"L", "attack", "parry"}, {"D", "attack", "attack"}, {"R", "feint-attack", "counter"},
	{"L", "blade-attack", "counter"}, {"L", "attack", "attack"}, {"R", "parry", "parry"}, {"L", "counter", "attack"}, {"R", "parry", "attack"},
	{"D", "counter", "attack"}, {"R", "attack", "parry"}, {"L", "feint-attack", "parry"}, {"L", "attack", "parry"},
}

// tacticsAt is what can be said of touch at of that bout, written by hand but for the
// estimates, which are those of the packages: the pictures are tested without what
// makes them. Where it was not fenced the sheet ends before it.
func tacticsAt(t testing.TB, at int, fenced bool) *study.Tactics {
	t.Helper()
	b := bout.Bout{Weapon: bout.Epee, Touches: 15, Event: "Harbour Cup", Left: bout.Fencer{Name: "Ash"}, Right: bout.Fencer{Name: "Brook"}}
	for i, l := range tactical {
		if !fenced && i+1 >= at {
			break
		}
		b.Sheet = append(b.Sheet, bout.Phrase{Lamps: bout.Lamps{Left: l[0] != "R", Right: l[0] != "L"}, Choices: &bout.Choices{Left: l[1], Right: l[2]}})
	}
	lines, _ := study.SheetLines(b)
	read, err := study.BoutRead(study.BoutAsk{Bout: b, Lines: lines})
	if err != nil {
		t.Fatal(err)
	}
	x := &study.Tactics{At: at, For: mark.Left, Bout: read, Names: [2]string{"Ash", "Brook"}, Draws: payoff.Draws, Seed: study.DefaultSeed}
	x.Fenced = at <= len(lines)
	asked := [2]string{}
	if x.Fenced {
		asked, x.Score = lines[at-1].Choices, lines[at-1].Before
	} else {
		x.Score = lines[len(lines)-1].After
	}
	for i, l := range lines[:min(at, len(lines))] {
		touch := study.ThreadTouch{Number: l.Number, Score: l.Before, Outcome: read.Touches[i].Outcome, Choices: l.Choices, Kinds: l.Choices, ChoiceFrom: [2]string{"sheet", "sheet"}, Bears: []study.Bearing{}}
		touch.Said = study.Sentence{{Text: fmt.Sprintf("At %d–%d Ash chose the %s and Brook the %s: %s.", l.Before.Left, l.Before.Right, choiceWords(l.Choices[0]), choiceWords(l.Choices[1]), map[string]string{"left": "Ash hit", "right": "Brook hit", "double": "both hit"}[touch.Outcome])}}
		if l.Number < at {
			if l.Choices == asked {
				touch.Bears = append(touch.Bears, study.Bearing{Why: study.BearsSameAnswer})
			}
			for _, s := range mark.Sides {
				if l.Choices[s] == asked[s] {
					touch.Bears = append(touch.Bears, study.Bearing{Why: study.BearsSameChoice, Who: s})
				}
			}
			if l.Number == at-3 {
				touch.Bears = append(touch.Bears, study.Bearing{Why: study.BearsLesson, Who: mark.Left})
			}
			if l.Before.Left == l.Before.Right && len(touch.Bears) > 0 {
				touch.Bears = append(touch.Bears, study.Bearing{Why: study.BearsSameScore})
			}
		}
		if l.Number == at {
			touch.Knew = [2]*study.Knew{
				{Likely: "parry", Share: quantity.Normal[quantity.Chance](0.44, 0.11), Seen: at - 1, ShareOfCame: quantity.Normal[quantity.Chance](0.31, 0.1)},
				{Likely: "attack", Share: quantity.Normal[quantity.Chance](0.5, 0.1), Seen: 1, TooLittle: true},
			}
		}
		x.Thread = append(x.Thread, touch)
	}
	for _, s := range mark.Sides {
		x.Habits[s] = habitAt(t, s, at, x.Fenced)
	}
	x.Payoff = payoffAt(t, x)
	x.Sources = []study.Source{
		{ID: "habit-right", Title: "How often Brook makes the counter-attack", How: "Counted, the newer choices weighing more.", Touches: []int{1, 9, 10, 11}, Prior: "half a count for each choice.", Method: "7.3",
			Bouts: []study.SourceBout{{ID: "pool", Day: "2025-04-12", With: "Brook", Count: 3}}},
		{ID: "score", Title: "What a hit is worth at this score", How: "The chance to win after it less that after a hit against.", Touches: []int{1, 2, 3, 4, 5}},
		{ID: "unused", Title: "Nobody names this", How: "Not in a sentence."},
	}
	share, worth := between(x.Habits[mark.Right].Choices[0].Share), "9"+nb+"% [7,"+nb+"11]"
	x.Story = []study.Sentence{
		{{Text: "Twice the straight attack met the parry, and Ash began to feint."}},
		{{Text: "By then Brook's counter-attack stood at "}, {Text: share, From: "habit-right"}, {Text: ", and "}, {Text: worth, From: "score"}, {Text: " of the bout hung on the touch."}},
	}
	x.Next = []study.Sentence{{{Text: "Draw the counter-attack and take the blade: it comes at "}, {Text: share, From: "habit-right"}, {Text: "."}}}
	x.Lacks = []study.Lack{{Part: study.PartHabit, Side: mark.Left, Why: "Too little is seen of Ash at this score", Mend: "Note what both chose in earlier bouts"}}
	return x
}

// kindsOf are the kinds one side chose up to touch at.
func kindsOf(s mark.Side, at int) (kinds []string, seen []int) {
	for _, l := range tactical[:min(at-1, len(tactical))] {
		k := l[1+int(s)]
		if !slices.Contains(kinds, k) {
			kinds = append(kinds, k)
		}
	}
	kinds = kindOrder(append(kinds, bout.ChoiceParry, bout.ChoiceCounter))
	for _, l := range tactical[:min(at-1, len(tactical))] {
		seen = append(seen, slices.Index(kinds, l[1+int(s)]))
	}
	return kinds, seen
}

func habitAt(t testing.TB, s mark.Side, at int, fenced bool) *study.Habit {
	kinds, seen := kindsOf(s, at)
	law := func(n int) habit.Habit {
		h, err := habit.Estimate(len(kinds), nil, habit.Source{Choices: seen[:n], Weight: habit.ThisBout, HalfLife: habit.HalfLife})
		if err != nil {
			t.Fatal(err)
		}
		return h
	}
	now := law(len(seen))
	order := make([]int, len(kinds))
	for i := range order {
		order[i] = i
	}
	slices.SortStableFunc(order, func(a, b int) int {
		switch p, q := now.Of(a).Mean, now.Of(b).Mean; {
		case p > q:
			return -1
		case p < q:
			return 1
		}
		return 0
	})
	h := &study.Habit{Who: s, Weight: now.Weight(), TooLittle: now.TooLittle(), Law: now, Kinds: kinds}
	for _, i := range order {
		n := 0
		for _, c := range seen {
			if c == i {
				n++
			}
		}
		h.Choices = append(h.Choices, study.HabitChoice{Kind: kinds[i], Word: choiceWords(kinds[i]), Share: now.Of(i), Here: n, Bout: n, Prior: habit.PriorCount})
	}
	for n := 0; n <= len(seen); n++ {
		stand := study.HabitStand{Number: n, Chose: -1, TooLittle: law(n).TooLittle()}
		if n > 0 {
			stand.Chose = slices.Index(order, seen[n-1])
		}
		for _, i := range order {
			stand.Shares = append(stand.Shares, law(n).Of(i))
		}
		h.Course = append(h.Course, stand)
	}
	if fenced {
		last := h.Course[len(h.Course)-1]
		last.Number, last.Chose = at, slices.Index(order, slices.Index(kinds, tactical[at-1][1+int(s)]))
		h.Course = append(h.Course, last)
	}
	if at > 12 {
		h.Change = &study.HabitChange{Since: 6, From: 4, To: 10, Sure: quantity.Exactly[quantity.Chance](0.86), Kind: h.Choices[0].Kind,
			Before: quantity.Normal[quantity.Chance](0.18, 0.11), After: quantity.Normal[quantity.Chance](0.52, 0.12)}
	}
	return h
}

// endsBy is how each kind of mine ends against each of theirs: me, double, opponent;
// invented, in the sense of the tactical wheel.
var endsBy = map[string]map[string][3]float64{
	"attack":       {"attack": {0.3, 0.35, 0.3}, "counter": {0.3, 0.25, 0.35}, "parry": {0.25, 0.05, 0.45}, "distance": {0.3, 0.05, 0.15}},
	"feint-attack": {"attack": {0.15, 0.25, 0.5}, "counter": {0.2, 0.2, 0.5}, "parry": {0.6, 0.05, 0.2}, "distance": {0.35, 0.05, 0.15}},
	"blade-attack": {"attack": {0.3, 0.2, 0.35}, "counter": {0.5, 0.15, 0.2}, "parry": {0.3, 0.05, 0.4}, "distance": {0.3, 0.05, 0.15}},
	"counter":      {"attack": {0.35, 0.3, 0.3}, "counter": {0.3, 0.2, 0.3}, "parry": {0.15, 0.05, 0.2}, "distance": {0.1, 0.02, 0.1}},
	"parry":        {"attack": {0.45, 0.1, 0.35}, "counter": {0.15, 0.05, 0.2}, "parry": {0.05, 0.02, 0.05}, "distance": {0.02, 0.01, 0.02}},
	"counter-time": {"attack": {0.2, 0.25, 0.45}, "counter": {0.6, 0.15, 0.2}, "parry": {0.2, 0.05, 0.35}, "distance": {0.2, 0.05, 0.15}},
	"distance":     {"attack": {0.15, 0.02, 0.2}, "counter": {0.1, 0.01, 0.1}, "parry": {0.02, 0.01, 0.02}, "distance": {0.01, 0, 0.01}},
}

func payoffAt(t testing.TB, x *study.Tactics) *study.Payoff {
	theirs := []string{"attack", "counter", "parry", "distance"}
	mine := []string{"attack", "feint-attack", "blade-attack", "counter", "parry", "counter-time", "distance"}
	var seen []int
	for _, l := range tactical[:min(x.At-1, len(tactical))] {
		seen = append(seen, slices.Index(theirs, l[2]))
	}
	law, err := habit.Estimate(len(theirs), nil, habit.Source{Choices: seen, Weight: 1, HalfLife: habit.HalfLife})
	if err != nil {
		t.Fatal(err)
	}
	k, err := chain.New(chain.Format{To: 15}, chain.Rates{Me: 0.42, Opponent: 0.38, Double: 0.2})
	if err != nil {
		t.Fatal(err)
	}
	values := payoff.ValuesOf(k.At(chain.Score{Me: x.Score.Left, Opponent: x.Score.Right}))
	p := &study.Payoff{Gap: quantity.Normal[quantity.Metres](1.42, 0.06), GapFrom: "measured"}
	s := payoff.Situation{Mine: mine, Theirs: theirs, Weight: 0.5, Values: []payoff.Values{values}, Habit: law}
	for _, m := range mine {
		p.MineWords = append(p.MineWords, choiceWords(m))
		var row []payoff.Cell
		var cells []study.PayoffCell
		for _, o := range theirs {
			e := endsBy[m][o]
			c := payoff.Cell{Model: payoff.Shares{Me: quantity.Chance(e[0]), Double: quantity.Chance(e[1]), Opponent: quantity.Chance(e[2]), Nothing: quantity.Chance(1 - e[0] - e[1] - e[2])}, Sure: 12}
			var touches []int
			for i, l := range tactical[:min(x.At-1, len(tactical))] {
				if l[1] != m || l[2] != o {
					continue
				}
				touches = append(touches, i+1)
				switch l[0] {
				case "L":
					c.Seen.Me++
				case "R":
					c.Seen.Opponent++
				default:
					c.Seen.Double++
				}
			}
			row = append(row, c)
			cells = append(cells, study.PayoffCell{Model: c.Model, Sure: c.Sure, Seen: c.Seen, Touches: touches})
		}
		s.Cells, p.Cells = append(s.Cells, row), append(p.Cells, cells)
	}
	for _, o := range theirs {
		p.TheirWords = append(p.TheirWords, choiceWords(o))
	}
	if p.Advice, err = payoff.Advise(s, payoff.Draws, rand.NewPCG(1, 1)); err != nil {
		t.Fatal(err)
	}
	p.Balances = []study.BalanceCourse{balanceOf(p, x.Habits[mark.Right], 1, x.At)}
	return p
}

// balanceOf is the worth of the choices of mine that are best somewhere, over the share of
// one choice of theirs, by the mean payoffs.
func balanceOf(p *study.Payoff, h *study.Habit, their, at int) study.BalanceCourse {
	c := study.BalanceCourse{Their: their, Habit: p.Habit[their]}
	for _, b := range p.Balance {
		for _, i := range []int{b.Below, b.Above} {
			if b.Choice == their && !slices.Contains(c.Mine, i) {
				c.Mine = append(c.Mine, i)
			}
		}
	}
	if len(c.Mine) == 0 {
		c.Mine = []int{p.Reply.Choice, p.Reply.Second}
	}
	for n := 0; n <= 20; n++ {
		c.Shares = append(c.Shares, quantity.Chance(n)/20)
	}
	rest := 1 - float64(p.Habit[their].Mean)
	for _, i := range c.Mine {
		var line []quantity.Of[quantity.Chance]
		for _, s := range c.Shares {
			v, sd := float64(s)*float64(p.Table[i][their].Mean), float64(p.Table[i][their].SD)
			for j := range p.Theirs {
				if j != their {
					v += (1 - float64(s)) * float64(p.Habit[j].Mean) / rest * float64(p.Table[i][j].Mean)
				}
			}
			line = append(line, quantity.Normal(quantity.Chance(v), quantity.Chance(sd+0.01)))
		}
		c.Worth = append(c.Worth, line)
	}
	i := slices.IndexFunc(h.Choices, func(x study.HabitChoice) bool { return x.Kind == p.Theirs[their] })
	course := slices.DeleteFunc(slices.Clone(h.Course), func(s study.HabitStand) bool { return s.Number >= at })
	for _, s := range course[max(0, len(course)-5):] {
		c.Path = append(c.Path, study.HabitStand{Number: s.Number, Shares: s.Shares[i : i+1], Chose: s.Chose})
	}
	return c
}

package summary

import (
	"fmt"
	"math"

	"mesure/quantity"
	"mesure/show/plate"
	"mesure/sport/bout"
	"mesure/sport/mark"
	"mesure/study"
	"mesure/tactics/payoff"
)

// TacticsOf prints the tactics of a touch; nil for nil. They are not changed.
func TacticsOf(x *study.Tactics) *Tactics {
	if x == nil {
		return nil
	}
	out := &Tactics{
		At: x.At, Score: x.Score, For: x.For, Fenced: x.Fenced, HasBout: x.Bout != nil, Charts: []string{},
		Names: [2]string{plate.Typeset(x.NameOf(mark.Left)), plate.Typeset(x.NameOf(mark.Right))}, Thread: []ThreadTouch{}, Habits: []Habit{},
		Story: sentences(x.Story), Next: sentences(x.Next), Sources: []TacticsSource{}, Doubts: append([]study.Warning{}, x.Doubts...),
		Lacks: []Lack{}, Draws: x.Draws, Seed: fmt.Sprint(x.Seed),
	}
	if b := x.Bout; b != nil {
		out.Weapon, out.To = string(b.Weapon), b.To
	}
	has := map[string]bool{
		ChartThread: len(x.Thread) > 0, ChartHabitLeft: x.Habits[mark.Left] != nil, ChartHabitRight: x.Habits[mark.Right] != nil,
		ChartPayoff: x.Payoff != nil, ChartBalance: x.Payoff != nil && len(x.Payoff.Balances) > 0, ChartBout: x.Bout != nil,
	}
	for _, c := range TacticsCharts {
		if has[c] {
			out.Charts = append(out.Charts, c)
		}
	}
	for _, t := range x.Thread {
		out.Thread = append(out.Thread, threadTouchOf(t, x.Fenced && t.Number == x.At))
	}
	for _, h := range x.Habits {
		if h != nil {
			out.Habits = append(out.Habits, habitOf(h))
		}
	}
	if x.Payoff != nil {
		out.Payoff = payoffOf(x.Payoff)
	}
	for _, s := range x.Sources {
		out.Sources = append(out.Sources, tacticsSourceOf(s))
	}
	for _, l := range x.Lacks {
		who := l.Side.String()
		if l.Both {
			who = "both"
		}
		out.Lacks = append(out.Lacks, Lack{l.Part, who, l.Why, l.Mend})
	}
	return out
}

func sentences(all []study.Sentence) []Sentence {
	out := []Sentence{}
	for _, s := range all {
		out = append(out, sentence(s))
	}
	return out
}

func sentence(s study.Sentence) Sentence {
	out := Sentence{}
	for _, p := range s {
		out = append(out, Piece{plate.Typeset(p.Text), p.From})
	}
	return out
}

func tacticsSourceOf(s study.Source) TacticsSource {
	out := TacticsSource{ID: s.ID, Title: plate.Typeset(s.Title), How: plate.Typeset(s.How), Touches: append([]int{}, s.Touches...), Bouts: []SourceBout{},
		Reading: s.Reading, Prior: plate.Typeset(s.Prior), Method: s.Method}
	for _, b := range s.Bouts {
		out.Bouts = append(out.Bouts, SourceBout(b))
	}
	return out
}

func threadTouchOf(t study.ThreadTouch, asked bool) ThreadTouch {
	out := ThreadTouch{Number: t.Number, Line: t.Line, Score: t.Score, Outcome: t.Outcome, Word: plate.OutcomeWords(t.Outcome), Asked: asked, Sides: []ThreadSide{},
		Measure: t.Measure, MeasureWord: measureWord(t.Measure), Note: plate.Typeset(t.Note), Touch: t.Touch, Sentence: plate.Typeset(t.Sentence),
		Bears: []Bearing{}, Said: sentence(t.Said)}
	for _, s := range mark.Sides {
		side := ThreadSide{Who: s, Choice: plate.Typeset(t.Choices[s]), Kind: t.Kinds[s], Word: plate.ChoiceWords(t.Kinds[s]), From: t.ChoiceFrom[s], Changed: t.Changed[s]}
		if k := t.Knew[s]; k != nil {
			side.Knew = &Knew{Likely: k.Likely, LikelyWord: plate.ChoiceWords(k.Likely), Share: number(k.Share, plate.InPercent), Seen: k.Seen, TooLittle: k.TooLittle,
				Came: k.Came, ShareOfCame: some(k.ShareOfCame, plate.InPercent), Source: k.Source}
		}
		out.Sides = append(out.Sides, side)
	}
	for _, b := range t.Bears {
		out.Bears = append(out.Bears, Bearing{b.Why, plate.BearingWords(b.Why), b.Who, plate.Typeset(b.Text)})
	}
	return out
}

func measureWord(name string) string {
	for _, m := range bout.Measures() {
		if m.Name == name {
			return m.Word
		}
	}
	return name
}

// counted prints what was seen, where older things weigh less than one.
func counted(v float64) Number {
	if whole := math.Round(v); v == whole {
		s := plate.Count(int(whole))
		return Number{Value: s, Text: s}
	}
	return number(quantity.Exactly(quantity.Ratio(v)), plate.InCounts)
}

func habitOf(h *study.Habit) Habit {
	out := Habit{Who: h.Who, Situation: h.Situation, Choices: []HabitChoice{}, Weight: counted(h.Weight), TooLittle: h.TooLittle,
		Order: h.Order.Says, Repeats: h.Order.Repeats, Expected: counted(float64(h.Order.Expected)), Said: sentences(h.Said)}
	for _, c := range h.Choices {
		out.Choices = append(out.Choices, HabitChoice{Kind: c.Kind, Word: plate.Typeset(c.Word), Share: number(c.Share, plate.InPercent),
			Here: c.Here, Bout: c.Bout, Opponent: c.Opponent, Others: c.Others, Prior: counted(c.Prior), Source: c.Source})
	}
	if c := h.Change; c != nil {
		out.Change = &HabitChange{Since: c.Since, Sure: some(c.Sure, plate.InPercent), From: c.From, To: c.To, Kind: c.Kind, Word: plate.ChoiceWords(c.Kind),
			Before: number(c.Before, plate.InPercent), After: number(c.After, plate.InPercent)}
	}
	return out
}

// part returns what stands at i, the zero value where nothing does: an advice that was
// built for fewer choices than it names leaves the rest open.
func part[T any](all []T, i int) T {
	var none T
	if i < 0 || i >= len(all) {
		return none
	}
	return all[i]
}

func payoffOf(p *study.Payoff) *Payoff {
	a := p.Advice
	value := quantity.Of[quantity.Chance]{Mean: quantity.Chance(a.Game.Value.Mean), SD: quantity.Chance(a.Game.Value.SD), Lo: quantity.Chance(a.Game.Value.Lo), Hi: quantity.Chance(a.Game.Value.Hi)}
	r := a.Reply
	out := &Payoff{
		Mine: []MyChoice{}, Theirs: []TheirChoice{}, Grid: [][]Cell{}, Value: some(value, plate.InPercent), After: endsOf(a.After), Weight: chance(a.Weight),
		Gap: some(p.Gap, plate.InMetres), GapFrom: p.GapFrom, TooLittle: a.TooLittle,
		Reply: r.Choice, Worth: some(r.Worth, plate.InPercent), Second: r.Second, Ahead: points(r.Ahead), Apart: r.Apart, Regret: points(r.Regret), Exposed: points(r.Exposed),
		Counter: r.Counter, Left: some(r.Left, plate.InPercent),
		Floor: some(a.Play.Floor, plate.InPercent), Lean: chance(a.Play.Lean), MixWorth: some(a.Play.Worth, plate.InPercent), MixRegret: points(a.Play.Regret),
		Next: []NextChoice{}, Balances: []BalancePoint{}, Said: sentences(p.Said),
	}
	for i, kind := range a.Mine {
		s := part(a.Standings, i)
		out.Mine = append(out.Mine, MyChoice{Kind: kind, Word: wordAt(p.MineWords, i, kind), Worth: some(s.Worth, plate.InPercent), Best: some(s.Best, plate.InPercent), Alike: s.Alike,
			Worst: s.Worst, Least: some(s.Least, plate.InPercent), Even: chance(part(a.Play.Even, i)), Mix: chance(part(a.Play.Mix, i))})
		row := []Cell{}
		for j := range a.Theirs {
			row = append(row, cellOf(p, i, j))
		}
		out.Grid = append(out.Grid, row)
	}
	for j, kind := range a.Theirs {
		out.Theirs = append(out.Theirs, TheirChoice{Kind: kind, Word: wordAt(p.TheirWords, j, kind), Habit: some(part(a.Habit, j), plate.InPercent), Even: some(part(a.Game.Column, j), plate.InPercent)})
	}
	for _, n := range a.Next {
		out.Next = append(out.Next, nextOf(p, n))
	}
	for _, c := range p.Balances {
		b := BalancePoint{Their: c.Their, Word: wordAt(p.TheirWords, c.Their, part(a.Theirs, c.Their)), Habit: some(c.Habit, plate.InPercent), Crossings: []Crossing{}, Said: sentence(c.Said)}
		for _, x := range a.Balance {
			if x.Choice == c.Their {
				b.Crossings = append(b.Crossings, Crossing{Below: x.Below, BelowWord: wordAt(p.MineWords, x.Below, part(a.Mine, x.Below)), Above: x.Above, AboveWord: wordAt(p.MineWords, x.Above, part(a.Mine, x.Above)),
					Share: some(x.Share, plate.InPercent), Inside: some(x.Inside, plate.InPercent), Worth: chance(x.Worth), Past: some(x.Past, plate.InPercent)})
			}
		}
		out.Balances = append(out.Balances, b)
	}
	return out
}

// wordAt is the word for a choice, else that of its kind.
func wordAt(words []string, i int, kind string) string {
	if w := part(words, i); w != "" {
		return plate.Typeset(w)
	}
	return plate.ChoiceWords(kind)
}

// points prints a difference of chances.
func points(q quantity.Of[quantity.Ratio]) Number { return some(q, plate.InShares) }

// endsOf prints four chances; all of them nought are none.
func endsOf(e payoff.Ends) FourEnds {
	if e == (payoff.Ends{}) {
		return FourEnds{unknown(), unknown(), unknown(), unknown()}
	}
	return FourEnds{number(e.Me, plate.InPercent), number(e.Double, plate.InPercent), number(e.Opponent, plate.InPercent), number(e.Nothing, plate.InPercent)}
}

func cellOf(p *study.Payoff, i, j int) Cell {
	a, c := p.Advice, part(part(p.Cells, i), j)
	out := Cell{Worth: some(part(part(a.Table, i), j), plate.InPercent), Ends: endsOf(part(part(a.Ends, i), j)), Sure: counted(c.Sure), SeenAll: counted(plate.SeenIn(c.Seen)),
		Seen: Counts{counted(c.Seen.Me), counted(c.Seen.Double), counted(c.Seen.Opponent), counted(c.Seen.Nothing)}, Touches: append([]int{}, c.Touches...),
		How: plate.Typeset(c.How), Source: c.Source}
	if c.Sure > 0 {
		m := c.Model
		out.Model = &FourEnds{chance(m.Me), chance(m.Double), chance(m.Opponent), chance(m.Nothing)}
	}
	return out
}

func nextOf(p *study.Payoff, n payoff.Next) NextChoice {
	out := NextChoice{Choice: n.Choice, Word: wordAt(p.MineWords, n.Choice, part(p.Mine, n.Choice)), Worth: some(n.Worth, plate.InPercent), Best: some(n.Best, plate.InPercent), Alike: n.Alike,
		Ends: endsOf(n.Ends), Pays: n.Pays, PaysWorth: some(n.PaysWorth, plate.InPercent), Cost: points(n.Cost), Risk: points(n.Risk), Double: points(n.Double)}
	if n.Shown != nil {
		out.Shown = maybe(n.Shown, plate.InPercent)
	}
	if n.Foreseen != nil {
		out.Foreseen = maybe(n.Foreseen, plate.InPercent)
	}
	return out
}

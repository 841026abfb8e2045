package bundle

import (
	"mesure/quantity"
	"mesure/study"
)

func payoffReadOf(p *study.Payoff) *payoffRead {
	if p == nil {
		return nil
	}
	f := &payoffRead{
		Gap: spreadOr(p.Gap, 1), GapFrom: p.GapFrom, Weight: likelihood(p.Weight), Draws: p.Draws, After: endsRead{likely(p.After.Me), likely(p.After.Double), likely(p.After.Opponent), likely(p.After.Nothing)},
		Value: likely(p.Game.Value), TooLittle: p.TooLittle,
		Even: each(p.Play.Even, likelihood), Mix: each(p.Play.Mix, likelihood), Lean: likelihood(p.Play.Lean), Floor: likely(p.Play.Floor), MixWorth: likely(p.Play.Worth),
		Mine: []optionRead{}, Theirs: []optionRead{}, Cells: []cellRead{}, Standings: []standingRead{}, Balance: []balanceRead{}, Drivers: []driverRead{}, Next: []nextChoice{},
		Said: each(p.Said, sentenceOf), Courses: each(p.Balances, courseOf),
	}
	for i, k := range p.Mine {
		f.Mine = append(f.Mine, optionRead{Kind: k, Word: at(p.MineWords, i)})
	}
	for j, k := range p.Theirs {
		f.Theirs = append(f.Theirs, optionRead{k, at(p.TheirWords, j), likely(p.Habit[j])})
	}
	r := p.Reply
	f.Reply = replyRead{r.Choice, likely(r.Worth), r.Second, likely(r.Ahead), r.Apart, likely(r.Regret), likely(r.Exposed), r.Counter, likely(r.Left)}
	for i, row := range p.Ends {
		for j, e := range row {
			f.Cells = append(f.Cells, cellOf(p, i, j))
			c := &f.Cells[len(f.Cells)-1]
			c.Ends = endsRead{likely(e.Me), likely(e.Double), likely(e.Opponent), likely(e.Nothing)}
		}
	}
	for _, s := range p.Standings {
		f.Standings = append(f.Standings, standingRead{likely(s.Worth), likely(s.Best), s.Alike, s.Worst, likely(s.Least)})
	}
	for _, b := range p.Balance {
		f.Balance = append(f.Balance, balanceRead{b.Choice, b.Below, b.Above, likely(b.Share), likely(b.Inside), likely(b.Habit), likely(b.Past)})
	}
	for _, d := range p.Drivers {
		f.Drivers = append(f.Drivers, driverRead{string(d.Kind), d.Mine, d.Theirs, d.End, likely(d.Value), likelihood(d.Part), chanceOf(d.Tips)})
	}
	for _, n := range p.Next {
		e := n.Ends
		f.Next = append(f.Next, nextChoice{n.Choice, likely(n.Worth), endsRead{likely(e.Me), likely(e.Double), likely(e.Opponent), likely(e.Nothing)},
			n.Pays, likely(n.Risk), likely(n.Double), likelyAt(n.Shown), likelyAt(n.Foreseen)})
	}
	if e := p.Expected; e != nil {
		f.Expected = &expectedRead{e.Choice, e.Answer, likely(e.Likely), e.TooLittle}
	}
	return f
}

// cellOf is one pair of choices: what it is worth and where that comes from.
func cellOf(p *study.Payoff, i, j int) cellRead {
	f := cellRead{Mine: i, Theirs: j, Worth: likely(p.Table[i][j]), Model: []float64{}, Seen: []float64{}, Touches: []int{}}
	if i >= len(p.Cells) || j >= len(p.Cells[i]) {
		return f
	}
	c := p.Cells[i][j]
	m, n := c.Model, c.Seen
	if c.Sure > 0 {
		f.Model = shares(float64(m.Me), float64(m.Double), float64(m.Opponent), float64(m.Nothing))
	}
	for _, v := range list(n.Me, n.Double, n.Opponent, n.Nothing) {
		f.Seen = append(f.Seen, round(v, chancePlaces))
	}
	f.Sure, f.Touches, f.How, f.Source = round(c.Sure, chancePlaces), each(c.Touches, same), c.How, c.Source
	return f
}

// at is a word that may be missing.
func at(words []string, i int) string {
	if i < len(words) {
		return words[i]
	}
	return ""
}

func chanceOf(c *quantity.Chance) *float64 {
	if c == nil {
		return nil
	}
	v := likelihood(*c)
	return &v
}

func courseOf(c study.BalanceCourse) balanceCourse {
	return balanceCourse{
		Their: c.Their, Mine: each(c.Mine, same), Shares: each(c.Shares, likelihood), Habit: likely(c.Habit), Said: c.Said.String(),
		Worth: each(c.Worth, func(row []quantity.Of[quantity.Chance]) []float64 {
			return each(row, func(q quantity.Of[quantity.Chance]) float64 { return likelihood(q.Mean) })
		}),
	}
}

package study

import (
	"math/rand/v2"

	"mesure/quantity"
	"mesure/sport/bout"
	"mesure/tactics/chain"
)

// boutValues are the values of the scores of a bout by one draw of what is not known.
// Stand i is the score before line i, the number of lines that after the last; a score
// at which the bout is over has a value too.
type boutValues func(stand int, s bout.Score) chain.Values

// drawnBout is a bout by every draw of what is not known.
type drawnBout struct {
	rates  []chain.Rates // of the whole bout
	values func(draw int) (boutValues, error)
}

// drawn draws the rates, and with them the pace, and says how a score is valued: by the
// stages of a relay, by the clock, or by hits alone.
func (r *BoutReading) drawn(lines []BoutLine, f chain.Format, times *boutTimes, stages *boutStages) (*drawnBout, error) {
	c := chain.Counts{Me: float64(r.Rates.CountLeft), Opponent: float64(r.Rates.CountRight), Double: float64(r.Rates.CountDouble)}
	rates, err := c.Draws(r.Draws, rand.NewPCG(boutSeed, boutSeed))
	if err != nil {
		return nil, err
	}
	if r.Weapon != bout.Epee {
		for i, x := range rates {
			rates[i] = withoutDoubles(x)
		}
	}
	d := &drawnBout{rates: rates}
	if stages != nil {
		relays, err := stages.draw(r, f)
		if err != nil {
			return nil, err
		}
		d.values = func(draw int) (boutValues, error) { return stages.values(relays[draw], f), nil }
		return d, nil
	}
	var paces []quantity.Ratio
	var longest quantity.Seconds
	from := lowest(lines)
	if times != nil {
		paces, longest = times.paces(r.Draws), times.longest()
	}
	d.values = func(draw int) (boutValues, error) {
		k, err := chain.New(f, rates[draw])
		if err != nil {
			return nil, err
		}
		plain := func(_ int, s bout.Score) chain.Values { return valuesAt(k, f, s) }
		if times == nil {
			return plain, nil
		}
		clock := chain.Clock{PerMinute: float64(paces[draw]), Left: longest, Priority: 0.5, Unwilling: times.rule}
		course, err := k.Course(from, clock)
		if err != nil {
			return nil, err
		}
		return func(stand int, s bout.Score) chain.Values {
			t := times.stands[stand]
			if !t.known || s.Left >= f.To || s.Right >= f.To {
				return plain(stand, s)
			}
			at := chain.Score{Me: s.Left, Opponent: s.Right}
			if t.extra {
				clock := chain.Clock{PerMinute: clock.PerMinute, Left: t.left, Extra: true, Priority: times.priority}
				if v, _, err := k.AtTime(at, clock); err == nil {
					return v
				}
				return chain.Values{Win: lead(s)} // the hit that ended the extra minute
			}
			return course.At(at, t.left, t.shown, t.since)
		}, nil
	}
	return d, nil
}

// lead is the chance to win of who leads when time is up.
func lead(s bout.Score) quantity.Chance {
	if s.Left > s.Right {
		return 1
	}
	return 0
}

// withoutDoubles is a draw of the rates where there are none: given that, the other two
// of a Dirichlet law keep their proportions, independent of the share that is left out.
func withoutDoubles(x chain.Rates) chain.Rates {
	return chain.Rates{Me: x.Me / (x.Me + x.Opponent), Opponent: x.Opponent / (x.Me + x.Opponent)}
}

// lowest is the least number of hits of each side at any score.
func lowest(lines []BoutLine) chain.Score {
	s := chain.Score{Me: lines[0].Before.Left, Opponent: lines[0].Before.Right}
	for _, l := range lines {
		s.Me, s.Opponent = min(s.Me, l.Before.Left, l.After.Left), min(s.Opponent, l.Before.Right, l.After.Right)
	}
	return s
}

// value draws the rates and values every score of the lines over the same draws.
func (r *BoutReading) value(lines []BoutLine, f chain.Format, times *boutTimes, stages *boutStages) error {
	drawn, err := r.drawn(lines, f, times, stages)
	if err != nil {
		return &Refusal{At: "/bout/sheet", What: err.Error(), Because: err}
	}
	n := len(lines)
	table := func() [][]quantity.Chance {
		t := make([][]quantity.Chance, n+1)
		for i := range t {
			t[i] = make([]quantity.Chance, r.Draws)
		}
		return t
	}
	before, importance, double, after := table(), table(), table(), table()
	doubles := make([]quantity.Chance, r.Draws)
	heaviest := make([]int, n)
	weighed := weighedLines(lines)
	for d := range r.Draws {
		value, err := drawn.values(d)
		if err != nil {
			return &Refusal{At: "/bout/sheet", What: err.Error(), Because: err}
		}
		var reached chain.Values // by the line before
		for i := range n + 1 {
			v := reached
			if i == 0 || scoreBefore(lines, i) != lines[i-1].After {
				v = value(i, scoreBefore(lines, i))
			}
			before[i][d], importance[i][d], double[i][d] = v.Win, v.Importance, v.DoubleWorth
			if i == n {
				break
			}
			reached = value(i+1, lines[i].After)
			after[i][d] = reached.Win
			if lines[i].outcome() == "double" {
				doubles[d] += after[i][d] - before[i][d]
			}
		}
		most := weighed[0]
		for _, i := range weighed {
			if importance[i][d] > importance[most][d] {
				most = i
			}
		}
		heaviest[most]++
	}
	stand := func(i int) BoutStand {
		s := scoreBefore(lines, i)
		b := BoutStand{Score: s, Win: quantity.FromDraws(before[i]), Importance: quantity.FromDraws(importance[i]), DoubleWorth: quantity.FromDraws(double[i]),
			Void: !f.LastDoubleCounts && r.Weapon == bout.Epee && s.Left == f.To-1 && s.Right == f.To-1}
		if times != nil && times.stands[i].known {
			left := times.stands[i].left
			b.Left, b.Extra = &left, times.stands[i].extra
			b.Void = b.Void || b.Extra && r.Weapon == bout.Epee
		}
		return b
	}
	for i, l := range lines {
		t := BoutTouch{Number: l.Number, Outcome: l.outcome(), Before: stand(i), Score: l.After, After: quantity.FromDraws(after[i]),
			Gap: i > 0 && l.Before != lines[i-1].After, ChoiceLeft: l.Choices[0], ChoiceRight: l.Choices[1]}
		change := make([]quantity.Chance, r.Draws)
		for d := range change {
			change[d] = after[i][d] - before[i][d]
		}
		t.Changed = quantity.FromDraws(change)
		r.Touches = append(r.Touches, t)
	}
	r.Heaviest = weighed[0]
	for _, i := range weighed {
		if r.Touches[i].Before.Importance.Mean > r.Touches[r.Heaviest].Before.Importance.Mean {
			r.Heaviest = i
		}
	}
	r.HeaviestSure = quantity.Chance(float64(heaviest[r.Heaviest]) / float64(r.Draws))
	r.Doubles = quantity.FromDraws(doubles)
	r.Start, r.Final = stand(0), scoreBefore(lines, n)
	if r.Over = max(r.Final.Left, r.Final.Right) >= f.To || times.up(r.Final); !r.Over {
		now := stand(n)
		r.Now = &now
	}
	r.rates(drawn.rates)
	if stages != nil {
		r.stages(lines, stages, before)
	}
	if times != nil {
		r.Clock = times.clock
	}
	return nil
}

// up reports whether time has decided the bout.
func (t *boutTimes) up(s bout.Score) bool {
	if t == nil {
		return false
	}
	last := t.stands[len(t.stands)-1]
	return last.known && s.Left != s.Right && (last.left == 0 || last.extra)
}

// weighedLines are those that changed the score, all of them where none did: what
// hung on a halt hangs on the next touch at the same score.
func weighedLines(lines []BoutLine) []int {
	var some, all []int
	for i, l := range lines {
		all = append(all, i)
		if l.Before != l.After {
			some = append(some, i)
		}
	}
	if len(some) == 0 {
		return all
	}
	return some
}

// scoreBefore is the score before line i, after the last one for i = len(lines).
func scoreBefore(lines []BoutLine, i int) bout.Score {
	if i == len(lines) {
		return lines[i-1].After
	}
	return lines[i].Before
}

// valuesAt values a score, also one at which the bout is over: level at the end, an
// even lot decides, as in chain.
func valuesAt(k *chain.Chain, f chain.Format, s bout.Score) chain.Values {
	switch left, right := s.Left >= f.To, s.Right >= f.To; {
	case left && right:
		return chain.Values{Win: 0.5}
	case left:
		return chain.Values{Win: 1}
	case right:
		return chain.Values{}
	}
	return k.At(chain.Score{Me: s.Left, Opponent: s.Right})
}

// rates keeps what the draws say of a phrase.
func (r *BoutReading) rates(all []chain.Rates) {
	var l, o, d []quantity.Chance
	better := 0.0
	for _, x := range all {
		l, o, d = append(l, x.Me), append(o, x.Opponent), append(d, x.Double)
		switch {
		case x.Me > x.Opponent:
			better++
		case x.Me == x.Opponent:
			better += 0.5
		}
	}
	r.Rates.Prior = chain.PriorCount
	r.Rates.Left, r.Rates.Right, r.Rates.Double = quantity.FromDraws(l), quantity.FromDraws(o), quantity.FromDraws(d)
	r.Rates.LeftBetter = quantity.Chance(better / float64(len(all)))
}

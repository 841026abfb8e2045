package payoff

import (
	"cmp"
	"math"
	"slices"

	"mesure/quantity"
	"mesure/tactics/game"
)

// Balance is a share of one choice of the opponent at which the answer tips from
// one choice of mine to another, the opponent's other choices keeping their
// proportions.
type Balance struct {
	// Choice is the opponent's. Below is the choice of mine that is worth the most at
	// smaller shares of it, Above the one at larger shares.
	Choice int `json:"choice"`
	Below  int `json:"below"`
	Above  int `json:"above"`
	// Share is where they cross; the interval is that of the draws, with 0 where Above
	// is worth more at every share and 1 where Below is.
	Share quantity.Of[quantity.Chance] `json:"share"`
	// Inside is how often they cross at all, that way round.
	Inside quantity.Of[quantity.Chance] `json:"inside"`
	// Worth is that of both at Share on the mean payoffs.
	Worth quantity.Chance `json:"worth"`
	// Habit is how often the opponent makes the choice, Past how likely it is that
	// Above is worth more than Below at this habit.
	Habit quantity.Of[quantity.Chance] `json:"habit"`
	Past  quantity.Of[quantity.Chance] `json:"past"`
}

// balance returns where the answer tips, the nearest to the habit first.
func (t *drawn) balance(habits []quantity.Of[quantity.Chance]) []Balance {
	var all []Balance
	for k := range t.habit {
		for _, p := range game.BalancePoints(t.mean, t.habit, k) {
			if !p.Best {
				continue
			}
			b := Balance{Choice: k, Below: p.Below, Above: p.Above, Worth: quantity.Chance(p.Worth + t.meanValues[nothing]), Habit: habits[k]}
			shares, inside := make([]float64, 0, len(t.tables)), 0
			for d, a := range t.tables {
				at0, at1 := ends01(a, t.habits[d], k, p.Below, p.Above)
				switch {
				case at0 >= 0 && at1 >= 0:
					shares = append(shares, 0)
				case at0 <= 0 && at1 <= 0:
					shares = append(shares, 1)
				case at0 < 0:
					shares = append(shares, at0/(at0-at1))
					inside++
				} // else the other way round: no share at which it tips to Above
			}
			if len(shares) == 0 {
				continue
			}
			b.Share = chances(float64(p.Share), shares)
			b.Inside = quantity.FromCounts(inside, len(t.tables))
			b.Past = game.Compare(t.tables, t.habits, p.Above, p.Below).First
			all = append(all, b)
		}
	}
	away := func(b Balance) float64 { return math.Abs(float64(b.Share.Mean - b.Habit.Mean)) }
	slices.SortStableFunc(all, func(p, q Balance) int { return cmp.Compare(away(p), away(q)) })
	return all
}

// ends01 returns by how much one choice of mine is worth more than another where
// the opponent never makes choice k, and where they always do.
func ends01(a [][]float64, habit []float64, k, below, above int) (at0, at1 float64) {
	rest := 0.0
	for j, y := range habit {
		if j != k {
			at0 += float64(y * (a[above][j] - a[below][j]))
			rest += y
		}
	}
	if rest > 0 {
		at0 /= rest
	}
	return at0, a[above][k] - a[below][k]
}

// What drives the answer.
const (
	// Driving is the least share of the spread with which a number is called a driver:
	// with 500 draws a number without any effect shows up to 1 % (squared correlation,
	// 97.5 %: 5.0/500).
	Driving = 0.05
	// MostDrivers is how many are named.
	MostDrivers = 3
)

// Kind is what a driver is.
type Kind string

// Kinds of drivers.
const (
	// OfCell: how the meeting of Mine and Theirs ends.
	OfCell Kind = "cell"
	// OfHabit: how often the opponent makes Theirs.
	OfHabit Kind = "habit"
	// OfScore: what the bout is worth after an end.
	OfScore Kind = "score"
)

// Driver is a number on which the answer hangs.
type Driver struct {
	Kind Kind `json:"kind"`
	// Mine and Theirs are choices, −1 where none is meant. End is "me", "double",
	// "opponent" or "nothing" for a driver of the score.
	Mine   int    `json:"mine"`
	Theirs int    `json:"theirs"`
	End    string `json:"end,omitempty"`
	// Value is the number: a payoff, a share of the habit, a chance to win.
	Value quantity.Of[quantity.Chance] `json:"value"`
	// Part is the squared correlation of the number with the lead of the best reply
	// over the next best: which part of the spread goes with it. Parts need not add up
	// to one.
	Part quantity.Chance `json:"part"`
	// Tips is the nearest value at which another choice would be worth as much as the
	// best reply, all else at its mean; nil where no value does that.
	Tips *quantity.Chance `json:"tips"`
}

// drivers ranks the numbers by their squared correlation with the lead of the best
// reply over the next best: the share of the variance that a straight line in that
// number explains.
//
// Source: Saltelli and others, Global Sensitivity Analysis: The Primer, 1.2.5
// (recalled).
func (t *drawn) drivers(r Reply) []Driver {
	lead := make([]float64, len(t.tables))
	for d, a := range t.tables {
		w := game.Worth(a, t.habits[d])
		lead[d] = w[r.Choice] - w[r.Second]
	}
	var all []Driver
	add := func(g Driver, values []float64) {
		if g.Part = quantity.Chance(squaredCorrelation(values, lead)); g.Part >= Driving {
			all = append(all, g)
		}
	}
	worth, mean := game.Worth(t.mean, t.habit), float64(r.Ahead.Mean)
	lo, hi := slices.Min(t.meanValues[:]), slices.Max(t.meanValues[:])
	for j, y := range t.habit {
		for side, i := range []int{r.Choice, r.Second} {
			v := make([]float64, len(t.tables))
			for d := range v {
				for o, w := range t.meanValues {
					v[d] += float64(t.shares[i][j][o][d] * w)
				}
			}
			at := t.mean[i][j] + t.meanValues[nothing]
			g := Driver{Kind: OfCell, Mine: i, Theirs: j, Value: chances(at, v)}
			tip := at - mean/y
			if side == 1 {
				tip = at + mean/y
			}
			g.Tips = within(tip, lo, hi)
			add(g, v)
		}
		v := make([]float64, len(t.tables))
		for d, h := range t.habits {
			v[d] = h[j]
		}
		g := Driver{Kind: OfHabit, Mine: -1, Theirs: j, Value: chances(y, v)}
		for i := range t.mean {
			if at0, at1 := ends01(t.mean, t.habit, j, i, r.Choice); at0 != at1 {
				g.Tips = nearest(y, g.Tips, within(at0/(at0-at1), 0, 1))
			}
		}
		add(g, v)
	}
	for o, name := range []string{"me", "double", "opponent", "nothing"} {
		from, to := 0.0, 1.0 // a hit of mine is never worth less than none, one against never more
		switch name {
		case "me":
			from = t.meanValues[nothing]
		case "opponent":
			to = t.meanValues[nothing]
		}
		g := Driver{Kind: OfScore, Mine: -1, Theirs: -1, End: name, Value: chances(t.meanValues[o], t.values[o])}
		for i, w := range worth {
			slope := 0.0
			for j, y := range t.habit {
				slope += float64(y * (t.meanShares[r.Choice][j][o] - t.meanShares[i][j][o]))
			}
			if slope != 0 {
				g.Tips = nearest(t.meanValues[o], g.Tips, within(t.meanValues[o]-(worth[r.Choice]-w)/slope, from, to))
			}
		}
		add(g, t.values[o])
	}
	slices.SortStableFunc(all, func(p, q Driver) int { return cmp.Compare(q.Part, p.Part) })
	return all[:min(len(all), MostDrivers)]
}

// within returns a value that lies between two, nil for one that does not.
func within(v, lo, hi float64) *quantity.Chance {
	if !(v >= lo && v <= hi) {
		return nil
	}
	c := quantity.Chance(v)
	return &c
}

// nearest returns the nearer of two values that may be missing.
func nearest(to float64, a, b *quantity.Chance) *quantity.Chance {
	if a == nil || b != nil && math.Abs(float64(*b)-to) < math.Abs(float64(*a)-to) {
		return b
	}
	return a
}

// squaredCorrelation returns r² of two series, 0 where one of them does not vary.
func squaredCorrelation(x, y []float64) float64 {
	mx, my := 0.0, 0.0
	for d := range x {
		mx += x[d] / float64(len(x))
		my += y[d] / float64(len(x))
	}
	xx, yy, xy := 0.0, 0.0, 0.0
	for d := range x {
		u, v := x[d]-mx, y[d]-my
		xx += float64(u * u)
		yy += float64(v * v)
		xy += float64(u * v)
	}
	const rounding = 1e-24 // of chances that do not vary but for their last digits
	if n := float64(len(x)); xx <= rounding*n || yy <= rounding*n {
		return 0
	}
	return float64(xy*xy) / float64(xx*yy)
}

package payoff

import (
	"math"
	"testing"

	"mesure/quantity"
	"mesure/tactics/game"
)

// sure makes every payoff of a situation exactly known: one draw of the model, the
// model alone.
func sure(s Situation) Situation {
	s.Weight = 1
	cells := make([][]Cell, len(s.Cells))
	for i, row := range s.Cells {
		for _, c := range row {
			cells[i] = append(cells[i], Cell{Draws: []Shares{c.Model}, Sure: MostSure})
		}
	}
	s.Cells = cells
	return s
}

// TestBalanceAgainstTheHabit: where the payoffs are known the band of a balance
// point has no width, and how likely the habit is past it is the Beta law of
// package habit (second route, no draws).
func TestBalanceAgainstTheHabit(t *testing.T) {
	s := sure(penalties([][]float64{{.58, .95}, {.93, .70}}))
	s.Habit = seen(7, 5)
	a := advise(t, s, 4000)
	for _, b := range a.Balance {
		if b.Share.Hi-b.Share.Lo > 1e-9 || b.Inside.Mean != 1 {
			t.Errorf("a known balance has the band %+v, inside %+v", b.Share, b.Inside)
		}
		near(t, "past", float64(b.Past.Mean), float64(s.Habit.Above(b.Choice, b.Share.Mean)), 4*.5/math.Sqrt(4000))
	}
	if len(a.Balance) != 2 {
		t.Errorf("balance points: %d, want one for each choice of the opponent", len(a.Balance))
	}
}

// TestBandOfABalance: with the opponent's choices both known to the same few
// phrases, the band is that of the ratio of differences drawn directly (second
// route: Beta draws, no blend).
func TestBandOfABalance(t *testing.T) {
	s := penalties([][]float64{{.4, .8}, {.8, .4}})
	for i := range s.Cells {
		for j := range s.Cells[i] {
			s.Cells[i][j].Sure = 60
		}
	}
	b := advise(t, s, 4000).Balance[0]
	src := seed(31)
	beta := func(p float64) float64 {
		x, y := gamma(60*p, src), gamma(60*(1-p), src)
		return x / (x + y)
	}
	shares := make([]quantity.Chance, 4000)
	for d := range shares {
		ll, lr, rl, rr := beta(.4), beta(.8), beta(.8), beta(.4)
		shares[d] = quantity.Chance((lr - rr) / (lr - rr + rl - ll))
	}
	want := quantity.FromDraws(shares)
	near(t, "lower end", float64(b.Share.Lo), float64(want.Lo), .015)
	near(t, "upper end", float64(b.Share.Hi), float64(want.Hi), .015)
}

// TestDrivers: where one number alone is not known, all the doubt goes with it, and
// at the value at which it is said to tip the two choices are worth the same.
func TestDrivers(t *testing.T) {
	s := sure(wrist())
	s.Cells[1][0] = Cell{Model: wrist().Cells[1][0].Model, Sure: 12}
	s.Habit = seen(1e6, 5e5, 2e5)
	a := advise(t, s, Draws)
	if len(a.Drivers) != 1 {
		t.Fatalf("drivers: %+v", a.Drivers)
	}
	g := a.Drivers[0]
	if g.Kind != OfCell || g.Mine != 1 || g.Theirs != 0 || g.Part < .99 || g.Tips == nil {
		t.Fatalf("%+v", g)
	}
	table := make([][]float64, 3)
	for i, row := range a.Table {
		for _, q := range row {
			table[i] = append(table[i], float64(q.Mean))
		}
	}
	table[1][0] = float64(*g.Tips)
	w := game.Worth(table, s.Habit.Mix())
	near(t, "worth at the tip", w[a.Reply.Choice], w[a.Reply.Second], 1e-9)

	s = sure(wrist()) // now the habit alone is not known
	a = advise(t, s, Draws)
	if len(a.Drivers) == 0 || a.Drivers[0].Kind != OfHabit || a.Drivers[0].Tips == nil {
		t.Fatalf("%+v", a.Drivers)
	}
	found := false
	for _, b := range a.Balance {
		if b.Choice == a.Drivers[0].Theirs && (b.Below == a.Reply.Choice || b.Above == a.Reply.Choice) {
			near(t, "tip and balance", float64(*a.Drivers[0].Tips), float64(b.Share.Mean), 1e-9)
			found = true
		}
	}
	if !found {
		t.Errorf("the habit tips the answer at no balance point: %+v %+v", a.Drivers[0], a.Balance)
	}
	s = sure(wrist()) // now the score alone
	s.Habit = seen(1e9, 5e8, 2e8)
	s.Values = nil
	for d := range 50 {
		s.Values = append(s.Values, Values{.7, .6 + .004*quantity.Chance((7*d)%50), .5, .6})
	}
	if a = advise(t, s, Draws); len(a.Drivers) != 1 || a.Drivers[0].Kind != OfScore || a.Drivers[0].End != "double" || a.Drivers[0].Part < .999 {
		t.Errorf("%+v", a.Drivers)
	}
}

// TestAlike: two choices of which the same few phrases are known cannot be told
// apart; after many phrases, and a plain difference, they can.
func TestAlike(t *testing.T) {
	s := penalties([][]float64{{.5, .5}, {.5, .5}})
	s.Weight = 0
	for j := range 2 {
		s.Cells[0][j].Seen, s.Cells[1][j].Seen = Counts{Me: 4, Opponent: 2}, Counts{Me: 3, Opponent: 3}
	}
	if a := advise(t, s, Draws); a.Reply.Apart || !a.Standings[1].Alike {
		t.Errorf("told apart by twelve phrases: %+v", a.Reply)
	}
	for j := range 2 {
		s.Cells[0][j].Seen, s.Cells[1][j].Seen = Counts{Me: 400, Opponent: 200}, Counts{Me: 300, Opponent: 300}
	}
	if a := advise(t, s, Draws); !a.Reply.Apart || a.Standings[1].Alike || a.Reply.Choice != 0 {
		t.Errorf("not told apart by 1,200 phrases: %+v", a.Reply)
	}
}

// TestTooLittleSeen: before enough was seen of the opponent the advice is the mix of
// the game, and says why; what was shown of me is weighed the same way.
func TestTooLittleSeen(t *testing.T) {
	s := wrist()
	s.Habit, s.Shown = seen(3, 0, 0), seen(0, 0, 2)
	a := advise(t, s, 100)
	if !a.TooLittle || a.Play.Lean != 0 || a.Play.Regret.Hi != 0 || !a.Expected.TooLittle || a.Next[0].Foreseen != nil {
		t.Errorf("%+v %+v", a.Play, a.Expected)
	}
	for i, v := range a.Play.Mix {
		near(t, "mix", float64(v), float64(a.Play.Even[i]), 0)
	}
	nothing, all := quantity.Chance(0), quantity.Chance(1)
	s.Habit = seen(30, 0, 0)
	s.Stake = &nothing
	if p := advise(t, s, 100).Play; p.Lean != 0 {
		t.Errorf("with nothing at stake the mix leans by %g", float64(p.Lean))
	}
	s.Stake = &all
	if a := advise(t, s, 100); a.Play.Mix[a.Reply.Choice] != 1 {
		t.Errorf("with all at stake the mix is %v", a.Play.Mix)
	}
}

// TestReplyAgainstTheBetaLaw: where the payoffs are known and the habit is one of
// two choices, all that is said of the reply is an integral over the Beta law of
// package habit, taken here by its quantiles (second route, no draws).
func TestReplyAgainstTheBetaLaw(t *testing.T) {
	table := [][]float64{{.58, .95}, {.93, .70}}
	s := sure(penalties(table))
	s.Habit = seen(7, 9)
	const draws, steps = 8000, 4000
	a := advise(t, s, draws)
	r := a.Reply
	var regret, best, edge, square float64
	for k := range steps {
		y := float64(s.Habit.Quantile(0, (float64(k)+.5)/steps))
		w := game.Worth(table, []float64{y, 1 - y})
		lead := w[r.Choice] - w[r.Second]
		regret += max(0, -lead) / steps
		if lead > 0 {
			best += 1. / steps
		}
		e := w[r.Choice] - float64(a.Play.Even[0])*w[0] - float64(a.Play.Even[1])*w[1]
		edge += e / steps
		square += e * e / steps
	}
	sd := math.Sqrt(square - edge*edge)
	by := 4 / math.Sqrt(draws)
	near(t, "regret", float64(r.Regret.Mean), regret, by*float64(r.Regret.SD))
	near(t, "best", float64(a.Standings[r.Choice].Best.Mean), best, by*.5)
	near(t, "best of the other", float64(a.Standings[r.Second].Best.Mean), 1-best, by*.5)
	near(t, "edge", float64(r.Edge.Mean), edge, 1e-4)
	near(t, "its spread", float64(r.Edge.SD), sd, by*sd)
	near(t, "its middle", float64(r.Edge.Lo+r.Edge.Hi)/2, edge, sd/4)
	// In a circle of which one meeting turns out otherwise no mix does as well against
	// all four: the floor is the least, and as well known as the payoffs.
	c := sure(circle())
	c.Habit = seen(1, 2, 3, 4)
	c.Cells[0][0].Draws = []Shares{{Me: 1}} // my simple attack is the better one
	if f := advise(t, c, 100).Play.Floor; f.Hi-f.Lo > 1e-9 {
		t.Errorf("known payoffs have a known floor, not %+v", f)
	}
}

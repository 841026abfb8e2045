package payoff

import (
	"encoding/json"
	"math"
	"math/rand/v2"
	"reflect"
	"strings"
	"testing"

	"mesure/quantity"
	"mesure/tactics/chain"
	"mesure/tactics/game"
	"mesure/tactics/habit"
)

func seed(n uint64) rand.Source { return rand.NewPCG(n, 6) }

func near(t *testing.T, what string, got, want, by float64) {
	t.Helper()
	if !(math.Abs(got-want) <= by) {
		t.Errorf("%s: %.6g, want %.6g ± %g", what, got, want, by)
	}
}

// seen returns the habit of choices made so often, Jeffreys' half counts before.
func seen(counts ...float64) habit.Habit {
	h := habit.Habit{Seen: counts}
	for range counts {
		h.Prior = append(h.Prior, habit.PriorCount)
	}
	return h
}

// penalties are games whose cells are known: a goal or none.
func penalties(a [][]float64) Situation {
	s := Situation{Mine: []string{"L", "R"}, Theirs: []string{"L", "R"}, Weight: 1, Values: []Values{{Me: 1}}, Habit: seen(40, 60)}
	for _, row := range a {
		var cells []Cell
		for _, v := range row {
			cells = append(cells, Cell{Model: Shares{Me: quantity.Chance(v), Opponent: quantity.Chance(1 - v)}, Sure: MostSure})
		}
		s.Cells = append(s.Cells, cells)
	}
	return s
}

func advise(t *testing.T, s Situation, draws int) Advice {
	t.Helper()
	a, err := Advise(s, draws, seed(1))
	if err != nil {
		t.Fatal(err)
	}
	return a
}

// TestPublishedGames: G1 and G2 (Palacios-Huerta, Rev. Econ. Stud. 70:395, 2003),
// G4 and G5 of the figures: value, my mix, and the opponent's share at which the
// answer tips, which is their mix in a 2×2 game without a saddle.
func TestPublishedGames(t *testing.T) {
	for _, c := range []struct {
		name                string
		a                   [][]float64
		value, mine, theirs float64
	}{
		{"G1", [][]float64{{.5830, .9497}, {.9291, .6992}}, .7957, .3854, .4199},
		{"G4", [][]float64{{.58, .95}, {.93, .70}}, .7958, .3833, .4167},
		{"G5", [][]float64{{.632, .941}, {.895, .44}}, .7384, .5955, .6558},
	} {
		a := advise(t, penalties(c.a), 300)
		near(t, c.name+" value", float64(a.Play.Floor.Mean), c.value, 6e-5)
		near(t, c.name+" mix", float64(a.Play.Even[0]), c.mine, 6e-5)
		if len(a.Balance) == 0 {
			t.Fatalf("%s has no balance point", c.name)
		}
		b := a.Balance[0]
		if b.Choice == 1 {
			c.theirs = 1 - c.theirs
		}
		near(t, c.name+" balance", float64(b.Share.Mean), c.theirs, 6e-5)
		if !b.Share.Covers(b.Share.Mean) || b.Share.Hi-b.Share.Lo > .2 {
			t.Errorf("%s: the band of the balance is %+v", c.name, b.Share)
		}
	}
}

// circle is the tactical circle: each action is beaten by the next, all else is
// level (figures 2d, the short wheel).
func circle() Situation {
	names := []string{"simple attack", "parry-riposte", "compound attack", "counter-attack"}
	s := Situation{Mine: names, Theirs: names, Weight: 1, Values: []Values{{Me: 1, Double: .5, Nothing: .5}}}
	for i := range names {
		row := make([]Cell, len(names))
		for j := range names {
			row[j] = Cell{Model: Shares{Nothing: 1}, Sure: MostSure}
			switch (i - j + 4) % 4 {
			case 1:
				row[j].Model = Shares{Me: 1}
			case 3:
				row[j].Model = Shares{Opponent: 1}
			}
		}
		s.Cells = append(s.Cells, row)
	}
	return s
}

// TestTacticalCircle: each action is answered by the next, the answer to that by
// the one after it; the value is a half, and (½,0,½,0) holds it as well as ¼ each
// (figures 2d, derived).
func TestTacticalCircle(t *testing.T) {
	for j := range 4 {
		s := circle()
		counts := []float64{1, 1, 1, 1}
		counts[j] = 30
		s.Habit = seen(counts...)
		a := advise(t, s, 50)
		if a.Reply.Choice != (j+1)%4 || a.Reply.Counter != (j+2)%4 {
			t.Errorf("to %s: %s, and to that %s", s.Theirs[j], s.Mine[a.Reply.Choice], s.Theirs[a.Reply.Counter])
		}
		near(t, "value", float64(a.Play.Floor.Mean), .5, 1e-9)
		near(t, "left by the counter", float64(a.Reply.Left.Mean), 0, 1e-9)
		if !a.Reply.Apart {
			t.Error("a habit as plain as that tells the choices apart")
		}
		table := make([][]float64, 4)
		for i, row := range a.Table {
			for _, q := range row {
				table[i] = append(table[i], float64(q.Mean))
			}
		}
		for _, mix := range [][]float64{{.25, .25, .25, .25}, {.5, 0, .5, 0}} {
			near(t, "guarantee", game.TheirBestReply(table, mix).Worth, .5, 1e-9)
		}
	}
}

// TestWeightsAtTheEnds: at 1 the counts do not matter, at 0 the model does not, at ½
// the mean is that of Dirichlet's law with the model as prior.
func TestWeightsAtTheEnds(t *testing.T) {
	model := Shares{.4, .2, .3, .1}
	counts := Counts{3, 0, 5, 2}
	for _, c := range []struct {
		weight quantity.Chance
		want   [4]float64
	}{
		{1, [4]float64{.4, .2, .3, .1}},
		{0, [4]float64{3.5 / 12, .5 / 12, 5.5 / 12, 2.5 / 12}},
		{.5, [4]float64{7. / 20, 2. / 20, 8. / 20, 3. / 20}},
	} {
		got := Cell{Model: model, Sure: 10, Seen: counts}.blend(float64(c.weight)).expected()
		for o := range got {
			near(t, "mean", got[o], c.want[o], 1e-12)
		}
	}
	base := circle()
	base.Habit = seen(2, 3, 1, 4)
	for i := range base.Cells {
		for j := range base.Cells[i] {
			base.Cells[i][j].Seen = Counts{Me: float64(i), Opponent: float64(j), Nothing: 1}
		}
	}
	change := func(weight quantity.Chance, f func(c *Cell)) (Advice, Advice) {
		base.Weight = weight
		other := base
		other.Cells = nil
		for _, row := range base.Cells {
			row = append([]Cell(nil), row...)
			for j := range row {
				f(&row[j])
			}
			other.Cells = append(other.Cells, row)
		}
		return advise(t, base, 60), advise(t, other, 60)
	}
	if a, b := change(0, func(c *Cell) { c.Model, c.Sure = Shares{.1, .2, .3, .4}, 7 }); !reflect.DeepEqual(a, b) {
		t.Error("at weight 0 the model changes the advice")
	}
	if a, b := change(1, func(c *Cell) { c.Seen = Counts{9, 9, 9, 9} }); !reflect.DeepEqual(a, b) {
		t.Error("at weight 1 the counts change the advice")
	}
	if a, b := change(.5, func(c *Cell) { c.Seen.Me += 5 }); reflect.DeepEqual(a.Table, b.Table) {
		t.Error("at weight ½ the counts change nothing")
	}
}

// TestBlendIsDirichlet: the mixture over draws of a model has mean and variance of
// Dirichlet(k·m + n), and its own guess of what the draws are worth is k.
func TestBlendIsDirichlet(t *testing.T) {
	src := seed(3)
	m, k := [4]float64{.4, .2, .3, .1}, 12.
	var alpha [4]float64
	for o := range m {
		alpha[o] = k * m[o]
	}
	var c Cell
	for range 20000 {
		p := dirichlet(alpha, src)
		c.Draws = append(c.Draws, Shares{quantity.Chance(p[0]), quantity.Chance(p[1]), quantity.Chance(p[2]), quantity.Chance(p[3])})
	}
	near(t, "worth of the draws", c.blend(1).k, k, .3)
	c.Seen = Counts{6, 1, 0, 3}
	l := c.blend(.5)
	post := [4]float64{alpha[0] + 6, alpha[1] + 1, alpha[2], alpha[3] + 3}
	var sum, sq [4]float64
	for d := range 20000 {
		for o, v := range l.draw(d, src) {
			sum[o] += v
			sq[o] += v * v
		}
	}
	for o, a := range post {
		mean := a / 22
		variance := mean * (1 - mean) / 23
		near(t, "mean", sum[o]/20000, mean, 4*math.Sqrt(variance/20000)+.002)
		near(t, "spread", math.Sqrt(sq[o]/20000-math.Pow(sum[o]/20000, 2)), math.Sqrt(variance), .04*math.Sqrt(variance))
	}
}

// TestConservation: the four ends of every cell add up to one, so every payoff, in
// every draw, lies between the least and the greatest value; the reply is worth no
// less than the mix, the regret is no less than nought, the promise of the mix holds
// in the stated share of draws.
func TestConservation(t *testing.T) {
	r := rand.New(seed(4))
	for range 12 {
		s := random(r, 2+r.IntN(3), 2+r.IntN(3))
		d := draw(s, 80, seed(9))
		for k, a := range d.tables {
			lo, hi := 1., 0.
			for _, v := range d.values {
				lo, hi = min(lo, v[k]), max(hi, v[k])
			}
			for _, row := range a {
				for _, v := range row {
					v += d.values[nothing][k] // tables hold payoffs less the standing
					if v < lo-1e-12 || v > hi+1e-12 {
						t.Fatalf("payoff %g outside [%g, %g]", v, lo, hi)
					}
				}
			}
		}
		a := advise(t, s, 80)
		for i, row := range a.Ends {
			for j, e := range row {
				near(t, "ends", float64(e.Me.Mean+e.Double.Mean+e.Opponent.Mean+e.Nothing.Mean), 1, 1e-12)
				w := a.After
				near(t, "payoff", float64(a.Table[i][j].Mean), float64(e.Me.Mean*w.Me.Mean+e.Double.Mean*w.Double.Mean+e.Opponent.Mean*w.Opponent.Mean+e.Nothing.Mean*w.Nothing.Mean), 1e-12)
			}
		}
		if a.Reply.Edge.Mean < -1e-12 || a.Reply.Ahead.Mean < 0 || a.Reply.Regret.Lo < 0 {
			t.Errorf("%+v", a.Reply)
		}
		if a.Play.Regret.Hi > quantity.Ratio(Stake)+1e-12 {
			t.Errorf("the mix may lose %g, more than the stake", float64(a.Play.Regret.Hi))
		}
		sum := 0.
		for _, v := range a.Play.Mix {
			sum += float64(v)
		}
		near(t, "mix", sum, 1, 1e-9)
		if a.Game.Gap > 1e-9 {
			t.Errorf("gap %g", a.Game.Gap)
		}
		if _, err := json.Marshal(a); err != nil {
			t.Error(err)
		}
	}
}

func random(r *rand.Rand, m, n int) Situation {
	s := Situation{Weight: quantity.Chance(r.Float64())}
	for i := range m {
		s.Mine = append(s.Mine, string(rune('a'+i)))
		var row []Cell
		for range n {
			p := unit([4]float64{r.Float64(), r.Float64(), r.Float64(), r.Float64()})
			row = append(row, Cell{
				Model: Shares{quantity.Chance(p[0]), quantity.Chance(p[1]), quantity.Chance(p[2]), quantity.Chance(p[3])},
				Sure:  5 + 20*r.Float64(), Seen: Counts{float64(r.IntN(3)), float64(r.IntN(3)), float64(r.IntN(3)), float64(r.IntN(3))},
			})
		}
		s.Cells = append(s.Cells, row)
	}
	counts := make([]float64, n)
	for j := range n {
		s.Theirs = append(s.Theirs, string(rune('p'+j)))
		counts[j] = float64(r.IntN(8))
	}
	s.Habit, s.Shown = seen(counts...), seen(make([]float64, m)...)
	for range 3 {
		s.Values = append(s.Values, Values{.6 + .1*quantity.Chance(r.Float64()), .5, .4 - .1*quantity.Chance(r.Float64()), .5})
	}
	return s
}

// TestDoublesAndTheScore: what a double is worth at this score is that of the chain
// (figures G13, G11), its sign is that of the lead (T22), and it turns the advice:
// the counter-attack that doubles is right in the lead and wrong behind.
func TestDoublesAndTheScore(t *testing.T) {
	c, err := chain.New(chain.Format{To: 15}, chain.Rates{Me: .4, Opponent: .4, Double: .2})
	if err != nil {
		t.Fatal(err)
	}
	s := Situation{
		Mine: []string{"counter", "parry"}, Theirs: []string{"attack", "wait"}, Weight: 1, Habit: seen(20, 3),
		Cells: [][]Cell{
			{{Model: Shares{.1, .8, .1, 0}, Sure: 50}, {Model: Shares{Nothing: 1}, Sure: 50}},
			{{Model: Shares{.45, 0, .45, .1}, Sure: 50}, {Model: Shares{Nothing: 1}, Sure: 50}},
		},
	}
	for _, k := range []struct {
		me, opp, reply int
		worth          float64
	}{{5, 4, 0, .0057}, {10, 9, 0, .0166}, {13, 12, 0, .072}, {14, 13, 0, .2}, {9, 10, 1, -.0166}, {13, 14, 1, -.2}, {14, 14, -1, 0}, {7, 7, -1, 0}} {
		s.Values = []Values{ValuesOf(c.At(chain.Score{Me: k.me, Opponent: k.opp}))}
		a := advise(t, s, 100)
		near(t, "worth of a double", float64(a.Next[0].Double.Mean), k.worth, 6e-5)
		if k.reply >= 0 && a.Reply.Choice != k.reply {
			t.Errorf("at %d–%d: %s", k.me, k.opp, s.Mine[a.Reply.Choice])
		}
	}
}

// TestAdviceIsRepeatable: equal seeds give equal advice, and nothing is changed.
func TestAdviceIsRepeatable(t *testing.T) {
	s := random(rand.New(seed(7)), 3, 4)
	before, _ := json.Marshal(s)
	a, b := advise(t, s, 100), advise(t, s, 100)
	after, _ := json.Marshal(s)
	if !reflect.DeepEqual(a, b) || string(before) != string(after) {
		t.Error("the advice is not repeatable, or changed its situation")
	}
}

func TestBadInput(t *testing.T) {
	zero := quantity.Chance(-1)
	for _, c := range []struct {
		field string
		spoil func(s *Situation)
		says  string
	}{
		{"choices", func(s *Situation) { s.Mine = s.Mine[:1] }, "not from 2"},
		{"choices", func(s *Situation) { s.Theirs = []string{"a", "a", "b", "c"} }, "there already"},
		{"weight", func(s *Situation) { s.Weight = quantity.Chance(math.NaN()) }, "not a weight"},
		{"stake", func(s *Situation) { s.Stake = &zero }, "not a part"},
		{"values", func(s *Situation) { s.Values = nil }, "not given"},
		{"values", func(s *Situation) { s.Values = []Values{{Me: 2}} }, "2 is not a chance"},
		{"habit", func(s *Situation) { s.Habit = seen(1, 2) }, "2 choices of 4"},
		{"habit", func(s *Situation) { s.Habit = habit.Habit{Prior: make([]float64, 4), Seen: make([]float64, 4)} }, "counts 0 and 0"},
		{"shown", func(s *Situation) { s.Shown = seen(1) }, "1 choices of 4"},
		{"cell", func(s *Situation) { s.Cells = s.Cells[:3] }, "rows of the table: 3"},
		{"cell", func(s *Situation) { s.Cells[1] = s.Cells[1][:2] }, "row 2, column 2"},
		{"cell", func(s *Situation) { s.Cells[2][3].Model.Me = .5 }, "row 3, column 4: the four ends add up to 1.5"},
		{"cell", func(s *Situation) { s.Cells[0][0].Seen.Me = -1 }, "-1 is not a number of phrases"},
		{"cell", func(s *Situation) { s.Cells[0][0].Sure = .5 }, "0.5 is not how many"},
		{"cell", func(s *Situation) { s.Cells[0][0].Sure = 0 }, "there is none"},
		{"cell", func(s *Situation) { s.Cells[0][0].Draws = []Shares{{Me: -1, Double: 2}} }, "-1 is not a chance"},
	} {
		s := circle()
		s.Habit = seen(1, 1, 1, 1)
		c.spoil(&s)
		_, err := Advise(s, 10, seed(1))
		b, ok := err.(*BadInput)
		if !ok || b.Field != c.field || !strings.Contains(err.Error(), c.says) || b.Hint() == "" {
			t.Errorf("want %s: …%s…, got %v", c.field, c.says, err)
		}
	}
	s := circle()
	s.Habit = seen(1, 1, 1, 1)
	if _, err := Advise(s, 1, seed(1)); err == nil {
		t.Error("one draw is taken")
	}
}

// BenchmarkAdvise holds the number to reach: 8×8 choices over 500 draws in 150 ms.
func BenchmarkAdvise(b *testing.B) {
	s := random(rand.New(seed(5)), 8, 8)
	for b.Loop() {
		if _, err := Advise(s, Draws, seed(1)); err != nil {
			b.Fatal(err)
		}
	}
}

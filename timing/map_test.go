package timing

import (
	"errors"
	"math"
	"math/rand/v2"
	"reflect"
	"runtime"
	"strings"
	"testing"

	"mesure/quantity"
)

func distanceMap(t testing.TB, x Exchange, g Grid, draws int) DistanceMap {
	t.Helper()
	m, err := x.Map(epee(), g, draws, rand.NewPCG(3, 3))
	if err != nil {
		t.Fatal(err)
	}
	return m
}

// Places of the map against the race, run for each of them on its own: a lunge from
// the gap and an extension that starts at the lead; and the parry against the
// arrival in that race.
func TestMapAgainstRace(t *testing.T) {
	const n = 20000
	x := lungeAt(t, 1.2, 1.3) // so far that nobody runs onto a point on guard
	g := Grid{GapFrom: .4, GapTo: 1.6, Gaps: 4, LeadFrom: -.05, LeadTo: .4, Leads: 4}
	m := distanceMap(t, x, g, n)
	some := map[string]bool{}
	for i := range g.Gaps {
		for j := range g.Leads {
			c := m.Cell(i, j)
			// Both are on guard at the start of the race: who moves first starts then.
			left, right := quantity.Exactly(max(0, -g.Lead(j))), quantity.Exactly(max(0, g.Lead(j)))
			race := Race{Runners: [2]Runner{
				{Gap: quantity.Exactly(g.Gap(i)), Movement: x.Attack.Movement, Onset: Observed(left, false)},
				{Gap: quantity.Exactly(g.Gap(i) + .1), Movement: x.Defence.Extension, TargetOnArm: .5, Onset: Observed(right, false)},
			}}
			got := run(t, race, n, uint64(10+i*4+j))
			for what, p := range map[string][2]quantity.Of[quantity.Chance]{"attacker": {c.AttackerOnly, got.LeftOnly},
				"defender": {c.DefenderOnly, got.RightOnly}, "both": {c.Both, got.Both}, "neither": {c.Neither, got.Neither}} {
				approx(t, what, float64(p[0].Mean), float64(p[1].Mean), 4.5*math.Hypot(float64(p[0].SD), float64(p[1].SD)))
				if v := p[0].Mean; v > .1 && v < .9 {
					some[what] = true
				}
			}
			// The parry is outrun in the draws that hit within lead and parry; the arrival
			// is far from normal, so only the part that is sure is compared.
			late := got.Runs[Left].Arrival
			if at := float64(right.Mean) + float64(ParryTime); at < float64(late.Lo)-4*float64(ParryTimeSD) && c.Outruns.Mean > .05 ||
				at > float64(late.Hi)+4*float64(ParryTimeSD) && c.Outruns.Mean < got.Runs[Left].Arrives.Mean-.05 {
				t.Errorf("gap %v lead %v: outruns %v", g.Gap(i), g.Lead(j), c.Outruns.Mean)
			}
		}
	}
	if len(some) < 4 {
		t.Errorf("only %v were neither sure nor out of the question", some)
	}
}

// How often the parry is outrun, by plain counting with another generator.
func TestMapOutrunsByCounting(t *testing.T) {
	const n = 20000
	x := lungeAt(t, 1, 1)
	x.Attack.Movement = movement(t, Extension)
	g := Grid{GapFrom: .1, GapTo: .4, Gaps: 2, LeadFrom: 0, LeadTo: .1, Leads: 3}
	m := distanceMap(t, x, g, n)
	r := rand.New(rand.NewPCG(5, 8))
	for i := range g.Gaps {
		for j := range g.Leads {
			k := 0
			for range n {
				mv := x.Attack.Movement
				mv.Arm.Mean += mv.Arm.SD * quantity.Metres(r.NormFloat64())
				mv.ArmTime.Mean += mv.ArmTime.SD * quantity.Seconds(r.NormFloat64())
				at, ok := mv.TimeTo(g.Gap(i))
				if ok && g.Lead(j)+ParryTime+ParryTimeSD*quantity.Seconds(r.NormFloat64()) > at {
					k++
				}
			}
			got, plain := m.Cell(i, j).Outruns, quantity.FromCounts(k, n)
			approx(t, "outruns", float64(got.Mean), float64(plain.Mean), 4.5*math.Hypot(float64(got.SD), float64(plain.SD)))
		}
	}
}

// The default map: sums, order along both sides, smooth from place to place, and
// all that a map is for is on it.
func TestMapShape(t *testing.T) {
	x := lungeAt(t, 1.2, 1.2)
	x.Defence.TargetOnArm = 0
	g := DefaultGrid()
	if g.Gaps != 60 || g.Leads != 40 {
		t.Fatalf("%d by %d", g.Gaps, g.Leads)
	}
	const n = 5000
	m := distanceMap(t, x, g, n)
	seen, most := map[Zone]int{}, 0.0
	for i := range g.Gaps {
		for j := range g.Leads {
			c := m.Cell(i, j)
			seen[c.Zone]++
			if s := c.AttackerOnly.Mean + c.DefenderOnly.Mean + c.Both.Mean + c.Neither.Mean; math.Abs(float64(s)-1) > 1e-12 {
				t.Fatalf("the chances sum to %v", s)
			}
			for _, p := range []quantity.Of[quantity.Chance]{c.AttackerOnly, c.DefenderOnly, c.Both, c.Neither, c.Outruns} {
				if !p.IsValid() || p.Mean < 0 || p.Mean > 1 {
					t.Fatalf("chance %+v", p)
				}
			}
			if j > 0 {
				b := m.Cell(i, j-1)
				if c.Outruns.Mean < b.Outruns.Mean || c.DefenderOnly.Mean > b.DefenderOnly.Mean || c.AttackerOnly.Mean < b.AttackerOnly.Mean {
					t.Errorf("gap %d lead %d: a later defender does better", i, j)
				}
			}
			if i > 0 {
				b := m.Cell(i-1, j)
				if c.Outruns.Mean > b.Outruns.Mean || c.Neither.Mean < b.Neither.Mean {
					t.Errorf("gap %d lead %d: further away threatens more", i, j)
				}
			}
			// Smooth along the gap: the bend over three places of 5 cm is that of the
			// chances, not of the draws.
			if i > 1 {
				bend := float64(c.Outruns.Mean - 2*m.Cell(i-1, j).Outruns.Mean + m.Cell(i-2, j).Outruns.Mean)
				most = max(most, math.Abs(bend))
			}
		}
	}
	if most > .12 { // the steepest edge bends by 0.10; a lost draw order by much more
		t.Errorf("bends by %g", most)
	}
	for _, z := range Zones() {
		if seen[z] == 0 {
			t.Errorf("no place is in zone %s: %v", z, seen)
		}
	}
	if m.Ahead != 0 || m.Draws != n || len(m.Cells) != 2400 {
		t.Errorf("ahead %v, draws %d, cells %d", m.Ahead, m.Draws, len(m.Cells))
	}
}

// Common random numbers: between maps of slightly different attacks the chances
// change by a part of what fresh draws would scatter.
func TestMapSharesDraws(t *testing.T) {
	const n = 2000
	x := lungeAt(t, 1.2, 1.2)
	near, err := Change{Side: Left, Longer: .001}.Exchange(x)
	if err != nil {
		t.Fatal(err)
	}
	g := Grid{GapFrom: .3, GapTo: 1.6, Gaps: 20, LeadFrom: 0, LeadTo: .5, Leads: 10}
	a, b := distanceMap(t, x, g, n), distanceMap(t, near, g, n)
	other, err := x.Map(epee(), g, n, rand.NewPCG(99, 3))
	if err != nil {
		t.Fatal(err)
	}
	var with, fresh float64
	for k := range a.Cells {
		d := float64(b.Cells[k].Outruns.Mean - a.Cells[k].Outruns.Mean)
		if d < 0 {
			t.Errorf("cell %d: a longer attack outruns less often", k)
		}
		with += math.Abs(d)
		fresh += math.Abs(float64(other.Cells[k].Outruns.Mean - a.Cells[k].Outruns.Mean))
	}
	if with == 0 || with > fresh/2 {
		t.Errorf("changes by %g in all, fresh draws by %g", with, fresh)
	}
}

// Without spread the edge of the parry is where lead + parry is the hit.
func TestMapCertain(t *testing.T) {
	x := sharp(lungeAt(t, 1.2, 1.2))
	g := DefaultGrid()
	m, err := x.Map(Apparatus{Window: .045}, g, 100, nil)
	if err != nil {
		t.Fatal(err)
	}
	if m.Draws != 1 {
		t.Errorf("%d draws", m.Draws)
	}
	out := 0
	for i := range g.Gaps {
		hit, ok := x.Attack.Movement.TimeTo(g.Gap(i))
		for j := range g.Leads {
			c := m.Cell(i, j)
			if want := ok && g.Lead(j)+ParryTime > hit; want != (c.Outruns.Mean == 1) || c.Outruns.SD != 0 {
				t.Errorf("gap %v lead %v: outruns %v", g.Gap(i), g.Lead(j), c.Outruns)
			}
			if c.Outruns.Mean == 1 {
				out++
			}
		}
	}
	if out < 100 {
		t.Errorf("%d places are outrun", out)
	}
	// A grid line of zero lead: both start together, the shorter way is first.
	if z := m.Cell(10, 6).Zone; g.Lead(6) > .02 || z != ZoneDefender && z != ZoneBoth {
		t.Errorf("lead %v: %s", g.Lead(6), z)
	}
}

// T8, T20, T21 on the map (common practice, no source): from 3 m nothing straight
// outruns a parry; where the reach of one ends first only the other hits.
func TestTradeMap(t *testing.T) {
	x := lungeAt(t, 1.2, .6)
	m := distanceMap(t, x, DefaultGrid(), 2000)
	far, _, err := m.At(3, .25)
	if err != nil || far.Outruns.Mean > .01 {
		t.Errorf("from 3 m outruns with %v (%v)", far.Outruns.Mean, err)
	}
	if into, inside, err := m.At(1.2, .05); err != nil || !inside || into.Zone != ZoneDefender {
		t.Errorf("a lunge into an arm that reaches: %s %v %v", into.Zone, inside, err)
	}
	// The arm of the defender longer by 0.6 m of place, the attack with the arm
	// alone: between 0.5 and 1 m only the defender can hit.
	x.Attack.Movement = movement(t, Extension)
	if c, _, _ := distanceMap(t, x, DefaultGrid(), 2000).At(.75, .1); c.Zone != ZoneDefender || c.AttackerOnly.Mean > .01 {
		t.Errorf("only the longer one can hit: %+v", c)
	}
}

func TestMapPath(t *testing.T) {
	m := distanceMap(t, lungeAt(t, 1.2, 1.2), DefaultGrid(), 1000)
	g := m.Grid
	for _, ij := range [][2]int{{0, 0}, {30, 20}, {59, 39}, {0, 39}, {17, 3}} {
		c, inside, err := m.At(g.Gap(ij[0]), g.Lead(ij[1]))
		want := m.Cell(ij[0], ij[1])
		if err != nil || !inside || math.Abs(float64(c.Outruns.Mean-want.Outruns.Mean)) > 1e-9 || math.Abs(float64(c.Both.Mean-want.Both.Mean)) > 1e-9 {
			t.Errorf("at place %v: %+v, not %+v (%v)", ij, c, want, err)
		}
	}
	mid, _, _ := m.At((g.Gap(20)+g.Gap(21))/2, (g.Lead(20)+g.Lead(21))/2)
	sum := m.Cell(20, 20).Outruns.Mean + m.Cell(20, 21).Outruns.Mean + m.Cell(21, 20).Outruns.Mean + m.Cell(21, 21).Outruns.Mean
	approx(t, "between four", float64(mid.Outruns.Mean), float64(sum)/4, 1e-9)
	in := []Instant{{Name: "launch", At: seconds(1.2, .01), Gap: metres(1.2, .04), Lead: seconds(.2, .02)}, {Name: "far", Gap: metres(9, .1), Lead: seconds(3, .1)}}
	path, err := m.Path(in)
	if err != nil || len(path) != 2 || path[0].Name != "launch" || !path[0].Inside || path[1].Inside || path[1].Cell.Zone != m.Cell(59, 39).Zone {
		t.Errorf("%+v: %v", path, err)
	}
	for _, s := range path {
		if p := s.Cell.AttackerOnly.Mean + s.Cell.DefenderOnly.Mean + s.Cell.Both.Mean + s.Cell.Neither.Mean; math.Abs(float64(p)-1) > 1e-9 {
			t.Errorf("%s: sum %v", s.Name, p)
		}
	}
	in[1].Gap.Mean = quantity.Metres(math.NaN())
	var bad *InputError
	if _, err := m.Path(in); !errors.As(err, &bad) {
		t.Errorf("an instant nowhere: %v", err)
	}
}

func TestMapRefusals(t *testing.T) {
	x := lungeAt(t, 1, 1)
	for want, spoil := range map[string]func(*Grid){
		"least gap":        func(g *Grid) { g.GapFrom = -1 },
		"greatest gap":     func(g *Grid) { g.GapTo = g.GapFrom },
		"least lead":       func(g *Grid) { g.LeadFrom = quantity.Seconds(math.NaN()) },
		"greatest lead":    func(g *Grid) { g.LeadTo = -9 },
		"number of gaps":   func(g *Grid) { g.Gaps = 1 },
		"number of leads":  func(g *Grid) { g.Leads = 0 },
		"take fewer":       func(g *Grid) { g.Gaps, g.Leads = 1000, 1000 },
		"number of gaps o": func(g *Grid) { g.Gaps = math.MaxInt },
	} {
		g := DefaultGrid()
		spoil(&g)
		var input *InputError
		if _, err := x.Map(epee(), g, 10, rand.NewPCG(1, 1)); !errors.As(err, &input) || !strings.Contains(err.Error(), want) {
			t.Errorf("%s: %v", want, err)
		}
	}
	if _, err := x.Map(epee(), DefaultGrid(), 0, rand.NewPCG(1, 1)); err == nil {
		t.Error("no draws")
	}
	defer func() {
		if recover() == nil {
			t.Error("a cell beyond the map")
		}
	}()
	distanceMap(t, x, DefaultGrid(), 10).Cell(60, 0)
}

func TestMapSideBySide(t *testing.T) {
	x := lungeAt(t, 1.2, 1.2)
	g := Grid{GapFrom: .3, GapTo: 1.6, Gaps: 9, LeadFrom: 0, LeadTo: .5, Leads: 7}
	one := runtime.GOMAXPROCS(1)
	defer runtime.GOMAXPROCS(one)
	a := distanceMap(t, x, g, 2*block+5)
	runtime.GOMAXPROCS(4)
	if b := distanceMap(t, x, g, 2*block+5); !reflect.DeepEqual(a, b) {
		t.Error("another number of processors gave another map")
	}
}

func BenchmarkMap(b *testing.B) {
	x := lungeAt(b, 1.2, .9)
	g := DefaultGrid()
	for b.Loop() {
		if _, err := x.Map(epee(), g, MapDraws, rand.NewPCG(1, 1)); err != nil {
			b.Fatal(err)
		}
	}
	b.ReportMetric(float64(b.N*g.Gaps*g.Leads)/b.Elapsed().Seconds(), "cells/s")
}

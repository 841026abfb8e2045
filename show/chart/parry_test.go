package chart

import (
	"errors"
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"mesure/quantity"
	"mesure/show/draw"
	"mesure/show/plate"
	"mesure/sport/mark"
	"mesure/study"
	"mesure/timing"
)

// thrust is a straight thrust to the chest of the right fencer, made up.
func thrust() timing.Parry {
	return timing.Parry{
		Places: quantity.Independent([]float64{
			-1.30, 0.00, 1.25, // attacker's hand
			-0.42, 0.02, 1.26, // attacker's point
			-0.45, -0.15, 1.15, // defender's hand
			-1.25, -0.06, 1.40, // defender's point
			0.00, 0.00, 1.00, // the trunk, from here
			0.00, 0.00, 1.45, // to here
			-1.20, 0.05, 1.20, // the aim of the defender
		}, []float64{.02, .04, .02, .02, .04, .02, .02, .04, .02, .02, .04, .02, .02, .03, .02, .02, .03, .02, .02, .03, .02}),
		Radius: quantity.Normal(quantity.Metres(0.15), 0.01),
		Margin: timing.ParryMargin,
	}
}

// moved is a parry with one place moved.
func moved(p timing.Parry, s timing.Spot, x, y, z float64) timing.Parry {
	m := append([]float64(nil), p.Places.Mean...)
	copy(m[3*int(s):], []float64{x, y, z})
	p.Places = quantity.Joint{Mean: m, Cov: p.Places.Cov}
	return p
}

// mirrored is the same parry with the fencers on the other sides.
func mirrored(p timing.Parry) timing.Parry {
	m := append([]float64(nil), p.Places.Mean...)
	for i := 0; i < len(m); i += 3 {
		m[i] = -m[i]
	}
	p.Places = quantity.Joint{Mean: m, Cov: p.Places.Cov}
	return p
}

func asks(t testing.TB, p timing.Parry) timing.Asked {
	t.Helper()
	a, err := p.Ask(400, rand.NewPCG(1, 1))
	if err != nil {
		t.Fatal(err)
	}
	return a
}

// parryOf is a reading of an invented touch with the parry of one instant.
func parryOf(t testing.TB, p timing.Parry, defender mark.Side) *study.Reading {
	r := reading(t)
	r.Timing = &study.Timing{At: study.At{Take: "live", Frame: 104}, Attacker: defender.Other(), Parry: &study.ParryReading{
		Defender: defender, Zone: mark.Chest, Parry: p, Asked: asks(t, p),
		Time: quantity.Normal[quantity.Seconds](0.19, 0.04), Usual: quantity.Normal[quantity.Seconds](0.17, 0.03),
	}}
	return r
}

// coming adds what the parry is asked as the attack comes on: by the same geometry, with
// the attacker nearer.
func coming(t testing.TB, r *study.Reading) *study.Reading {
	p := r.Timing.Parry
	for i := range 7 {
		closed := 0.07 * float64(i)
		q := p.Parry
		for _, s := range []timing.Spot{timing.AttackersHand, timing.AttackersPoint} {
			at := placeOf(q, s)
			q = moved(q, s, at[0]+closed, at[1], at[2])
		}
		a := asks(t, q)
		step := study.ParryStep{Closed: quantity.Exactly(quantity.Metres(closed)), HandToZone: a.HandToZone, Turn: a.Smallest}
		if a.Best != nil {
			step.Path, step.Travel, step.Sweep = a.Best.Path, a.Best.Travel, a.Best.Sweep
		}
		p.Course = append(p.Course, step)
	}
	return r
}

// parrySeen is the same with a parry that was seen, and the riposte after it.
func parrySeen(t testing.TB) *study.Reading {
	r := parryOf(t, thrust(), mark.Right)
	after := moved(moved(moved(moved(thrust(), timing.AttackersHand, -1.0, 0, 1.25), timing.AttackersPoint, -0.17, -0.26, 1.27),
		timing.DefendersHand, -0.42, -0.27, 1.16), timing.DefendersPoint, -1.2, -0.1, 1.42)
	j, err := timing.Judge(thrust(), after, 400, rand.NewPCG(2, 2))
	if err != nil {
		t.Fatal(err)
	}
	r.Timing.Parry.Observed = &study.ObservedParry{Judged: j}
	way := func(own, both, other float64) timing.RiposteWay {
		c := func(v float64) quantity.Of[quantity.Chance] { return quantity.FromCounts(int(v*400), 400) }
		return timing.RiposteWay{RiposteOnly: c(own), Both: c(both), RemiseOnly: c(other), Neither: c(1 - own - both - other)}
	}
	r.Timing.Parry.Riposte = &study.Riposte{Result: timing.Riposte{Direct: way(.55, .3, .1), AlongTheBlade: way(.8, .1, .02), Indirect: way(.2, .45, .35)},
		Finding: "Along the blade the riposte lights alone in 80 of 100, because the other blade is held; with a disengage the remise has time to double."}
	return r
}

// aside is a line that passes the target.
func aside(t testing.TB) *study.Reading {
	return parryOf(t, moved(thrust(), timing.AttackersPoint, -0.44, 0.32, 1.30), mark.Right)
}

// low is a thrust of the right fencer to the forearm from below, which is parried
// upwards or downwards.
func low(t testing.TB) *study.Reading {
	p := mirrored(thrust())
	for s, x := range map[timing.Spot][3]float64{
		timing.AttackersHand: {1.05, 0, 1.10}, timing.AttackersPoint: {0.2, 0.01, 1.18}, timing.DefendersHand: {0.1, -0.02, 1.30},
		timing.DefendersPoint: {0.97, 0, 1.18}, timing.ZoneFrom: {0.08, -0.02, 1.28}, timing.ZoneTo: {-0.18, -0.04, 1.18}} {
		p = moved(p, s, x[0], x[1], x[2])
	}
	p.Radius = quantity.Normal(quantity.Metres(0.05), 0.005)
	r := parryOf(t, p, mark.Left)
	r.Timing.Parry.Zone = mark.Forearm
	return r
}

// The view along the blade is made by a route of its own: bisection of the distance of a
// ray. Every way to push the blade out, found by package timing from tangent planes,
// must end on its outline.
func TestWaysEndOnTheOutline(t *testing.T) {
	n := 0
	for name, r := range map[string]*study.Reading{"thrust": parrySeen(t), "low": low(t)} {
		p := r.Timing.Parry
		s := newSight(p.Parry)
		from, to, rim := placeOf(p.Parry, timing.ZoneFrom), placeOf(p.Parry, timing.ZoneTo), float64(p.Parry.Radius.Mean+p.Parry.Margin)
		if offs, _ := s.outline(from, to, rim); len(offs) != 72 {
			t.Fatalf("%s: no outline", name)
		}
		for _, w := range p.Asked.Ways {
			n++
			// The direction of the blade after the turn, as the chart sees it.
			sin, cos := math.Sincos(float64(w.Turn))
			v := s.u.times(cos).plus(space3(w.Towards).times(sin))
			off, clock := s.angles(v)
			if math.Abs(off-float64(w.Turn)) > 1e-9 || math.Abs(math.Remainder(clock-float64(w.Clock), 2*math.Pi)) > 1e-6 {
				t.Errorf("%s: a turn of %.4f towards %.4f is seen as %.4f towards %.4f", name, w.Turn, w.Clock, off, clock)
			}
			if d := rayToStretch(s.from, v, from, to.less(from)); math.Abs(d-rim) > 1e-6 {
				t.Errorf("%s: after a turn of %.4f towards %.3f the line passes at %.6f m, not %.6f", name, w.Turn, w.Clock, d, rim)
			}
		}
	}
	if n < 20 {
		t.Errorf("%d ways were checked", n)
	}
}

// A ball of radius r at distance D is seen as a circle of asin(r/D).
func TestABallIsSeenAsACircle(t *testing.T) {
	s := sight{u: space3{1, 0, 0}, up: space3{0, 0, 1}, right: space3{0, -1, 0}}
	offs, _ := s.outline(space3{2, 0, 0}, space3{2, 0, 0}, 0.3)
	for _, off := range offs {
		if want := math.Asin(0.15); math.Abs(off-want) > 1e-9 {
			t.Fatalf("seen at %.6f, not %.6f", off, want)
		}
	}
	if len(offs) == 0 {
		t.Error("a ball ahead is not seen")
	}
	if offs, _ := s.outline(space3{0.1, 0, 0}, space3{0.1, 0, 0}, 0.3); len(offs) != 0 {
		t.Error("from inside, a ball has no outline")
	}
}

// The clock is that of the attacker, who looks along the blade: his right is away from
// the camera where he looks to the left of the picture.
func TestTheClockIsTheAttackers(t *testing.T) {
	for _, c := range []struct {
		towards float64 // which way the attacker looks along the piste
		at      space3
		want    string
	}{{1, space3{0, -1, 0}, "3\u00a0o’clock"}, {-1, space3{0, -1, 0}, "9\u00a0o’clock"}, {1, space3{0, 0, 1}, "12\u00a0o’clock"}, {-1, space3{0, 0, -1}, "6\u00a0o’clock"}} {
		p := thrust()
		p = moved(p, timing.AttackersHand, 0, 0, 1)
		p = moved(p, timing.AttackersPoint, 0.8*c.towards, 0, 1)
		s := newSight(p)
		_, clock := s.angles(space3{c.towards, 0, 0}.plus(c.at.times(0.3)))
		if got := clockWords(quantity.Radians(clock)); got != c.want {
			t.Errorf("looking %+.0f, towards %v: %s, not %s", c.towards, c.at, got, c.want)
		}
	}
}

// How far the line may be off is what draws of the places give (Monte Carlo).
func TestTheDoubtOfTheLineIsThatOfDraws(t *testing.T) {
	p := thrust()
	s := newSight(p)
	upUp, rightRight, _ := s.spread(p)
	rng := rand.New(rand.NewPCG(9, 9))
	var sum, square [2]float64
	const draws = 40000
	for range draws {
		x := append([]float64(nil), p.Places.Mean...)
		for i := range x {
			x[i] += math.Sqrt(p.Places.Cov[i*len(x)+i]) * rng.NormFloat64()
		}
		q := p
		q.Places = quantity.Joint{Mean: x, Cov: p.Places.Cov}
		line := placeOf(q, timing.AttackersPoint).less(placeOf(q, timing.AttackersHand)).unit()
		zone := placeOf(q, timing.ZoneFrom).plus(placeOf(q, timing.ZoneTo)).times(0.5).less(placeOf(q, timing.AttackersHand)).unit()
		for k, e := range [2]space3{s.up, s.right} {
			d := line.dot(e) - zone.dot(e)
			sum[k] += d
			square[k] += d * d
		}
	}
	for k, v := range [2]float64{upUp, rightRight} {
		mean := sum[k] / draws
		if got := math.Sqrt(square[k]/draws - mean*mean); math.Abs(got/math.Sqrt(v)-1) > 0.03 {
			t.Errorf("direction %d: %.5f by draws, %.5f drawn", k, got, math.Sqrt(v))
		}
	}
}

func TestAParryIsSaid(t *testing.T) {
	r := parrySeen(t)
	d, err := Parry(r, Options{})
	if err != nil {
		t.Fatal(err)
	}
	s := strings.Join(linesOf(d), "\n")
	b := r.Timing.Parry.Asked.Best
	for _, want := range []string{plate.Degrees(r.Timing.Parry.Asked.Smallest), plate.Centimetres(b.Travel), plate.Degrees(b.Sweep), plate.Metres(r.Timing.Parry.Asked.HandToZone), "forte", "foible"} {
		if !strings.Contains(s, want) {
			t.Errorf("the parry does not say %q", want)
		}
	}
	seen, err := ParrySeen(r, Options{})
	if err != nil {
		t.Fatal(err)
	}
	j := r.Timing.Parry.Observed.Judged
	s = strings.Join(linesOf(seen), "\n")
	for _, want := range []string{plate.Degrees(j.Made), plate.Degrees(j.Asked), plate.Centimetres(j.Clear), plate.SizeWords(j.Size) + " " + plate.Percent(j.Chances[3]), "riposte alone 55"} {
		if !strings.Contains(s, want) {
			t.Errorf("the parry seen does not say %q in\n%s", want, s)
		}
	}
}

func linesOf(d *draw.Drawing) []string {
	var all []string
	for _, l := range d.Lines() {
		all = append(all, l.S)
	}
	return all
}

// Without the part that a picture needs there is a named error, and numbers that are none
// never reach the pen.
func TestTechniqueBearsWhatIsMissing(t *testing.T) {
	nan := math.NaN()
	r := reading(t)
	for _, c := range []struct {
		draw func(*study.Reading, Options) (*draw.Drawing, error)
		want error
	}{{Parry, ErrNoParry}, {ParrySeen, ErrNoParry}, {Stand, ErrNoStand}, {Started, ErrNoStarts}} {
		if _, err := c.draw(r, Options{}); !errors.Is(err, c.want) {
			t.Errorf("without a timing: %v, not %v", err, c.want)
		}
		r.Timing = &study.Timing{}
		if _, err := c.draw(r, Options{}); !errors.Is(err, c.want) {
			t.Errorf("with an empty timing: %v, not %v", err, c.want)
		}
		r.Timing = nil
	}
	if _, err := ParrySeen(aside(t), Options{}); !errors.Is(err, ErrNoParrySeen) {
		t.Errorf("a parry that nobody saw: %v", err)
	}
	p := parrySeen(t)
	p.Timing.Parry.Parry = moved(p.Timing.Parry.Parry, timing.ZoneTo, nan, 0, 1)
	if _, err := Parry(p, Options{}); !errors.Is(err, ErrNoParry) {
		t.Errorf("a place that is none: %v", err)
	}
	p = coming(t, parrySeen(t))
	bad := quantity.Of[quantity.Radians]{Mean: quantity.Radians(nan), SD: quantity.Radians(nan), Lo: quantity.Radians(nan), Hi: quantity.Radians(nan)}
	p.Timing.Parry.Asked.Smallest, p.Timing.Parry.Asked.Best.Sweep, p.Timing.Parry.Course[2].Turn, p.Timing.Parry.Observed.Judged.AskedBefore = bad, bad, bad, bad
	for _, f := range []func(*study.Reading, Options) (*draw.Drawing, error){Parry, ParrySeen} {
		if _, err := f(p, Options{}); err != nil {
			t.Errorf("a turn that is none: %v", err)
		}
	}
}

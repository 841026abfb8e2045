package timing

import (
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"mesure/quantity"
)

// after is the same parry when the attacking blade has been turned about its hand
// by this much towards +y, the attacker's hand has come on by closed, and the
// defender's blade is where the smallest parry would end.
func after(p Parry, turn, closed float64) Parry {
	q := Parry{Places: quantity.NewJoint(p.Places.Mean, p.Places.Cov), Radius: p.Radius, Margin: p.Margin}
	two := newPair(p.Places.Mean)
	two.attacker = two.attacker.at(closed, two.u)
	v, push := turned(two.u, vec{0, 1, 0}, turn)
	put := func(place Spot, at vec) { copy(q.Places.Mean[3*place:], []float64{at.x, at.y, at.z}) }
	put(AttackersHand, two.attacker)
	put(AttackersPoint, two.attacker.at(two.la, v))
	m := two.meeting(.6, .2, v, push)
	put(DefendersHand, vec{float64(m.Hand[0]), float64(m.Hand[1]), float64(m.Hand[2])})
	put(DefendersPoint, vec{float64(m.Point[0]), float64(m.Point[1]), float64(m.Point[2])})
	return q
}

func judge(t *testing.T, before, after Parry, draws int) Judged {
	t.Helper()
	j, err := Judge(before, after, draws, rand.NewPCG(2, 2))
	if err != nil {
		t.Fatal(err)
	}
	sum := 0.0
	for _, c := range j.Chances {
		sum += float64(c.Mean)
	}
	approx(t, "chances", sum, 1, 1e-12)
	return j
}

// T1 (common practice, no source): as small as possible but enough, up to 3 cm
// more. The same turn that is too small near is enough far off, and a large turn
// that a close distance asked for is never wrong.
func TestTradeSizeOfTheParry(t *testing.T) {
	const margin = .05
	for _, from := range []float64{1.0, 1.2, 1.6} {
		p := facing(.2, from)
		p.Margin = margin
		r := float64(p.Radius.Mean)
		need := math.Asin((r + margin) / from)
		most := math.Asin((r + margin + float64(ParryExcess)) / from)
		for _, c := range []struct {
			turn float64
			want Size
		}{
			{0, SizeSmall}, {need * .5, SizeSmall}, {need - 1e-6, SizeSmall}, {need + 1e-6, SizeEnough},
			{most - 1e-6, SizeEnough}, {most + 1e-6, SizeLarge}, {most * 1.5, SizeLarge},
		} {
			j := judge(t, p, after(p, c.turn, 0), 100)
			if j.Size != c.want || j.Draws != 1 {
				t.Errorf("%v m, turn %.4f: %v, not %v", from, c.turn, j.Size, c.want)
			}
			approx(t, "asked", float64(j.Asked.Mean), need, 1e-9)
			approx(t, "made", float64(j.Made.Mean), c.turn, 1e-9)
			approx(t, "clear", float64(j.Clear.Mean), from*math.Sin(c.turn)-r, 1e-9)
			approx(t, "leverage", float64(j.Leverage.Mean), 3, 1e-6)
			if j.Touching.Mean != 1 || j.DefenderPart != Forte || j.AttackerPart != MediumPart && c.turn == 0 {
				t.Errorf("contact: %+v", j)
			}
			if strings.Contains(j.Reason, "clos") {
				t.Errorf("nothing closed: %q", j.Reason)
			}
		}
	}
	// From 1.6 m the hand closes to 1.0 m: the turn that is asked for is more than half
	// as large again, and giving it is enough, not large.
	p := facing(.2, 1.6)
	p.Margin = margin
	r := float64(p.Radius.Mean)
	near := math.Asin((r+margin)/1.0) + 1e-6
	if far := math.Asin((r + margin) / 1.6); near < 1.5*far {
		t.Fatal("the case is not one of closing")
	}
	j := judge(t, p, after(p, near, .6), 1)
	if j.Size != SizeEnough || !strings.Contains(j.Reason, "the closed distance asked for it") {
		t.Errorf("%v: %q", j.Size, j.Reason)
	}
	if j := judge(t, p, after(p, near/1.6, .6), 1); j.Size != SizeSmall || !strings.Contains(j.Reason, "closing distance") {
		t.Errorf("%v: %q", j.Size, j.Reason)
	}
}

// A line that passed before asks for nothing; blades apart are said to be; with
// spread the chances follow the normal law of how the line passes.
func TestJudgedByDraws(t *testing.T) {
	p := facing(.2, 1.2)
	away := after(p, .4, 0)
	if j := judge(t, away, away, 1); j.Size != SizeNone {
		t.Errorf("%v: %q", j.Size, j.Reason)
	}
	apart := after(p, .3, 0)
	for i := range 2 {
		apart.Places.Mean[3*(int(DefendersHand)+i)+1] -= .2
	}
	j := judge(t, p, apart, 1)
	if j.Touching.Mean != 0 || !strings.Contains(j.Reason, "do not touch") || !(j.Apart.Mean > .1) {
		t.Errorf("%v %v: %q", j.Touching, j.Apart, j.Reason)
	}
	// The radius alone uncertain: too small is the chance that it exceeds the clearance.
	p.Margin = .05
	r := float64(p.Radius.Mean)
	q := after(p, math.Asin((r+.05+.01)/1.2), 0)
	q.Radius.SD = .01
	j = judge(t, p, q, 40000)
	approx(t, "too small", float64(j.Chances[1].Mean), 1-normalCDF(1), .006)
	approx(t, "larger", float64(j.Chances[3].Mean), 1-normalCDF(2), .003)
	if j.Size != SizeEnough {
		t.Error(j.Size)
	}
}

// An opposition looks at its aim through the meeting place; it goes on the forte
// with leverage, and no tried place is smaller.
func TestOpposition(t *testing.T) {
	p := facing(.2, 1.2)
	p.Places = quantity.Stack(p.Places, quantity.Independent([]float64{-1.25, .25, 1.4}, []float64{0, 0, 0}))
	a := ask(t, p)
	o := a.Opposition
	if o == nil || !(o.Leverage.Mean > 1) || !(o.Hold.Mean > 0 && o.Hold.Mean <= 1) {
		t.Fatalf("%+v", o)
	}
	two := newPair(p.Places.Mean)
	g := vec{a.Best.Towards[0], a.Best.Towards[1], a.Best.Towards[2]}
	v, _ := turned(two.u, g, float64(a.Best.Way.Turn))
	x, aim := two.attacker.at(float64(o.OnAttacker), v), vec{-1.25, .25, 1.4}
	w := aim.less(x).unit()
	hand := x.at(-float64(o.OnDefender), w)
	approx(t, "travel", hand.less(two.defender).length(), float64(o.Travel.Mean), 1e-9)
	approx(t, "sweep", w.angle(two.q), float64(o.Sweep.Mean), 1e-9)
	approx(t, "to go", aim.less(hand.at(two.ld, w)).dot(w), float64(o.ToGo.Mean), 1e-9)
	// No tried place is smaller.
	for j := range placesOnForte {
		for i := 1; i <= placesOnAttacker; i++ {
			a, d := two.la*float64(i)/placesOnAttacker, two.onForte(j)
			if !(a > d) {
				continue
			}
			x := two.attacker.at(a, v)
			w := aim.less(x).unit()
			h := x.at(-d, w)
			if path := max(h.less(two.defender).length(), h.at(two.ld, w).less(two.guardian).length()); path < float64(o.Path.Mean)-1e-9 {
				t.Errorf("at %v and %v only %v", a, d, path)
			}
		}
	}
}

// With spread, opposition and contact have theirs.
func TestAnswersHaveSpread(t *testing.T) {
	p := facing(.2, 1.2)
	p.Places = quantity.Stack(p.Places, quantity.Independent([]float64{-1.25, .25, 1.4}, []float64{.03, .03, .03}))
	two := newPair(p.Places.Mean)
	x, w := two.attacker.at(.3, two.u), vec{-.8, 0, .6}
	hand, point := x.at(-.7, w), x.at(.18, w)
	copy(p.Places.Mean[3*int(DefendersHand):], []float64{hand.x, hand.y, hand.z, point.x, point.y, point.z})
	certain := ask(t, p)
	for _, i := range []int{0, 4, 8} {
		p.Places.Cov[i*22] = .02 * .02
	}
	a, err := p.Ask(4000, rand.NewPCG(1, 4))
	if err != nil || a.Opposition == nil || a.Ceding == nil || !a.Ceding.Needed {
		t.Fatalf("%v %+v", err, a)
	}
	for name, q := range map[string]quantity.Of[quantity.Metres]{"path": a.Opposition.Path, "to go": a.Opposition.ToGo, "contact": a.Ceding.OnAttacker} {
		if !q.IsValid() || !(q.SD > .003 && q.SD < .08) {
			t.Errorf("%s: %+v", name, q)
		}
	}
	approx(t, "path", float64(a.Opposition.Path.Mean), float64(certain.Opposition.Path.Mean), .01)
	approx(t, "leverage", float64(a.Ceding.Leverage.Mean), .3/.7, .03)
}

// Ceding is needed exactly where the blades touch and the attacker has the leverage,
// and it ends on the forte with leverage.
func TestCeding(t *testing.T) {
	for _, c := range []struct {
		a, d   float64
		needed bool
	}{{.6, .2, false}, {.3, .7, true}, {.5, .8, true}, {.7, .3, false}} {
		p := facing(.2, 1.2)
		two := newPair(p.Places.Mean)
		x := two.attacker.at(c.a, two.u)
		w := vec{-.8, 0, .6}
		put := func(place Spot, at vec) { copy(p.Places.Mean[3*place:], []float64{at.x, at.y, at.z}) }
		put(DefendersHand, x.at(-c.d, w))
		put(DefendersPoint, x.at(.88-c.d, w))
		got := ask(t, p).Ceding
		if got == nil || got.Needed != c.needed || (got.To != nil) != c.needed {
			t.Fatalf("%v on %v: %+v", c.a, c.d, got)
		}
		approx(t, "leverage now", float64(got.Leverage.Mean), c.a/c.d, 1e-6)
		if to := got.To; to != nil {
			approx(t, "the other blade stays", float64(to.OnAttacker), c.a, 1e-9)
			if !(to.Leverage > 1) || to.DefenderPart != Forte || !(to.Travel > 0) {
				t.Errorf("ends at %+v", to)
			}
		}
	}
	if c := ask(t, facing(.2, 1.2)).Ceding; c != nil {
		t.Errorf("no contact, yet %+v", c)
	}
}

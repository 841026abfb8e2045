package study

import (
	"context"
	"fmt"
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"mesure/quantity"
	"mesure/sport/bout"
	"mesure/sport/mark"
	"mesure/sport/piste"
	"mesure/timing"
)

// stride is one movement: minimum jerk (Flash and Hogan 1985), written here again.
type stride struct{ start, took, by, height float64 }

func (s stride) at(t float64) (x, z float64) {
	u := min(1, max(0, (t-s.start)/s.took))
	return s.by * u * u * u * (10 - 15*u + 6*u*u), s.height * math.Sin(math.Pi*u) * math.Sin(math.Pi*u)
}

// dancer is a fencer whose feet, hip and hand move as they are told.
type dancer struct {
	x                      float64 // of the front foot at the start
	dir                    float64
	front, rear, hip, hand []stride
	sole                   float64 // how high above the floor the feet are marked
}

func (d dancer) points(t float64) map[mark.What][3]float64 {
	sum := func(all []stride) (x, z float64) {
		for _, s := range all {
			dx, dz := s.at(t)
			x, z = x+dx, z+dz
		}
		return x, z
	}
	fx, fz := sum(d.front)
	rx, rz := sum(d.rear)
	hx, _ := sum(d.hip)
	gx, _ := sum(d.hand)
	at := func(x, z float64) [3]float64 { return [3]float64{d.x + d.dir*x, 0, z} }
	fz, rz = fz+d.sole, rz+d.sole
	return map[mark.What][3]float64{
		mark.FrontToe: at(fx+.13, fz), mark.FrontHeel: at(fx-.13, fz), mark.RearToe: at(rx-.50, rz), mark.RearHeel: at(rx-.54, rz),
		mark.FrontKnee: at(fx, .45), mark.Hip: at(hx-.26, .85), mark.Shoulder: at(hx-.16, 1.35), mark.Mask: at(hx-.16, 1.6),
		mark.Elbow: at(hx+.06+gx/2, 1.2), mark.Guard: at(hx+.26+gx, 1.25), mark.Point: at(hx+gx+1.16, 1.28),
	}
}

// speed of a movement by differences.
func speedOf(all []stride, t float64) float64 {
	v := 0.0
	for _, s := range all {
		a, _ := s.at(t - 1e-4)
		b, _ := s.at(t + 1e-4)
		v += (b - a) / 2e-4
	}
	return v
}

const filmFrames = 80 // at 50 a second

// filmed reads two dancers as a camera that stands still would show them, every point
// followed with an error of 0.7 px.
func filmed(t *testing.T, d [2]dancer, moments ...mark.Moment) *Reading {
	t.Helper()
	rng := rand.New(rand.NewPCG(5, 11))
	const noise = 0.7
	jitter := func(p mark.Pixel) mark.Pixel {
		return mark.Pixel{U: p.U + noise*rng.NormFloat64(), V: p.V + noise*rng.NormFloat64()}
	}
	e := eye{at: [3]float64{0, -10, 2.6}, tilt: 0.17, focal: 1450}
	touch := &Touch{Bout: bout.Bout{Weapon: bout.Epee, Touches: 15, Left: bout.Fencer{Stature: 1.8}, Right: bout.Fencer{Stature: 1.8}},
		Videos: []Video{{ID: "v", File: "v.mp4"}}, Takes: []mark.Take{{ID: "live", Video: "v", From: 0, To: filmFrames - 1, Steady: true}}, Moments: moments}
	pl := Placing{Take: "live", Frame: 0}
	for _, name := range []string{"left-on-guard-near", "left-on-guard-far", "centre-near", "centre-far", "right-on-guard-near", "right-on-guard-far"} {
		p, _ := piste.Named(name, piste.Width)
		pl.Points = append(pl.Points, PlacedPoint{Name: name, On: p, At: jitter(e.see([3]float64{p.X, p.Y, 0})), SD: noise})
	}
	touch.Placings = []Placing{pl}
	see := func(s mark.Side, w mark.What, f mark.Frame) mark.Pixel {
		return jitter(e.see(d[s].points(float64(f) / 50)[w]))
	}
	last := mark.Frame(filmFrames - 1)
	for f := mark.Frame(0); ; f = min(last, f+10) {
		for _, s := range mark.Sides {
			for _, w := range mark.Points() {
				touch.Marks = append(touch.Marks, mark.Mark{Take: "live", Frame: f, Who: s, What: w, At: see(s, w, f), SD: noise})
			}
		}
		if f == last {
			break
		}
	}
	clip, _ := reel{filmFrames}.Probe(context.Background(), "", nil)
	key := linkKey(touch, touch.Takes[0], touch.Videos[0], clip)
	got := FollowedTake{Take: "live", Key: key}
	for _, b := range wantedBridges(touch, touch.Takes[0], key, last) {
		for f := b.From + 1; f < b.To; f++ {
			b.Steps = append(b.Steps, BridgeStep{Frame: f, At: see(b.Who, b.What, f), SD: noise, Sure: 1})
		}
		got.Bridges = append(got.Bridges, b.Bridge)
	}
	r, err := Read(context.Background(), touch, reel{filmFrames}, ReadOptions{Draws: 2000, Following: &Following{Version: FollowVersion, Takes: []FollowedTake{got}}})
	if err != nil {
		t.Fatal(err)
	}
	if len(r.Tracks) == 0 || len(r.Proposals) == 0 {
		t.Fatalf("%d tracks, %d proposals", len(r.Tracks), len(r.Proposals))
	}
	return r
}

// lunger lunges from the left: hand at 0.50 s, front foot in the air from 0.56 to 1.02 s.
func lunger() dancer {
	return dancer{x: -1.5, dir: 1, front: []stride{{.56, .46, 1.0, .06}}, hip: []stride{{.50, .60, .62, 0}}, hand: []stride{{.50, .32, .34, 0}}}
}

// stepper makes one step of this many metres, forward or back, whose first foot lifts at
// this time; the whole takes 0.36 s.
func stepper(start, by float64) dancer {
	lead, trail := stride{start, .22, by, .035}, stride{start + .11, .25, by, .035}
	d := dancer{x: 1.2, dir: -1, front: []stride{lead}, rear: []stride{trail}, hip: []stride{{start, .36, by, 0}}}
	if by < 0 {
		d.front, d.rear = d.rear, d.front
	}
	return d
}

// Feet, hip and base as they are filmed against the truth; T7 (common practice, no
// source): with the front foot in the air there is no way back before it lands.
func TestCommitOfAFilmedLunge(t *testing.T) {
	d := [2]dancer{lunger(), stepper(.34, .20)}
	r := filmed(t, d)
	checked := 0
	for _, f := range []mark.Frame{15, 35, 40, 45, 58, 70} {
		now := float64(f) / 50
		c, lack := readCommit(r.Touch, r, At{"live", f}, mark.Left)
		if c == nil || lack != nil {
			t.Fatalf("frame %d: %v %+v", f, c, lack)
		}
		air := 1 - float64(c.Stance.Front.OnFloor)
		flies := now > .56 && now < 1.02
		if flies && air < .9 || !flies && air > .1 {
			t.Errorf("%.2f s: the front foot is in the air by %.2f, truly %v", now, air, flies)
		}
		if rear := 1 - float64(c.Stance.Rear.OnFloor); rear > .1 {
			t.Errorf("%.2f s: the rear foot is in the air by %.2f", now, rear)
		}
		if v, truth := c.Stance.Speed, speedOf(d[0].hip, now); math.Abs(float64(v.Mean)-truth) > 4*float64(v.SD)+.05 || v.SD > .2 {
			t.Errorf("%.2f s: the hip goes %.2f ± %.2f m/s, truly %.2f", now, v.Mean, v.SD, truth)
		}
		x, _ := d[0].front[0].at(now)
		if base := float64(c.Base.Mean); math.Abs(base-(x+.52)) > 3*float64(c.Base.SD) || c.Base.SD > .1 {
			t.Errorf("%.2f s: the feet are %.2f ± %.2f m apart, truly %.2f", now, base, c.Base.SD, x+.52)
		}
		back := c.Can[slotTurnBack]
		if back.Do != timing.DoTurnBack {
			t.Fatal("the order of doings has changed")
		}
		if flies {
			checked++
			if back.Now > .1 || !back.Known || math.Abs(float64(back.Next.Mean)-(1.02-now)) > .03 {
				t.Errorf("%.2f s: %+v", now, back)
			}
			if !strings.Contains(c.Finding, "front foot is in the air: no way back before it lands, in ") {
				t.Error(c.Finding)
			}
		}
	}
	if checked != 3 {
		t.Errorf("%d frames in flight", checked)
	}
	c, _ := readCommit(r.Touch, r, At{"live", 10}, mark.Right)
	// Hip over the base by the lever: (−0.26 + 0.52)/0.52 before anything moves.
	if math.Abs(float64(c.OverBase.Mean)-.5) > 3*float64(c.OverBase.SD) || !strings.Contains(c.Finding, "of the weight on the front foot: forward and back are both open") {
		t.Errorf("%+v %s", c.OverBase, c.Finding)
	}
}

// What is missing is said, in part or whole.
func TestCommitLacks(t *testing.T) {
	s := stage(3, 1)
	without := func(drop ...mark.What) *Reading {
		touch := *s.touch
		touch.Marks = nil
		for _, m := range s.touch.Marks {
			keep := true
			for _, w := range drop {
				keep = keep && m.What != w
			}
			if keep {
				touch.Marks = append(touch.Marks, m)
			}
		}
		r, err := Read(context.Background(), &touch, reel{100}, ReadOptions{Draws: MinDraws})
		if err != nil {
			t.Fatal(err)
		}
		return r
	}
	at := At{"live", 25}
	r := without()
	c, lack := readCommit(r.Touch, r, at, mark.Right)
	if c == nil || lack != nil && strings.Contains(lack.Why, "hip is not marked") {
		t.Errorf("%+v %+v", c, lack)
	}
	// Half a metre of base and a hip in the middle (see stance).
	if math.Abs(float64(c.Base.Mean)-.60) > 3*float64(c.Base.SD) {
		t.Errorf("base %+v", c.Base)
	}
	r = without(mark.FrontToe, mark.FrontHeel)
	if c, lack := readCommit(r.Touch, r, at, mark.Left); c != nil || lack == nil || !strings.Contains(lack.Why, "Left's front foot is not known on frame 25") || lack.Mend == "" {
		t.Errorf("%+v %+v", c, lack)
	}
	r = without(mark.Hip)
	c, lack = readCommit(r.Touch, r, at, mark.Left)
	if c == nil || lack == nil || !strings.Contains(lack.Why, "hip is not marked") || !strings.Contains(lack.Why, "speed is taken as 0 ± 1 m/s") {
		t.Errorf("%+v %+v", c, lack)
	}
	if none := (quantity.Of[quantity.Ratio]{}); c.OverBase != none {
		t.Errorf("a load without a hip: %+v", c.OverBase)
	}
	// One end of a foot is enough, and widens its place.
	both, _ := readCommit(without().Touch, without(), at, mark.Left)
	r = without(mark.FrontHeel)
	c, _ = readCommit(r.Touch, r, at, mark.Left)
	if c == nil || math.Abs(float64(c.Base.Mean-both.Base.Mean)) > 3*float64(c.Base.SD) || c.Base.SD <= both.Base.SD {
		t.Errorf("%+v with the heel %+v", c, both)
	}
	if c, lack := readCommit(r.Touch, r, At{"nowhere", 3}, mark.Left); c != nil || lack == nil {
		t.Error("a frame of no take is read")
	}
}

// Feet that are marked a little high do not fly.
func TestSolesMarkedHigh(t *testing.T) {
	d := [2]dancer{lunger(), stepper(.34, .20)}
	d[1].sole = .06
	r := filmed(t, d)
	a := r.stanceAt(At{"live", 60})
	toe, _ := a.point(mark.Right, mark.FrontToe)
	if up, over := float64(toe.z.Mean), float64(a.overFloor(mark.Right, mark.FrontToe, toe.z).Mean); math.Abs(up-.06) > .02 || math.Abs(over) > .008 {
		t.Errorf("marked %.3f m high, %.3f m over what it has while it stands", up, over)
	}
	for _, f := range []mark.Frame{5, 50, 70} {
		c, _ := readCommit(r.Touch, r, At{"live", f}, mark.Right)
		if c == nil || c.Stance.Front.OnFloor < .9 || c.Stance.Rear.OnFloor < .9 {
			t.Errorf("frame %d: %+v", f, c.Stance)
		}
	}
}

// A speed from marks alone is as wide as what a hip may have done between them.
func TestSpeedBetweenMarks(t *testing.T) {
	s := stage(3, 1)
	r, err := Read(t.Context(), s.touch, reel{100}, ReadOptions{Draws: MinDraws})
	if err != nil {
		t.Fatal(err)
	}
	// The left fencer goes 0.12 m from one marked frame to the next, 0.3 s later.
	v, ok := r.stanceAt(At{"live", 40}).speed(mark.Left, mark.Hip)
	if !ok || math.Abs(float64(v.Mean)-.4) > 3*float64(v.SD) || v.SD < bodyAcceleration*.15 || v.SD > 1 {
		t.Errorf("%+v %v", v, ok)
	}
	if _, ok := r.stanceAt(At{"live", 99}).speed(mark.Left, mark.Hip); ok {
		t.Error("a speed half a second after the last mark")
	}
}

// The chance to be in a flight against draws of its ends.
func TestInAirAgainstDraws(t *testing.T) {
	sec := func(mean, sd float64) *quantity.Of[quantity.Seconds] {
		q := quantity.Normal(quantity.Seconds(mean), quantity.Seconds(sd))
		return &q
	}
	rng := rand.New(rand.NewPCG(2, 7))
	draw := func(q *quantity.Of[quantity.Seconds]) float64 {
		return float64(q.Mean) + float64(q.SD)*rng.NormFloat64()
	}
	flight := sec(float64(FlightTime), float64(FlightTimeSD))
	for _, f := range []flightOf{
		{sec(-.2, .02), sec(.2, .02), 1}, {sec(-.01, .02), sec(.3, .02), .8}, {sec(-.3, .02), sec(.005, .01), 1},
		{sec(-.2, .02), nil, .9}, {sec(-.5, .01), nil, 1}, {nil, sec(.15, .03), 1}, {nil, sec(.6, .01), 1}, {sec(.1, .02), sec(.3, .02), 1},
	} {
		const n = 200000
		in := 0
		for range n {
			var from, to float64
			switch {
			case f.lift == nil:
				to = draw(f.land)
				from = to - draw(flight)
			case f.land == nil:
				from = draw(f.lift)
				to = from + draw(flight)
			default:
				from, to = draw(f.lift), draw(f.land)
			}
			if from < 0 && to > 0 {
				in++
			}
		}
		// A drawn flight may be of negative length (1 % of them): the formula cuts it off.
		if want := f.sure * float64(in) / n; math.Abs(f.inAir()-want) > .006 {
			t.Errorf("%s: %.4f, by draws %.4f", words(f), f.inAir(), want)
		}
	}
}

func words(f flightOf) string { return fmt.Sprintf("%v to %v", f.lift, f.land) }

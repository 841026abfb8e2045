package study

import (
	"context"
	"math"
	"math/rand/v2"
	"testing"

	"mesure/quantity"
	"mesure/sport/mark"
	"mesure/sport/piste"
)

// laid is a staged touch read with marks that are all but exact, so that its camera is the
// one that was written by hand.
func laid(t *testing.T) (staged, *Reading) {
	t.Helper()
	s := stage(3, 0.01)
	r, err := Read(context.Background(), s.touch, reel{100}, ReadOptions{Draws: MinDraws})
	if err != nil {
		t.Fatal(err)
	}
	return s, r
}

// The arcs of a point lie as far from it as the reach says, in metres, and the picture
// shows them where a pinhole written by hand does: package camera is not asked.
func TestArcsLieAtTheirReach(t *testing.T) {
	_, r := laid(t)
	for i := range 5 {
		f := mark.Frame(10 + 15*i)
		e := eye{at: [3]float64{0.4, -11, 2.9}, pan: 0.02 * float64(i-2), tilt: 0.17, focal: 1250 + 30*float64(i)}
		got, ok := r.TableauAt("live", f)
		if !ok || len(got.Arcs) != 6 {
			t.Fatalf("frame %d: %v, %d arcs", f, ok, len(got.Arcs))
		}
		for _, a := range got.Arcs {
			var tip [3]float64
			for _, p := range got.Bodies[a.Of].Points {
				if p.What == mark.Point {
					tip = [3]float64{float64(p.Place[0].Mean), float64(p.Place[1].Mean), float64(p.Place[2].Mean)}
				}
			}
			if len(a.Line) != len(a.Places) || len(a.Line) < 10 {
				t.Fatalf("frame %d, %s %s: %d pixels, %d places", f, a.Of, a.Band, len(a.Line), len(a.Places))
			}
			for k, p := range a.Places {
				if d := math.Sqrt(sq(p.X-tip[0]) + sq(p.Y-tip[1]) + sq(p.Z-tip[2])); math.Abs(d-float64(a.Reach.Mean)) > 2e-3*d {
					t.Errorf("frame %d, %s %s: a place %.4f m from the point, the reach is %.4f", f, a.Of, a.Band, d, a.Reach.Mean)
				}
				if ahead := (p.X - tip[0]) * map[mark.Side]float64{mark.Left: 1, mark.Right: -1}[a.Of]; ahead <= 0 || p.Z < 0 {
					t.Errorf("frame %d, %s %s: %v lies behind the point or below the floor", f, a.Of, a.Band, p)
				}
				want := e.see([3]float64{p.X, p.Y, p.Z})
				if off := math.Hypot(want.U-a.Line[k].U, want.V-a.Line[k].V); off > 0.5 {
					t.Errorf("frame %d, %s %s: drawn %.2f px from where the pinhole puts it", f, a.Of, a.Band, off)
				}
			}
			for k, soft := range a.Soft {
				if len(soft.Near) < 2 || len(soft.Far) < 2 {
					t.Errorf("frame %d, %s %s: ribbon %d is empty", f, a.Of, a.Band, k)
				}
			}
		}
		// The bands of the gaps are those of the arcs: a target well inside one is in it.
		for _, g := range got.Gaps {
			for _, a := range got.Arcs {
				if a.Of == g.Of && a.Band == g.Band && g.Gap.Mean > a.Reach.Mean+2*a.Reach.SD {
					t.Errorf("%s to the %s is %v, in %s measure, whose arc is at %v", g.Of, g.Target, g.Gap.Mean, g.Band, a.Reach.Mean)
				}
			}
		}
	}
}

// The ends of a gap are as far apart as the gap, and the point is where its spot is.
func TestTableauHasTheGapsInSpace(t *testing.T) {
	_, r := laid(t)
	got, _ := r.TableauAt("live", 25)
	if len(got.Ends) != len(got.Gaps) || len(got.Gaps) == 0 {
		t.Fatalf("%d ends of %d gaps", len(got.Ends), len(got.Gaps))
	}
	for i, g := range got.Gaps {
		e := got.Ends[i]
		d := 0.0
		for c := range 3 {
			d += sq(float64(e.To[c].Mean - e.From[c].Mean))
		}
		// The mean of a distance is longer than that between the means, by the spread
		// across it: variance over twice the length.
		if long := float64(g.Gap.Mean) - math.Sqrt(d); long < -1e-9 || long > 0.1 {
			t.Errorf("%s to the %s: %.3f m between the ends, the gap is %.3f", g.Of, g.Target, math.Sqrt(d), g.Gap.Mean)
		}
	}
	for _, s := range mark.Sides {
		if len(got.Spots[s]) != len(got.Bodies[s].Points) {
			t.Fatalf("%d spots of %d points", len(got.Spots[s]), len(got.Bodies[s].Points))
		}
		for i, p := range got.Bodies[s].Points {
			if got.Spots[s][i].What != p.What || got.Spots[s][i].Place.Mean[2] != float64(p.Place[2].Mean) {
				t.Errorf("spot %d is not the %s", i, p.What)
			}
		}
	}
	if len(got.Between) != len(mark.Points()) {
		t.Fatalf("%d of %d points are compared", len(got.Between), len(mark.Points()))
	}
	for i, b := range got.Between {
		l, r := got.Bodies[mark.Left].Points[i].Place, got.Bodies[mark.Right].Points[i].Place
		if b.What != got.Bodies[mark.Left].Points[i].What || math.Abs(float64(b.Along.Mean-(r[0].Mean-l[0].Mean))) > 1e-9 || math.Abs(float64(b.Up.Mean-(l[2].Mean-r[2].Mean))) > 1e-9 {
			t.Errorf("%s: %v along, %v up of %v and %v", b.What, b.Along.Mean, b.Up.Mean, l, r)
		}
	}
	if len(got.Grid) == 0 || got.Width != piste.Width {
		t.Errorf("%d lines of a piste %v wide", len(got.Grid), got.Width)
	}
}

// Of draws from the law of a place, 95 of 100 lie inside its ellipse.
func TestEllipseHolds95(t *testing.T) {
	_, r := laid(t)
	got, _ := r.TableauAt("live", 25)
	n := 0
	for _, s := range got.Spots[mark.Left] {
		for k, e := range []Ellipse{s.Above(), s.Aside()} {
			sin, cos := math.Sincos(float64(e.Turn))
			in := 0
			const draws = 4000
			for _, x := range s.Place.Draws(draws, rand.NewPCG(1, uint64(n))) {
				a, b := x[0]-s.Place.Mean[0], x[1+k]-s.Place.Mean[1+k]
				if sq((a*cos+b*sin)/float64(e.Long))+sq((b*cos-a*sin)/float64(e.Short)) <= 1 {
					in++
				}
			}
			// Four standard errors of 0.95 in 4000 draws are 1.4 %.
			if share := float64(in) / draws; math.Abs(share-quantity.Coverage) > 0.014 {
				t.Errorf("%s: %.3f of the draws lie in the ellipse", s.What, share)
			}
			n++
		}
	}
	if n == 0 {
		t.Fatal("no ellipse was checked")
	}
}

// How far points came is what the truth says, as often as the interval promises.
// and how far the fencers are apart too.
func TestMovedHoldsTheTruth(t *testing.T) {
	held, n, apart, pairs := 0, 0, 0, 0
	for seed := range uint64(4) {
		s := stage(seed+10, 1.5)
		r, err := Read(context.Background(), s.touch, reel{100}, ReadOptions{Draws: MinDraws})
		if err != nil {
			t.Fatal(err)
		}
		got, _ := r.TableauAt("live", 40)
		for _, b := range got.Between {
			left, right := s.truth[2][mark.Left][b.What], s.truth[2][mark.Right][b.What]
			pairs += 2
			if b.Along.Covers(quantity.Metres(right[0] - left[0])) {
				apart++
			}
			if b.Up.Covers(quantity.Metres(left[2] - right[2])) {
				apart++
			}
		}
		for _, side := range mark.Sides {
			for _, w := range mark.Points() {
				d, ok := r.Moved("live", side, w, 10, 70)
				if !ok {
					t.Fatalf("%s %s was not measured", side, w)
				}
				a, b := s.truth[0][side][w], s.truth[4][side][w]
				n++
				if d.Covers(quantity.Metres(math.Hypot(b[0]-a[0], b[2]-a[2]))) {
					held++
				}
			}
		}
	}
	if share := float64(apart) / float64(pairs); share < 0.95-3*math.Sqrt(0.95*0.05/float64(pairs)) {
		t.Errorf("%d of %d distances between the fencers hold the truth", apart, pairs)
	}
	// The stated doubt is rather too wide: no fewer than 95 of 100, less three standard errors.
	if share := float64(held) / float64(n); share < 0.95-3*math.Sqrt(0.95*0.05/float64(n)) {
		t.Errorf("%d of %d intervals hold the truth", held, n)
	}
	_, r := laid(t)
	if _, ok := r.Moved("live", mark.Left, mark.Point, 10, 11); ok {
		t.Error("moved to a frame on which nothing is marked")
	}
	steady := *stage(3, 0.01).touch
	steady.Takes = []mark.Take{{ID: "live", Video: "v", From: 5, To: 80, Steady: true}}
	steady.Placings = steady.Placings[:1]
	r, err := Read(context.Background(), &steady, reel{100}, ReadOptions{Draws: MinDraws})
	if err != nil {
		t.Fatal(err)
	}
	for f, want := range map[mark.Frame]bool{4: false, 5: true, 80: true, 81: false, -1: false, 9000: false} {
		if _, ok := r.TableauAt("live", f); ok != want {
			t.Errorf("frame %d of a steady take: %v", f, ok)
		}
	}
	if _, ok := r.TableauAt("nowhere", 10); ok {
		t.Error("a take that is none has a tableau")
	}
}

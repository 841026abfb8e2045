package scene

import (
	"math"
	"testing"

	"mesure/quantity"
	"mesure/sport/mark"
	"mesure/sport/piste"
)

// tick is the spacing in which a film is looked at, in seconds.
const tick = 0.002

// every calls look with both figures at every tick of every film.
func every(t *testing.T, look func(f *Film, at float64, figs [2]Figure)) {
	t.Helper()
	n := 0
	for _, f := range Films() {
		end := float64(f.Shots[0].At(mark.Frame(f.Shots[0].Frames - 1)))
		for at := float64(f.Shots[0].Start); at <= end; at += tick {
			look(f, at, f.At(quantity.Seconds(at)))
			n++
		}
	}
	if n < 4*1000 {
		t.Fatalf("only %d instants were looked at", n)
	}
}

// TestSegmentsKeepTheirLength holds every segment of every instant against the
// shares of the stature in Drillis & Contini (1964), as Winter prints them:
// upper arm .186, forearm .146, hand .108, thigh .245, shank .246, foot .152,
// hip to shoulder .288.
func TestSegmentsKeepTheirLength(t *testing.T) {
	every(t, func(f *Film, at float64, figs [2]Figure) {
		for i, stature := range [2]float64{1.84, 1.76} {
			g := &figs[i]
			for _, s := range []struct {
				name  string
				a, b  Vec
				share float64
			}{
				{"upper arm", g.Shoulder, g.Elbow, 0.186}, {"forearm", g.Elbow, g.Wrist, 0.146},
				{"forearm and half the hand", g.Elbow, g.Hand, 0.146 + 0.054},
				{"other upper arm", g.RearShld, g.RearElbow, 0.186}, {"other forearm", g.RearElbow, g.RearWrist, 0.146},
				{"front thigh", g.FrontHip, g.FrontKnee, 0.245}, {"front shank", g.FrontKnee, g.Front.Ankle, 0.246},
				{"rear thigh", g.RearHip, g.RearKnee, 0.245}, {"rear shank", g.RearKnee, g.Rear.Ankle, 0.246},
				{"front foot", g.Front.Heel, g.Front.Toe, 0.152}, {"rear foot", g.Rear.Heel, g.Rear.Toe, 0.152},
				{"trunk", g.Pelvis, g.Neck, 0.288},
			} {
				if got := s.a.Sub(s.b).Len(); math.Abs(got-s.share*stature) > 1e-9 {
					t.Fatalf("touch %d at %.3f s, %s: the %s is %.6f m, not %.6f", f.Number, at, g.Side, s.name, got, s.share*stature)
				}
			}
		}
	})
}

// TestBladeIsLegal: 90 cm at most (FIE material rules), straight but while the
// point stands on the opponent, and then bent, not shortened.
func TestBladeIsLegal(t *testing.T) {
	bent := 0
	every(t, func(f *Film, at float64, figs [2]Figure) {
		for i := range figs {
			g := &figs[i]
			var arc float64
			for k := range 50 {
				arc += g.BladeCurve(float64(k+1) / 50).Sub(g.BladeCurve(float64(k) / 50)).Len()
			}
			if chord := g.Tip.Sub(g.Guard).Len(); chord > 0.90+1e-9 || math.Abs(arc-0.90) > 0.012 {
				t.Fatalf("touch %d at %.3f s, %s: blade of %.3f m over %.3f m", f.Number, at, g.Side, arc, chord)
			} else if chord < 0.89 {
				bent++
			}
			if d := g.Guard.Sub(g.Hand).Len(); math.Abs(d-GripToGuard) > 1e-9 {
				t.Fatalf("touch %d at %.3f s: the guard is %.4f m before the fist", f.Number, at, d)
			}
		}
	})
	if bent == 0 {
		t.Error("no hit bends a blade")
	}
}

// TestPlantedFeetStand: a foot that carries weight does not slide: its heel
// stands while the toe comes down, its toe while the heel rises. No foot goes
// through the floor.
func TestPlantedFeetStand(t *testing.T) {
	var last [2]Figure
	planted, flown := 0, 0
	every(t, func(f *Film, at float64, figs [2]Figure) {
		first := at == float64(f.Shots[0].Start)
		for i := range figs {
			g, was := &figs[i], &last[i]
			for _, k := range []struct {
				name      string
				now, then Foot
				down      bool
			}{
				{"front", g.Front, was.Front, g.FrontDown && was.FrontDown},
				{"rear", g.Rear, was.Rear, g.RearDown && was.RearDown},
			} {
				low := math.Min(k.now.Heel.Z, k.now.Toe.Z)
				if low < -1e-9 || low > 0.12 {
					t.Fatalf("touch %d at %.3f s: the %s foot of %s is %.3f m over the floor", f.Number, at, k.name, g.Side, low)
				}
				if !k.down {
					flown++
					continue
				}
				planted++
				if !first && math.Min(k.now.Heel.Sub(k.then.Heel).Len(), k.now.Toe.Sub(k.then.Toe).Len()) > 1e-9 {
					t.Fatalf("touch %d at %.3f s: the planted %s foot of %s slides", f.Number, at, k.name, g.Side)
				}
			}
		}
		last = figs
	})
	if planted < 1000 || flown < 1000 {
		t.Errorf("%d planted and %d flying feet were seen", planted, flown)
	}
}

// TestSpeedsArePlausible: centre of mass in the lunge 1.94 and 2.21 m/s and at
// most 2.9 m/s in anything (Rutkowska-Kucharska 2016, two épéeists, figures B1
// and B2); thrust of the point 3 to 5 m/s (B21, derived); nothing jerks.
func TestSpeedsArePlausible(t *testing.T) {
	for _, f := range Films() {
		var mass, tip [2]float64
		start := float64(f.Shots[0].Start)
		last := f.At(f.Shots[0].Start)
		end := float64(f.Shots[0].At(mark.Frame(f.Shots[0].Frames - 1)))
		for at := start + tick; at <= end; at += tick {
			figs := f.At(quantity.Seconds(at))
			for i := range figs {
				mass[i] = math.Max(mass[i], figs[i].CentreOfMass().Sub(last[i].CentreOfMass()).Len()/tick)
				tip[i] = math.Max(tip[i], figs[i].Tip.Sub(last[i].Tip).Len()/tick)
			}
			last = figs
		}
		t.Logf("touch %d: centre of mass %.2f and %.2f m/s, point %.2f and %.2f m/s", f.Number, mass[0], mass[1], tip[0], tip[1])
		if mass[0] < 1.8 || mass[0] > 2.3 {
			t.Errorf("touch %d: the lunging left fencer's centre of mass reaches %.2f m/s", f.Number, mass[0])
		}
		if mass[1] > 1.6 {
			t.Errorf("touch %d: the right fencer steps at %.2f m/s", f.Number, mass[1])
		}
		for i := range tip {
			if tip[i] < 2.8 || tip[i] > 5 {
				t.Errorf("touch %d, %s: the point reaches %.2f m/s", f.Number, mark.Sides[i], tip[i])
			}
		}
	}
}

// TestStepsAreOfTheirSize: lunges of 1.02 ± 0.10 to 1.17 ± 0.17 m of foot travel
// (figures B5), steps of 0.1 to 0.6 m (B20).
func TestStepsAreOfTheirSize(t *testing.T) {
	lunges := 0
	for _, f := range Films() {
		for i, p := range f.performers {
			// The recovery brings the foot back by itself: what is judged ends there.
			for _, s := range p.frontX.shifts {
				switch by := math.Abs(s.by); {
				case s.by > 0.9:
					lunges++
					if s.by > 1.2 {
						t.Errorf("touch %d: a lunge of %.2f m", f.Number, s.by)
					}
				case s.by < -0.7 && i == 0: // recovery
				case by < 0.1 || by > 0.6:
					t.Errorf("touch %d: a step of %.2f m", f.Number, s.by)
				}
			}
		}
	}
	if lunges != 4 {
		t.Errorf("%d lunges in four touches", lunges)
	}
}

// TestHitsArrive: at the moment "hit" the point stands on the surface of the
// target that the touch names, and a moment earlier it does not.
func TestHitsArrive(t *testing.T) {
	for _, f := range Films() {
		if len(f.hits) != 1 {
			t.Fatalf("touch %d has %d hits", f.Number, len(f.hits))
		}
		h := f.hits[0]
		at := f.moment(t, "hit")
		if h.at != at {
			t.Errorf("touch %d: the hit is at %.3f s and its moment at %.3f s", f.Number, h.at, at)
		}
		off := func(at float64) (float64, *Solid) {
			figs := f.At(quantity.Seconds(at))
			me := &figs[h.by]
			solids := figs[h.by.Other()].Solids()
			place, which, ok := Meet(solids, me.Guard, me.Tip.Sub(me.Guard).Unit())
			if !ok {
				return math.Inf(1), nil
			}
			return place.Sub(me.Guard).Len() - BladeLength, &solids[which]
		}
		gap, on := off(at)
		if on == nil || math.Abs(gap) > 1e-4 || !belongs(h.target, on) {
			t.Errorf("touch %d: the point is %.5f m before %+v, not on the %s", f.Number, gap, on, h.target)
		}
		if before, _ := off(at - 0.01); before < 0.005 {
			t.Errorf("touch %d: 10 ms before the hit the point is only %.4f m away", f.Number, before)
		}
		slow, _ := off(at - 0.01)
		t.Logf("touch %d: %.2f m/s at the hit, arm at %.3f of its length", f.Number, slow/0.01, stretch(f, h.by, at))
		lit := f.Lamps.Left
		if h.by == mark.Right {
			lit = f.Lamps.Right
		}
		if delay := float64(f.LampsAt) - at; !lit || delay < 0.002-1e-9 || delay > 0.010+1e-9 {
			t.Errorf("touch %d: lamps %+v come %.4f s after the hit of %s", f.Number, f.Lamps, delay, h.by)
		}
	}
}

// stretch is the distance from shoulder to fist as a share of the straight arm.
func stretch(f *Film, s mark.Side, at float64) float64 {
	g := f.At(quantity.Seconds(at))[s]
	return g.Hand.Sub(g.Shoulder).Len() / (g.Build.UpperArm + g.Build.Forearm)
}

func (f *Film) moment(t *testing.T, id string) float64 {
	t.Helper()
	for _, m := range f.Moments {
		if m.ID == id {
			return float64(m.At)
		}
	}
	t.Fatalf("touch %d has no moment %q", f.Number, id)
	return 0
}

// TestBladesMeet: at the moment "contact" the two blades touch, the parrying one
// with its forte (the third nearest the guard, rule t.85).
func TestBladesMeet(t *testing.T) {
	met := 0
	for n, parry := range map[int]mark.Side{1: mark.Right, 3: mark.Left} {
		f := Films()[n]
		figs := f.At(quantity.Seconds(f.moment(t, "contact")))
		best, where := math.Inf(1), 0.0
		for i := range 901 {
			for j := 0; j <= 900; j += 5 {
				a := figs[parry].BladeCurve(float64(i) / 900)
				if d := a.Sub(figs[parry.Other()].BladeCurve(float64(j) / 900)).Len(); d < best {
					best, where = d, float64(i)/1000
				}
			}
		}
		met++
		if best > 0.005 || where > BladeLength/3 {
			t.Errorf("touch %d: the blades pass at %.3f m, %.2f m from the guard", f.Number, best, where)
		}
	}
	if met != 2 {
		t.Errorf("%d parries", met)
	}
}

// TestMomentsAndShots: moments lie in order inside the live shot; the replay
// shows the hit at a quarter of the speed.
func TestMomentsAndShots(t *testing.T) {
	for _, f := range Films() {
		last := 0.0
		seen := map[string]bool{}
		for _, m := range f.Moments {
			if float64(m.At) <= 0.1 || seen[m.ID] {
				t.Errorf("touch %d: moment %q at %.3f s", f.Number, m.ID, m.At)
			}
			seen[m.ID] = true
			last = math.Max(last, float64(m.At))
		}
		live := &f.Shots[0]
		if end := float64(live.At(mark.Frame(live.Frames - 1))); len(f.Moments) < 5 || last > end-0.3 || end < 2 || end > 2.6 {
			t.Errorf("touch %d: %d moments until %.2f s in %.2f s", f.Number, len(f.Moments), last, end)
		}
	}
	r, ok := Films()[3].Shot("replay")
	hit := Films()[3].moment(t, "hit")
	if !ok || r.Factor != 4 || hit < float64(r.At(0)) || hit > float64(r.At(mark.Frame(r.Frames-1))) {
		t.Errorf("the replay does not show the hit: %+v", r)
	}
}

// TestPisteStaysInView: at least six named points of the piste lie in every
// frame of every shot, on two lines or more.
func TestPisteStaysInView(t *testing.T) {
	frames := 0
	for _, f := range Films() {
		for k := range f.Shots {
			s := &f.Shots[k]
			for n := range s.Frames {
				cam := f.Camera(s, s.At(mark.Frame(n)))
				seen := 0
				for _, name := range piste.Names() {
					p, _ := piste.Named(name, piste.Width)
					if cam.Sees(Vec{p.X, p.Y, 0}, 6) {
						seen++
					}
				}
				frames++
				if seen < 6 {
					t.Fatalf("touch %d, %s, frame %d: only %d points of the piste", f.Number, s.ID, n, seen)
				}
				for _, g := range f.At(s.At(mark.Frame(n))) {
					for _, w := range mark.Points() {
						if !cam.Sees(g.Of(w), 2) {
							t.Fatalf("touch %d, %s, frame %d: the %s of %s is out of the picture", f.Number, s.ID, n, w, g.Side)
						}
					}
				}
			}
		}
	}
	if frames < 500 {
		t.Fatalf("only %d frames", frames)
	}
}

// TestFencersStandOutOfPlane: weapons and arms leave the plane of the feet as
// believable ones do (about 0.10 to 0.18 m), feet stay on one line.
func TestFencersStandOutOfPlane(t *testing.T) {
	var arm, feet, n, m float64
	every(t, func(_ *Film, _ float64, figs [2]Figure) {
		for i := range figs {
			g := &figs[i]
			for _, p := range []Vec{g.Tip, g.Guard, g.Elbow, g.Shoulder} {
				arm, n = arm+p.Y*p.Y, n+1
			}
			for _, k := range []Foot{g.Front, g.Rear} {
				mid := k.Heel.Mix(k.Toe, 0.5)
				feet, m = feet+mid.Y*mid.Y, m+1
			}
		}
	})
	arm, feet = math.Sqrt(arm/n), math.Sqrt(feet/m)
	t.Logf("arm and weapon %.3f m, feet %.3f m", arm, feet)
	if arm < 0.10 || arm > 0.18 || feet > 0.05 {
		t.Errorf("arm and weapon %.3f m, feet %.3f m off the axis", arm, feet)
	}
}

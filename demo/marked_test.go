package demo

import (
	"encoding/json"
	"math"
	"reflect"
	"testing"

	"mesure/demo/scene"
	"mesure/measure/camera"
	"mesure/quantity"
	"mesure/sport/mark"
	"mesure/sport/piste"
	"mesure/study"
)

// TestMarksScatterAsTheySay: over many seeds the marks lie off the true
// projections by what their SD says, in both directions, and are centred on
// them.
func TestMarksScatterAsTheySay(t *testing.T) {
	films := scene.Films()
	var sum, squares, n float64
	for seed := range uint64(8) {
		for i, f := range films {
			k := Marked(i, seed+1, 1.5)
			for _, m := range k.Marks {
				s, _ := f.Shot(m.Take)
				at := s.At(m.Frame)
				figs := f.At(at)
				px, _ := f.Camera(s, at).Project(figs[m.Who].Of(m.What))
				if m.SD < 1.5 || m.SD > 4 || m.What != mark.Point && m.SD != 1.5 {
					t.Fatalf("touch %d: %s states %.2f px", i, m.What, m.SD)
				}
				for _, d := range [2]float64{m.At.U - px.U, m.At.V - px.V} {
					sum, squares, n = sum+d/m.SD, squares+d*d/(m.SD*m.SD), n+1
				}
			}
		}
	}
	if n < 5000 {
		t.Fatalf("only %.0f coordinates", n)
	}
	// Three standard errors of a mean and of a variance of normal numbers.
	if mean, spread := sum/n, squares/n; math.Abs(mean) > 3/math.Sqrt(n) || math.Abs(spread-1) > 3*math.Sqrt(2/n) {
		t.Errorf("scatter: mean %.4f, variance %.4f of what was stated, n %.0f", mean, spread, n)
	}
}

// TestMarkedIsWhole: at least five instants with every point of both fencers and
// a placing of 6 to 10 points each; brackets that are in order and, as a rule,
// hold the moment.
func TestMarkedIsWhole(t *testing.T) {
	if testing.Short() {
		t.Skip("nothing in it runs side by side: the full run has it")
	}
	held, brackets := 0, 0
	for seed := range uint64(10) {
		for i := range Count {
			truth := TruthOf(i)
			k := Marked(i, seed+1, 1.5)
			if len(k.Placings) < 5 {
				t.Fatalf("touch %d: %d placings", i, len(k.Placings))
			}
			for _, p := range k.Placings {
				if len(p.Points) < 6 || len(p.Points) > placingMost {
					t.Errorf("touch %d, frame %d: %d points of the piste", i, p.Frame, len(p.Points))
				}
				have := 0
				for _, m := range k.Marks {
					if m.Take == p.Take && m.Frame == p.Frame {
						have++
					}
				}
				if have != 2*len(mark.Points()) {
					t.Errorf("touch %d, frame %d: %d marks", i, p.Frame, have)
				}
			}
			for _, m := range k.Moments {
				after, by := truth.frame(m.Take, m.After), truth.frame(m.Take, m.By)
				real := truth.moment(m.ID).At
				if m.By <= m.After || m.By > m.After+3 {
					t.Errorf("touch %d, %s: frames %d to %d", i, m.ID, m.After, m.By)
				}
				brackets++
				if after.At < real && real <= by.At {
					held++
				}
			}
			for _, ask := range []study.RunAsk{k.Race.Left, k.Race.Right} {
				if _, ok := k.Moment(ask.Onset.Moment); ask.Onset.Kind == study.OnsetObserved && !ok {
					t.Errorf("touch %d: the race asks for a moment %q", i, ask.Onset.Moment)
				}
			}
			if _, ok := k.Moment(k.Race.From); !ok {
				t.Errorf("touch %d: the race runs from %q", i, k.Race.From)
			}
		}
	}
	if share := float64(held) / float64(brackets); share < 0.9 || share == 1 {
		t.Errorf("%.3f of %d brackets hold their moment: a person errs now and then, not often", share, brackets)
	}
}

func TestMarkedFollowsFromItsArguments(t *testing.T) {
	a, b := Marked(3, 7, 1.5), Marked(3, 7, 1.5)
	if !reflect.DeepEqual(a, b) {
		t.Error("equal seeds gave two touches")
	}
	if c := Marked(3, 8, 1.5); reflect.DeepEqual(a.Marks, c.Marks) {
		t.Error("two seeds gave one touch")
	}
	defer func() {
		if recover() == nil {
			t.Error("marks without noise were handed out")
		}
	}()
	Marked(0, 1, 0)
}

// TestCameraAgreesWithThePlacing hands the exact projections of the demo's camera
// to the placing of measure/camera: it finds the camera of the truth, so that both
// mean the same by a pixel and a metre.
func TestCameraAgreesWithThePlacing(t *testing.T) {
	placed := 0
	for _, f := range scene.Films() {
		for k := range f.Shots {
			s := &f.Shots[k]
			cam := f.Camera(s, s.At(40))
			var points []camera.Point
			for _, name := range inView(cam, piste.Width) {
				pt := placedAt(cam, name, piste.Width)
				points = append(points, camera.Point{Name: name, On: pt.On, At: pt.At, SD: 0.01})
			}
			got, err := camera.Place(camera.Picture{Width: scene.Width, Height: scene.Height, Points: points}, camera.Options{})
			if err != nil {
				t.Fatalf("touch %d, %s: %v", f.Number, s.ID, err)
			}
			placed++
			where := [3]float64{cam.At.X, cam.At.Y, cam.At.Z}
			for i := range where {
				if off := math.Abs(float64(got.Position[i].Mean) - where[i]); off > 0.02 {
					t.Errorf("touch %d, %s: coordinate %d of the camera is off by %.4f m", f.Number, s.ID, i, off)
				}
			}
			if off := math.Abs(float64(got.Focal.Mean/cam.Focal) - 1); off > 0.003 {
				t.Errorf("touch %d, %s: focal length off by %.4f", f.Number, s.ID, off)
			}
			hand := f.At(s.At(40))[0].Guard
			a, _ := got.Project(hand.Place())
			b, _ := cam.Project(hand)
			if math.Hypot(a.U-b.U, a.V-b.V) > 0.2 {
				t.Errorf("touch %d, %s: the guard shows at %v and at %v", f.Number, s.ID, a, b)
			}
		}
	}
	if placed != 5 {
		t.Errorf("%d shots were placed", placed)
	}
}

// TestTruthTravelsAsJSON: what is written is what is read, and the targets follow
// from the points by mark.Target.Made.
func TestTruthTravelsAsJSON(t *testing.T) {
	truth := TruthOf(2)
	b, err := json.Marshal(truth)
	if err != nil {
		t.Fatal(err)
	}
	var back Truth
	if err := json.Unmarshal(b, &back); err != nil || !reflect.DeepEqual(truth, back) {
		t.Fatalf("the truth changes on its way through JSON: %v", err)
	}
	checked := 0
	for _, f := range truth.Takes[0].Frames {
		for _, s := range mark.Sides {
			body := f.Of(s)
			for _, target := range mark.Targets() {
				var x, z float64
				for _, share := range target.Made() {
					p := body.Point(share.Of)
					x, z = x+share.Weight*p.X, z+share.Weight*p.Z
				}
				got := body.Target(target)
				if math.Abs(got.X-x) > 2e-6 || math.Abs(got.Z-z) > 2e-6 {
					t.Fatalf("frame %d, %s of %s: %+v, from the points (%.6f, %.6f)", f.Frame, target, s, got, x, z)
				}
				checked++
			}
		}
		if want := truth.Takes[0].Start + quantity.Seconds(float64(f.Frame)/50); math.Abs(float64(f.At-want)) > 1e-12 {
			t.Fatalf("frame %d is at %.6f s", f.Frame, f.At)
		}
	}
	if checked < 1000 {
		t.Fatalf("only %d targets", checked)
	}
}

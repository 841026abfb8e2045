package camera

import (
	"math"
	"math/rand/v2"
	"testing"

	"mesure/sport/mark"
	"mesure/sport/piste"
)

// TestSupposingIsWhatARefitGives: the covariance with one point more, taken in by
// the linear update, is that of a fit of all of them (second route), within 2 % in
// every standard deviation; and the camera that was asked does not change.
func TestSupposingIsWhatARefitGives(t *testing.T) {
	pic := sideOn().picture(rand.New(rand.NewPCG(2, 1)), 0, 1)
	last := pic.Points[len(pic.Points)-1]
	before := pic
	before.Points = pic.Points[:len(pic.Points)-1]
	p, err := Place(before, Options{})
	if err != nil {
		t.Fatal(err)
	}
	was := p.Covariance()
	got, ok := p.Supposing(last.On, last.SD)
	if !ok {
		t.Fatal("the point does not show")
	}
	want, err := Place(pic, Options{})
	if err != nil {
		t.Fatal(err)
	}
	a, b, c := got.Covariance(), want.Covariance(), p.Covariance()
	narrower := false
	for i := range a.Len() {
		if r := a.SD(i) / b.SD(i); math.Abs(r-1) > 0.02 {
			t.Errorf("number %d: ± %g foretold, ± %g fitted", i, a.SD(i), b.SD(i))
		}
		narrower = narrower || a.SD(i) < 0.98*c.SD(i)
	}
	if !narrower {
		t.Error("the point tells nothing: the test checks nothing")
	}
	for i := range was.Cov {
		if was.Cov[i] != c.Cov[i] {
			t.Fatal("the camera that was asked changed")
		}
	}
	if got.Focal.Mean != p.Focal.Mean || !(got.Focal.SD <= p.Focal.SD) {
		t.Errorf("focal length %v, before %v", got.Focal, p.Focal)
	}
}

// TestSupposingOnALineIsWhatARefitGives: the same for two marks on a line.
func TestSupposingOnALineIsWhatARefitGives(t *testing.T) {
	scene := sideOn()
	pic := scene.picture(rand.New(rand.NewPCG(2, 1)), 0, 1)
	pic.Points = pic.Points[:4]
	if general(pic.Points) != nil {
		t.Fatal("the first four points place no camera")
	}
	p, err := Place(pic, Options{})
	if err != nil {
		t.Fatal(err)
	}
	was := p.Covariance()
	pic.Lines = scene.lines(rand.New(rand.NewPCG(1, 1)), 0, "near-edge", .3, .65)
	got := p
	for i := range pic.Lines {
		pic.Lines[i].SD = 1
		var ok bool
		if got, ok = got.SupposingOn(pic.Lines[i]); !ok {
			t.Fatal("the line does not show")
		}
	}
	want, err := Place(pic, Options{})
	if err != nil {
		t.Fatal(err)
	}
	a, b := got.Covariance(), want.Covariance()
	narrower := false
	for i := range a.Len() {
		if r := a.SD(i) / b.SD(i); math.Abs(r-1) > 0.05 {
			t.Errorf("number %d: ± %g foretold, ± %g fitted", i, a.SD(i), b.SD(i))
		}
		narrower = narrower || a.SD(i) < 0.98*was.SD(i)
	}
	if !narrower {
		t.Error("the line tells nothing: the test checks nothing")
	}
	if _, ok := p.SupposingOn(LineMark{A: piste.Place{X: -1, Y: -100}, B: piste.Place{X: 1, Y: -100}}); ok {
		t.Error("a line behind the camera is taken")
	}
}

// TestSupposingNeedsAPointThatShows: a point behind the camera is refused, and so
// is an error that is none.
func TestSupposingNeedsAPointThatShows(t *testing.T) {
	p, err := Place(sideOn().picture(rand.New(rand.NewPCG(2, 1)), 0, 1), Options{})
	if err != nil {
		t.Fatal(err)
	}
	if _, ok := p.Supposing(piste.Place{Y: -1000}, 1); ok {
		t.Error("a point behind the camera is taken")
	}
	if _, ok := p.Supposing(piste.Place{}, -1); ok {
		t.Error("a negative error is taken")
	}
	if q, ok := p.Supposing(piste.Place{}, 0); !ok {
		t.Error("the default error is refused")
	} else if same, _ := p.Supposing(piste.Place{}, mark.DefaultSD); same.Focal != q.Focal {
		t.Error("0 is not the default error")
	}
}

// TestNamed: the marks of a warning, one by one.
func TestNamed(t *testing.T) {
	if got := (Warning{About: "a" + andBetween + "b"}).Named(); len(got) != 2 || got[0] != "a" || got[1] != "b" {
		t.Errorf("%v", got)
	}
	if got := (Warning{}).Named(); got != nil {
		t.Errorf("%v", got)
	}
}

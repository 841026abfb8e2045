package piste_test

import (
	"math"
	"testing"

	"mesure/sport/piste"
)

// Every named point lies on the line across and on the line along after which it
// is named: the two lists of names say the same of the same floor.
func TestLinesCarryTheirPoints(t *testing.T) {
	along := map[string]string{piste.Near: "near-edge", piste.Axis: "axis", piste.Far: "far-edge"}
	tried := 0
	for _, width := range []float64{piste.Width, piste.MaxWidth} {
		for _, l := range piste.Lines() {
			for _, e := range []string{piste.Near, piste.Axis, piste.Far} {
				p, ok := piste.Named(l.Name+"-"+e, width)
				if !ok {
					t.Fatalf("no point %s-%s", l.Name, e)
				}
				for _, name := range []string{l.Name, along[e]} {
					a, b, ok := piste.LineNamed(name, width)
					if !ok {
						t.Fatalf("no line %s", name)
					}
					dx, dy := b.X-a.X, b.Y-a.Y
					off := math.Abs((p.X-a.X)*dy-(p.Y-a.Y)*dx) / math.Hypot(dx, dy)
					if !(off < 1e-12) {
						t.Errorf("%s-%s lies %g m off %s", l.Name, e, off, name)
					}
					tried++
				}
			}
		}
	}
	if tried != 2*7*3*2 {
		t.Fatalf("%d pairs of a point and a line were looked at, want 84", tried)
	}
}

func TestLineNames(t *testing.T) {
	names := piste.LineNames()
	want := []string{"left-rear", "left-warning", "left-on-guard", "centre", "right-on-guard", "right-warning", "right-rear", "near-edge", "axis", "far-edge"}
	if len(names) != len(want) {
		t.Fatalf("got %v", names)
	}
	for i, n := range names {
		if n != want[i] {
			t.Errorf("name %d is %q, want %q", i, n, want[i])
		}
	}
	for _, n := range []string{"", "far", "axis-edge", "centre-far", "left-rear-edge"} {
		if _, _, ok := piste.LineNamed(n, piste.Width); ok {
			t.Errorf("%q counts as a line", n)
		}
	}
	if a, b, _ := piste.LineNamed("left-on-guard", 1.8); a != (piste.Place{X: -2, Y: -0.9}) || b != (piste.Place{X: -2, Y: 0.9}) {
		t.Errorf("left-on-guard runs from %v to %v", a, b)
	}
	if a, b, _ := piste.LineNamed("far-edge", 1.8); a != (piste.Place{X: -7, Y: 0.9}) || b != (piste.Place{X: 7, Y: 0.9}) {
		t.Errorf("far-edge runs from %v to %v", a, b)
	}
}

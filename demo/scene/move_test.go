package scene

import (
	"math"
	"testing"
)

// TestJerkTable holds the curve against the table of Flash & Hogan's formula in
// the reference figures (section 3c).
func TestJerkTable(t *testing.T) {
	for _, c := range []struct{ tau, x float64 }{
		{0.1, 0.00856}, {0.2, 0.05792}, {0.25, 0.10352}, {0.3, 0.16308}, {0.4, 0.31744}, {0.5, 0.5},
		{0.6, 0.68256}, {0.7, 0.83692}, {0.75, 0.89648}, {0.8, 0.94208}, {0.9, 0.99144},
	} {
		if got := jerk(c.tau); math.Abs(got-c.x) > 5e-6 {
			t.Errorf("m(%.2f) = %.5f, not %.5f", c.tau, got, c.x)
		}
	}
	if jerk(-1) != 0 || jerk(2) != 1 || jerk(math.Inf(1)) != 1 {
		t.Error("the curve is not held outside 0 to 1")
	}
}

func TestPassGoesThrough(t *testing.T) {
	k := track{base: 0.3}
	k.add(0, 1, 0.4)
	k.pass(0.2, 0.9, 0.6, 1.5)
	if got := k.at(0.6); math.Abs(got-1.5) > 1e-12 {
		t.Errorf("the track passes %.6f instead of 1.5", got)
	}
	k.to(1, 2, -1)
	if got := k.at(5); math.Abs(got+1) > 1e-12 {
		t.Errorf("the track ends at %.6f instead of −1", got)
	}
}

func TestLimbKeepsItsLengths(t *testing.T) {
	a, c := Vec{0, 0, 1}, Vec{0.3, 0.1, 0.2}
	k := ik2(a, c, 0.45, 0.47, Vec{1, 0, 0})
	if math.Abs(k.Sub(a).Len()-0.45) > 1e-12 || math.Abs(k.Sub(c).Len()-0.47) > 1e-12 {
		t.Errorf("segments of %.6f and %.6f", k.Sub(a).Len(), k.Sub(c).Len())
	}
	if k.X < a.Mix(c, 0.5).X {
		t.Error("the joint bends away from its pole")
	}
}

// TestSolidsAreHitWhereTheyAre marches rays by the distance to the solid and
// compares with the closed form: a second route to the same surface.
func TestSolidsAreHitWhereTheyAre(t *testing.T) {
	cases := []Solid{
		cone(Jacket, 0, Vec{0.1, 2, 0.3}, Vec{-0.2, 2.1, 0.6}, 0.12, 0.07, 0),
		cone(Jacket, 0, Vec{0, 2, 0}, Vec{0.02, 2, 0.01}, 0.2, 0.1, 0),
		ellipsoid(Jacket, 0, Vec{0.1, 2, 0.2}, Vec{1, 0, 0}, Vec{0, 0.6, 0.8}, Vec{0, -0.8, 0.6}, 0.2, 0.1, 0.15, 0),
	}
	hits := 0
	for _, s := range cases {
		for i := range 100 {
			d := Vec{float64(i%10)/20 - 0.25, 1, float64(i/10)/20 - 0.1}.Unit()
			got, n, ok := s.Hit(Vec{}, d)
			want, found := march(&s, d)
			if ok != found {
				if math.Abs(want) < 1e-3 || !grazes(&s, d) {
					t.Fatalf("kind %d, ray %d: closed form %v, marching %v", s.Kind, i, ok, found)
				}
				continue
			}
			if !ok {
				continue
			}
			hits++
			if math.Abs(got-want) > 2e-4 {
				t.Errorf("kind %d, ray %d: %.5f, marching %.5f", s.Kind, i, got, want)
			}
			if n.Dot(d) > 1e-9 || math.Abs(n.Len()-1) > 1e-9 {
				t.Errorf("kind %d, ray %d: normal %v", s.Kind, i, n)
			}
		}
	}
	if hits < 30 {
		t.Fatalf("only %d rays hit", hits)
	}
}

// inside is negative inside the solid.
func inside(s *Solid, p Vec) float64 {
	if s.Kind == Ellipsoid {
		var sum float64
		for i := range 3 {
			x := p.Sub(s.A).Dot(s.Axes[i]) / s.Half[i]
			sum += x * x
		}
		return math.Sqrt(sum) - 1
	}
	// The hull of two balls: the nearest of many balls between them.
	best := math.Inf(1)
	for k := 0; k <= 200; k++ {
		u := float64(k) / 200
		best = math.Min(best, p.Sub(s.A.Mix(s.B, u)).Len()-(s.RA+(s.RB-s.RA)*u))
	}
	return best
}

func march(s *Solid, d Vec) (float64, bool) {
	const fine = 1e-3
	for t := 1.5; t < 2.7; t += fine {
		if inside(s, d.Mul(t)) < 0 {
			lo, hi := t-fine, t
			for range 30 {
				if mid := (lo + hi) / 2; inside(s, d.Mul(mid)) < 0 {
					hi = mid
				} else {
					lo = mid
				}
			}
			return hi, true
		}
	}
	return 0, false
}

// grazes reports whether the ray passes the surface within a millimetre without
// going in further than that: there the two routes may disagree.
func grazes(s *Solid, d Vec) bool {
	low := math.Inf(1)
	for t := 1.5; t < 2.7; t += 1e-3 {
		low = math.Min(low, inside(s, d.Mul(t)))
	}
	return math.Abs(low) < 1e-2
}

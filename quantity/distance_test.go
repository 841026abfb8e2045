package quantity

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"
)

func diagonal(a, b, c float64) [3][3]float64 {
	return [3][3]float64{{a * a}, {0, b * b}, {0, 0, c * c}}
}

// Check 2.8: JCGM 102:2011 tables 6 and 7, and Rice's law where r = 0.
func TestDistanceJCGM102(t *testing.T) {
	var d struct {
		M map[string]struct {
			Mean  float64 `json:"mag_mean"`
			U     float64 `json:"mag_u"`
			RiceM float64 `json:"mag_mean_exact_rice"`
			RiceU float64 `json:"mag_u_exact_rice"`
		} `json:"JCGM102_magnitude_phase_u0.010"`
	}
	readJSON(t, "testdata/uncertainty.json", &d)
	if len(d.M) != 5 {
		t.Fatalf("%d cases", len(d.M))
	}
	for name, c := range d.M {
		var re, r float64
		if _, err := fmt.Sscanf(name, "re=%g,r=%g", &re, &r); err != nil {
			t.Fatal(err)
		}
		v := 0.010 * 0.010
		got := Distance([3]Metres{Metres(re)}, [3][3]float64{{v, r * v, 0}, {r * v, v, 0}})
		within(t, name+" mean", float64(got.Mean), c.Mean, 5e-5)
		within(t, name+" u", float64(got.SD), c.U, 5e-5)
		if c.RiceM > 0 {
			near(t, name+" Rice mean", float64(got.Mean), c.RiceM, 1e-6)
			near(t, name+" Rice u", float64(got.SD), c.RiceU, 2e-5)
		}
	}
}

// Laws with a closed form: Maxwell, Rayleigh and the half-normal.
func TestDistanceExact(t *testing.T) {
	for _, c := range []struct {
		name         string
		cov          [3][3]float64
		mean, lo, hi float64
	}{
		{"Maxwell", diagonal(1, 1, 1), 2 * math.Sqrt(2/math.Pi), math.Sqrt(0.21579528), math.Sqrt(9.34840360)}, // χ²₃ quantiles, tables
		{"Rayleigh", diagonal(1, 1, 0), math.Sqrt(math.Pi / 2), math.Sqrt(-2 * math.Log(0.975)), math.Sqrt(-2 * math.Log(0.025))},
		{"half-normal", diagonal(1, 0, 0), math.Sqrt(2 / math.Pi), 0.031337982, 2.241402728},
	} {
		got := Distance([3]Metres{}, c.cov)
		near(t, c.name+" mean", float64(got.Mean), c.mean, 1e-6)
		near(t, c.name+" lo", float64(got.Lo), c.lo, 0.08)
		near(t, c.name+" hi", float64(got.Hi), c.hi, 0.008)
		t.Log(c.name, got)
	}
	if got := Distance([3]Metres{3, 4}, [3][3]float64{}); got != Exactly(Metres(5)) {
		t.Errorf("without spread: %v", got)
	}
	far := Distance([3]Metres{3000, 4000}, diagonal(1e-3, 1e-3, 1e-3))
	near(t, "far mean", float64(far.Mean), 5000, 1e-12)
	near(t, "far sd", float64(far.SD), 1e-3, 1e-6)
}

// The interval holds 95 % and each tail 2.5 %, whatever the shape.
func TestDistanceCoverage(t *testing.T) {
	manyDraws(t)
	const draws = 200000
	worst, checked := 0.0, 0
	for _, sd := range [][3]float64{{.02, .02, .02}, {.01, .2, .02}, {.2, .01, .01}, {.05, .15, .05}, {.003, .15, .001}, {1, 1, 0}, {.1, 0, 0}} {
		for _, size := range []float64{0, .3, 1, 2, 4, 8, 20, 100} {
			scale := max(sd[0], sd[1], sd[2])
			m := [3]float64{.8 * size * scale, 0, .6 * size * scale}
			got := Distance([3]Metres{Metres(m[0]), Metres(m[1]), Metres(m[2])}, diagonal(sd[0], sd[1], sd[2]))
			if !got.IsValid() || got.Lo < 0 {
				t.Fatalf("%v %v: %v", m, sd, got)
			}
			rng := rand.New(rand.NewPCG(1, 2))
			below, above := 0, 0
			var sum, sum2 float64
			for range draws {
				x, y, z := m[0]+sd[0]*rng.NormFloat64(), m[1]+sd[1]*rng.NormFloat64(), m[2]+sd[2]*rng.NormFloat64()
				l := math.Sqrt(x*x + y*y + z*z)
				sum += l
				sum2 += (l - float64(got.Mean)) * (l - float64(got.Mean))
				if l < float64(got.Lo) {
					below++
				}
				if l > float64(got.Hi) {
					above++
				}
			}
			lo, hi := float64(below)/draws, float64(above)/draws
			name := fmt.Sprintf("sd %v length %g", sd, size)
			within(t, name+" lower tail", lo, .025, .004)
			within(t, name+" upper tail", hi, .025, .004)
			se := float64(got.SD) / math.Sqrt(draws)
			within(t, name+" mean", sum/draws, float64(got.Mean), 4*se)
			near(t, name+" sd", math.Sqrt(sum2/draws), float64(got.SD), 0.02)
			worst = max(worst, math.Abs(lo-.025), math.Abs(hi-.025))
			checked++
		}
	}
	t.Logf("%d shapes, worst tail error %.4f", checked, worst)
}

// The series for far vectors and the integral for near ones meet.
func TestDistanceRoutesMeet(t *testing.T) {
	checked := 0
	for _, sd := range [][3]float64{{.02, .02, .02}, {.06, .001, .001}, {.01, .05, .03}, {0, .05, 0}} {
		for _, dir := range [][3]float64{{1, 0, 0}, {.6, .8, 0}, {.3, .4, .866}} {
			for size := .01; size < 9; size *= 1.05 {
				q := newSquare([3]Metres{Metres(size * dir[0]), Metres(size * dir[1]), Metres(size * dir[2])}, diagonal(sd[0], sd[1], sd[2]))
				if r := q.k1 / math.Sqrt(q.k2); r < seriesRatio || r > 1.2*seriesRatio {
					continue
				}
				near(t, "mean", math.Sqrt(q.k1)*(1-q.shrink()), q.root(), 1e-7)
				checked++
			}
		}
	}
	if checked < 20 {
		t.Fatalf("checked %d", checked)
	}
}

func BenchmarkDistance(b *testing.B) {
	for _, c := range []struct {
		name string
		m    [3]Metres
		sd   [3]float64
	}{{"far", [3]Metres{.9, .05, .2}, [3]float64{.02, .03, .02}}, {"near", [3]Metres{.1, 0, .05}, [3]float64{.03, .2, .03}}} {
		b.Run(c.name, func(b *testing.B) {
			cov := diagonal(c.sd[0], c.sd[1], c.sd[2])
			for b.Loop() {
				Distance(c.m, cov)
			}
		})
	}
}

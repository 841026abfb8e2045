package motion

import (
	"errors"
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"gonum.org/v1/gonum/mat"

	"mesure/quantity"
)

// hand samples a movement at a frame rate with white noise.
func hand(place func(t float64) []float64, ends, fps, sd float64, rng *rand.Rand) []Sample {
	var all []Sample
	for i := 0; float64(i)/fps <= ends; i++ {
		t := float64(i) / fps
		where := place(t)
		spread := make([]float64, len(where))
		for a := range where {
			where[a] += sd * rng.NormFloat64()
			spread[a] = sd
		}
		all = append(all, Sample{At: quantity.Seconds(t), Where: quantity.Independent(where, spread)})
	}
	return all
}

// score is how often and how well an instant was found.
type score struct{ tries, found, extra, bias, square, spread, covered float64 }

func (s *score) add(got []Onset, truth float64) {
	s.tries++
	hit := false
	for _, o := range got {
		off := float64(o.At.Mean) - truth
		if hit || math.Abs(off) > 0.15 {
			s.extra++
			continue
		}
		hit = true
		s.found++
		s.bias += off
		s.square += off * off
		s.spread += float64(o.At.SD)
		if o.At.Covers(quantity.Seconds(truth)) {
			s.covered++
		}
	}
}

func (s *score) String() string {
	f := s.found
	return fmt.Sprintf("%v of %v found and %v more, bias %+.1f ms, rms %.1f ms, stated SD %.1f ms, coverage %.2f",
		f, s.tries, s.extra, 1000*s.bias/f, 1000*math.Sqrt(s.square/f), 1000*s.spread/f, s.covered/f)
}

// TestOnsetOfALunge: minimum-jerk movements with 1 and 2 cm of noise at 50 and 200
// frames a second are all found, dated within a frame of 50 on average, and the 95 %
// intervals hold the truth.
func TestOnsetOfALunge(t *testing.T) {
	for _, c := range []struct{ fps, sd float64 }{{50, 0.01}, {50, 0.02}, {200, 0.01}, {200, 0.02}} {
		for k, l := range []lunge{{0.45, 0.25, 0, 1.2}, {0.65, 0.35, 0, 1.2}, {1.2, 0.6, 0, 1.5}} {
			t.Run(fmt.Sprintf("%v m in %v s at %v, %v cm", l.D, l.T, c.fps, 100*c.sd), func(t *testing.T) {
				rng := rand.New(rand.NewPCG(uint64(k), 11))
				var s score
				for range 30 {
					l.On = 0.6 + 0.02*rng.Float64()
					got, err := Onsets(hand(l.place, l.Ends, c.fps, c.sd, rng), OnsetOptions{Toward: []float64{1, 0}})
					if err != nil {
						t.Fatal(err)
					}
					s.add(got, l.On)
				}
				t.Log(&s)
				if s.found < s.tries || s.extra > 0 || math.Abs(s.bias/s.found) > 0.02 || s.covered/s.found < 0.9 {
					t.Error(&s)
				}
				if at := s.spread / s.found; at > 0.04 {
					t.Errorf("the intervals are too wide to be of use: SD %v s", at)
				}
			})
		}
	}
}

// TestOnsetOfOtherMovements: what no single minimum-jerk curve describes is still
// held by the intervals.
func TestOnsetOfOtherMovements(t *testing.T) {
	for name, move := range map[string]func(s float64) float64{
		"arm, then body": func(s float64) float64 { return 0.45*curve(s/0.25) + 0.8*curve((s-0.1)/0.5) },
		"arm and body":   func(s float64) float64 { return 0.45*curve(s/0.25) + 0.8*curve(s/0.5) },
		"body, then arm": func(s float64) float64 { return 0.8*curve(s/0.5) + 0.45*curve((s-0.15)/0.25) },
		"half a sine of push": func(s float64) float64 {
			s = max(0, min(0.4, s))
			return 1.5*s - 0.6/(4*math.Pi)*2*math.Sin(5*math.Pi*s)
		},
		"constant acceleration": func(s float64) float64 {
			a, b := max(0, min(0.15, s)), max(0, min(0.15, s-0.15))
			return 10*a*a + 3*b - 10*b*b
		},
		"extension from a walk":  func(s float64) float64 { return 0.8*s + 0.5*curve(s/0.3) },
		"a small one, 15 cm":     func(s float64) float64 { return 0.15 * curve(s/0.3) },
		"with a hand that sways": func(s float64) float64 { return 0.65*curve(s/0.35) + 0.01*math.Sin(9*s) },
	} {
		t.Run(name, func(t *testing.T) {
			rng := rand.New(rand.NewPCG(21, 11))
			var s score
			for range 40 {
				on := 0.6 + 0.02*rng.Float64()
				got, err := Onsets(hand(func(t float64) []float64 { return []float64{move(t - on), 1.2} }, 1.5, 50, 0.01, rng),
					OnsetOptions{Toward: []float64{2, 0}, Still: stillFor(name)})
				if err != nil {
					t.Fatal(err)
				}
				s.add(got, on)
			}
			t.Log(&s)
			if s.found < 0.95*s.tries || s.extra > 0 || s.covered/s.found < 0.88 {
				t.Error(&s)
			}
		})
	}
}

// stillFor is the speed at which a hand may be carried before its movement.
func stillFor(name string) quantity.MetresPerSecond {
	if name == "extension from a walk" {
		return 1.2
	}
	return 0
}

// TestRestDoesNotBegin: a point at rest, with white noise or followed from mark to
// mark, begins to move at most once in 100 seconds.
func TestRestDoesNotBegin(t *testing.T) {
	still := lunge{D: 0, T: 1, Ends: 10}
	for _, c := range []struct {
		fps, sd float64
		runs    int
	}{{50, 0.01, 15}, {50, 0.02, 15}, {200, 0.01, 10}} {
		rng := rand.New(rand.NewPCG(4, 12))
		white, walked, runs := 0, 0, c.runs
		for range runs {
			got, err := Onsets(hand(still.place, 10, c.fps, c.sd, rng), OnsetOptions{})
			if err != nil {
				t.Fatal(err)
			}
			white += len(got)
			if got, err = Onsets(followed(still.seen(c.fps, c.sd, rng)), OnsetOptions{}); err != nil {
				t.Fatal(err)
			}
			walked += len(got)
		}
		t.Logf("%v a second, %v m: %d and %d in %d s", c.fps, c.sd, white, walked, 10*runs)
		if white > runs/10 || walked > runs/10 {
			t.Errorf("%v a second, %v m: %d onsets in %d s of rest, %d where it was followed", c.fps, c.sd, white, 10*runs, walked)
		}
	}
}

// TestRelativeToTheShoulder: a hand that is carried at 1 m/s and then extended
// begins, against its shoulder, with the extension; what the camera does to both
// falls out.
func TestRelativeToTheShoulder(t *testing.T) {
	rng := rand.New(rand.NewPCG(6, 6))
	var s score
	for range 30 {
		on := 0.6 + 0.02*rng.Float64()
		swing := func(t float64) float64 { return 0.1 * math.Sin(7*t) } // a camera that swings
		a := hand(func(t float64) []float64 { return []float64{t + swing(t) + 0.45*curve((t-on)/0.25), 1.2} }, 1.2, 50, 0.01, rng)
		b := hand(func(t float64) []float64 { return []float64{t + swing(t) - 0.6, 1.4} }, 1.2, 50, 0.01, rng)
		got, err := Onsets(Relative(a, b), OnsetOptions{Toward: []float64{1, 0}})
		if err != nil {
			t.Fatal(err)
		}
		s.add(got, on)
	}
	if s.found < s.tries || s.extra > 0 || s.covered/s.found < 0.9 {
		t.Error(&s)
	}
}

func TestRelativeKeepsWhatIsNotShared(t *testing.T) {
	one := func(at, x float64, shared ...float64) Sample {
		return Sample{At: quantity.Seconds(at), Where: quantity.Independent([]float64{x}, []float64{3}), Shared: shared}
	}
	got := Relative([]Sample{one(0, 5, 1), one(1, 7, 2), one(3, 9, 2)}, []Sample{one(1, 4, 1.5), one(2, 0, 1), one(3, 1, 2)})
	if len(got) != 2 || got[0].At != 1 || got[1].At != 3 {
		t.Fatalf("instants %v", got)
	}
	if got[0].Where.Mean[0] != 3 || got[1].Where.Mean[0] != 8 || got[0].Where.Cov[0] != 18 {
		t.Errorf("differences %v", got)
	}
	if got[0].Shared[0] != 0.5 || got[1].Shared[0] != 0 {
		t.Errorf("shared %v and %v, want the difference", got[0].Shared, got[1].Shared)
	}
}

// TestTheWayBackIsNotTheWayThere: of a thrust and its withdrawal the direction
// takes one; without a direction both are found, in the order of time.
func TestTheWayBackIsNotTheWayThere(t *testing.T) {
	rng := rand.New(rand.NewPCG(9, 9))
	samples := hand(func(t float64) []float64 { return []float64{0.5*curve((t-0.5)/0.3) - 0.5*curve((t-1.3)/0.3), 1} }, 2.2, 50, 0.01, rng)
	for _, c := range []struct {
		toward []float64
		want   []float64
	}{{[]float64{1, 0}, []float64{0.5}}, {[]float64{-1, 0}, []float64{1.3}}, {nil, []float64{0.5, 1.3}}} {
		got, err := Onsets(samples, OnsetOptions{Toward: c.toward})
		if err != nil {
			t.Fatal(err)
		}
		if len(got) != len(c.want) {
			t.Errorf("toward %v: %d onsets, want %d", c.toward, len(got), len(c.want))
			continue
		}
		for i, o := range got {
			if !o.At.Covers(quantity.Seconds(c.want[i])) || o.Sure < 0.99 {
				t.Errorf("toward %v: onset at %v, sure %v, want %v", c.toward, o.At, o.Sure, c.want[i])
			}
			a, b := samples[o.After].At, samples[o.By].At
			if a > o.At.Mean || b < o.At.Mean || float64(b-a) < 2*math.Sqrt(3)*float64(o.At.SD) {
				t.Errorf("bracketed by %v and %v, at %v", a, b, o.At)
			}
			if o.Peak.Speed.Mean < 2.5 || o.Peak.Speed.Mean > 3.8 {
				t.Errorf("peak %v, want about 3.1 m/s", o.Peak.Speed)
			}
		}
	}
}

// TestOneMovementAfterAnother: the rest of a movement does not reach into the one
// before it.
func TestOneMovementAfterAnother(t *testing.T) {
	rng := rand.New(rand.NewPCG(9, 10))
	var first, second score
	for range 20 {
		shift := 0.02 * rng.Float64()
		got, err := Onsets(hand(func(t float64) []float64 {
			t -= shift
			return []float64{0.4*curve((t-0.5)/0.3) + 0.5*curve((t-0.95)/0.3), 1}
		}, 1.6, 50, 0.01, rng), OnsetOptions{Toward: []float64{1, 0}})
		if err != nil {
			t.Fatal(err)
		}
		if len(got) == 2 {
			first.add(got[:1], 0.5+shift)
			second.add(got[1:], 0.95+shift)
		}
	}
	if first.found < 19 || second.found < 19 || second.covered < 17 || math.Abs(second.bias/second.found) > 0.025 {
		t.Errorf("the first: %v; the second: %v", &first, &second)
	}
}

// TestEvidence: the marginal likelihood of a departure is the density of the samples
// under the covariance of everything that is integrated out, priors included: a
// second route, dense and without normal equations.
func TestEvidence(t *testing.T) {
	rng := rand.New(rand.NewPCG(2, 7))
	l := lunge{0.5, 0.3, 0.2, 0.4}
	samples := followed(l.seen(50, 0.01, rng))
	for i := range samples {
		samples[i].Shared = []float64{0.01, 0.002 * float64(i), 0, 0.01}
	}
	const drift = 0.4
	s, ok := newStretch(samples, drift)
	if !ok {
		t.Fatal("no stretch")
	}
	n := len(samples)
	var middle [2]float64
	for _, p := range samples {
		middle[0] += p.Where.Mean[0] / float64(n)
		middle[1] += p.Where.Mean[1] / float64(n)
	}
	dense := func(away func(float64) float64, spread float64) float64 {
		cov := mat.NewSymDense(2*n, covariance(samples))
		y := mat.NewVecDense(2*n, nil)
		for i, p := range samples {
			for k, r := range samples {
				v := PriorPlaceSD*PriorPlaceSD + drift*drift*float64(p.At)*float64(r.At) + spread*spread*away(float64(p.At))*away(float64(r.At))
				for a := range 2 {
					if k >= i {
						cov.SetSym(2*i+a, 2*k+a, cov.At(2*i+a, 2*k+a)+v)
					}
				}
			}
			y.SetVec(2*i, p.Where.Mean[0]-middle[0])
			y.SetVec(2*i+1, p.Where.Mean[1]-middle[1])
		}
		var ch mat.Cholesky
		if !ch.Factorize(cov) {
			t.Fatal("not positive")
		}
		var x mat.VecDense
		if err := ch.SolveVecTo(&x, y); err != nil {
			t.Fatal(err)
		}
		return -0.5 * (mat.Dot(y, &x) + ch.LogDet())
	}
	none := dense(func(float64) float64 { return 0 }, 0)
	for _, sh := range steps() {
		for _, at := range []float64{0.1, 0.19, 0.25} {
			got := s.leaving(at, []shape{sh})[0].log(1) - s.staying().log(1)
			want := dense(func(x float64) float64 { return sh.away(x - at) }, sh.spread) - none
			if math.Abs(got-want) > 1e-5*math.Max(1, math.Abs(want)) {
				t.Fatalf("at %v: %v, want %v", at, got, want)
			}
		}
	}
}

func TestOnsetsRefuse(t *testing.T) {
	one := func(at, x float64) Sample {
		return Sample{At: quantity.Seconds(at), Where: quantity.Independent([]float64{x}, []float64{0.01})}
	}
	for name, c := range map[string]struct {
		samples []Sample
		want    error
	}{
		"none":  {nil, ErrNoSamples},
		"order": {[]Sample{one(1, 0), one(0, 0)}, ErrOrder},
		"NaN":   {[]Sample{one(0, math.NaN())}, ErrNotFinite},
	} {
		if _, err := Onsets(c.samples, OnsetOptions{}); !errors.Is(err, c.want) {
			t.Errorf("%s: %v, want %v", name, err, c.want)
		}
	}
	for n := range 8 { // few samples say nothing and break nothing
		var few []Sample
		for i := range n + 1 {
			few = append(few, one(0.02*float64(i), float64(i)))
		}
		if _, err := Onsets(few, OnsetOptions{Least: -1}); err != nil {
			t.Errorf("%d samples: %v", n+1, err)
		}
	}
}

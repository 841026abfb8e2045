package motion

import (
	"math"
	"math/rand/v2"
	"testing"

	"mesure/quantity"
)

// TestChances: the chain of densities, against the sum over all ways through it.
func TestChances(t *testing.T) {
	times := []quantity.Seconds{0, 0.02, 0.02, 0.1}
	rng := rand.New(rand.NewPCG(5, 5))
	var samples []Sample
	var like []shares
	for _, at := range times {
		samples = append(samples, Sample{At: at})
		var l shares
		for k := range l {
			l[k] = 3 * rng.NormFloat64()
		}
		like = append(like, l)
	}
	var want [4]shares
	for code := range 9 * 9 * 9 * 9 {
		way := [4]int{code % 9, code / 9 % 9, code / 81 % 9, code / 729}
		p := 1.0
		for i, k := range way {
			p *= math.Exp(like[i][k])
			if i > 0 {
				leave := 1 - math.Exp(-float64(times[i]-times[i-1])/JerkLasts)
				step := leave / JerkSteps
				if way[i-1] == k {
					step += 1 - leave
				}
				p *= step
			}
		}
		for i, k := range way {
			want[i][k] += p
		}
	}
	for i, got := range chances(samples, like) {
		want[i].scale()
		for k := range got {
			if math.Abs(got[k]-want[i][k]) > 1e-12 {
				t.Fatalf("sample %d, density %d: %v, want %v", i, k, got[k], want[i][k])
			}
		}
	}
}

// TestJerkFollowsTheMovement: little at rest, much in the lunge, the same with time
// turned round; one wrong sample at rest is not a movement.
func TestJerkFollowsTheMovement(t *testing.T) {
	l := lunge{0.65, 0.35, 1, 2}
	samples := hand(l.place, l.Ends, 50, 0.01, rand.New(rand.NewPCG(5, 6)))
	j := JerkOf(samples)
	if rest, quick := j.At(0.5), j.At(1.15); rest > 100 || quick < 1500 {
		t.Errorf("%v m²/s⁵ at rest and %v in the lunge", rest, quick)
	}
	back := JerkOf(reversed(samples))
	for _, at := range []quantity.Seconds{0.51, 1.01, 1.15, 1.77} {
		if a, b := j.At(at), back.At(-at); math.Abs(math.Log(a/b)) > 1e-6 {
			t.Errorf("at %v: %v forward and %v backward", at, a, b)
		}
	}
	samples[25].Where = quantity.Independent([]float64{0.5, 1.2}, []float64{0.01, 0.01})
	if wrong := JerkOf(samples).At(0.5); wrong > 3*j.At(0.5) {
		t.Errorf("one wrong sample makes of %v m²/s⁵ %v", j.At(0.5), wrong)
	}
	for _, at := range []quantity.Seconds{0.51, 1.15} { // followed or not, the movement is the same
		if a, b := JerkOf(samples).At(at), JerkOf(followed(samples)).At(at); math.Abs(math.Log(a/b)) > 1e-6 {
			t.Errorf("at %v: %v, and %v where it was followed", at, a, b)
		}
	}
	for _, few := range [][]Sample{nil, samples[:7]} {
		if JerkOf(few).At(0) != DefaultJerk {
			t.Errorf("%d samples do not give the default", len(few))
		}
	}
}

// TestJerkOver: the mean over a time that runs across several densities.
func TestJerkOver(t *testing.T) {
	j := Jerk{at: []quantity.Seconds{0, 1, 3}, density: []float64{10, 20, 50}}
	for _, c := range []struct{ from, to, want float64 }{
		{-1, 0.5, 10}, {0.2, 0.8, 10}, {0, 1, 10}, {0.5, 1.5, 15}, {0.5, 3.5, (5 + 40 + 25) / 3.}, {3, 9, 50}, {5, 6, 50}, {2, 2, 20},
	} {
		if got := j.over(quantity.Seconds(c.from), quantity.Seconds(c.to)); math.Abs(got-c.want) > 1e-12 {
			t.Errorf("from %v to %v: %v, want %v", c.from, c.to, got, c.want)
		}
	}
	if (Jerk{}).over(0, 1) != DefaultJerk || Constant(7).over(-3, 5) != 7 {
		t.Error("one density is not the same at all times")
	}
}

// TestPeakBiasForetells: smoothing that is too stiff takes a known part off a peak;
// the bootstrap says so, of the right sign and size.
func TestPeakBiasForetells(t *testing.T) {
	l := lunge{0.65, 0.35, 0.5, 1.2}
	rng := rand.New(rand.NewPCG(5, 8))
	var true_, foretold float64
	const runs = 20
	for range runs {
		p, err := Smooth(hand(l.place, l.Ends, 50, 0.01, rng), Options{Jerk: Constant(100)})
		if err != nil {
			t.Fatal(err)
		}
		true_ += (float64(p.Peak().Speed.Mean) - l.peak()) / runs
		b, err := p.PeakBias(20, rng)
		if err != nil {
			t.Fatal(err)
		}
		foretold += float64(b.Mean) / runs
	}
	t.Logf("bias %+.3f m/s, foretold %+.3f", true_, foretold)
	if true_ > -0.3 || foretold > 0.4*true_ || foretold < 1.2*true_ {
		t.Errorf("bias %+.3f m/s, foretold %+.3f", true_, foretold)
	}
}

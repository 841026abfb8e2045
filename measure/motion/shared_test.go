package motion

import (
	"math"
	"math/rand/v2"
	"testing"

	"gonum.org/v1/gonum/mat"

	"mesure/quantity"
)

// TestSharedErrors: with errors that samples share, the stated covariance is that of
// the error: movements are drawn from the model, samples with own and shared errors
// about them, and the smoothed state is held against the truth.
func TestSharedErrors(t *testing.T) {
	rng := rand.New(rand.NewPCG(17, 1))
	const n, draws, q, own = 30, 3000, 100.0, 0.01
	share := func(i int) float64 { return 0.02 + 0.001*float64(i) } // an offset and a scale
	law := model{dims: 1, width: 1}
	room := law.room(2)
	law.predict(room[0], room[1], 0.02, q)
	noise := quantity.Joint{Mean: []float64{0, 0, 0}, Cov: room[0].cov}
	var square, stated [3]float64
	for range draws {
		x := []float64{0, 0.1 * rng.NormFloat64(), rng.NormFloat64()}
		common := rng.NormFloat64()
		var truth [n][3]float64
		var samples []Sample
		for i := range n {
			truth[i] = [3]float64(x)
			samples = append(samples, Sample{
				At:     quantity.Seconds(0.02 * float64(i)),
				Where:  quantity.Independent([]float64{x[0] + own*rng.NormFloat64() + share(i)*common}, []float64{own}),
				Shared: []float64{share(i)},
			})
			w := noise.Draws(1, rng)[0]
			x = []float64{x[0] + 0.02*x[1] + 0.0002*x[2] + w[0], x[1] + 0.02*x[2] + w[1], x[2] + w[2]}
		}
		p, err := Smooth(samples, Options{Jerk: Constant(q), Gate: -1})
		if err != nil {
			t.Fatal(err)
		}
		got := p.At(samples[20].At).Joint
		for k := range 3 {
			square[k] += (got.Mean[k] - truth[20][k]) * (got.Mean[k] - truth[20][k]) / draws
			stated[k] = got.Covariance(k, k)
		}
	}
	for k, name := range []string{"place", "velocity", "acceleration"} {
		if ratio := math.Sqrt(square[k] / stated[k]); math.Abs(ratio-1) > 0.05 {
			t.Errorf("%s: the error is %.3f of the stated SD %v", name, ratio, math.Sqrt(stated[k]))
		}
	}
}

// TestACommonErrorMovesNoSpeed: an error that is the same for every sample widens
// places by itself and leaves velocity and acceleration alone, said either way.
func TestACommonErrorMovesNoSpeed(t *testing.T) {
	plain := straight(0, 1, 2, 0)
	a, err := Smooth(plain, Options{})
	if err != nil {
		t.Fatal(err)
	}
	b, err := Smooth(plain, Options{Common: []float64{0.0025, 0.001, 0.001, 0.0009}})
	if err != nil {
		t.Fatal(err)
	}
	root := mat.NewDense(2, 2, quantity.Joint{Mean: []float64{0, 0}, Cov: []float64{0.0025, 0.001, 0.001, 0.0009}}.Root())
	shared := straight(0, 1, 2, 0)
	for i := range shared {
		shared[i].Shared = append([]float64(nil), root.RawMatrix().Data...)
	}
	c, err := Smooth(shared, Options{})
	if err != nil {
		t.Fatal(err)
	}
	for _, at := range []quantity.Seconds{-0.05, 0, 0.313, 0.8, 0.9} {
		j, k, l := a.At(at).Joint, b.At(at).Joint, c.At(at).Joint
		for i := range 6 {
			want := j.Covariance(i, i)
			switch i {
			case 0:
				want += 0.0025
			case 3:
				want += 0.0009
			}
			if math.Abs(k.Covariance(i, i)-want) > 1e-12 || math.Abs(l.Covariance(i, i)-want) > 1e-6*math.Max(want, 1) {
				t.Errorf("at %v, number %d: %v and %v, want %v", at, i, k.Covariance(i, i), l.Covariance(i, i), want)
			}
			if k.Mean[i] != j.Mean[i] || math.Abs(l.Mean[i]-j.Mean[i]) > 1e-12 {
				t.Errorf("at %v, number %d has moved", at, i)
			}
		}
		if math.Abs(k.Covariance(0, 3)-j.Covariance(0, 3)-0.001) > 1e-12 {
			t.Errorf("at %v: the two coordinates do not hang together", at)
		}
	}
}

// TestWalked: variances are kept, marks are left alone, and neighbours of one
// stretch hang together as a Brownian bridge does.
func TestWalked(t *testing.T) {
	samples := straight(0, 1, 2, 0)[:10]
	marked := make([]bool, 10)
	marked[0], marked[6] = true, true
	cov := func(s []Sample) *mat.SymDense { return mat.NewSymDense(20, covariance(s)) }
	plain, got := cov(samples), cov(Walked(samples, marked, 0.5))
	for i := range 20 {
		if math.Abs(plain.At(i, i)-got.At(i, i)) > 1e-15 {
			t.Errorf("number %d: variance %v, was %v", i, got.At(i, i), plain.At(i, i))
		}
	}
	between := func(i, k int) float64 { return got.At(2*i, 2*k) - plain.At(2*i, 2*k) }
	for _, c := range []struct {
		i, k int
		want float64
	}{{2, 4, math.Sqrt(2. / 6 * 2 / 6 / (4. / 6 * 4 / 6))}, {1, 5, 1. / 5}, {0, 1, 0}, {5, 7, 0}, {3, 6, 0}} {
		if v := between(c.i, c.k) / (0.5 * 0.002 * 0.002); math.Abs(v-c.want) > 1e-9 {
			t.Errorf("samples %d and %d: correlation of the walk %v, want %v", c.i, c.k, v, c.want)
		}
	}
	if v := between(7, 9) / (0.5 * 0.002 * 0.002); !(v > 0.5 && v < 1) {
		t.Errorf("after the last mark: correlation %v", v)
	}
}

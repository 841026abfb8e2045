package timing

import (
	"encoding/json"
	"errors"
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"strings"
	"testing"

	"mesure/quantity"
)

// fitCase is a movement fitted by SciPy's curve_fit: see testdata/fit_scipy.py.
type fitCase struct {
	Name    string
	Prior   [6][2]float64
	Truth   [6]float64
	Samples []struct {
		Part           string
		At, Travel, SD float64
	}
	Parameters, SD [6]float64
}

func (c *fitCase) samples(t *testing.T) (out []FitSample) {
	parts := map[string]FitPart{"point": OfPoint, "arm": OfArm, "body": OfBody}
	for _, s := range c.Samples {
		of, ok := parts[s.Part]
		if !ok {
			t.Fatalf("no part %q", s.Part)
		}
		out = append(out, FitSample{At: quantity.Seconds(s.At), Travel: quantity.Metres(s.Travel), SD: quantity.Metres(s.SD), Of: of})
	}
	return out
}

func (c *fitCase) prior() (Movement, quantity.Of[quantity.Seconds]) {
	p := c.Prior
	return Movement{Arm: metres(p[0][0], p[0][1]), ArmTime: seconds(p[1][0], p[1][1]), Body: metres(p[2][0], p[2][1]),
		BodyTime: seconds(p[3][0], p[3][1]), Delay: seconds(p[4][0], p[4][1])}, seconds(p[5][0], p[5][1])
}

func readFits(t *testing.T) []fitCase {
	t.Helper()
	raw, err := os.ReadFile("testdata/fit_scipy.json")
	if err != nil {
		t.Fatal(err)
	}
	var file struct {
		By    string
		Cases []fitCase
	}
	if err := json.Unmarshal(raw, &file); err != nil {
		t.Fatal(err)
	}
	if !strings.HasPrefix(file.By, "SciPy 1.10.1 ") || len(file.Cases) != 4 {
		t.Fatalf("%d cases by %q", len(file.Cases), file.By)
	}
	return file.Cases
}

// The minimum and its covariance against SciPy 1.10.1, which differentiates by itself:
// to a thousandth of a standard deviation, and the SDs to a thousandth.
func TestFitAgainstSciPy(t *testing.T) {
	for _, c := range readFits(t) {
		prior, onset := c.prior()
		f, err := newFit(c.samples(t), prior, onset)
		if err != nil {
			t.Fatalf("%s: %v", c.Name, err)
		}
		s, err := f.best(f.starts())
		if err != nil {
			t.Fatalf("%s: %v", c.Name, err)
		}
		got := f.fitted(s)
		m := got.Movement
		for i, q := range [6][2]float64{
			{float64(m.Arm.Mean), float64(m.Arm.SD)}, {float64(m.ArmTime.Mean), float64(m.ArmTime.SD)},
			{float64(m.Body.Mean), float64(m.Body.SD)}, {float64(m.BodyTime.Mean), float64(m.BodyTime.SD)},
			{float64(m.Delay.Mean), float64(m.Delay.SD)}, {float64(got.Onset.Mean), float64(got.Onset.SD)},
		} {
			if c.SD[i] == 0 {
				continue
			}
			approx(t, fmt.Sprintf("%s, number %d", c.Name, i), q[0], c.Parameters[i], 1e-3*c.SD[i])
			approx(t, fmt.Sprintf("%s, SD of number %d", c.Name, i), q[1], c.SD[i], 1e-3*c.SD[i])
		}
	}
}

// The derivatives against central differences of the curve.
func TestFitDerivatives(t *testing.T) {
	c := readFits(t)[2]
	prior, onset := c.prior()
	f, err := newFit(c.samples(t), prior, onset)
	if err != nil {
		t.Fatal(err)
	}
	q := f.mean
	tried := 0
	for _, of := range []FitPart{OfPoint, OfArm, OfBody} {
		for _, at := range []float64{.95, 1.04, 1.1, 1.2, 1.5, 1.9} {
			_, by := f.curve(&q, of, at)
			for i := range q {
				const h = 1e-6
				up, down := q, q
				up[i] += h
				down[i] -= h
				a, _ := f.curve(&up, of, at)
				b, _ := f.curve(&down, of, at)
				approx(t, fmt.Sprintf("%v at %g by number %d", of, at, i), by[i], (a-b)/(2*h), 1e-7)
				tried++
			}
		}
	}
	if tried != 3*6*fitParameters {
		t.Fatalf("%d derivatives tried", tried)
	}
}

// simulated draws a movement from the prior and follows it.
func simulated(rng *rand.Rand, prior Movement, onset quantity.Of[quantity.Seconds], parts []FitPart, rate, until, sd, rho float64) (truth [6]float64, samples []FitSample) {
	draw := func(mean, sd float64) float64 { return mean + sd*rng.NormFloat64() }
	truth = [6]float64{
		draw(float64(prior.Arm.Mean), float64(prior.Arm.SD)), draw(float64(prior.ArmTime.Mean), float64(prior.ArmTime.SD)),
		draw(float64(prior.Body.Mean), float64(prior.Body.SD)), draw(float64(prior.BodyTime.Mean), float64(prior.BodyTime.SD)),
		draw(float64(prior.Delay.Mean), float64(prior.Delay.SD)), draw(float64(onset.Mean), float64(onset.SD)),
	}
	m := Movement{Arm: metres(truth[0], 0), ArmTime: seconds(truth[1], 0), Body: metres(truth[2], 0), BodyTime: seconds(truth[3], 0), Delay: seconds(truth[4], 0)}
	for _, of := range parts {
		e := rng.NormFloat64()
		for k := range int(until * rate) {
			at := quantity.Seconds(float64(k) / rate)
			s := m.Travel(at - quantity.Seconds(truth[5]))
			switch of {
			case OfArm:
				s = m.arm(at - quantity.Seconds(truth[5]))
			case OfBody:
				s = m.body(at - quantity.Seconds(truth[5]))
			}
			samples = append(samples, FitSample{At: at, Travel: s + quantity.Metres(sd*e+2), SD: quantity.Metres(sd), Of: of})
			e = rho*e + math.Sqrt(1-rho*rho)*rng.NormFloat64()
		}
	}
	return truth, samples
}

// A simulated fencer, whose numbers are drawn from the prior: how often the 95 %
// intervals hold the truth, over 600 seeded fits of each kind: between 0.90 and 0.99, which
// leaves room for the linear covariance and for chance. With errors that go together from frame to frame (correlation 0.6
// between neighbours) the SDs of the samples alone would hold it far too seldom: that is
// tried as well, so that the widening is seen to be needed.
func TestFitIntervalsCover(t *testing.T) {
	if testing.Short() {
		t.Skip("counts one thing after the other")
	}
	const fits = 600
	lunge, err := Default(Lunge, "", "")
	if err != nil {
		t.Fatal(err)
	}
	onset := seconds(.30, .02)
	names := [6]string{"arm", "arm time", "body", "body time", "delay", "onset"}
	for _, c := range []struct {
		name       string
		parts      []FitPart
		rate       float64
		until      float64
		sd, rho    float64
		narrow     bool // the SDs are left as they are, and the intervals must be too short
		shrinkTime float64
	}{
		{"arm and body at 50 a second", []FitPart{OfArm, OfBody}, 50, 1.5, .008, 0, false, 0.5},
		{"the point alone at 50 a second", []FitPart{OfPoint}, 50, 1.5, .008, 0, false, 1},
		{"arm and body at 25 a second, cut off by the hit", []FitPart{OfArm, OfBody}, 25, .9, .010, 0, false, 0.6},
		{"errors that go together", []FitPart{OfArm, OfBody}, 50, 1.5, .012, .6, false, 0.7},
		{"errors that go together, not widened", []FitPart{OfArm, OfBody}, 50, 1.5, .012, .6, true, 1},
	} {
		rng := rand.New(rand.NewPCG(5, uint64(len(c.name))))
		var held [6]int
		width := 0.0
		for range fits {
			truth, samples := simulated(rng, lunge, onset, c.parts, c.rate, c.until, c.sd, c.rho)
			got, err := Fit(samples, lunge, onset)
			if c.narrow {
				got, err = unwidened(samples, lunge, onset)
			}
			if err != nil {
				t.Fatalf("%s: %v", c.name, err)
			}
			m := got.Movement
			for i, ok := range [6]bool{
				m.Arm.Covers(quantity.Metres(truth[0])), m.ArmTime.Covers(quantity.Seconds(truth[1])), m.Body.Covers(quantity.Metres(truth[2])),
				m.BodyTime.Covers(quantity.Seconds(truth[3])), m.Delay.Covers(quantity.Seconds(truth[4])), got.Onset.Covers(quantity.Seconds(truth[5])),
			} {
				if ok {
					held[i]++
				}
			}
			width += float64(m.ArmTime.SD) / fits
		}
		least := 1.0
		for i, n := range held {
			share := float64(n) / fits
			least = min(least, share)
			t.Logf("%s: %s is held by %.3f of the intervals", c.name, names[i], share)
			if !c.narrow && !(share >= 0.90 && share <= 0.99) {
				t.Errorf("%s: %s is held by %.3f of the 95 %% intervals", c.name, names[i], share)
			}
		}
		if c.narrow && least > 0.90 {
			t.Errorf("%s: %.3f and more are held all the same: the widening does nothing", c.name, least)
		}
		if width > c.shrinkTime*float64(ArmTimeSD) {
			t.Errorf("%s: the arm time is left ± %.4f s, of ± %.4f s before", c.name, width, ArmTimeSD)
		}
	}
}

// unwidened is Fit with the SDs of the samples as they are.
func unwidened(samples []FitSample, prior Movement, onset quantity.Of[quantity.Seconds]) (Fitted, error) {
	f, err := newFit(samples, prior, onset)
	if err != nil {
		return Fitted{}, err
	}
	s, err := f.best(f.starts())
	if err != nil {
		return Fitted{}, err
	}
	return f.fitted(s), nil
}

// What is held in the prior stays; what no sample shows stays as the prior has it.
func TestFitKeepsWhatIsNotSeen(t *testing.T) {
	lunge, err := Default(Lunge, "", "")
	if err != nil {
		t.Fatal(err)
	}
	lunge.ArmTime = seconds(.25, 0)
	onset := seconds(.3, .02)
	_, samples := simulated(rand.New(rand.NewPCG(1, 2)), lunge, onset, []FitPart{OfArm}, 50, 1, .006, 0)
	got, err := Fit(samples, lunge, onset)
	if err != nil {
		t.Fatal(err)
	}
	if m := got.Movement; m.ArmTime != lunge.ArmTime {
		t.Errorf("a held time came back as %v", m.ArmTime)
	}
	m := got.Movement
	approx(t, "body, of which nothing was seen", float64(m.Body.Mean), float64(lunge.Body.Mean), 1e-9)
	approx(t, "its SD", float64(m.Body.SD), float64(lunge.Body.SD), 1e-9)
	approx(t, "delay", float64(m.Delay.SD), float64(lunge.Delay.SD), 1e-9)
	if got.SeenArm != 1 || got.SeenBody != 0 || !got.BeforeArm || got.BeforeBody {
		t.Errorf("seen %v and %v, before %v and %v", got.SeenArm, got.SeenBody, got.BeforeArm, got.BeforeBody)
	}
	if got.RMS < 0.003 || got.RMS > 0.009 || got.Samples != 50 {
		t.Errorf("residuals of %v m over %d samples, with a noise of 0.006 m", got.RMS, got.Samples)
	}
	// Half of a movement is not a whole one.
	half, err := Fit(samples[:int(50*0.42)], lunge, seconds(.3, .005))
	if err != nil || half.SeenArm > 0.85 || half.SeenArm < 0.2 {
		t.Errorf("of a movement cut off half-way %v is said to be seen, %v", half.SeenArm, err)
	}
}

// More and better samples never leave more doubt; a further datum, the same prior.
func TestFitBetterSamplesLeaveLessDoubt(t *testing.T) {
	c := readFits(t)[1]
	prior, onset := c.prior()
	all := c.samples(t)
	var fewer []FitSample
	for i := range all {
		if i%2 == 0 {
			fewer = append(fewer, all[i])
		}
	}
	a, err1 := unwidened(all, prior, onset)
	b, err2 := unwidened(fewer, prior, onset)
	if err1 != nil || err2 != nil {
		t.Fatal(err1, err2)
	}
	if a.Movement.ArmTime.SD >= b.Movement.ArmTime.SD || b.Movement.ArmTime.SD >= prior.ArmTime.SD {
		t.Errorf("arm time ± %v from all, ± %v from half, ± %v before", a.Movement.ArmTime.SD, b.Movement.ArmTime.SD, prior.ArmTime.SD)
	}
}

func TestFitRefusals(t *testing.T) {
	c := readFits(t)[0]
	good := c.samples(t)
	prior, onset := c.prior()
	still := append([]FitSample(nil), good...)
	for i := range still {
		still[i].Travel = quantity.Metres(0.001 * float64(i%2))
	}
	noisy := append([]FitSample(nil), good...)
	for i := range noisy {
		noisy[i].SD = 0.2
	}
	bad := func(change func(*FitSample)) []FitSample {
		s := append([]FitSample(nil), good...)
		change(&s[3])
		return s
	}
	for _, r := range []struct {
		name    string
		samples []FitSample
		prior   Movement
		want    string
	}{
		{"no samples", nil, prior, "samples of the movement: 0 where 8 is needed: follow the movement over more frames, or from a take with more frames a second"},
		{"few samples", good[:7], prior, "samples of the movement: 7 where 8 is needed: follow the movement over more frames, or from a take with more frames a second"},
		{"nothing moves", still, prior, "travel of what was followed, in metres: 0.001 where 0.05 is needed: choose a stretch in which the arm or the body moves"},
		{"nothing stands out", noisy, prior, "travel of what was followed, in metres: 0.426 where 1.2 is needed: choose a stretch in which the arm or the body moves"},
		{"no spread", bad(func(s *FitSample) { s.SD = 0 }), prior, "SD of sample 4 is 0: it must be a spread above 0 m"},
		{"no number", bad(func(s *FitSample) { s.Travel = quantity.Metres(math.NaN()) }), prior, "sample 4 is NaN: it must be a number, at an instant that is one"},
		{"no part", bad(func(s *FitSample) { s.Of = 7 }), prior, "part of sample 25 is 7: it must be the point, the arm or the body"},
		{"no time", good, Movement{Arm: metres(.4, .1)}, "prior arm time is 0: it must be at least 0.001 s, since the movement has a length"},
	} {
		_, err := Fit(r.samples, r.prior, onset)
		if err == nil || err.Error() != r.want {
			t.Errorf("%s:\n got %v\nwant %s", r.name, err, r.want)
		}
	}
	var little *TooLittleError
	if _, err := Fit(nil, prior, onset); !errors.As(err, &little) || little.Mend == "" {
		t.Errorf("%v is not what says how to mend it", err)
	}
}

// The widening of independent residuals is small, that of a walk is not.
func TestWidening(t *testing.T) {
	rng := rand.New(rand.NewPCG(2, 3))
	alone, walk := 0.0, 0.0
	const series, n = 200, 60
	for range series {
		a, b := make([]float64, n), make([]float64, n)
		e := rng.NormFloat64()
		for i := range a {
			a[i], b[i] = rng.NormFloat64(), e
			e = .8*e + .6*rng.NormFloat64()
		}
		alone += widening(a, 0) / series
		walk += widening(b, 0) / series
	}
	if alone > 1.15 {
		t.Errorf("independent residuals are widened by %.3f on average", alone)
	}
	// (1 + 0.8)/(1 − 0.8) = 9 by Bartlett; less what chance takes of it.
	if walk < 2.2 || walk > 3.2 {
		t.Errorf("residuals with a correlation of 0.8 are widened by %.3f on average, want about 3", walk)
	}
	if w := widening(make([]float64, 9), 4); w != 1 {
		t.Errorf("a perfect fit is widened by %v", w)
	}
	if w := widening([]float64{3, -3, 3, -3, 3, -3, 3, -3}, 0); math.Abs(w-3) > 1e-12 {
		t.Errorf("residuals of three SDs are widened by %v", w)
	}
}

// A fencer unlike the prior, by six of its SDs: over 200 seeded fits the intervals hold
// the truth about as often as they should, where those of a prior that pulls by all six
// hold it far too seldom; and the fit says how unlike.
func TestFitOfAFencerUnlikeThePrior(t *testing.T) {
	if testing.Short() {
		t.Skip("counts one thing after the other")
	}
	const fits = 200
	lunge, err := Default(Lunge, "", "")
	if err != nil {
		t.Fatal(err)
	}
	onset := seconds(.30, .02)
	slow := lunge
	slow.ArmTime = seconds(.47, 1e-9) // 6 SDs from 0.23 ± 0.04
	rng := rand.New(rand.NewPCG(8, 8))
	held, hard := 0, 0
	for range fits {
		_, samples := simulated(rng, slow, onset, []FitPart{OfArm, OfBody}, 50, 1.6, .01, 0)
		got, err := Fit(samples, lunge, onset)
		if err != nil {
			t.Fatal(err)
		}
		pulled, err := unwidened(samples, lunge, onset)
		if err != nil {
			t.Fatal(err)
		}
		if got.Movement.ArmTime.Covers(.47) {
			held++
		}
		if pulled.Movement.ArmTime.Covers(.47) {
			hard++
		}
		if got.Unlike < 4.5 || got.Unlike > 7.5 {
			t.Errorf("an arm time six SDs from its prior is said to be %.1f from it", got.Unlike)
		}
	}
	t.Logf("held by %.3f of the intervals, by %.3f of those that the prior pulls on", float64(held)/fits, float64(hard)/fits)
	if float64(held)/fits < 0.88 || float64(hard)/fits > 0.80 {
		t.Errorf("held by %.3f of the intervals, by %.3f of those that the prior pulls on", float64(held)/fits, float64(hard)/fits)
	}
}

// The valleys of the sum: fencers far from the prior, whose point alone was followed. From
// the prior alone the search ends in a wrong valley often, from all starts hardly ever: a
// wrong one leaves residuals of more than twice the noise.
func TestFitFindsTheRightValley(t *testing.T) {
	if testing.Short() {
		t.Skip("counts one thing after the other")
	}
	const fits, noise = 300, .006
	lunge, err := Default(Lunge, "", "")
	if err != nil {
		t.Fatal(err)
	}
	onset := seconds(.30, .05)
	rng := rand.New(rand.NewPCG(3, 3))
	missed, alone := 0, 0
	for range fits {
		m := lunge
		m.ArmTime = seconds(.1+.5*rng.Float64(), 1e-9)
		m.BodyTime = seconds(.4+.9*rng.Float64(), 1e-9)
		m.Delay = seconds(-.2+.5*rng.Float64(), 1e-9)
		m.Arm = metres(.12+.5*rng.Float64(), 1e-9)
		_, samples := simulated(rng, m, seconds(.15+.3*rng.Float64(), 1e-9), []FitPart{OfPoint}, 50, 1.6, noise, 0)
		f, err := newFit(samples, lunge, onset)
		if err != nil {
			t.Fatal(err)
		}
		if got, err := Fit(samples, lunge, onset); err != nil || got.RMS > 2*noise {
			missed++
		}
		if s, err := f.best(f.starts()[:1]); err != nil || f.fitted(s).RMS > 2*noise {
			alone++
		}
	}
	t.Logf("%d of %d missed, %d from the prior alone", missed, fits, alone)
	if missed > fits/30 || alone < fits/20 {
		t.Errorf("%d of %d missed, %d from the prior alone", missed, fits, alone)
	}
}

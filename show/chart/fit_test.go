package chart

import (
	"errors"
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"mesure/quantity"
	"mesure/show/plate"
	"mesure/sport/mark"
	"mesure/study"
	"mesure/timing"
)

// fits is a profile with a lunge and an extension, followed with noise, made up.
func fits(t testing.TB) study.Profile {
	t.Helper()
	p := study.Profile{Who: mark.Right}
	rng := rand.New(rand.NewPCG(5, 5))
	for i, action := range []string{timing.Lunge, timing.Extension} {
		prior, err := timing.Default(action, "f", "club")
		if err != nil {
			t.Fatal(err)
		}
		own := prior
		own.Arm = quantity.Normal(prior.Arm.Mean+0.04, 0.02)
		own.ArmTime = quantity.Normal(prior.ArmTime.Mean-0.04, 0.012)
		if i == 0 {
			own.Body = quantity.Normal(prior.Body.Mean+0.05, 0.03)
			own.BodyTime = quantity.Normal(prior.BodyTime.Mean*0.9, 0.02)
			own.Delay = quantity.Normal(prior.Delay.Mean+0.01, prior.Delay.SD)
		}
		f := study.Fit{Action: action, Take: "live", From: 80, To: 110, Prior: prior, Fitted: own, SeenArm: 1}
		end := float64(own.ArmTime.Mean)
		if i == 0 {
			end, f.SeenBody = float64(own.Delay.Mean+own.BodyTime.Mean), 1
		}
		sum := 0.0
		for k := -2; float64(k)/50 < end+0.06; k++ {
			at := quantity.Seconds(float64(k) / 50)
			off := 0.012 * rng.NormFloat64()
			sum += off * off
			f.Data = append(f.Data, study.FitPoint{At: at, Travel: own.Travel(at) + quantity.Metres(off), SD: 0.012})
		}
		f.RMS = quantity.Metres(math.Sqrt(sum / float64(len(f.Data))))
		for k := range 61 {
			at := quantity.Seconds(-0.04 + (end+0.1)*float64(k)/60)
			f.Curve = append(f.Curve, study.FitPoint{At: at, Travel: own.Travel(at)})
		}
		p.Fits = append(p.Fits, f)
	}
	return p
}

// The usual curve is the travel of the prior, and what a fit leaves over is against the
// fitted curve: the root of its mean square is that of the fit.
func TestAFitIsToScale(t *testing.T) {
	p := fits(t)
	c := &fitted{o: Options{}.themed(), p: p, f: p.Fits[0]}
	c.extent()
	for _, u := range c.usual {
		if want := p.Fits[0].Prior.Travel(u.At); u.Travel != want {
			t.Fatalf("the usual curve at %v is %v, not %v", u.At, u.Travel, want)
		}
	}
	sum := 0.0
	for _, d := range c.f.Data {
		r := float64(d.Travel) - c.onCurve(float64(d.At))
		sum += r * r
	}
	if got, want := math.Sqrt(sum/float64(len(c.f.Data))), float64(c.f.RMS); math.Abs(got-want) > 0.0005 {
		t.Errorf("%.4f m are left over, not %.4f", got, want)
	}
	// Where the body was not followed, the usual curve is that of the arm alone.
	c.f = p.Fits[0]
	c.f.SeenBody = 0
	c.usual = nil
	c.extent()
	if got, want := c.usual[len(c.usual)-1].Travel, p.Fits[0].Prior.Arm.Mean; math.Abs(float64(got-want)) > 1e-9 {
		t.Errorf("without the body the usual curve ends at %v, not %v", got, want)
	}
}

func TestAFitIsSaid(t *testing.T) {
	p := fits(t)
	d, err := Fit(p, 0, Options{})
	if err != nil {
		t.Fatal(err)
	}
	s := strings.Join(linesOf(d), "\n")
	f := p.Fits[0]
	for _, want := range []string{"now " + plate.Metres(f.Fitted.Arm), "usual " + plate.Metres(f.Prior.Arm), "now " + plate.Milliseconds(f.Fitted.ArmTime), "usual " + plate.Milliseconds(f.Prior.BodyTime), "as before"} {
		if !strings.Contains(s, want) {
			t.Errorf("%q is not said", want)
		}
	}
	if !strings.Contains(d.Title, plate.Metres(f.Fitted.Body)) {
		t.Errorf("title %q", d.Title)
	}
	nan := quantity.Metres(math.NaN())
	p.Fits[0].Data[1].Travel, p.Fits[0].Curve[0].Travel = nan, nan
	p.Fits[0].Fitted.Arm.Lo = nan
	if _, err := Fit(p, 0, Options{}); err != nil {
		t.Errorf("a place that is none: %v", err)
	}
	p.Fits[0].Data = nil
	if _, err := Fit(p, 0, Options{}); !errors.Is(err, ErrNoFit) {
		t.Errorf("without data: %v", err)
	}
}

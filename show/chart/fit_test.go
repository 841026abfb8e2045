package chart

import (
	"math"
	"math/rand/v2"
	"testing"

	"mesure/quantity"
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
		f := study.Fit{Action: action, Take: "live", From: 80, To: 110, Prior: prior, Fitted: own}
		end := float64(own.ArmTime.Mean)
		if i == 0 {
			end = float64(own.Delay.Mean + own.BodyTime.Mean)
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

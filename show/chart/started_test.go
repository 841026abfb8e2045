package chart

import (
	"math/rand/v2"
	"testing"

	"mesure/quantity"
	"mesure/sport/mark"
	"mesure/study"
	"mesure/timing"
)

// starts is a lunge of the left fencer into the right one's step, made up.
func starts(t testing.TB) *study.Reading {
	r := reading(t)
	frame := func(side mark.Side, part string, at float64, kind, moment string) study.StartOf {
		s := study.StartOf{Start: timing.Start{Side: int(side), Part: part, Time: quantity.Uniform(quantity.Seconds(at-0.02), quantity.Seconds(at+0.02)), Uniform: true}, Kind: kind, Take: "live", By: mark.Frame(50 * at)}
		if moment == "" {
			s.Proposal = part + "-proposed"
		}
		s.Moment = moment
		return s
	}
	soft := frame(mark.Right, "blade", 2.41, study.OnsetStarts, "")
	soft.Time, soft.Uniform = quantity.Normal(quantity.Seconds(2.41), 0.03), false
	all := []study.StartOf{
		frame(mark.Right, "front foot", 2.10, study.OnsetLifts, ""), frame(mark.Left, "hand", 2.20, study.OnsetStarts, "hand"),
		frame(mark.Left, "front foot", 2.23, study.OnsetLifts, "foot"), frame(mark.Right, "rear foot", 2.32, study.OnsetLifts, ""),
		soft, frame(mark.Right, "hand", 2.44, study.OnsetStarts, ""),
	}
	var plain []timing.Start
	for _, s := range all {
		plain = append(plain, s.Start)
	}
	order, err := timing.StartOrder(plain, 2000, rand.NewPCG(3, 3))
	if err != nil {
		t.Fatal(err)
	}
	lag, err := timing.HandToFoot(plain[1], plain[2])
	if err != nil {
		t.Fatal(err)
	}
	tempi, speed := quantity.Normal(quantity.Ratio(2.1), 0.4), quantity.Normal(quantity.MetresPerSecond(0.9), 0.2)
	r.Timing = &study.Timing{At: study.At{Take: "live", Frame: 130}, Started: &study.Started{
		Starts: all, Order: order, Lags: [2]*timing.Lag{&lag, nil},
		Launch:  &study.Launch{Who: mark.Left, At: all[1].Time, Take: "live", By: 110, Into: study.LaunchIntoAdvance, Chance: 0.86, OppSpeed: &speed, Tempi: &tempi},
		Tempo:   [2]quantity.Of[quantity.Seconds]{quantity.Normal(quantity.Seconds(0.23), 0.04), quantity.Normal(quantity.Seconds(0.26), 0.03)},
		Finding: "Right started first, in 100 of 100. Left’s hand and front foot started together as far as the picture tells. Left launched into the opponent’s advance",
	}}
	return r
}

// startsOf keeps a few of them.
func startsOf(t testing.TB, keep ...int) *study.Reading {
	r := starts(t)
	s := r.Timing.Started
	var all []study.StartOf
	var plain []timing.Start
	for _, i := range keep {
		all, plain = append(all, s.Starts[i]), append(plain, s.Starts[i].Start)
	}
	order, err := timing.StartOrder(plain, 2000, rand.NewPCG(3, 3))
	if err != nil {
		t.Fatal(err)
	}
	s.Starts, s.Order, s.Lags, s.Launch = all, order, [2]*timing.Lag{}, nil
	s.Finding = "Right’s blade and hand: which started first cannot be told"
	return r
}

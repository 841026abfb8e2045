package chart

import (
	"math/rand/v2"
	"testing"

	"mesure/quantity"
	"mesure/sport/mark"
	"mesure/study"
	"mesure/timing"
)

// thrust is a straight thrust to the chest of the right fencer, made up.
func thrust() timing.Parry {
	return timing.Parry{
		Places: quantity.Independent([]float64{
			-1.30, 0.00, 1.25, // attacker's hand
			-0.42, 0.02, 1.26, // attacker's point
			-0.45, -0.15, 1.15, // defender's hand
			-1.25, -0.06, 1.40, // defender's point
			0.00, 0.00, 1.00, // the trunk, from here
			0.00, 0.00, 1.45, // to here
			-1.20, 0.05, 1.20, // the aim of the defender
		}, []float64{.02, .04, .02, .02, .04, .02, .02, .04, .02, .02, .04, .02, .02, .03, .02, .02, .03, .02, .02, .03, .02}),
		Radius: quantity.Normal(quantity.Metres(0.15), 0.01),
		Margin: timing.ParryMargin,
	}
}

// moved is a parry with one place moved.
func moved(p timing.Parry, s timing.Spot, x, y, z float64) timing.Parry {
	m := append([]float64(nil), p.Places.Mean...)
	copy(m[3*int(s):], []float64{x, y, z})
	p.Places = quantity.Joint{Mean: m, Cov: p.Places.Cov}
	return p
}

// mirrored is the same parry with the fencers on the other sides.
func mirrored(p timing.Parry) timing.Parry {
	m := append([]float64(nil), p.Places.Mean...)
	for i := 0; i < len(m); i += 3 {
		m[i] = -m[i]
	}
	p.Places = quantity.Joint{Mean: m, Cov: p.Places.Cov}
	return p
}

func asks(t testing.TB, p timing.Parry) timing.Asked {
	t.Helper()
	a, err := p.Ask(400, rand.NewPCG(1, 1))
	if err != nil {
		t.Fatal(err)
	}
	return a
}

// parryOf is a reading of an invented touch with the parry of one instant.
func parryOf(t testing.TB, p timing.Parry, defender mark.Side) *study.Reading {
	r := reading(t)
	r.Timing = &study.Timing{At: study.At{Take: "live", Frame: 104}, Attacker: defender.Other(), Parry: &study.ParryReading{
		Defender: defender, Zone: mark.Chest, Parry: p, Asked: asks(t, p),
		Time: quantity.Normal[quantity.Seconds](0.19, 0.04), Usual: quantity.Normal[quantity.Seconds](0.17, 0.03),
	}}
	return r
}

// coming adds what the parry is asked as the attack comes on: by the same geometry, with
// the attacker nearer.
func coming(t testing.TB, r *study.Reading) *study.Reading {
	p := r.Timing.Parry
	for i := range 7 {
		closed := 0.07 * float64(i)
		q := p.Parry
		for _, s := range []timing.Spot{timing.AttackersHand, timing.AttackersPoint} {
			at := placeOf(q, s)
			q = moved(q, s, at[0]+closed, at[1], at[2])
		}
		a := asks(t, q)
		step := study.ParryStep{Closed: quantity.Exactly(quantity.Metres(closed)), HandToZone: a.HandToZone, Turn: a.Smallest}
		if a.Best != nil {
			step.Path, step.Travel, step.Sweep = a.Best.Path, a.Best.Travel, a.Best.Sweep
		}
		p.Course = append(p.Course, step)
	}
	return r
}

// parrySeen is the same with a parry that was seen, and the riposte after it.
func parrySeen(t testing.TB) *study.Reading {
	r := parryOf(t, thrust(), mark.Right)
	after := moved(moved(moved(moved(thrust(), timing.AttackersHand, -1.0, 0, 1.25), timing.AttackersPoint, -0.17, -0.26, 1.27),
		timing.DefendersHand, -0.42, -0.27, 1.16), timing.DefendersPoint, -1.2, -0.1, 1.42)
	j, err := timing.Judge(thrust(), after, 400, rand.NewPCG(2, 2))
	if err != nil {
		t.Fatal(err)
	}
	r.Timing.Parry.Observed = &study.ObservedParry{Judged: j}
	way := func(own, both, other float64) timing.RiposteWay {
		c := func(v float64) quantity.Of[quantity.Chance] { return quantity.FromCounts(int(v*400), 400) }
		return timing.RiposteWay{RiposteOnly: c(own), Both: c(both), RemiseOnly: c(other), Neither: c(1 - own - both - other)}
	}
	r.Timing.Parry.Riposte = &study.Riposte{Result: timing.Riposte{Direct: way(.55, .3, .1), AlongTheBlade: way(.8, .1, .02), Indirect: way(.2, .45, .35)},
		Finding: "Along the blade the riposte lights alone in 80 of 100, because the other blade is held; with a disengage the remise has time to double."}
	return r
}

// aside is a line that passes the target.
func aside(t testing.TB) *study.Reading {
	return parryOf(t, moved(thrust(), timing.AttackersPoint, -0.44, 0.32, 1.30), mark.Right)
}

// low is a thrust of the right fencer to the forearm from below, which is parried
// upwards or downwards.
func low(t testing.TB) *study.Reading {
	p := mirrored(thrust())
	for s, x := range map[timing.Spot][3]float64{
		timing.AttackersHand: {1.05, 0, 1.10}, timing.AttackersPoint: {0.2, 0.01, 1.18}, timing.DefendersHand: {0.1, -0.02, 1.30},
		timing.DefendersPoint: {0.97, 0, 1.18}, timing.ZoneFrom: {0.08, -0.02, 1.28}, timing.ZoneTo: {-0.18, -0.04, 1.18}} {
		p = moved(p, s, x[0], x[1], x[2])
	}
	p.Radius = quantity.Normal(quantity.Metres(0.05), 0.005)
	r := parryOf(t, p, mark.Left)
	r.Timing.Parry.Zone = mark.Forearm
	return r
}

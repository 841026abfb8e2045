package chart

import (
	"testing"

	"mesure/quantity"
	"mesure/sport/mark"
	"mesure/study"
	"mesure/timing"
)

// stance is a made-up stance; places count towards the opponent.
func stance(rear, front, hip, speed, onRear, onFront float64, lands quantity.Of[quantity.Seconds]) timing.Stance {
	m := func(v, sd float64) quantity.Of[quantity.Metres] {
		return quantity.Normal(quantity.Metres(v), quantity.Metres(sd))
	}
	s := timing.Stance{
		Front: timing.Foot{At: m(front, .03), OnFloor: quantity.Chance(onFront)}, Rear: timing.Foot{At: m(rear, .03), OnFloor: quantity.Chance(onRear)},
		Hip: m(hip, .04), Speed: quantity.Normal(quantity.MetresPerSecond(speed), 0.15), Height: 0.86,
	}
	if onFront < 0.5 {
		s.Front.Lands = lands
	}
	if onRear < 0.5 {
		s.Rear.Lands = lands
	}
	return s
}

func commitOf(t testing.TB, s timing.Stance, finding string) *study.Commit {
	t.Helper()
	c, err := timing.Commit(s)
	if err != nil {
		t.Fatal(err)
	}
	return &study.Commit{Commitment: c, Stance: s, Base: quantity.Normal(s.Front.At.Mean-s.Rear.At.Mean, 0.04), Finding: finding}
}

// standing is a lunge on its way against a fencer who stands.
func standing(t testing.TB) *study.Reading {
	r := reading(t)
	lands := quantity.Normal(quantity.Seconds(0.14), 0.02)
	r.Timing = &study.Timing{At: study.At{Take: "live", Frame: 104}, Commits: [2]*study.Commit{
		commitOf(t, stance(-1.95, -1.05, -1.3, 1.7, 0.97, 0.04, lands), "Left’s front foot is in the air: no way back before it lands, in 140 ± 20 ms"),
		commitOf(t, stance(-1.45, -0.75, -1.15, -0.1, 0.98, 0.98, lands), "Right stands on both feet: forward and back are both open"),
	}}
	return r
}

// running is a flèche of the right fencer in flight, of whose landing nothing is known,
// against one whose hip is not marked; they are too far apart for one floor.
func running(t testing.TB) *study.Reading {
	r := standing(t)
	left := commitOf(t, stance(-4.6, -3.9, -4.25, 0.9, 0.9, 0.8, quantity.Of[quantity.Seconds]{}), "Left runs on over the front foot at 0.9 ± 0.2 m/s: the way back takes one more step, about 350 ± 60 ms")
	left.OverBase = quantity.Of[quantity.Ratio]{}
	r.Timing.Commits = [2]*study.Commit{left, commitOf(t, stance(-1.45, -0.75, -0.95, 2.6, 0.1, 0.2, quantity.Of[quantity.Seconds]{}), "Right is in the air with both feet: nothing but the arm before a foot lands (the landing was not seen)")}
	return r
}

// alone is one fencer only.
func alone(t testing.TB) *study.Reading {
	r := standing(t)
	r.Timing.Commits[mark.Left] = nil
	r.Timing.Lacks = []study.Lack{{Part: study.PartCommit, Side: mark.Left, Why: "left's rear foot is not known on frame 104", Mend: "mark toe or heel of the rear foot on it"}}
	return r
}

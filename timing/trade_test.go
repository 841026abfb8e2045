package timing

import (
	"math"
	"testing"

	"mesure/quantity"
)

// Rules of thumb of the trade, as checks of the defaults. Common practice, no
// source, unless said otherwise.

// T8: a straight flèche from about 3 m does not beat a parry. It would need a
// mean speed of the point of 8.5 m/s from the start of the parry (0.353 s of
// defence: Gutiérrez-Dávila, J. Appl. Biomech. 32:548, 2016) and of 5.4 m/s with
// 200 ms of reaction before it.
func TestTradeFlecheFromAfar(t *testing.T) {
	const from, defence = 3.0, 0.353
	approx(t, "speed from the start of the parry", from/defence, 8.5, .05)
	approx(t, "speed with the reaction", from/(defence+float64(VisualReaction)), 5.4, .05)
	m := movement(t, Fleche)
	if _, ok := m.TimeTo(from); ok {
		t.Error("the usual flèche reaches 3 m")
	}
	// Even one that is long enough, at the top speed that was measured (2.89 m/s),
	// arrives after the defender has reacted and parried.
	m.Body = quantity.Exactly(quantity.Metres(from) - ArmTravel + .3)
	m.BodyTime = quantity.Exactly(quantity.Seconds(PeakSpeedFactor * float64(m.Body.Mean) / 2.89))
	at, ok := m.TimeTo(from)
	if !ok || at < VisualReaction+defence {
		t.Errorf("a long flèche arrives at %v (%v), reaction and parry need %v", at, ok, VisualReaction+defence)
	}
	if at < VisualReaction+CircularParryTime+2*CircularParryTimeSD {
		t.Error("not even the slow circular parry is in time")
	}
}

// T10: the latest starts before the attacker's hit. A parry may be later than a
// counter-attack for a single light; a counter for a double may be later than
// one for a single.
func TestTradeLatestStarts(t *testing.T) {
	const window, sure = quantity.Seconds(.045), quantity.Seconds(.050)
	parry := ParryTime
	for _, gap := range []quantity.Metres{.38, .40, .44} { // a counter that needs most of the arm
		counter, ok := movement(t, Extension).TimeTo(gap)
		if !ok {
			t.Fatalf("the arm does not reach %v", gap)
		}
		double, single := counter-window, counter+sure
		if !(parry < single && double < single) {
			t.Errorf("gap %v: parry %v, double %v, single %v", gap, parry, double, single)
		}
		// The ranges of the trade: parry 150 to 200 ms, single 200 to 345 with an
		// arm of 180 to 320 ms.
		if !(single >= .200 && single <= .345) || !(double >= .100 && double <= .255) {
			t.Errorf("gap %v: double %v, single %v", gap, double, single)
		}
	}
	if !(parry >= .150 && parry <= .200) {
		t.Errorf("parry %v", parry)
	}
	// The whole extension lies in the trade's own ranges.
	whole := ArmTime
	if d := whole - window; !(d >= .175 && d <= .255) {
		t.Errorf("counter for a double %v before the hit", d)
	}
	if s := whole + sure; !(s >= .265 && s <= .345) {
		t.Errorf("counter for a single %v before the hit", s)
	}
	// Against a short gap to the hand the double-counter is later than the parry.
	quick, _ := movement(t, Extension).TimeTo(.10)
	if !(quick-window < parry) {
		t.Errorf("a short counter needs %v", quick)
	}
}

// distance between two places without spread, in metres.
func distance(a, b [3]quantity.Metres) float64 {
	return float64(quantity.Distance([3]quantity.Metres{b[0] - a[0], b[1] - a[1], b[2] - a[2]}, [3][3]float64{}).Mean)
}

// T13: an attack to the toe travels further than one to the shoulder, and the
// arm alone reaches the toe only from closer.
func TestTradeToeIsFarther(t *testing.T) {
	const reach, ahead, high = 1.655, .30, 1.25 // shoulder to point, foot before the shoulder, shoulder above the floor
	shoulder := [3]quantity.Metres{0, 0, high}
	target := func(d float64) (toe, other float64) {
		return distance(shoulder, [3]quantity.Metres{quantity.Metres(d - ahead), 0, 0}),
			distance(shoulder, [3]quantity.Metres{quantity.Metres(d), 0, high})
	}
	toe, other := target(reach)
	approx(t, "toe", toe, 1.844, 5e-4)
	approx(t, "shoulder", other, 1.655, 1e-9)
	limit := ahead + math.Sqrt(reach*reach-high*high)
	approx(t, "arm alone", limit, 1.385, 5e-4)
	at, _ := target(limit)
	approx(t, "toe there", at, reach, 1e-9)
	// So the same lunge arrives later at the toe.
	lunge := movement(t, Lunge)
	base := quantity.Metres(reach) - ArmTravel - .6 // how far the point is ahead of the shoulder at launch
	a, okA := lunge.TimeTo(quantity.Metres(other) - base)
	b, okB := lunge.TimeTo(quantity.Metres(toe) - base)
	if !okA || !okB || a >= b {
		t.Errorf("shoulder at %v (%v), toe at %v (%v)", a, okA, b, okB)
	}
}

// T15: the hand is the nearest target, and the point arrives there first.
func TestTradeHandIsNearest(t *testing.T) {
	// The opponent on guard, in metres from their front foot backwards, lengths of
	// segments for a stature of 1.80 m (Drillis and Contini 1964).
	const h = 1.80
	shoulder := [3]quantity.Metres{.45, 0, 1.25}
	elbow := [3]quantity.Metres{shoulder[0] - .186*h*.75, 0, shoulder[2] - .186*h*.66}
	hand := [3]quantity.Metres{elbow[0] - .254*h*.98, 0, elbow[2] + .254*h*.2}
	hip := [3]quantity.Metres{.55, 0, .80}
	checked := 0
	for _, d := range []quantity.Metres{.2, .6, 1.2, 2} { // from the point to the hand, along the piste
		for _, z := range []quantity.Metres{1.0, 1.1, 1.2, 1.3} {
			point := [3]quantity.Metres{hand[0] - d, 0, z}
			last, lastAt := 0.0, quantity.Seconds(0)
			for _, to := range [][3]quantity.Metres{hand, elbow, shoulder, hip} {
				gap := distance(point, to)
				if gap < last {
					t.Errorf("%v before the hand at %v: %v is nearer", d, z, to)
				}
				last = gap
				if at, ok := movement(t, StepLunge).TimeTo(quantity.Metres(gap)); ok {
					if at < lastAt {
						t.Errorf("arrives at %v earlier", to)
					}
					lastAt = at
				}
				checked++
			}
		}
	}
	if checked != 64 {
		t.Fatalf("checked %d", checked)
	}
}

// T20: of two fencers with the same footwork there is a band of distance, as
// wide as the difference of their reach, in which only the longer one can hit.
func TestTradeLongerReach(t *testing.T) {
	const more = .08
	long, short := fixed(t, Lunge), fixed(t, Lunge)
	long.Arm = quantity.Exactly(long.Arm.Mean + more)
	edge := float64(short.Reach().Mean)
	approx(t, "band", float64(long.Reach().Mean)-edge, more, 1e-12)
	only := 0.0
	const step = .001
	for gap := edge - .1; gap < edge+.2; gap += step {
		// One moves at a time: who stands still is the target.
		hits := func(m Movement) bool {
			r := Race{Runners: [2]Runner{
				{Gap: quantity.Exactly(quantity.Metres(gap)), Movement: m},
				{Gap: quantity.Exactly(quantity.Metres(gap)), Movement: fixed(t, None)},
			}}
			got, err := r.Run(Apparatus{Window: .045}, 1, nil)
			if err != nil {
				t.Fatal(err)
			}
			return got.LeftOnly.Mean == 1
		}
		l, s := hits(long), hits(short)
		if s && !l {
			t.Fatalf("at %g only the shorter one hits", gap)
		}
		if l && !s {
			only += step
		}
	}
	approx(t, "width of the band", only, more, 2*step)
}

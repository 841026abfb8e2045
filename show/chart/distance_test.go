package chart

import (
	"errors"
	"fmt"
	"math/rand/v2"
	"testing"

	"mesure/quantity"
	"mesure/sport/mark"
	"mesure/study"
	"mesure/timing"
)

// mapped is a reading with the distance map of an exchange and these stops: gap, its
// SD, lead and its SD.
func mapped(t testing.TB, x timing.Exchange, g timing.Grid, here int, stops ...[4]float64) *study.Reading {
	t.Helper()
	m, err := x.Map(epeeBox(), g, 3000, rand.NewPCG(7, 7))
	if err != nil {
		t.Fatal(err)
	}
	names := []string{"right steps in", "left launches", "right’s hand answers", "the blades meet", "the hit"}
	var in []timing.Instant
	for i, s := range stops {
		name := fmt.Sprintf("frame %d", 40+i)
		if i < len(names) {
			name = names[i]
		}
		in = append(in, timing.Instant{Name: name, At: quantity.Normal(quantity.Seconds(1.5+.05*float64(i)), .01),
			Gap: quantity.Normal(quantity.Metres(s[0]), quantity.Metres(s[1])), Lead: quantity.Normal(quantity.Seconds(s[2]), quantity.Seconds(s[3]))})
	}
	path, err := m.Path(in)
	if err != nil {
		t.Fatal(err)
	}
	r := reading(t)
	r.Timing = &study.Timing{At: study.At{Take: "live", Frame: 42}, Moment: "launch", Attacker: mark.Left,
		Map: &study.Map{DistanceMap: m, Attacker: mark.Left, Target: mark.Chest, Path: path, Here: here, Reach: timing.DefaultReach(),
			Finding: "At the launch the extension still doubles; 150 ms later only the parry serves"}}
	return r
}

func distanceCases(t testing.TB) map[string]*study.Reading {
	touch := mapped(t, exchange(t, timing.Lunge, 1.2, .1), timing.DefaultGrid(), 1,
		[4]float64{1.62, .05, 0, 0}, [4]float64{1.2, .04, 0, 0}, [4]float64{1.2, .04, .15, .012}, [4]float64{1.2, .04, .26, .012}, [4]float64{1.2, .04, .42, .02})

	// The right fencer attacks; many stops close together, one beyond the map.
	var many [][4]float64
	for i := range 14 {
		many = append(many, [4]float64{1.3 - .03*float64(i), .03, .02 * float64(i), .01})
	}
	many = append(many, [4]float64{3.6, .1, .1, .02})
	crowd := mapped(t, exchange(t, timing.StepLunge, 1.2, -.2), timing.DefaultGrid(), 12, many...)
	crowd.Timing.Attacker, crowd.Timing.Map.Attacker = mark.Right, mark.Right
	crowd.Timing.Map.Target = mark.UpperArm

	// A small grid, no stop, no reach, a much longer arm.
	bare := mapped(t, exchange(t, timing.Extension, 1.2, -.6), timing.Grid{GapFrom: .1, GapTo: 1.4, Gaps: 12, LeadFrom: 0, LeadTo: .3, Leads: 8}, -1)
	bare.Timing.Map.Reach = timing.Reach{}
	bare.Timing.Map.Finding = ""
	return map[string]*study.Reading{"touch": touch, "crowd": crowd, "small": bare}
}

func TestDistanceGolden(t *testing.T) {
	golden(t, "distance", drawAll(t, distanceCases(t), Distance), "touch-wide-paper", "touch-phone-paper", "touch-wide-night", "crowd-phone-night", "crowd-wide-paper", "small-wide-bare")
}

func TestDistanceStandsFree(t *testing.T) { standsFree(t, drawAll(t, distanceCases(t), Distance)) }

func TestNoMapIsANamedError(t *testing.T) {
	r := reading(t)
	for _, tm := range []*study.Timing{nil, {}, {Map: &study.Map{}}} {
		r.Timing = tm
		if _, err := Distance(r, Options{}); !errors.Is(err, ErrNoMap) {
			t.Errorf("%+v gives %v", tm, err)
		}
	}
}

func BenchmarkDistance(b *testing.B) {
	r := mapped(b, exchange(b, timing.Lunge, 1.2, .1), timing.DefaultGrid(), 1,
		[4]float64{1.62, .05, 0, 0}, [4]float64{1.2, .04, 0, 0}, [4]float64{1.2, .04, .15, .012}, [4]float64{1.2, .04, .26, .012}, [4]float64{1.2, .04, .42, .02})
	for b.Loop() {
		if _, err := Distance(r, Options{}); err != nil {
			b.Fatal(err)
		}
	}
}

package timing

import (
	"math"
	"testing"

	"mesure/quantity"
)

// TestWindowsOfAnAttackOnItsWay: an answer is started now or later, however long ago
// the attack could be seen. A defender who could have reacted a second ago still needs
// the time of the parry from now on: closed form with exact numbers.
func TestWindowsOfAnAttackOnItsWay(t *testing.T) {
	x := lungeAt(t, 1.2, 1.3)
	exact := func(q quantity.Of[quantity.Metres]) quantity.Of[quantity.Metres] { return quantity.Exactly(q.Mean) }
	second := func(q quantity.Of[quantity.Seconds]) quantity.Of[quantity.Seconds] { return quantity.Exactly(q.Mean) }
	m := &x.Attack.Movement
	m.Arm, m.Body = exact(m.Arm), exact(m.Body)
	m.ArmTime, m.BodyTime, m.Delay = second(m.ArmTime), second(m.BodyTime), second(m.Delay)
	x.Attack.Gap, x.Attack.Cue = quantity.Exactly(quantity.Metres(0.2)), quantity.Exactly(quantity.Ratio(0.05))
	x.Attack.Onset = Observed(quantity.Exactly(quantity.Seconds(-0.45)), false)
	w := windows(t, x, 2000, 1)
	if w.Ready.Mean != 0 || w.Ready.SD != 0 {
		t.Fatalf("ready %v, want now: cue at %v", w.Ready, w.Cue.At)
	}
	hit := w.Hit.Mean
	for _, parry := range []quantity.Seconds{hit - 0.001, hit + 0.001} {
		x.Defence.Lateral = quantity.Exactly(parry)
		got, want := inTime(t, windows(t, x, 2000, 1), ParryLateral), 0.0
		if parry < hit {
			want = 1
		}
		if math.Abs(got-want) > 1e-4 { // the tail of the reaction
			t.Errorf("hit in %v, parry takes %v: in time %v, want %v", hit, parry, got, want)
		}
	}
}

package timing

import (
	"math"
	"math/rand/v2"
	"testing"

	"mesure/quantity"
)

// TestComingDefenderAgainstTheRace: an attack on a defender who comes forward arrives
// when the race of the same two says so (second route: Race.Run, which has the
// opponent's body in its closing), and a straight arm that waits is run onto.
func TestComingDefenderAgainstTheRace(t *testing.T) {
	lunge := movement(t, Lunge)
	stop := movement(t, Extension)
	x := Exchange{Attack: NewAttack(quantity.Normal(quantity.Metres(0.9), .03), stop), Defence: NewDefence(quantity.Normal(quantity.Metres(1.2), .03))}
	x.Defence.Coming = Runner{Movement: lunge, Onset: Observed(quantity.Normal(quantity.Seconds(-0.1), .01), false)}
	x.Attack.TargetOnArm = 0.5
	w := windows(t, x, 40_000, 3)
	r := Race{Runners: [2]Runner{
		{Gap: x.Attack.Gap, Movement: stop, TargetOnArm: 0.5},
		{Gap: x.Defence.Gap, Movement: lunge, Onset: x.Defence.Coming.Onset},
	}}
	want, err := r.Run(epee(), 40_000, rand.NewPCG(9, 9))
	if err != nil {
		t.Fatal(err)
	}
	got, arrival := w.Hit, want.Runs[Left].Arrival
	if math.Abs(float64(got.Mean-arrival.Mean)) > 0.003 || math.Abs(float64(got.SD-arrival.SD)) > 0.003 {
		t.Errorf("the attack hits in %v ± %v, in the race in %v ± %v", got.Mean, got.SD, arrival.Mean, arrival.SD)
	}
	if d := math.Abs(float64(w.Arrives.Mean - want.Runs[Left].Arrives.Mean)); d > 0.01 {
		t.Errorf("it arrives in %v, in the race in %v", w.Arrives.Mean, want.Runs[Left].Arrives.Mean)
	}
	x.Defence.Coming = Runner{}
	if still := windows(t, x, 4000, 3); still.Arrives.Mean > 0.01 {
		t.Errorf("an extension of 0.45 m closes 0.9 m in %v", still.Arrives.Mean)
	}
	for name, c := range map[string]Runner{
		"goes back": {Movement: movement(t, Retreat)},
		"reacts":    {Movement: lunge, Onset: Reacting(Visual(), PerChoice(), 1)},
	} {
		x.Defence.Coming = c
		if _, err := x.Windows(epee(), 100, rand.NewPCG(1, 1)); err == nil {
			t.Errorf("a coming defender who %s is accepted", name)
		}
	}
}

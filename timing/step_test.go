package timing

import (
	"math/rand/v2"
	"testing"

	"mesure/quantity"
)

// TestStepBackBuysTheSingleLight: against a lunge that is on its way a counter to the
// chest with a step back lights alone more often than one that stands, and the attack
// hits later (trade fact T11: going back 0.3 m against 1.5 to 2 m/s of closing buys 150
// to 200 ms; common practice, no source). A step forward brings the own point further.
func TestStepBackBuysTheSingleLight(t *testing.T) {
	run := func(action string) Result {
		r := Race{Runners: [2]Runner{
			{Gap: quantity.Normal(quantity.Metres(0.95), .02), Movement: movement(t, Lunge), Onset: Observed(quantity.Exactly(quantity.Seconds(-0.1)), false)},
			{Gap: quantity.Normal(quantity.Metres(0.60), .02), Movement: movement(t, action)},
		}}
		res, err := r.Run(epee(), 20_000, rand.NewPCG(4, 4))
		if err != nil {
			t.Fatal(err)
		}
		return res
	}
	stands, back, in := run(Extension), run(StepBackExtend), run(StepIn)
	if later := back.Runs[Left].Arrival.Mean - stands.Runs[Left].Arrival.Mean; back.Runs[Left].Arrives.Mean > 0.9 && (later < 0.10 || later > 0.30) {
		t.Errorf("the step back makes the attack %v s later", later)
	}
	if back.LeftOnly.Mean+back.Both.Mean >= stands.LeftOnly.Mean+stands.Both.Mean {
		t.Errorf("the attack lights in %v with the step back, %v without", back.LeftOnly.Mean+back.Both.Mean, stands.LeftOnly.Mean+stands.Both.Mean)
	}
	if in.Runs[Right].Arrival.Mean > stands.Runs[Right].Arrival.Mean {
		t.Errorf("with a step forward the counter arrives in %v, without in %v", in.Runs[Right].Arrival.Mean, stands.Runs[Right].Arrival.Mean)
	}
	for _, name := range []string{StepIn, StepBackExtend} {
		m := movement(t, name)
		if m.Arm.Mean != ArmTravel || m.Source == "" {
			t.Errorf("%+v", m)
		}
	}
}

package timing_test

import (
	"fmt"
	"math/rand/v2"

	"mesure/quantity"
	"mesure/timing"
)

// A lunge from medium distance against a fencer who reacts with an extension to
// the advanced hand.
func ExampleRace_Run() {
	lunge, _ := timing.Default(timing.Lunge, "", "club")
	extension, _ := timing.Default(timing.Extension, "", "club")
	race := timing.Race{Runners: [2]timing.Runner{
		timing.Left:  {Gap: quantity.Normal(quantity.Metres(0.95), 0.03), Movement: lunge},
		timing.Right: {Gap: quantity.Normal(quantity.Metres(1.15), 0.03), Movement: extension, Onset: timing.Reacting(timing.Visual(), timing.PerChoice(), 2), TargetOnArm: 1},
	}}
	epee := timing.Apparatus{Window: 0.045, Tolerance: 0.005, ContactMin: 0.002, ContactMax: 0.010}
	result, err := race.Run(epee, 20000, rand.NewPCG(1, 1))
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("right alone %.1f, double %.1f; left is %.0f ms late\n",
		result.RightOnly.Mean, result.Both.Mean, -result.Margin.Mean.Milliseconds())
	// Output: right alone 0.6, double 0.3; left is 66 ms late
}

// The measure of a gap from one fencer's point.
func ExampleReach_Band() {
	band, chance := timing.DefaultReach().Band(quantity.Normal(quantity.Metres(1.1), 0.05))
	fmt.Printf("%s, %.2f\n", band, chance)
	// Output: medium, 0.99
}

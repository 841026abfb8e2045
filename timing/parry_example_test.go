package timing_test

import (
	"fmt"
	"math"
	"math/rand/v2"

	"mesure/quantity"
	"mesure/timing"
)

// A straight thrust to the chest from 1.3 m, and what the parry has to do.
func ExampleParry_Ask() {
	parry := timing.Parry{
		Places: quantity.Independent([]float64{
			-1.30, 0.00, 1.25, // attacker's hand
			-0.42, 0.02, 1.26, // attacker's point
			-0.45, -0.15, 1.15, // defender's hand
			-1.25, -0.06, 1.40, // defender's point
			0.00, 0.00, 1.00, // the trunk, from here
			0.00, 0.00, 1.45, // to here
		}, []float64{
			.02, .05, .02, .02, .05, .02, .02, .05, .02, .02, .05, .02, .02, .03, .02, .02, .03, .02,
		}),
		Radius: quantity.Normal(quantity.Metres(0.15), 0.01),
		Margin: timing.ParryMargin,
	}
	asked, err := parry.Ask(20000, rand.NewPCG(1, 1))
	if err != nil {
		fmt.Println(err)
		return
	}
	degrees := func(r quantity.Radians) float64 { return float64(r) * 180 / math.Pi }
	fmt.Printf("turn the blade by %.0f ± %.0f degrees\n", degrees(asked.Smallest.Mean), degrees(asked.Smallest.SD))
	best := asked.Best
	fmt.Printf("meet it with the %s on its %s, leverage %.0f: no part of the own blade travels more than %.0f cm\n",
		best.Meeting.DefenderPart, best.Meeting.AttackerPart, best.Leverage.Mean, best.Path.Mean.Centimetres())
	// Output:
	// turn the blade by 6 ± 2 degrees
	// meet it with the forte on its foible, leverage 7: no part of the own blade travels more than 23 cm
}

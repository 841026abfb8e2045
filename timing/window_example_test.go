package timing_test

import (
	"fmt"
	"math/rand/v2"

	"mesure/quantity"
	"mesure/timing"
)

// A lunge to the chest from 1.2 m: is there still time to parry?
func ExampleExchange_Windows() {
	lunge, err := timing.Default(timing.Lunge, "", "")
	if err != nil {
		fmt.Println(err)
		return
	}
	x := timing.Exchange{
		Attack:  timing.NewAttack(quantity.Normal(quantity.Metres(1.2), .03), lunge),
		Defence: timing.NewDefence(quantity.Normal(quantity.Metres(1.3), .03)),
	}
	epee := timing.Apparatus{Window: .045, Tolerance: .005, ContactMin: .002, ContactMax: .010}
	w, err := x.Windows(epee, 20000, rand.NewPCG(1, 1))
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, a := range []timing.Answer{timing.ParryLateral, timing.ParryCircular} {
		e, _ := w.Of(a)
		fmt.Printf("%s: in time with %.0f %%\n", a, 100*float64(e.InTime.Mean))
	}
	// Output:
	// parry-lateral: in time with 85 %
	// parry-circular: in time with 68 %
}

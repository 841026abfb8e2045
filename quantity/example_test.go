package quantity_test

import (
	"fmt"
	"math"

	"mesure/quantity"
)

// The gap between a point and a target that are both known to a few centimetres.
func ExampleDistanceBetween() {
	places := quantity.Independent(
		[]float64{0, 0, 1.2, 0.06, 0.02, 1.2},
		[]float64{0.02, 0.05, 0.02, 0.02, 0.05, 0.02})
	gap := quantity.DistanceBetween(places)
	fmt.Printf("%.0f cm, 95 %% between %.0f and %.0f\n", gap.Mean.Centimetres(), gap.Lo.Centimetres(), gap.Hi.Centimetres())
	// Output: 10 cm, 95 % between 3 and 18
}

// Correlated numbers through a formula.
func ExampleJoint_Through() {
	sides := quantity.NewJoint([]float64{3, 4}, []float64{0.01, 0.008, 0.008, 0.01})
	out := sides.Through(func(dst, x []float64) { dst[0] = math.Hypot(x[0], x[1]) }, 1)
	fmt.Printf("%.2f ± %.2f\n", out.Mean[0], out.SD(0))
	// Output: 5.00 ± 0.13
}

// A straight line through four points by the general fit.
func ExampleFit() {
	x, y := []float64{0, 1, 2, 3}, []float64{1.1, 2.9, 5.1, 6.9}
	s, err := quantity.Fit(quantity.Problem{
		Count: len(x),
		Residuals: func(dst, p []float64) {
			for i := range x {
				dst[i] = (p[0] + p[1]*x[i] - y[i]) / 0.1
			}
		},
	}, []float64{0, 1}, quantity.Settings{})
	if err != nil {
		fmt.Println(err)
		return
	}
	line := s.Joint(1)
	fmt.Printf("%.2f ± %.2f, slope %.2f ± %.2f\n", line.Mean[0], line.SD(0), line.Mean[1], line.SD(1))
	// Output: 1.06 ± 0.08, slope 1.96 ± 0.04
}

package camera_test

import (
	"fmt"

	"mesure/measure/camera"
	"mesure/quantity"
	"mesure/sport/mark"
	"mesure/sport/piste"
)

// A picture taken 12 m from the piste, the corners of the on-guard lines and of
// the centre line marked; then the place of a hand above the floor.
func ExamplePlace() {
	marks := map[string]mark.Pixel{
		"left-on-guard-near": {U: 449.0, V: 431.8}, "left-on-guard-far": {U: 473.3, V: 401.9},
		"centre-near": {U: 639.7, V: 432.3}, "centre-far": {U: 640.1, V: 402.0},
		"right-on-guard-near": {U: 831.2, V: 431.6}, "right-on-guard-far": {U: 807.6, V: 401.7},
	}
	pic := camera.Picture{Width: 1280, Height: 720}
	for _, name := range piste.Names() {
		if at, ok := marks[name]; ok {
			on, _ := piste.Named(name, piste.Width)
			pic.Points = append(pic.Points, camera.Point{Name: name, On: on, At: at, SD: 0.7})
		}
	}
	p, err := camera.Place(pic, camera.Options{})
	if err != nil {
		fmt.Println(err)
		return
	}
	hand, err := p.Locate(camera.AxisPlane(), []camera.Sighting{{At: mark.Pixel{U: 725, V: 310}, SD: 1.5}})
	if err != nil {
		fmt.Println(err)
		return
	}
	x, z := quantity.Part[quantity.Metres](hand, 0), quantity.Part[quantity.Metres](hand, 2)
	fmt.Printf("camera %.0f m away, residuals %.1f px\n", -p.Position[1].Mean, p.RMS)
	fmt.Printf("hand at x = %.2f ± %.2f m, z = %.2f ± %.2f m\n", x.Mean, x.SD, z.Mean, z.SD)
	// Output:
	// camera 11 m away, residuals 0.2 px
	// hand at x = 0.94 ± 0.02 m, z = 1.19 ± 0.03 m
}

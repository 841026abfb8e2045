package study

import (
	"mesure/quantity"
	"mesure/sport/mark"
)

// PlaceAsk is one picture of a flat court of known size, a piste or any other,
// and what is asked of it. The frame is that of the points: metres on the
// court, which lies at z = 0.
type PlaceAsk struct {
	// Width and Height of the picture in pixels.
	Width, Height int
	// PisteWidth in metres, for the names of piste points; zero means the width
	// now prescribed.
	PisteWidth float64
	Points     []PlacedPoint
	// Distortion asks for the radial coefficient k1 to be fitted as well.
	Distortion bool
	// Cropped lets the principal point move, for a picture that was cut from a
	// larger one.
	Cropped bool
	// Plane is the y of the plane of action, the upright plane along x in which
	// raised points are taken to lie; zero is the long axis of a piste.
	Plane quantity.Metres
	// At asks for the place that one image point shows; nil asks for none.
	At *mark.Pixel
	// AtSD is the marking error of At; zero means mark.DefaultSD.
	AtSD quantity.Pixels
}

// PlaceReport is the camera of one picture and, where asked, one image point
// read through it.
type PlaceReport struct {
	Camera PlacedFrame
	// Noise is the marking error that the points were given, in the mean.
	Noise quantity.Pixels
	At    *AtPlace
}

// AtPlace is where an image point lies, read in two ways: as a point of the
// floor and as a point of the plane of action. Which of them holds depends on
// whether the thing stands on the floor, so both are given. A way that does not
// exist (a point above the horizon has no place on the floor) is nil and
// Warnings says why.
type AtPlace struct {
	Pixel mark.Pixel
	SD    quantity.Pixels
	// Floor has x and y with z = 0; Action has x and z in the plane of action,
	// whose own y and spread stand in Action.Y.
	Floor    *FloorPlace
	Action   *ActionPlace
	Warnings []Warning
}

// FloorPlace is a point of the floor.
type FloorPlace struct {
	X, Y quantity.Of[quantity.Metres]
}

// ActionPlace is a point of the plane of action.
type ActionPlace struct {
	X, Y, Z quantity.Of[quantity.Metres]
}

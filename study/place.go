package study

import (
	"errors"
	"math"

	"mesure/measure/camera"
	"mesure/quantity"
	"mesure/sport/mark"
	"mesure/sport/piste"
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
	// Lines are marks that lie somewhere on a known line.
	Lines []LineMark
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
	// Noise is the marking error that the points and lines were given, in the mean.
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

// CodeNoPlace is the code of the warning that an image point has no place of
// one kind.
const CodeNoPlace = "no-such-place"

// Place finds the camera of one picture and, where asked, reads one image point
// through it.
//
// Errors: *Refusal at "/points" where the points allow no camera, or at "/lines"
// where marks on lines stand alone or are what it is about, at "" where
// the image point is not a number or its SD is not positive. An image point
// without a place on the floor or in the plane of action is no error: that place
// is nil, and a warning says why. Nothing of the ask is changed.
func Place(ask PlaceAsk) (*PlaceReport, error) {
	width := ask.PisteWidth
	if width == 0 {
		width = piste.Width
	}
	size := mark.Clip{Width: ask.Width, Height: ask.Height}
	pic := pictureOf(Placing{Points: ask.Points, Lines: ask.Lines}, size, width)
	for i, q := range ask.Points {
		pic.Points[i].Name = q.Name // a free point is named by its place
	}
	for i, q := range ask.Lines {
		pic.Lines[i].Name = q.Line // and so is a free line
	}
	p, err := camera.Place(pic, camera.Options{Distortion: ask.Distortion, Cropped: ask.Cropped})
	if err != nil {
		where := "/points"
		if len(ask.Points) == 0 && len(ask.Lines) > 0 || errors.Is(err, camera.ErrOpen) || errors.Is(err, camera.ErrNoLine) {
			where = "/lines"
		}
		return nil, &Refusal{At: where, What: err.Error(), Because: err}
	}
	r := &PlaceReport{Camera: placedFrame(view{}, p), Noise: noiseOf(pic)}
	r.Camera.Grid = gridOf(p, ask.Width, ask.Height, width)
	for i, w := range p.Warnings {
		r.Camera.Warnings[i].About = w.About // there is only this one picture
	}
	if ask.At == nil {
		return r, nil
	}
	r.At, err = placeAt(p, *ask.At, sdOr(float64(ask.AtSD)), ask.Plane)
	if err != nil {
		return nil, err
	}
	return r, nil
}

// noiseOf is the root mean square of the marking errors.
func noiseOf(pic camera.Picture) quantity.Pixels {
	sum := 0.0
	for _, p := range pic.Points {
		sum += float64(p.SD * p.SD)
	}
	for _, m := range pic.Lines {
		sum += float64(m.SD * m.SD)
	}
	return quantity.Pixels(math.Sqrt(sum / float64(len(pic.Points)+len(pic.Lines))))
}

// placeAt reads one image point as a point of the floor and as one of the plane
// of action.
func placeAt(p *camera.Placing, px mark.Pixel, sd quantity.Pixels, plane quantity.Metres) (*AtPlace, error) {
	if !(math.Abs(px.U) <= camera.MaxCoordinate) || !(math.Abs(px.V) <= camera.MaxCoordinate) || !(math.Abs(float64(plane)) <= camera.MaxCoordinate) {
		return nil, &Refusal{What: camera.ErrNotFinite.Error(), Because: camera.ErrNotFinite}
	}
	if !(sd > 0) || math.IsInf(float64(sd), 0) {
		return nil, &Refusal{What: camera.ErrSD.Error(), Because: camera.ErrSD}
	}
	a := &AtPlace{Pixel: px, SD: sd}
	none := func(what string, err error) {
		a.Warnings = append(a.Warnings, Warning{Code: CodeNoPlace, About: what, Doubt: 1, Text: err.Error()})
	}
	if j, err := p.Floor(px, sd); err != nil {
		none("on the floor", err)
	} else {
		a.Floor = &FloorPlace{X: quantity.Part[quantity.Metres](j, 0), Y: quantity.Part[quantity.Metres](j, 1)}
	}
	upright := camera.PlaneAt(plane)
	if j, err := p.Locate(upright, []camera.Sighting{{At: px, SD: sd}}); err != nil {
		none("in the plane of action", err)
	} else {
		part := func(i int) quantity.Of[quantity.Metres] { return quantity.Part[quantity.Metres](j, i) }
		a.Action = &ActionPlace{X: part(0), Y: part(1), Z: part(2)}
	}
	return a, nil
}

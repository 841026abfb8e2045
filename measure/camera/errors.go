package camera

import (
	"errors"
	"strconv"
)

// Refusals: there is no answer, and the sentence says what would mend it. They
// come wrapped with the names of the points concerned; match with errors.Is.
var (
	ErrNotFinite = errors.New("a coordinate is not a finite number: set the point again")
	ErrPicture   = errors.New("the picture has no size: give its width and height in pixels, at least 1 each")
	ErrSD        = errors.New("a marking error must be a positive number of pixels: give one, or 0 for the default")
	ErrLens      = errors.New("the lens that was given is not one: its numbers must be finite and its focal lengths positive")
	ErrNotFlat   = errors.New("a point does not lie on the floor: use points with z = 0")
	ErrTooFew    = errors.New("too few points: mark at least four known points of the floor, not all but one on one line")
	ErrRepeated  = errors.New("too few different points: the same point is given more than once; mark four different ones")
	ErrCollinear = errors.New("too many points lie on one line: add one on the other edge, so that two or more lie off the line")
	ErrEdgeOn    = errors.New("the floor shows as a line, because the camera looks along it: use a picture from higher up")
	ErrCollapsed = errors.New("different points of the floor are marked at one place of the picture: set the marks again")
	ErrSwapped   = errors.New("no camera can see these points in this order: two labels are swapped, or one is wrong; check the names")
	ErrMirrored  = errors.New("the picture is mirrored, or left and right of the labels are swapped: exchange left and right, or near and far")
	ErrNoFit     = errors.New("no camera fits these points: check names and marks, and add points")
	ErrNoLine    = errors.New("a line needs two different places of the floor: give two that are further apart")
	ErrOpen      = errors.New("the marks leave the camera open: a point counts two and a mark on a line one, and eight that tell different things are needed; mark both edges and two lines across at two places each, or add crossings")
	ErrOpenTurn  = errors.New("the marks do not say how the camera was turned in this picture: mark two points, a point and two places of a line that does not pass it, or two places of one line and one of each of two that cross it")
	ErrHorizon   = errors.New("the point lies on or above the horizon of the floor: it has no place on the floor; read it on the plane of action")
	ErrBehind    = errors.New("the point does not lie in front of the camera: check the mark and the plane of action")
	ErrAlong     = errors.New("the line of sight runs along the plane of action: use a picture that looks across the piste")
	ErrOutside   = errors.New("no straight ray passes the lens here: the mark lies outside what the fitted lens distortion can show")
	ErrShared    = errors.New("no picture of this take places the camera on its own: mark at least four points, not on one line, in one of them")
)

// PictureError says which picture of a take was refused, and why.
type PictureError struct {
	// Picture is the index among the pictures handed in, from 0.
	Picture int
	Err     error
}

// Error names the picture by its number from 1.
func (e *PictureError) Error() string {
	return "picture " + strconv.Itoa(e.Picture+1) + ": " + e.Err.Error()
}

// Unwrap returns the refusal itself.
func (e *PictureError) Unwrap() error { return e.Err }

package camera

import (
	"fmt"
	"math"
	"strings"

	"mesure/quantity"
	"mesure/sport/mark"
	"mesure/sport/piste"
)

// Point is one known point of the floor and where the picture shows it.
type Point struct {
	// Name stands in messages; where it is empty, the place does.
	Name string
	// On is the place on the floor: x and y in metres, z = 0.
	On piste.Place
	// At is the mark in the picture.
	At mark.Pixel
	// SD is the marking error, alike in both directions; zero means
	// mark.DefaultSD.
	SD quantity.Pixels

	// line makes it a mark somewhere on this line; On is then a guess of where.
	line *straight
}

// label is what messages call the point.
func (p Point) label() string {
	if p.line != nil && p.Name != "" {
		return "on " + p.Name
	}
	if p.line != nil {
		return fmt.Sprintf("on the line (%.4g, %.4g)–(%.4g, %.4g) m", p.line.a[0], p.line.a[1], p.line.b[0], p.line.b[1])
	}
	if p.Name != "" {
		return p.Name
	}
	return fmt.Sprintf("(%.4g, %.4g) m", p.On.X, p.On.Y)
}

// sd is the marking error with the default filled in.
func (p Point) sd() float64 {
	if p.SD == 0 {
		return mark.DefaultSD
	}
	return float64(p.SD)
}

// Picture is one frame: its size in pixels, the known points in it, and marks
// that lie somewhere on known lines.
type Picture struct {
	Width, Height int
	Points        []Point
	Lines         []LineMark
}

func finite(vs ...float64) bool {
	for _, v := range vs {
		if math.IsNaN(v) || math.Abs(v) > MaxCoordinate {
			return false
		}
	}
	return true
}

// checked refuses points that are not numbers or not on the floor.
func checked(points []Point) error {
	for _, p := range points {
		switch {
		case !finite(p.On.X, p.On.Y, p.On.Z, p.At.U, p.At.V):
			return fmt.Errorf("point %q: %w", p.label(), ErrNotFinite)
		case p.SD < 0 || !finite(float64(p.SD)):
			return fmt.Errorf("point %q: %w", p.label(), ErrSD)
		case p.On.Z != 0:
			return fmt.Errorf("point %q: %w", p.label(), ErrNotFlat)
		}
	}
	return nil
}

// names joins the labels of some points.
func names(points []Point) string {
	all := make([]string, 0, len(points))
	for i, p := range points {
		// Several marks on one line are named once.
		if p.line == nil || i == 0 || points[i-1].label() != p.label() {
			all = append(all, p.label())
		}
	}
	return strings.Join(all, ", ")
}

// offImage warns of every mark that is clearly outside the picture.
func (p Picture) offImage() []Warning {
	var ws []Warning
	for _, q := range p.Points {
		du := math.Max(-0.5-q.At.U, q.At.U-(float64(p.Width)-0.5))
		dv := math.Max(-0.5-q.At.V, q.At.V-(float64(p.Height)-0.5))
		if off := math.Max(du, dv); off > float64(OutsideSDs)*q.sd() {
			ws = append(ws, Warning{Code: CodeOffImage, About: q.label(), Doubt: off,
				Text: fmt.Sprintf("the mark of %s lies %.1f px outside the picture: check it, and the size of the picture", q.label(), off)})
		}
	}
	return ws
}

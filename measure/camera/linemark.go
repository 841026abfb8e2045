package camera

import (
	"fmt"
	"math"

	"mesure/quantity"
	"mesure/sport/mark"
	"mesure/sport/piste"
)

// LineMark is a place in the picture that lies somewhere on a known straight
// line of the floor. It says nothing of where along the line, and the line has
// no ends: a mark may lie beyond A and B.
type LineMark struct {
	// Name of the line in messages; where it is empty, A and B stand there.
	Name string
	// A and B are two different places on the line: x and y in metres, z = 0.
	A, B piste.Place
	// At is the mark in the picture.
	At mark.Pixel
	// SD is the marking error across the line; zero means mark.DefaultSD.
	SD quantity.Pixels
}

// straight is a line of the floor through two places.
type straight struct{ a, b vec }

// along is the direction of the line, of length 1.
func (s straight) along() vec { return s.b.minus(s.a).unit() }

// nearest is the place of the line nearest to x.
func (s straight) nearest(x vec) vec {
	d := s.along()
	return s.a.plus(d.times(d.dot(x.minus(s.a))))
}

// holds reports whether a place of the floor lies on the line.
func (s straight) holds(x vec) bool { return x.minus(s.nearest(x)).norm() <= float64(SamePlace) }

// same reports whether two pairs of places name one line.
func (s straight) same(o straight) bool { return s.holds(o.a) && s.holds(o.b) }

// coefficients are (l₁, l₂, l₃) with l₁x + l₂y + l₃ the signed distance in metres.
func (s straight) coefficients() vec {
	d := s.along()
	return vec{-d[1], d[0], d[1]*s.a[0] - d[0]*s.a[1]}
}

// asPoint turns a line mark into what the fits work on: a Point that knows its
// line. Its place is not known yet; the middle of A and B stands for it.
func (m LineMark) asPoint() Point {
	a, b := at(m.A), at(m.B)
	return Point{Name: m.Name, On: a.plus(b).times(0.5).place(), At: m.At, SD: m.SD, line: &straight{a, b}}
}

func (m LineMark) checked() error {
	label := m.asPoint().label()
	switch {
	case !finite(m.A.X, m.A.Y, m.A.Z, m.B.X, m.B.Y, m.B.Z, m.At.U, m.At.V):
		return fmt.Errorf("the mark %s: %w", label, ErrNotFinite)
	case m.SD < 0 || !finite(float64(m.SD)):
		return fmt.Errorf("the mark %s: %w", label, ErrSD)
	case m.A.Z != 0 || m.B.Z != 0:
		return fmt.Errorf("the mark %s: %w", label, ErrNotFlat)
	case at(m.B).minus(at(m.A)).norm() <= float64(SamePlace):
		return fmt.Errorf("the mark %s: %w", label, ErrNoLine)
	}
	return nil
}

// whole returns the points of a picture followed by its line marks.
func (p Picture) whole() []Point {
	if len(p.Lines) == 0 {
		return p.Points
	}
	all := make([]Point, 0, len(p.Points)+len(p.Lines))
	all = append(all, p.Points...)
	for _, m := range p.Lines {
		all = append(all, m.asPoint())
	}
	return all
}

// proper returns the points without the line marks, which stand behind them.
func proper(points []Point) []Point {
	for i, p := range points {
		if p.line != nil {
			return points[:i]
		}
	}
	return points
}

// equations is how many equations the marks give: two a point, one a line mark.
func equations(points []Point) int { return len(points) + len(proper(points)) }

// evened scales the distances of line marks, which are off in one direction only,
// so that their median under pure marking noise is that of points, which are off
// in two: 0.6745 and √(2 ln 2).
func evened(points []Point, off []float64) []float64 {
	k := len(proper(points))
	if k == len(points) {
		return off
	}
	out := append([]float64(nil), off...)
	for i := k; i < len(out); i++ {
		out[i] *= math.Sqrt(2*math.Ln2) / normal75
	}
	return out
}

// normal75 is the median of the absolute value of a standard normal number.
const normal75 = 0.6744897501960817

package plate

import (
	"strings"

	"mesure/show/draw"
)

// Layout is the form of a sheet. Wide and Phone are as high as what stands on them: for
// the page and the desk, and for the phone. Screen, Upright and Square have a fixed shape,
// for video and slides; Fit makes them of the first two.
type Layout uint8

// The layouts. Wide is the width of the text on A4. Phone is drawn so that at a
// width of 390 pixels every key number is at least 11 pixels high. Screen is 16:9,
// Upright 9:16, Square 1:1; their millimetre is ten pixels of a video of 1080 lines or
// columns, and nothing on them is smaller than 24 of those pixels, on the small square 22.
const (
	Wide Layout = iota
	Phone
	Screen
	Upright
	Square
)

// Layouts lists those that are as high as what stands on them.
var Layouts = [2]Layout{Wide, Phone}

// Shapes lists those of a fixed shape.
var Shapes = [3]Layout{Screen, Upright, Square}

var layouts = [...]struct {
	name                       string
	width, height, side, above draw.MM
	ty                         Type
}{
	Wide:    {"wide", 180, 0, 7, 7, Type{draw.Points(16), draw.Points(14.5), draw.Points(10), draw.Points(9), draw.Points(7.5)}},
	Phone:   {"phone", 100, 0, 5, 5, Type{draw.Points(14), draw.Points(12.5), draw.Points(10), draw.Points(9), draw.Points(8)}},
	Screen:  {"screen", 192, 108, 192 * safe, 108 * safe, Type{5, 4.2, 3, 2.7, leastType}},
	Upright: {"upright", 108, 192, 108 * safe, 192 * safe, Type{5, 4.2, 3, 2.7, leastType}},
	Square:  {"square", 108, 108, 108 * safe, 108 * safe, Type{4.6, 4, 2.9, 2.6, 2.2}},
}

// safe is the share of a fixed shape that stays free of words on each side: the safe title
// area of SMPTE ST 2046-1 is the inner 90 % of width and height.
const safe = 0.05

// leastType is the smallest size of type on a fixed shape: 24 pixels of 1080.
const leastType draw.MM = 2.4

// String returns the name of the layout, such as "wide".
func (l Layout) String() string { return layouts[l].name }

// Width of the sheet.
func (l Layout) Width() draw.MM { return layouts[l].width }

// Height of the sheet; zero where it is as high as what stands on it.
func (l Layout) Height() draw.MM { return layouts[l].height }

// Margin on the left and right of the sheet.
func (l Layout) Margin() draw.MM { return layouts[l].side }

// LayoutNamed returns the layout of this name; the second result is false for a name that
// is not one.
func LayoutNamed(name string) (Layout, bool) {
	for l := range layouts {
		if layouts[l].name == name {
			return Layout(l), true
		}
	}
	return 0, false
}

// Type is the scale of type: five sizes and no more.
type Type struct {
	Title draw.MM // the finding
	Key   draw.MM // the number that matters
	Text  draw.MM // sentences
	Label draw.MM // words on axes and marks
	Fine  draw.MM // the source line
}

// Least is the smallest size of type on the layout.
func (l Layout) Least() draw.MM {
	ty := l.Type()
	return min(ty.Title, ty.Key, ty.Text, ty.Label, ty.Fine)
}

// Type returns the sizes of the layout.
func (l Layout) Type() Type { return layouts[l].ty }

// leading is the distance of two baselines as a share of the size.
const leading = 1.25

// Sheet is a picture being made: the finding stands above Body and the source
// line below it.
type Sheet struct {
	*draw.Drawing
	Theme  draw.Theme
	Layout Layout
	Type   Type
	// Body is the room for the picture, as wide as the sheet.
	Body draw.Box
}

// NewSheet lays out a sheet whose body is this high. The finding is what the
// picture says in one sentence, desc what it shows for those who cannot see it,
// source where it comes from.
func NewSheet(l Layout, th draw.Theme, finding, desc, source string, body draw.MM) *Sheet {
	ty, m := l.Type(), l.Margin()
	inner := l.Width() - 2*m
	finding, desc = Typeset(finding), Typeset(desc)
	title := draw.Balance(finding, draw.SerifBold, ty.Title, inner)
	fine := draw.Balance(source, draw.Sans, ty.Fine, inner)

	const gap = 3.2 // between title, body and source line
	top := m + ty.Title*draw.CapShare
	bodyTop := top + draw.MM(len(title)-1)*ty.Title*leading + ty.Title*draw.DescentShare + gap
	fineTop := bodyTop + body + gap + ty.Fine*draw.CapShare
	height := fineTop + draw.MM(len(fine)-1)*ty.Fine*leading + m*0.8

	d := draw.New(l.Width(), height, finding, desc)
	d.Ground, d.Source = th.Ground, source
	d.Begin(draw.FindingStretch, draw.Box{X: m, W: inner, H: bodyTop})
	d.Paragraph(draw.Text{At: draw.Pt{X: m, Y: top}, S: strings.Join(title, "\n"), Font: draw.SerifBold, Size: ty.Title, Colour: th.Ink}, inner, ty.Title*leading)
	d.Begin(draw.SourceStretch, draw.Box{X: m, Y: bodyTop + body, W: inner, H: height - bodyTop - body})
	d.Paragraph(draw.Text{At: draw.Pt{X: m, Y: fineTop}, S: strings.Join(fine, "\n"), Font: draw.Sans, Size: ty.Fine, Colour: th.Quiet}, inner, ty.Fine*leading)
	s := &Sheet{Drawing: d, Theme: th, Layout: l, Type: ty, Body: draw.Box{X: 0, Y: bodyTop, W: l.Width(), H: body}}
	d.Begin(draw.FigureStretch, s.Inner())
	return s
}

// Inner returns the body between the margins.
func (s *Sheet) Inner() draw.Box {
	m := s.Layout.Margin()
	return draw.Box{X: m, Y: s.Body.Y, W: s.Body.W - 2*m, H: s.Body.H}
}

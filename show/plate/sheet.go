package plate

import (
	"strings"

	"mesure/show/draw"
)

// Layout is the form of a sheet: for the page and the desk, or for the phone.
type Layout uint8

// The layouts. Wide is the width of the text on A4. Phone is drawn so that at a
// width of 390 pixels every key number is at least 11 pixels high.
const (
	Wide Layout = iota
	Phone
)

// Layouts lists both.
var Layouts = [2]Layout{Wide, Phone}

// String returns "wide" or "phone".
func (l Layout) String() string {
	if l == Wide {
		return "wide"
	}
	return "phone"
}

// Width of the sheet.
func (l Layout) Width() draw.MM {
	if l == Wide {
		return 180
	}
	return 100
}

// Margin on the left and right of the sheet.
func (l Layout) Margin() draw.MM {
	if l == Wide {
		return 7
	}
	return 5
}

// Type is the scale of type: five sizes and no more.
type Type struct {
	Title draw.MM // the finding
	Key   draw.MM // the number that matters
	Text  draw.MM // sentences
	Label draw.MM // words on axes and marks
	Fine  draw.MM // the source line
}

// Type returns the sizes of the layout.
func (l Layout) Type() Type {
	if l == Wide {
		return Type{draw.Points(16), draw.Points(14.5), draw.Points(10), draw.Points(9), draw.Points(7.5)}
	}
	return Type{draw.Points(14), draw.Points(12.5), draw.Points(10), draw.Points(9), draw.Points(8)}
}

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
	d.Ground = th.Ground
	d.Paragraph(draw.Text{At: draw.Pt{X: m, Y: top}, S: strings.Join(title, "\n"), Font: draw.SerifBold, Size: ty.Title, Colour: th.Ink}, inner, ty.Title*leading)
	d.Paragraph(draw.Text{At: draw.Pt{X: m, Y: fineTop}, S: strings.Join(fine, "\n"), Font: draw.Sans, Size: ty.Fine, Colour: th.Quiet}, inner, ty.Fine*leading)
	return &Sheet{Drawing: d, Theme: th, Layout: l, Type: ty, Body: draw.Box{X: 0, Y: bodyTop, W: l.Width(), H: body}}
}

// Inner returns the body between the margins.
func (s *Sheet) Inner() draw.Box {
	m := s.Layout.Margin()
	return draw.Box{X: m, Y: s.Body.Y, W: s.Body.W - 2*m, H: s.Body.H}
}

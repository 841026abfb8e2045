package album

import (
	"io"

	"mesure/show/draw"
	"mesure/show/plate"
	"mesure/show/report"
)

// Bounds on the width of a picture in pixels: a thumbnail, and 4K UHD.
const (
	LeastPixels = 320
	MostPixels  = 3840
)

// Pictures say in which forms the plates are written. The zero value is SVG and PNG, as
// the report has them.
type Pictures struct {
	// Theme is the name of one of draw.Themes; empty is that of the report. The theme
	// for video has the plates in the shapes of screens, 16:9 and 9:16, with safe margins
	// and large type.
	Theme string
	// Transparent leaves the ground out, so that a plate can lie on something else.
	Transparent bool
	// PDF adds each plate as PDF.
	PDF bool
	// Width of the wide pictures in pixels, LeastPixels to MostPixels; zero is WidePixels.
	// Those for the phone keep their share of it.
	Width int
}

// PlateFiles lists each plate as SVG and PNG, wide and for the phone. A theme that is
// none is that of the report.
func (a *Album) PlateFiles(p Pictures) []File {
	wide := p.Width
	if wide == 0 {
		wide = WidePixels
	}
	phone := wide * PhonePixels / WidePixels
	var files []File
	for _, x := range a.Plates {
		d, small := p.forms(x)
		files = append(files, p.files(PlateName(x), x.Wide.Title, d, wide)...)
		if small != nil {
			files = append(files, p.files(PlateName(x)+"-phone", x.Wide.Title, small, phone)...)
		}
	}
	return files
}

// forms are what draws a plate wide and for the phone; the second is nil where there is
// none. A theme that a plate was not drawn in yet is drawn when it is written.
func (p Pictures) forms(x report.Plate) (wide, phone func() *draw.Drawing) {
	as := func(d *draw.Drawing) func() *draw.Drawing { return func() *draw.Drawing { return d } }
	th, themed := draw.Themed(p.Theme)
	if !themed {
		if x.Phone == nil {
			return as(x.Wide), nil
		}
		return as(x.Wide), as(x.Phone)
	}
	w, f := plate.Wide, plate.Phone
	if th == draw.Video() {
		w, f = plate.Screen, plate.Upright
	}
	return func() *draw.Drawing { return x.In(w, th) }, func() *draw.Drawing { return x.In(f, th) }
}

func (p Pictures) files(name, about string, made func() *draw.Drawing, width int) []File {
	form := func(write func(d *draw.Drawing, w io.Writer) error) func(w io.Writer) error {
		return func(w io.Writer) error {
			d := made()
			if p.Transparent {
				bare := *d
				bare.Ground = draw.Colour{}
				d = &bare
			}
			return write(d, w)
		}
	}
	files := []File{
		{name + ".svg", about, form(func(d *draw.Drawing, w io.Writer) error { return d.SVG(w) })},
		{name + ".png", about, form(func(d *draw.Drawing, w io.Writer) error { return d.PNG(w, within(d, width)) })},
	}
	if p.PDF {
		files = append(files, File{name + ".pdf", about, form(func(d *draw.Drawing, w io.Writer) error { return d.PDF(w) })})
	}
	return files
}

// tallest is the most pixels that a picture may be high: what the pen can raster.
const tallest = 10_000

// within is the width at which a drawing is not too tall: a thread of forty touches on a
// phone is narrower than was asked.
func within(d *draw.Drawing, width int) int {
	return max(1, min(width, int(tallest*float64(d.W)/float64(d.H))))
}

package chart

import (
	"mesure/show/draw"
	"mesure/show/plate"
)

// leaf is a chart in the making that is cut into parts from the top.
type leaf struct {
	*plate.Sheet
	in draw.Box // what is left of the body
}

// themed returns the options with a theme.
func (o Options) themed() Options {
	if o.Theme.Name == "" {
		o.Theme = draw.Paper()
	}
	return o
}

// newLeaf lays out a sheet with a body of this height; a bare one has the body alone.
func newLeaf(o Options, finding, desc, source string, height draw.MM) leaf {
	var s *plate.Sheet
	if o.Bare {
		d := draw.New(o.Layout.Width(), height, plate.Typeset(finding), plate.Typeset(desc))
		d.Ground = o.Theme.Ground
		s = &plate.Sheet{Drawing: d, Theme: o.Theme, Layout: o.Layout, Type: o.Layout.Type(), Body: draw.Box{W: o.Layout.Width(), H: height}}
	} else {
		s = plate.NewSheet(o.Layout, o.Theme, finding, desc, source, height)
	}
	return leaf{Sheet: s, in: s.Inner()}
}

// take cuts the next part of this height off the body.
func (c *leaf) take(h draw.MM) draw.Box {
	b := draw.Box{X: c.in.X, Y: c.in.Y, W: c.in.W, H: h}
	c.in.Y += h
	c.in.H -= h
	return b
}

package draw

// StretchKind says what a stretch of a sheet is for.
type StretchKind uint8

// The kinds of stretches.
const (
	// FigureStretch is a picture that can stand by itself.
	FigureStretch StretchKind = iota
	// FindingStretch is the title, SourceStretch the line of small type.
	FindingStretch
	SourceStretch
	// HeadStretch stands above what follows it and is never parted from that.
	HeadStretch
	// KeyStretch explains the picture above it.
	KeyStretch
	// WordsStretch says in sentences what the pictures show: it is left out first where
	// there is no room.
	WordsStretch
)

// Stretch is a part of a sheet from edge to edge that can also stand elsewhere: on a
// sheet of another shape, or in a column of its own.
type Stretch struct {
	Kind StretchKind
	Box  Box
	of   *Drawing
	from int // what it holds: items from this one
	to   int // to before this one
}

type begun struct {
	kind StretchKind
	box  Box
	from int
}

// Begin starts a stretch: what is drawn on the sheet from now on, until the next one
// begins, belongs to it.
func (d *Drawing) Begin(k StretchKind, b Box) {
	d.stretches = append(d.stretches, begun{k, b, len(d.items)})
}

// Stretches lists the stretches in the order drawn, without those in which nothing is.
// A sheet on which none was begun has none.
func (d *Drawing) Stretches() []Stretch {
	var all []Stretch
	for i, s := range d.stretches {
		to := len(d.items)
		if i+1 < len(d.stretches) {
			to = d.stretches[i+1].from
		}
		if s.from < to {
			all = append(all, Stretch{s.kind, s.box, d, s.from, to})
		}
	}
	return all
}

// Whole is all of the sheet as one stretch.
func (d *Drawing) Whole() Stretch {
	return Stretch{FigureStretch, Box{0, 0, d.W, d.H}, d, 0, len(d.items)}
}

// Lines returns every line of text of the stretch, as Group.Lines does.
func (s Stretch) Lines() []Text {
	part := Group{items: s.of.items[s.from:s.to]}
	return part.Lines()
}

// Lift draws a stretch of another sheet here, scaled, so that the top left corner of its
// box comes to lie at (x, y).
func (g *Group) Lift(s Stretch, x, y MM, scale float64) {
	in := g.Shift(x, y).Scale(scale).Shift(-s.Box.X, -s.Box.Y)
	in.items = append(in.items, s.of.items[s.from:s.to]...)
}

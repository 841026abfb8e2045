package draw

import (
	"image"
	"math"
	"sync"
)

// Drawing is one picture on a sheet of its own size. Its Group is drawn on the
// ground in the order in which things were added.
type Drawing struct {
	// W and H are the size of the sheet.
	W, H MM
	// Title is what the picture finds, in words; Desc says what it shows, for
	// those who cannot see it.
	Title, Desc string
	// Ground fills the sheet; a transparent one leaves it open.
	Ground Colour
	// Source is the line of small type below the picture, where it has one.
	Source string
	Group

	stretches []begun
}

// New returns an empty drawing. It panics where the sheet has no area.
func New(w, h MM, title, desc string) *Drawing {
	if !(w > 0 && h > 0) || math.IsInf(float64(w*h), 0) {
		panic("draw: a drawing needs a width and a height")
	}
	return &Drawing{W: w, H: h, Title: title, Desc: desc}
}

// Group is a list of things drawn in order, moved and clipped together.
type Group struct {
	m     affine
	moved bool
	clip  *Path
	tag   *tag // nil: no role of its own
	items []item
}

type item interface{ isItem() }

type fillItem struct {
	path   *Path
	colour Colour
}

type strokeItem struct {
	path *Path
	pen  Pen
}

type textItem struct {
	text Text
	run  run
}

type pictureItem struct {
	picture Picture
	box     Box
	// stored is the picture as a file, made when it is first asked for: the same
	// drawing is often written more than once.
	once   sync.Once
	stored []byte
	kind   string
	err    error
}

// file returns the picture as a file with its media type.
func (it *pictureItem) file() ([]byte, string, error) {
	it.once.Do(func() { it.stored, it.kind, it.err = it.picture.encode() })
	return it.stored, it.kind, it.err
}

// hasPhoto reports whether there is a photograph in the group.
func (g *Group) hasPhoto() bool {
	for _, it := range g.items {
		switch it := it.(type) {
		case *pictureItem:
			if it.picture.Photo {
				return true
			}
		case *Group:
			if it.hasPhoto() {
				return true
			}
		}
	}
	return false
}

func (*fillItem) isItem()    {}
func (*strokeItem) isItem()  {}
func (*textItem) isItem()    {}
func (*pictureItem) isItem() {}
func (*Group) isItem()       {}

// Cap is the shape of the ends of a line.
type Cap uint8

// The three caps.
const (
	Butt Cap = iota
	RoundCap
	Square
)

// Corner is the shape of the corners of a line.
type Corner uint8

// The two corners.
const (
	RoundCorner Corner = iota
	Sharp
)

// sharpLimit is the miter limit of Sharp corners, the default of SVG.
const sharpLimit = 4

// Pen says how a line is drawn.
type Pen struct {
	Colour Colour
	Width  MM
	// Dash has the lengths of strokes and spaces in turn; empty for a full line.
	Dash   []MM
	Cap    Cap
	Corner Corner
}

// Picture is an image to be placed, such as a video frame.
type Picture struct {
	Image image.Image
	// Photo says that the picture is a photograph: it is then stored as JPEG,
	// which is much smaller; the eye sees no difference. Others are stored
	// without loss.
	Photo bool
}

// Fill paints the inside of the path.
func (g *Group) Fill(p *Path, c Colour) {
	if !p.Empty() && c.A > 0 {
		g.items = append(g.items, &fillItem{p, c})
	}
}

// Stroke draws along the path.
func (g *Group) Stroke(p *Path, pen Pen) {
	if !p.Empty() && pen.Colour.A > 0 && pen.Width > 0 {
		g.items = append(g.items, &strokeItem{p, pen})
	}
}

// Place puts a picture into the box, stretched to fill it.
func (g *Group) Place(p Picture, box Box) {
	if p.Image == nil || p.Image.Bounds().Empty() {
		panic("draw: a picture must not be empty")
	}
	g.items = append(g.items, &pictureItem{picture: p, box: box})
}

// Clip returns a new group, drawn here, of which only what lies inside the path
// is seen.
func (g *Group) Clip(p *Path) *Group { return g.sub(Group{m: identity, clip: p}) }

// Shift returns a new group, drawn here, moved by dx and dy.
func (g *Group) Shift(dx, dy MM) *Group {
	return g.sub(Group{m: affine{1, 0, 0, 1, float64(dx), float64(dy)}, moved: true})
}

// Turn returns a new group, drawn here, turned clockwise about a point.
func (g *Group) Turn(degrees float64, about Pt) *Group {
	s, c := math.Sincos(degrees * math.Pi / 180)
	x, y := float64(about.X), float64(about.Y)
	return g.sub(Group{m: affine{c, s, -s, c, x - c*x + s*y, y - s*x - c*y}, moved: true})
}

// Scale returns a new group, drawn here, scaled about the origin.
func (g *Group) Scale(by float64) *Group {
	return g.sub(Group{m: affine{by, 0, 0, by, 0, 0}, moved: true})
}

func (g *Group) sub(n Group) *Group {
	g.items = append(g.items, &n)
	return &n
}

// Insert draws another drawing here, scaled to the width w with its top left
// corner at (x, y), clipped to its sheet.
func (g *Group) Insert(d *Drawing, x, y, w MM) {
	in := g.Shift(x, y).Scale(float64(w / d.W)).Clip(Box{0, 0, d.W, d.H}.Path())
	in.Fill(Box{0, 0, d.W, d.H}.Path(), d.Ground)
	in.items = append(in.items, &d.Group)
}

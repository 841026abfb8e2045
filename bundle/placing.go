package bundle

import (
	"io"
	"reflect"
	"strconv"

	"mesure/quantity"
	"mesure/sport/mark"
	"mesure/sport/piste"
	"mesure/study"
)

// Placing is one frame of any flat court of known size and the points of it
// that the frame shows, as a placing file states them.
type Placing struct {
	// Width and Height of the image in pixels.
	Width, Height int
	// Court is the width of the piste that the named points belong to.
	Court quantity.Metres
	// Points of the floor; their z is 0.
	Points []study.PlacedPoint
	// Lines are marks that lie somewhere on a known line of the floor.
	Lines []study.LineMark
	// Distortion asks for the radial coefficient k1, Cropped lets the principal
	// point move.
	Distortion, Cropped bool
}

// placingFile is a placing file as it is spelt. A person writes it by hand, so
// the heading may be left out and the size of the image may be given in one of
// three ways.
type placingFile struct {
	Format     string       `json:"format,omitempty" one:"mesure-placing" say:"May be left out; otherwise \"mesure-placing\"."`
	Version    int          `json:"version,omitempty" min:"1" max:"1" say:"Version of the format; may be left out."`
	Image      *imageFile   `json:"image,omitempty" say:"Size of the image."`
	ImageSize  *[2]int      `json:"image_size,omitempty" min:"1" max:"100000" say:"Size of the image in pixels as [width, height], instead of image."`
	Width      *int         `json:"width,omitempty" min:"1" max:"100000" say:"Width of the image in pixels, with height, instead of image."`
	Height     *int         `json:"height,omitempty" min:"1" max:"100000" say:"Height of the image in pixels, with width, instead of image."`
	Court      *courtFile   `json:"court,omitempty" say:"The piste; left out: 1.5 m wide."`
	Points     []courtPoint `json:"points,omitempty" most:"10000" say:"Known points of the floor and where the image shows them."`
	Lines      []courtLine  `json:"lines,omitempty" most:"10000" say:"Places in the image that lie somewhere on a known line of the floor; a line may be marked at several places."`
	Distortion bool         `json:"distortion,omitempty" say:"True to fit the radial distortion k1 as well."`
	Cropped    bool         `json:"cropped,omitempty" say:"True for an image that was cut from a larger one: its centre may then lie elsewhere."`
	Note       string       `json:"note,omitempty" match:"text" say:"Free text."`
}

type imageFile struct {
	Width  int `json:"width" min:"1" max:"100000" say:"Width in pixels."`
	Height int `json:"height" min:"1" max:"100000" say:"Height in pixels."`
}

type courtFile struct {
	Width float64 `json:"width_m" above:"0" max:"1000" say:"Width of the piste in metres: named points lie on its edges."`
}

type courtPoint struct {
	Name string   `json:"name,omitempty" match:"word" say:"Name of a point of the piste, such as left-on-guard-near; then x and y are left out."`
	X    *float64 `json:"x,omitempty" min:"-10000" max:"10000" say:"Place on the floor in metres."`
	Y    *float64 `json:"y,omitempty" min:"-10000" max:"10000" say:"Place on the floor in metres, a quarter turn to the left of x as seen from above."`
	U    float64  `json:"u" min:"-100000" max:"100000" say:"Place in the image in pixels, to the right from the centre of the top left pixel."`
	V    float64  `json:"v" min:"-100000" max:"100000" say:"Place in the image in pixels, down from the centre of the top left pixel."`
	SD   float64  `json:"sd,omitempty" above:"0" max:"1000" say:"Marking error in pixels, alike in both directions; left out: 1.5."`
}

type courtLine struct {
	Line string      `json:"line,omitempty" match:"word" say:"Name of a line of the piste, such as left-on-guard or far-edge; then from and to are left out."`
	From *[2]float64 `json:"from,omitempty" min:"-10000" max:"10000" say:"One place on the line as [x, y] on the floor in metres."`
	To   *[2]float64 `json:"to,omitempty" min:"-10000" max:"10000" say:"Another place on the line, as [x, y]."`
	U    float64     `json:"u" min:"-100000" max:"100000" say:"Place in the image in pixels, to the right from the centre of the top left pixel."`
	V    float64     `json:"v" min:"-100000" max:"100000" say:"Place in the image in pixels, down from the centre of the top left pixel."`
	SD   float64     `json:"sd,omitempty" above:"0" max:"1000" say:"Marking error in pixels, across the line; left out: 1.5."`
}

// ReadPlacing reads a placing file. A point without sd keeps SD 0, which stands
// for mark.DefaultSD. Errors are as those of ReadTouch.
func ReadPlacing(r io.Reader, name string) (*Placing, error) {
	data, err := slurp(r, name, PlacingLimit)
	if err != nil {
		return nil, err
	}
	root, err := plant(data, name)
	if err != nil {
		return nil, err
	}
	if err := heading(root, name, PlacingFormat, PlacingVersion, true); err != nil {
		return nil, err
	}
	var d decoder
	var f placingFile
	d.fill(root, reflect.ValueOf(&f).Elem(), rule{})
	if len(d.List) == 0 {
		checkPlacing(&f, &d.problems)
	}
	if err := d.err(name); err != nil {
		return nil, err
	}
	return f.placing(), nil
}

func checkPlacing(f *placingFile, p *problems) {
	ways := 0
	for _, given := range []bool{f.Image != nil, f.ImageSize != nil, f.Width != nil || f.Height != nil} {
		if given {
			ways++
		}
	}
	const write = `"image": {"width": 1280, "height": 720}`
	switch {
	case ways == 0:
		p.add("", "the size of the image is missing: write it as %s", write)
	case ways > 1:
		p.add("", "the size of the image is given in two ways: keep one, such as %s", write)
	case f.Width != nil && f.Height == nil:
		p.add("", `"height" is missing: add it to "width"`)
	case f.Height != nil && f.Width == nil:
		p.add("", `"width" is missing: add it to "height"`)
	}
	named := map[string]int{}
	for i, q := range f.Points {
		at := item("/points", i)
		checkPoint(p, at, place{q.Name, q.X, q.Y, "x", "y"}, float64(f.court()))
		if first, twice := named[q.Name]; twice && q.Name != "" {
			p.add(at+"/name", "the point %s is already marked in /points/%s: keep the better mark", quote(q.Name), strconv.Itoa(first))
		}
		named[q.Name] = i
	}
	for i, m := range f.Lines {
		m.check(p, item("/lines", i))
	}
}

// check looks at which line a mark is said to lie on.
func (m courtLine) check(p *problems, at string) {
	free := m.From != nil || m.To != nil
	switch {
	case m.Line != "" && free:
		p.add(at, `this line has a name and two places: keep "line", or "from" and "to"`)
	case m.Line != "":
		checkLine(p, at+"/line", m.Line)
	case !free:
		p.add(at, `this mark has no line: give it "line", or two places "from" and "to" as [x, y] in metres`)
	case m.From == nil:
		p.add(at, `"from" is missing: add it`)
	case m.To == nil:
		p.add(at, `"to" is missing: add it`)
	case *m.From == *m.To:
		p.add(at+"/to", "the line ends where it begins: give two different places on it")
	}
}

func (m courtLine) mark(court quantity.Metres) study.LineMark {
	q := study.LineMark{Line: m.Line, At: mark.Pixel{U: m.U, V: m.V}, SD: m.SD}
	if m.Line != "" {
		q.A, q.B, _ = piste.LineNamed(m.Line, float64(court))
	} else {
		q.A, q.B = piste.Place{X: m.From[0], Y: m.From[1]}, piste.Place{X: m.To[0], Y: m.To[1]}
	}
	return q
}

func (f *placingFile) court() quantity.Metres {
	if f.Court == nil {
		return piste.Width
	}
	return quantity.Metres(f.Court.Width)
}

func (f *placingFile) placing() *Placing {
	p := &Placing{Court: f.court(), Distortion: f.Distortion, Cropped: f.Cropped}
	switch {
	case f.Image != nil:
		p.Width, p.Height = f.Image.Width, f.Image.Height
	case f.ImageSize != nil:
		p.Width, p.Height = f.ImageSize[0], f.ImageSize[1]
	default:
		p.Width, p.Height = *f.Width, *f.Height
	}
	for _, q := range f.Points {
		pt := study.PlacedPoint{Name: q.Name, At: mark.Pixel{U: q.U, V: q.V}, SD: q.SD}
		if q.Name != "" {
			pt.On, _ = piste.Named(q.Name, float64(p.Court))
		} else {
			pt.On = piste.Place{X: *q.X, Y: *q.Y}
		}
		p.Points = append(p.Points, pt)
	}
	for _, m := range f.Lines {
		p.Lines = append(p.Lines, m.mark(p.Court))
	}
	return p
}

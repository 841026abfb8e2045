package draw

import (
	"image"
	"image/color"
	imagedraw "image/draw"
	"image/png"
	"io"
	"math"

	xdraw "golang.org/x/image/draw"
	"golang.org/x/image/math/f64"
	"golang.org/x/image/vector"
)

// maxRaster bounds the width and height of a raster in pixels: what a plate for
// print at 600 dpi on A3 needs.
const maxRaster = 10000

// Raster draws the drawing into an image this many pixels wide. It panics if
// the image would have no pixel or more than ten thousand on a side.
func (d *Drawing) Raster(width int) *image.RGBA {
	s := float64(width) / float64(d.W)
	height := int(math.Round(float64(d.H) * s))
	if width < 1 || height < 1 || width > maxRaster || height > maxRaster {
		panic("draw: a raster must have between 1 and 10000 pixels on each side")
	}
	img := image.NewRGBA(image.Rect(0, 0, width, height))
	r := raster{img, new(vector.Rasterizer)}
	m := affine{a: s, d: float64(height) / float64(d.H)}
	if g := d.Ground; g.A > 0 {
		imagedraw.Draw(img, img.Rect, image.NewUniform(color.NRGBA{g.R, g.G, g.B, g.A}), image.Point{}, imagedraw.Src)
	}
	r.group(&d.Group, m)
	return img
}

// PNG writes the drawing as a PNG file this many pixels wide.
func (d *Drawing) PNG(w io.Writer, width int) error {
	// A photograph has so much noise that slow compression saves little.
	enc := png.Encoder{}
	if d.hasPhoto() {
		enc.CompressionLevel = png.BestSpeed
	}
	return enc.Encode(w, d.Raster(width))
}

type raster struct {
	img *image.RGBA
	// z is used by one path after the other, so that its memory is not made anew.
	z *vector.Rasterizer
}

func (r raster) group(g *Group, m affine) {
	if g.moved {
		m = m.then(g.m)
	}
	if g.clip == nil {
		r.items(g, m)
		return
	}
	mask, box := r.mask(polygons(g.clip, m))
	if box.Empty() {
		return
	}
	layer := image.NewRGBA(box)
	raster{layer, r.z}.items(g, m)
	imagedraw.DrawMask(r.img, box, layer, box.Min, mask, box.Min, imagedraw.Over)
}

func (r raster) items(g *Group, m affine) {
	for _, it := range g.items {
		switch it := it.(type) {
		case *fillItem:
			r.fill(it.path, m, it.colour)
		case *strokeItem:
			r.paint(stroked(it.path, it.pen, m), it.pen.Colour)
		case *textItem:
			r.text(it, m)
		case *pictureItem:
			r.picture(it, m)
		case *Group:
			r.group(it, m)
		}
	}
}

func (r raster) fill(p *Path, m affine, c Colour) { r.paint(polygons(p, m), c) }

// polygons flattens a path; the parts close themselves.
func polygons(p *Path, m affine) [][]vec {
	var out [][]vec
	for _, c := range flatten(p, m) {
		out = append(out, c.at)
	}
	return out
}

// scaleOf is by how much a map makes lengths longer: all maps of this package scale alike
// in all directions.
func scaleOf(m affine) float64 { return math.Sqrt(math.Abs(m.a*m.d - m.b*m.c)) }

func stroked(p *Path, pen Pen, m affine) [][]vec {
	scale := scaleOf(m)
	chains := flatten(p, m)
	if len(pen.Dash) > 0 {
		dash := make([]float64, 0, 2*len(pen.Dash))
		for _, d := range pen.Dash {
			dash = append(dash, float64(d)*scale)
		}
		if len(dash)%2 == 1 {
			dash = append(dash, dash...)
		}
		chains = dashed(chains, dash)
	}
	var out [][]vec
	for _, c := range chains {
		out = append(out, c.outlines(float64(pen.Width)*scale/2, pen.Cap, pen.Corner)...)
	}
	return out
}

func (r raster) text(it *textItem, m affine) {
	t := it.text
	f := faces[t.Font]()
	base := m.then(affine{it.run.scale, 0, 0, it.run.scale, float64(it.run.x), float64(t.At.Y)})
	if t.Halo.A > 0 && t.HaloWidth > 0 {
		pen := Pen{Colour: t.Halo, Width: 2 * t.HaloWidth / MM(it.run.scale)}
		var halo [][]vec
		for _, g := range it.run.glyphs {
			gm := base.then(affine{1, 0, 0, 1, float64(g.x), 0})
			halo = append(halo, stroked(f.outline(g.glyph), pen, gm)...)
		}
		r.paint(halo, t.Halo)
	}
	var letters [][]vec
	for _, g := range it.run.glyphs {
		letters = append(letters, polygons(f.outline(g.glyph), base.then(affine{1, 0, 0, 1, float64(g.x), 0}))...)
	}
	r.paint(letters, t.Colour)
}

func (r raster) picture(it *pictureItem, m affine) {
	src := it.picture.Image
	sb := src.Bounds()
	b := it.box
	sx, sy := float64(b.W)/float64(sb.Dx()), float64(b.H)/float64(sb.Dy())
	full := m.then(affine{sx, 0, 0, sy, float64(b.X), float64(b.Y)}).then(affine{1, 0, 0, 1, -float64(sb.Min.X), -float64(sb.Min.Y)})
	if full.b == 0 && full.c == 0 {
		x0, y0 := full.at(float64(sb.Min.X), float64(sb.Min.Y))
		x1, y1 := full.at(float64(sb.Max.X), float64(sb.Max.Y))
		to := image.Rect(int(math.Round(x0)), int(math.Round(y0)), int(math.Round(x1)), int(math.Round(y1)))
		xdraw.CatmullRom.Scale(r.img, to, src, sb, xdraw.Over, nil)
		return
	}
	xdraw.CatmullRom.Transform(r.img, f64.Aff3{full.a, full.c, full.e, full.b, full.d, full.f}, src, sb, xdraw.Over, nil)
}

// window rasterises polygons and hands the rasteriser over with the box that it
// covers; nil where nothing of them lies on the image.
func (r raster) window(polys [][]vec) (*vector.Rasterizer, image.Rectangle) {
	x0, y0, x1, y1 := math.Inf(1), math.Inf(1), math.Inf(-1), math.Inf(-1)
	for _, p := range polys {
		for _, v := range p {
			x0, x1 = math.Min(x0, v.x), math.Max(x1, v.x)
			y0, y1 = math.Min(y0, v.y), math.Max(y1, v.y)
		}
	}
	if !(x1 >= x0) {
		return nil, image.Rectangle{}
	}
	b := r.img.Bounds()
	clampTo := func(v float64, lo, hi int) int {
		return int(math.Max(float64(lo), math.Min(float64(hi), v)))
	}
	box := image.Rect(clampTo(math.Floor(x0), b.Min.X, b.Max.X), clampTo(math.Floor(y0), b.Min.Y, b.Max.Y),
		clampTo(math.Ceil(x1), b.Min.X, b.Max.X), clampTo(math.Ceil(y1), b.Min.Y, b.Max.Y))
	if box.Empty() {
		return nil, box
	}
	z := r.z
	z.Reset(box.Dx(), box.Dy())
	for _, p := range polys {
		for i, v := range p {
			x, y := float32(v.x-float64(box.Min.X)), float32(v.y-float64(box.Min.Y))
			if i == 0 {
				z.MoveTo(x, y)
			} else {
				z.LineTo(x, y)
			}
		}
		z.ClosePath()
	}
	return z, box
}

func (r raster) paint(polys [][]vec, c Colour) {
	if c.A == 0 {
		return
	}
	if z, box := r.window(polys); z != nil {
		z.Draw(r.img, box, image.NewUniform(color.NRGBA{c.R, c.G, c.B, c.A}), image.Point{})
	}
}

func (r raster) mask(polys [][]vec) (*image.Alpha, image.Rectangle) {
	z, box := r.window(polys)
	if z == nil {
		return nil, image.Rectangle{}
	}
	m := image.NewAlpha(box)
	z.Draw(m, box, image.Opaque, image.Point{})
	return m, box
}

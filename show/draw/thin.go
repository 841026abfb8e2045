package draw

import (
	"image"
	"math"

	xdraw "golang.org/x/image/draw"
)

// Thinned returns the drawing with its photographs no finer than perMM pixels a
// millimetre of its sheet, each way, for files that are printed: a finer one is scaled
// down (Catmull–Rom over all pixels), a coarser one stays. It is not changed itself.
func (d *Drawing) Thinned(perMM float64) *Drawing {
	if !(perMM > 0) || !d.hasPhoto() {
		return d
	}
	out := *d
	out.Group = *d.Group.thinned(perMM)
	return &out
}

// thinned returns the group with finer photographs replaced.
func (g *Group) thinned(perMM float64) *Group {
	out := *g
	if g.moved {
		perMM *= math.Sqrt(math.Abs(g.m.a*g.m.d - g.m.b*g.m.c))
	}
	out.items = make([]item, len(g.items))
	for i, it := range g.items {
		switch it := it.(type) {
		case *Group:
			out.items[i] = it
			if it.hasPhoto() {
				out.items[i] = it.thinned(perMM)
			}
		case *pictureItem:
			out.items[i] = it
			w, h := int(math.Ceil(float64(it.box.W)*perMM)), int(math.Ceil(float64(it.box.H)*perMM))
			if b := it.picture.Image.Bounds(); it.picture.Photo && w > 0 && h > 0 && w < b.Dx() && h < b.Dy() {
				small := image.NewRGBA(image.Rect(0, 0, w, h))
				xdraw.CatmullRom.Scale(small, small.Rect, it.picture.Image, b, xdraw.Src, nil)
				out.items[i] = &pictureItem{picture: Picture{small, true}, box: it.box}
			}
		default:
			out.items[i] = it
		}
	}
	return &out
}

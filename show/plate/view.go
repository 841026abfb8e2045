package plate

import (
	"image"
	imagedraw "image/draw"
	"math"

	xdraw "golang.org/x/image/draw"

	"mesure/show/draw"
	"mesure/sport/mark"
)

// view shows a part of a frame in a box of the sheet.
type view struct {
	box draw.Box
	// x0, y0 are the top left corner of the part in pixels of the clip, corner
	// and not centre, and scale the millimetres per pixel.
	x0, y0, scale float64
}

// at returns where a point of the frame stands on the sheet. The origin of the
// image frame is the centre of a pixel, half a pixel from the corner.
func (v view) at(p mark.Pixel) draw.Pt {
	return draw.Pt{
		X: v.box.X + draw.MM((p.U+0.5-v.x0)*v.scale),
		Y: v.box.Y + draw.MM((p.V+0.5-v.y0)*v.scale),
	}
}

// finite reports whether both coordinates of a point are numbers.
func finite(p mark.Pixel) bool { return p.U-p.U == 0 && p.V-p.V == 0 }

// part is a rectangle of the frame in pixels of the clip.
type part struct{ x0, y0, x1, y1 float64 }

func (p part) w() float64 { return p.x1 - p.x0 }
func (p part) h() float64 { return p.y1 - p.y0 }

// Proportions of the part of the frame that the phone shows: no wider than
// widest times its height, no higher than its width.
const (
	widest   = 1.5
	narrow   = 1.05
	roomSide = 0.10 // around the marks, as a share of their width
	roomOver = 0.22 // above the marks: heads and lamps
	leastPx  = 160  // the crop is never smaller
)

// around returns the part of the frame that shows all these points with some
// room, in proportions that suit a phone. Without points it is the whole frame.
func around(pts []mark.Pixel, width, height float64) part {
	whole := part{0, 0, width, height}
	var p part
	n := 0
	for _, q := range pts {
		if !finite(q) || q.U < 0 || q.V < 0 || q.U > width || q.V > height {
			continue
		}
		if n == 0 {
			p = part{q.U, q.V, q.U, q.V}
		}
		p.x0, p.x1 = math.Min(p.x0, q.U), math.Max(p.x1, q.U)
		p.y0, p.y1 = math.Min(p.y0, q.V), math.Max(p.y1, q.V)
		n++
	}
	if n < 2 {
		return whole
	}
	side, over := roomSide*p.w(), roomOver*p.h()
	p = part{p.x0 - side, p.y0 - over, p.x1 + side, p.y1 + over/2}
	p = grow(p, math.Max(leastPx, p.h()*narrow), math.Max(leastPx, p.w()/widest))
	// Shift it into the frame, then cut what still stands out.
	dx := math.Max(0, -p.x0) - math.Max(0, p.x1-width)
	dy := math.Max(0, -p.y0) - math.Max(0, p.y1-height)
	p = part{p.x0 + dx, p.y0 + dy, p.x1 + dx, p.y1 + dy}
	return part{math.Floor(math.Max(0, p.x0)), math.Floor(math.Max(0, p.y0)), math.Ceil(math.Min(width, p.x1)), math.Ceil(math.Min(height, p.y1))}
}

// upright is from which height, as a share of its width, a frame is cut to the
// fencers on the wide sheet too: a phone held upright shows mostly floor.
const upright = 0.8

// shown returns the part of a frame that a layout shows.
func shown(l Layout, pts []mark.Pixel, width, height float64) part {
	if l == Phone || height > upright*width {
		return around(pts, width, height)
	}
	return part{0, 0, width, height}
}

// grow makes the part at least this wide and high about its centre.
func grow(p part, w, h float64) part {
	if d := w - p.w(); d > 0 {
		p.x0, p.x1 = p.x0-d/2, p.x1+d/2
	}
	if d := h - p.h(); d > 0 {
		// More of it above: what stands over a fencer matters, the floor does not.
		p.y0, p.y1 = p.y0-0.65*d, p.y1+0.35*d
	}
	return p
}

// cut returns this part of the picture at no more than most pixels wide. The
// picture may have another size than the clip, such as a still at half size.
func cut(img image.Image, p part, width, height float64, most int) image.Image {
	b := img.Bounds()
	kx, ky := float64(b.Dx())/width, float64(b.Dy())/height
	r := image.Rect(b.Min.X+int(math.Round(p.x0*kx)), b.Min.Y+int(math.Round(p.y0*ky)),
		b.Min.X+int(math.Round(p.x1*kx)), b.Min.Y+int(math.Round(p.y1*ky))).Intersect(b)
	if r.Empty() {
		r = b
	}
	if r.Dx() > most {
		small := image.NewRGBA(image.Rect(0, 0, most, max(1, int(math.Round(float64(r.Dy())*float64(most)/float64(r.Dx()))))))
		xdraw.CatmullRom.Scale(small, small.Bounds(), img, r, xdraw.Src, nil)
		return small
	}
	out := image.NewRGBA(image.Rect(0, 0, r.Dx(), r.Dy()))
	imagedraw.Draw(out, out.Bounds(), img, r.Min, imagedraw.Src)
	return out
}

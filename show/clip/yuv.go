package clip

import (
	"image"
	"math"
	"math/bits"
)

// Pictures are planes of YUV 4:2:0 by ITU-R BT.709-6, limited range (items 3.2 to 3.5):
//
//	Y' = 0.2126 R' + 0.7152 G' + 0.0722 B'
//	D_Y = 16 + 219 Y',  D_CB = 128 + 224 (B' − Y')/1.8556,  D_CR = 128 + 224 (R' − Y')/1.5748
//
// with R', G', B' from 0 to 1. Colour of overlays is the mean of four pixels, which puts
// it half a pixel beside where the standard sites it: less than the eye sees.
const (
	kr, kg, kb = 0.2126, 0.7152, 0.0722
	toCb, toCr = 1.8556, 1.5748
)

// fix is one in the fixed-point weights, for samples of 0 to 255.
const fix = 1 << 16

// The weights of red, green and blue in the luma and in the two colours.
var (
	yr, yg, yb = fixed(219 * kr), fixed(219 * kg), fixed(219 * kb)
	ur, ug     = fixed(-224 * kr / toCb), fixed(-224 * kg / toCb)
	vg, vb     = fixed(-224 * kg / toCr), fixed(-224 * kb / toCr)
	ub, vr     = -(ur + ug), -(vg + vb) // grey has no colour
)

func fixed(v float64) int32 { return int32(math.Round(v / 255 * fix)) }

// newPlanes returns black planes; both sides are even.
func newPlanes(w, h int) *image.YCbCr {
	p := image.NewYCbCr(image.Rect(0, 0, w, h), image.YCbCrSubsampleRatio420)
	fill(p, p.Rect, [3]byte{16, 128, 128})
	return p
}

// sample is an opaque colour as samples.
func sample(r, g, b uint8) [3]byte {
	R, G, B := int32(r), int32(g), int32(b)
	return [3]byte{
		byte(16 + (yr*R+yg*G+yb*B+fix/2)>>16),
		byte(128 + (ur*R+ug*G+ub*B+fix/2)>>16),
		byte(128 + (vr*R+vg*G+vb*B+fix/2)>>16),
	}
}

// fill paints a rectangle with even edges.
func fill(p *image.YCbCr, r image.Rectangle, c [3]byte) {
	r = r.Intersect(p.Rect)
	if r.Empty() {
		return
	}
	run := func(row []byte, v byte) {
		for i := range row {
			row[i] = v
		}
	}
	for y := r.Min.Y; y < r.Max.Y; y++ {
		o := y*p.YStride + r.Min.X
		run(p.Y[o:o+r.Dx()], c[0])
	}
	for y := r.Min.Y / 2; y < (r.Max.Y+1)/2; y++ {
		o := y*p.CStride + r.Min.X/2
		n := (r.Dx() + 1) / 2
		run(p.Cb[o:o+n], c[1])
		run(p.Cr[o:o+n], c[2])
	}
}

// copyPlanes copies src, whole, to the place at; both of even size at an even place.
func copyPlanes(dst *image.YCbCr, at image.Point, src *image.YCbCr) {
	r := image.Rectangle{at, at.Add(src.Rect.Size())}.Intersect(dst.Rect)
	for y := r.Min.Y; y < r.Max.Y; y++ {
		s := (y-at.Y)*src.YStride + r.Min.X - at.X
		copy(dst.Y[y*dst.YStride+r.Min.X:][:r.Dx()], src.Y[s:][:r.Dx()])
	}
	for y := r.Min.Y / 2; y < r.Max.Y/2; y++ {
		s, d, n := (y-at.Y/2)*src.CStride+(r.Min.X-at.X)/2, y*dst.CStride+r.Min.X/2, r.Dx()/2
		copy(dst.Cb[d:d+n], src.Cb[s:s+n])
		copy(dst.Cr[d:d+n], src.Cr[s:s+n])
	}
}

// mix writes the mean of a and b into dst at a place, b weighing w of 256.
func mix(dst *image.YCbCr, at image.Point, a, b *image.YCbCr, w int) {
	if w <= 0 {
		copyPlanes(dst, at, a)
		return
	}
	if w >= 256 {
		copyPlanes(dst, at, b)
		return
	}
	r := image.Rectangle{at, at.Add(a.Rect.Size())}.Intersect(dst.Rect)
	for y := r.Min.Y; y < r.Max.Y; y++ {
		x := r.Min.X - at.X
		mixRow(dst.Y[y*dst.YStride+r.Min.X:][:r.Dx()], a.Y[(y-at.Y)*a.YStride+x:], b.Y[(y-at.Y)*b.YStride+x:], uint64(w))
	}
	for y := r.Min.Y / 2; y < r.Max.Y/2; y++ {
		x, d, n := (r.Min.X-at.X)/2, y*dst.CStride+r.Min.X/2, r.Dx()/2
		sa, sb := (y-at.Y/2)*a.CStride+x, (y-at.Y/2)*b.CStride+x
		mixRow(dst.Cb[d:d+n], a.Cb[sa:], b.Cb[sb:], uint64(w))
		mixRow(dst.Cr[d:d+n], a.Cr[sa:], b.Cr[sb:], uint64(w))
	}
}

// mixRow mixes eight samples at a time: four in the even bytes of a word, four in the
// odd ones, each with room for the product.
func mixRow(dst, a, b []byte, w uint64) {
	const low, half = 0x00ff00ff00ff00ff, 0x0080008000800080
	v := 256 - w
	n := len(dst)
	i := 0
	for ; i+8 <= n; i += 8 {
		p, q := load(a[i:i+8]), load(b[i:i+8])
		e := (p&low)*v + (q&low)*w + half
		o := (p>>8&low)*v + (q>>8&low)*w + half
		store(dst[i:i+8], e>>8&low|o&^low)
	}
	for ; i < n; i++ {
		dst[i] = byte((uint64(a[i])*v + uint64(b[i])*w + 128) >> 8)
	}
}

func load(b []byte) uint64 {
	_ = b[7]
	return uint64(b[0]) | uint64(b[1])<<8 | uint64(b[2])<<16 | uint64(b[3])<<24 |
		uint64(b[4])<<32 | uint64(b[5])<<40 | uint64(b[6])<<48 | uint64(b[7])<<56
}

func store(b []byte, v uint64) {
	_ = b[7]
	b[0], b[1], b[2], b[3] = byte(v), byte(v>>8), byte(v>>16), byte(v>>24)
	b[4], b[5], b[6], b[7] = byte(v>>32), byte(v>>40), byte(v>>48), byte(v>>56)
}

// sprite is a drawn picture with transparency, ready to be laid on planes: its
// own samples already weighed by its opacity. Only the stretch of each row that shows
// something is kept in spans.
type sprite struct {
	at    image.Point // even
	w, h  int         // even
	y, a  []byte      // a row of w samples: what is added, and 255 less the opacity
	u, v  []int16     // a row of w/2: what is added, from 0
	ca    []byte
	spans [][2]int // of each pair of rows, in pixels, even
}

// spriteOf takes what shows of a premultiplied picture; nil where nothing does. The
// corner of the picture lies at its own bounds.
func spriteOf(img *image.RGBA) *sprite {
	box := shows(img)
	if box.Empty() {
		return nil
	}
	s := &sprite{at: box.Min, w: box.Dx(), h: box.Dy()}
	s.y, s.a = make([]byte, s.w*s.h), make([]byte, s.w*s.h)
	s.u, s.v, s.ca = make([]int16, s.w*s.h/4), make([]int16, s.w*s.h/4), make([]byte, s.w*s.h/4)
	s.spans = make([][2]int, s.h/2)
	for j := 0; j < s.h; j += 2 {
		first, last := s.w, 0
		for i := 0; i < s.w; i += 2 {
			var r, g, b, a int32
			for k := range 4 {
				x, y := i+k&1, j+k>>1
				p := image.Pt(box.Min.X+x, box.Min.Y+y)
				n := y*s.w + x
				if !p.In(img.Rect) {
					s.a[n] = 255
					continue
				}
				q := img.Pix[img.PixOffset(p.X, p.Y):][:4]
				R, G, B, A := int32(q[0]), int32(q[1]), int32(q[2]), int32(q[3])
				s.a[n] = byte(255 - A)
				if A != 0 {
					// 16 of the range weighs as the opacity does.
					s.y[n] = byte((yr*R + yg*G + yb*B + 16*A*fix/255 + fix/2) >> 16)
				}
				r, g, b, a = r+R, g+G, b+B, a+A
			}
			m := (j/2)*(s.w/2) + i/2
			s.ca[m] = byte(255 - (a+2)/4)
			if a == 0 {
				continue
			}
			first, last = min(first, i), i+2
			// The middle, 128, weighs as the opacity does; it is put in where it is laid on.
			s.u[m] = int16((ur*r + ug*g + ub*b + 2*fix) >> 18)
			s.v[m] = int16((vr*r + vg*g + vb*b + 2*fix) >> 18)
		}
		if first < last {
			s.spans[j/2] = [2]int{first, last}
		}
	}
	return s
}

// shows is the smallest box with even edges that holds everything opaque.
func shows(img *image.RGBA) image.Rectangle {
	r := img.Rect
	var box image.Rectangle
	for y := r.Min.Y; y < r.Max.Y; y++ {
		row := img.Pix[img.PixOffset(r.Min.X, y):][:4*r.Dx()]
		first := firstSet(row)
		if first < 0 {
			continue
		}
		last := lastSet(row)
		box = box.Union(image.Rect(r.Min.X+first, y, r.Min.X+last+1, y+1))
	}
	if box.Empty() {
		return box
	}
	down := func(v int) int { return v &^ 1 }
	return image.Rect(down(box.Min.X), down(box.Min.Y), down(box.Max.X+1), down(box.Max.Y+1))
}

// firstSet is the first pixel of a row that is not clear; −1 where all are.
func firstSet(row []byte) int {
	i := 0
	for ; i+8 <= len(row); i += 8 {
		if v := load(row[i : i+8]); v != 0 {
			return (i + bits.TrailingZeros64(v)/8) / 4
		}
	}
	for ; i < len(row); i++ {
		if row[i] != 0 {
			return i / 4
		}
	}
	return -1
}

func lastSet(row []byte) int {
	for i := len(row) - 1; i >= 0; i-- {
		if row[i] != 0 {
			return i / 4
		}
	}
	return -1
}

// over255 is v/255 rounded, for v up to 255·255.
func over255(v int) int { return (v + 128 + (v+128)>>8) >> 8 }

// lay lays a sprite on planes.
func (s *sprite) lay(p *image.YCbCr) {
	if s == nil {
		return
	}
	for j, span := range s.spans {
		y := s.at.Y + 2*j
		x0, x1 := max(span[0], -s.at.X), min(span[1], p.Rect.Max.X-s.at.X)
		if x0 >= x1 || y < 0 || y+1 >= p.Rect.Max.Y {
			continue
		}
		for k := range 2 {
			o := (2*j+k)*s.w + x0
			add, keep := s.y[o:o+x1-x0], s.a[o:o+x1-x0]
			dst := p.Y[(y+k)*p.YStride+s.at.X+x0:][:x1-x0]
			for i, a := range keep {
				if a != 255 {
					dst[i] = byte(int(add[i]) + over255(int(dst[i])*int(a)))
				}
			}
		}
		o, d := j*(s.w/2)+x0/2, (y/2)*p.CStride+(s.at.X+x0)/2
		for i := range (x1 - x0) / 2 {
			a := int(s.ca[o+i])
			if a == 255 {
				continue
			}
			// About the middle, so that what is clear keeps its colour exactly.
			p.Cb[d+i] = clamp(128 + int(s.u[o+i]) + scaled(int(p.Cb[d+i])-128, a))
			p.Cr[d+i] = clamp(128 + int(s.v[o+i]) + scaled(int(p.Cr[d+i])-128, a))
		}
	}
}

// scaled is v·a/255 rounded, for v of either sign.
func scaled(v, a int) int {
	if v < 0 {
		return -over255(-v * a)
	}
	return over255(v * a)
}

func clamp(v int) byte { return byte(max(0, min(255, v))) }

// rgba turns planes into red, green and blue for a screen.
func rgba(p *image.YCbCr) *image.RGBA {
	out := image.NewRGBA(p.Rect)
	clip := func(v float32) byte {
		switch {
		case v <= 0:
			return 0
		case v >= 255:
			return 255
		}
		return byte(v + 0.5)
	}
	const sy, sc = 255.0 / 219, 255.0 / 224
	const gu, gv = toCb * kb / kg * sc, toCr * kr / kg * sc
	for y := range p.Rect.Dy() {
		o := out.Pix[y*out.Stride:]
		for x := range p.Rect.Dx() {
			l := float32(sy) * (float32(p.Y[y*p.YStride+x]) - 16)
			c := (y/2)*p.CStride + x/2
			u, v := float32(p.Cb[c])-128, float32(p.Cr[c])-128
			o[4*x] = clip(l + toCr*sc*v)
			o[4*x+1] = clip(l - gu*u - gv*v)
			o[4*x+2] = clip(l + toCb*sc*u)
			o[4*x+3] = 255
		}
	}
	return out
}

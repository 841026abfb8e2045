package video

import "image"

// Matrix says how brightness and colour were made from red, green and blue.
type Matrix uint8

// The matrices, with the luma weights of ITU-R BT.601-7 section 2.5.1, BT.709-6
// section 3.2 and BT.2020-2 table 4 (non-constant luminance).
const (
	BT601 Matrix = iota
	BT709
	BT2020
)

// weights returns the luma weights of red and blue; green has the rest.
func (m Matrix) weights() (red, blue float64) {
	switch m {
	case BT709:
		return 0.2126, 0.0722
	case BT2020:
		return 0.2627, 0.0593
	}
	return 0.299, 0.114
}

// String names the matrix as ffprobe does.
func (m Matrix) String() string {
	switch m {
	case BT709:
		return "bt709"
	case BT2020:
		return "bt2020nc"
	}
	return "smpte170m"
}

// Colour is what the samples of a frame mean.
type Colour struct {
	Matrix Matrix
	// Full is true when brightness runs from 0 to 255, false when black is 16 and
	// white 235 (BT.709-6 section 4.6).
	Full bool
	// Transfer says how the samples follow the light.
	Transfer Transfer
}

// Quantisation of 8-bit video, BT.601-7 table 3 and BT.709-6 section 4.
const (
	blackLimited  = 16
	lumaLimited   = 219
	chromaLimited = 224
	chromaZero    = 128
)

// highDefinition is the height from which a video that does not say so is taken
// for BT.709 (common practice, no source).
const highDefinition = 720

// fixed is the number of fractional bits of the colour arithmetic.
const fixed = 16

// decoding holds the colour equations for one Colour, each product looked up.
type decoding struct {
	luma                        [256]int32
	redV, greenU, greenV, blueU [256]int32
}

func newDecoding(c Colour) *decoding {
	kr, kb := c.Matrix.weights()
	kg := 1 - kr - kb
	lumaSpan, chromaSpan, black := 255.0, 255.0, 0.0
	if !c.Full {
		lumaSpan, chromaSpan, black = lumaLimited, chromaLimited, blackLimited
	}
	whole := func(v float64) int32 {
		if v < 0 {
			return -int32(0.5 - v)
		}
		return int32(v + 0.5)
	}
	d := new(decoding)
	one := 255 * float64(int32(1)<<fixed)
	for i := range 256 {
		chroma := (float64(i) - chromaZero) / chromaSpan
		d.luma[i] = whole((float64(i)-black)/lumaSpan*one) + 1<<(fixed-1)
		d.redV[i] = whole(2 * (1 - kr) * chroma * one)
		d.blueU[i] = whole(2 * (1 - kb) * chroma * one)
		d.greenU[i] = whole(-2 * (1 - kb) * kb / kg * chroma * one)
		d.greenV[i] = whole(-2 * (1 - kr) * kr / kg * chroma * one)
	}
	return d
}

func clamp(v int32) uint8 {
	v >>= fixed
	if uint32(v) > 255 {
		if v < 0 {
			return 0
		}
		return 255
	}
	return uint8(v)
}

// RGBA returns the frame in red, green and blue, full range, as a screen shows
// it. Colour is spread to every pixel as BT.601 and BT.709 site it: on every
// second column, between two rows.
//
// High dynamic range and the wide colours of BT.2020 are brought into what an
// ordinary screen shows.
func (f Frame) RGBA() *image.RGBA {
	img := image.NewRGBA(image.Rect(0, 0, f.Width, f.Height))
	d := newDecoding(f.Colour)
	cw, ch := chroma(f.Width, f.Height)
	u, v := make([]byte, cw), make([]byte, cw)
	for y := range f.Height {
		chromaRow(u, v, f, cw, ch, y)
		out := img.Pix[y*img.Stride : y*img.Stride+4*f.Width]
		for x, luma := range f.Y[y*f.Width : y*f.Width+f.Width] {
			k := x / 2
			cu, cv := u[k], v[k]
			if x%2 == 1 && k+1 < cw {
				cu = uint8((int(cu) + int(u[k+1]) + 1) / 2)
				cv = uint8((int(cv) + int(v[k+1]) + 1) / 2)
			}
			l := d.luma[luma]
			out[4*x] = clamp(l + d.redV[cv])
			out[4*x+1] = clamp(l + d.greenU[cu] + d.greenV[cv])
			out[4*x+2] = clamp(l + d.blueU[cu])
			out[4*x+3] = 255
		}
	}
	if f.Colour.Matrix == BT2020 {
		narrow(img, f.Colour.Transfer)
	}
	return img
}

// chromaRow lays the colours that belong to row y of the brightness into u and v: the
// nearer row counts three quarters, the further one a quarter.
func chromaRow(u, v []byte, f Frame, cw, ch, y int) {
	near := y / 2
	far := min(near+1, ch-1)
	if y%2 == 0 {
		far = max(near-1, 0)
	}
	blendRows(u, f.U[near*cw:near*cw+cw], f.U[far*cw:far*cw+cw])
	blendRows(v, f.V[near*cw:near*cw+cw], f.V[far*cw:far*cw+cw])
}

func blendRows(dst, near, far []byte) {
	for i := range dst {
		dst[i] = uint8((3*int(near[i]) + int(far[i]) + 2) / 4)
	}
}

// SetRGBA fills the frame from a picture of the same size in the frame's colour;
// transparency is ignored. It panics when the sizes differ.
func (f Frame) SetRGBA(img *image.RGBA) {
	if img.Rect.Dx() != f.Width || img.Rect.Dy() != f.Height {
		panic("video: SetRGBA: the picture has another size than the frame")
	}
	e := newEncoding(f.Colour)
	cw, _ := chroma(f.Width, f.Height)
	for y := 0; y < f.Height; y += 2 {
		top := img.Pix[y*img.Stride : y*img.Stride+4*f.Width]
		low := top
		lumaTop := f.Y[y*f.Width : y*f.Width+f.Width]
		lumaLow := lumaTop
		if y+1 < f.Height {
			low = img.Pix[(y+1)*img.Stride : (y+1)*img.Stride+4*f.Width]
			lumaLow = f.Y[(y+1)*f.Width : (y+2)*f.Width]
		}
		u := f.U[y/2*cw : y/2*cw+cw]
		v := f.V[y/2*cw : y/2*cw+cw]
		e.rows(lumaTop, lumaLow, u, v, top, low)
	}
}

// encoding holds the colour equations the other way round.
type encoding struct {
	yr, yg, yb, y0 int32
	ur, ug, ub     int32
	vr, vg, vb     int32
	c0             int32
}

func newEncoding(c Colour) encoding {
	kr, kb := c.Matrix.weights()
	lumaSpan, chromaSpan, black := 255.0, 255.0, 0.0
	if !c.Full {
		lumaSpan, chromaSpan, black = lumaLimited, chromaLimited, blackLimited
	}
	one := float64(int32(1) << fixed)
	l, k := lumaSpan/255*one, chromaSpan/255*one
	e := encoding{
		yr: int32(kr*l + 0.5), yb: int32(kb*l + 0.5),
		y0: int32(black*one) + 1<<(fixed-1),
		ur: int32(-kr/(2*(1-kb))*k - 0.5), ub: int32(k/2 + 0.5),
		vb: int32(-kb/(2*(1-kr))*k - 0.5), vr: int32(k/2 + 0.5),
	}
	// Green takes what is left, so that grey stays grey and white stays white.
	e.yg = int32(l+0.5) - e.yr - e.yb
	e.ug = -e.ur - e.ub
	e.vg = -e.vr - e.vb
	e.c0 = int32(chromaZero)<<fixed + 1<<(fixed-1)
	return e
}

// rows converts two rows of pixels, which may be the same row.
func (e *encoding) rows(lumaTop, lumaLow, u, v, top, low []byte) {
	n := len(lumaTop)
	for x := 0; x < n; x += 2 {
		a := top[4*x : 4*x+4 : 4*x+4]
		c := low[4*x : 4*x+4 : 4*x+4]
		b, d := a, c
		if x+1 < n {
			b = top[4*x+4 : 4*x+8 : 4*x+8]
			d = low[4*x+4 : 4*x+8 : 4*x+8]
		}
		ar, ag, ab := int32(a[0]), int32(a[1]), int32(a[2])
		br, bg, bb := int32(b[0]), int32(b[1]), int32(b[2])
		cr, cg, cb := int32(c[0]), int32(c[1]), int32(c[2])
		dr, dg, db := int32(d[0]), int32(d[1]), int32(d[2])
		lumaTop[x] = uint8((e.yr*ar + e.yg*ag + e.yb*ab + e.y0) >> fixed)
		lumaLow[x] = uint8((e.yr*cr + e.yg*cg + e.yb*cb + e.y0) >> fixed)
		if x+1 < n {
			lumaTop[x+1] = uint8((e.yr*br + e.yg*bg + e.yb*bb + e.y0) >> fixed)
			lumaLow[x+1] = uint8((e.yr*dr + e.yg*dg + e.yb*db + e.y0) >> fixed)
		}
		r, g, bl := (ar+br+cr+dr+2)>>2, (ag+bg+cg+dg+2)>>2, (ab+bb+cb+db+2)>>2
		u[x/2] = clamp(e.ur*r + e.ug*g + e.ub*bl + e.c0)
		v[x/2] = clamp(e.vr*r + e.vg*g + e.vb*bl + e.c0)
	}
}

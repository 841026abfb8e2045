package video

import "image"

// screen is the colour of everything that is written: BT.709, limited range, SDR.
var screen = Colour{Matrix: BT709}

// YCbCr returns the planes of the frame, not copied. The type is a container only: by
// itself it would mean BT.601 in full range, the samples mean f.Colour.
func (f Frame) YCbCr() *image.YCbCr {
	cw, _ := chroma(f.Width, f.Height)
	return &image.YCbCr{Y: f.Y, Cb: f.U, Cr: f.V, YStride: f.Width, CStride: cw,
		SubsampleRatio: image.YCbCrSubsampleRatio420, Rect: image.Rect(0, 0, f.Width, f.Height)}
}

// As709 returns the frame in BT.709, limited range, SDR: the frame itself where it is so
// already, else a new one. Brightness takes the colour of its place, sited as RGBA has it;
// what lies outside the range of the samples is clipped, nothing else is lost but rounding.
// Wide colours and high dynamic range go through RGBA.
func (f Frame) As709() Frame { return f.as709(nil) }

// as709 converts into room, a frame of the same size, where it is given.
func (f Frame) as709(room *Frame) Frame {
	if f.Colour.Matrix == BT709 && !f.Colour.Full {
		f.Colour = screen // without a wide gamut RGBA does not look at the transfer either
		return f
	}
	var g Frame
	if room != nil {
		g = *room
	} else {
		g = frameOver(make([]byte, frameBytes(f.Width, f.Height)), f.Width, f.Height)
	}
	g.Number, g.Time, g.Colour, g.bottomFirst = f.Number, f.Time, screen, f.bottomFirst
	if f.Colour.Matrix == BT2020 {
		g.SetRGBA(f.RGBA())
		return g
	}
	newPassage(f.Colour).frame(g, f)
	return g
}

// passage holds the equations from one Colour to screen, each product looked up in fixed
// point: brightness gets a share of both colours, the colours get nothing of brightness,
// since grey is grey in both.
type passage struct {
	luma, lumaU, lumaV [256]int32
	uu, uv, vu, vv     [256]int32
	// mixed is false where only the range changes.
	mixed bool
}

func newPassage(c Colour) *passage {
	kr, kb := c.Matrix.weights()
	kg := 1 - kr - kb
	wr, wb := BT709.weights()
	wg := 1 - wr - wb
	lumaSpan, chromaSpan, black := 255.0, 255.0, 0.0
	if !c.Full {
		lumaSpan, chromaSpan, black = lumaLimited, chromaLimited, blackLimited
	}
	// What one unit of Cb and of Cr adds to red, green and blue.
	redV, blueU := 2*(1-kr), 2*(1-kb)
	greenU, greenV := -blueU*kb/kg, -redV*kr/kg
	// And to brightness and colour in BT.709.
	yu, yv := wg*greenU+wb*blueU, wr*redV+wg*greenV
	uu, uv := (blueU-yu)/(2*(1-wb)), -yv/(2*(1-wb))
	vu, vv := -yu/(2*(1-wr)), (redV-yv)/(2*(1-wr))
	const one = float64(int32(1) << fixed)
	whole := func(v float64) int32 {
		if v < 0 {
			return -int32(0.5 - v)
		}
		return int32(v + 0.5)
	}
	p := &passage{mixed: c.Matrix != BT709}
	for i := range 256 {
		y := (float64(i) - black) / lumaSpan
		k := (float64(i) - chromaZero) / chromaSpan
		p.luma[i] = whole((y*lumaLimited+blackLimited)*one) + 1<<(fixed-1)
		p.lumaU[i], p.lumaV[i] = whole(yu*k*lumaLimited*one), whole(yv*k*lumaLimited*one)
		p.uu[i], p.uv[i] = whole((uu*k*chromaLimited+chromaZero)*one)+1<<(fixed-1), whole(uv*k*chromaLimited*one)
		p.vv[i], p.vu[i] = whole((vv*k*chromaLimited+chromaZero)*one)+1<<(fixed-1), whole(vu*k*chromaLimited*one)
	}
	return p
}

func (p *passage) frame(to, f Frame) {
	for i, u := range f.U {
		v := f.V[i]
		to.U[i], to.V[i] = clamp(p.uu[u]+p.uv[v]), clamp(p.vu[u]+p.vv[v])
	}
	if !p.mixed {
		for i, y := range f.Y {
			to.Y[i] = clamp(p.luma[y])
		}
		return
	}
	cw, ch := chroma(f.Width, f.Height)
	u, v := make([]byte, cw), make([]byte, cw)
	for y := range f.Height {
		chromaRow(u, v, f, cw, ch, y)
		out := to.Y[y*f.Width : y*f.Width+f.Width]
		for x, luma := range f.Y[y*f.Width : y*f.Width+f.Width] {
			k := x / 2
			cu, cv := u[k], v[k]
			if x%2 == 1 && k+1 < cw {
				cu = uint8((int(cu) + int(u[k+1]) + 1) / 2)
				cv = uint8((int(cv) + int(v[k+1]) + 1) / 2)
			}
			out[x] = clamp(p.luma[luma] + p.lumaU[cu] + p.lumaV[cv])
		}
	}
}

package video

import (
	"image"

	"mesure/sport/mark"
)

// Frame is one decoded picture in planes of YUV 4:2:0, 8 bits a sample, without
// padding: Y has Width samples a row, U and V have half as many, rounded up.
type Frame struct {
	Number        mark.Frame
	Time          mark.FileTime
	Width, Height int
	Y, U, V       []byte
	Colour        Colour
	// bottomFirst is true where the lower field of an interlaced picture is the
	// earlier one.
	bottomFirst bool
}

// chroma returns the size of the colour planes.
func chroma(width, height int) (w, h int) { return (width + 1) / 2, (height + 1) / 2 }

// NewFrame returns a black frame of this size, BT.709, limited range. It panics
// on a size below 1.
func NewFrame(width, height int) Frame {
	if width < 1 || height < 1 {
		panic("video: NewFrame: a frame has at least one pixel")
	}
	f := frameOver(make([]byte, frameBytes(width, height)), width, height)
	f.Colour = Colour{Matrix: BT709}
	for i := range f.Y {
		f.Y[i] = blackLimited
	}
	for i := range f.U {
		f.U[i], f.V[i] = chromaZero, chromaZero
	}
	return f
}

func frameBytes(width, height int) int {
	cw, ch := chroma(width, height)
	return width*height + 2*cw*ch
}

// frameOver lays the planes of a frame over a buffer.
func frameOver(b []byte, width, height int) Frame {
	cw, ch := chroma(width, height)
	y, c := width*height, cw*ch
	return Frame{Width: width, Height: height, Y: b[:y:y], U: b[y : y+c : y+c], V: b[y+c : y+2*c : y+2*c]}
}

// Clone returns a copy that stays valid.
func (f Frame) Clone() Frame {
	b := make([]byte, frameBytes(f.Width, f.Height))
	c := frameOver(b, f.Width, f.Height)
	copy(c.Y, f.Y)
	copy(c.U, f.U)
	copy(c.V, f.V)
	c.Number, c.Time, c.Colour, c.bottomFirst = f.Number, f.Time, f.Colour, f.bottomFirst
	return c
}

// Gray returns a copy of the brightness as it stands in the file.
func (f Frame) Gray() *image.Gray {
	g := image.NewGray(image.Rect(0, 0, f.Width, f.Height))
	copy(g.Pix, f.Y)
	return g
}

// turned returns the frame turned clockwise by 0, 90, 180 or 270 degrees, laid
// over buffer, which has frameBytes of room. Without a turn it is f itself.
func (f Frame) turned(degrees int, buffer []byte) Frame {
	if degrees == 0 {
		return f
	}
	w, h := f.Width, f.Height
	if degrees != 180 {
		w, h = h, w
	}
	t := frameOver(buffer, w, h)
	t.Number, t.Time, t.Colour, t.bottomFirst = f.Number, f.Time, f.Colour, f.bottomFirst
	cw, ch := chroma(f.Width, f.Height)
	turnPlane(t.Y, f.Y, f.Width, f.Height, degrees)
	turnPlane(t.U, f.U, cw, ch, degrees)
	turnPlane(t.V, f.V, cw, ch, degrees)
	return t
}

// turnTile is the side of the squares in which a plane is turned, so that both
// planes stay in the cache.
const turnTile = 32

func turnPlane(dst, src []byte, w, h, degrees int) {
	if degrees == 180 {
		for i, v := range src[:w*h] {
			dst[w*h-1-i] = v
		}
		return
	}
	for y0 := 0; y0 < h; y0 += turnTile {
		for x0 := 0; x0 < w; x0 += turnTile {
			for y := y0; y < min(y0+turnTile, h); y++ {
				row := src[y*w : y*w+w]
				for x := x0; x < min(x0+turnTile, w); x++ {
					if degrees == 90 {
						dst[x*h+h-1-y] = row[x]
					} else {
						dst[(w-1-x)*h+y] = row[x]
					}
				}
			}
		}
	}
}

package picture

import (
	"image"
	"math"

	"golang.org/x/image/font"
	"golang.org/x/image/font/gofont/gobold"
	"golang.org/x/image/font/opentype"
	"golang.org/x/image/math/fixed"
)

// lettering is a name as it is printed on the back of a jacket: the share of
// ink, row by row from the top.
type lettering struct {
	wide, high int
	ink        []float32
}

// The print on the jacket, in metres from the neck along the spine.
const (
	nameHigh  = 0.072 // of the letters with the space above and below
	nameBelow = 0.125 // from the neck to the top of the print
	nameFore  = 0.025 // towards the front shoulder: the rear one turns away
	nameDark  = 0.88  // share of the light that the ink takes
	zipDark   = 0.30
	zipHalf   = 0.0035
)

// letter sets a name in capitals.
func letter(name string) *lettering {
	const high = 48
	face, err := fontOf(high)
	if err != nil {
		panic("picture: the font inside this program cannot be read: " + err.Error())
	}
	wide := font.MeasureString(face, name).Ceil() + 4
	img := image.NewAlpha(image.Rect(0, 0, wide, high))
	d := font.Drawer{Dst: img, Src: image.Opaque, Face: face, Dot: fixed.P(2, high*4/5)}
	d.DrawString(name)
	l := &lettering{wide: wide, high: high, ink: make([]float32, wide*high)}
	for i := range l.ink {
		l.ink[i] = float32(img.Pix[i/wide*img.Stride+i%wide]) / 255
	}
	return l
}

func fontOf(high float64) (font.Face, error) {
	f, err := opentype.Parse(gobold.TTF)
	if err != nil {
		return nil, err
	}
	return opentype.NewFace(f, &opentype.FaceOptions{Size: high * 0.98, DPI: 72})
}

// print returns the share of the light that the print on a jacket leaves: the
// name between the shoulder blades, the closure on the chest.
func (e *Easel) print(skin *skinOf, at, n vec) float32 {
	f := skin.wearer
	q := at.Sub(f.Neck)
	along, across := -q.Dot(f.Spine), q.Dot(f.Across)
	if n.Dot(f.Out) > 0.15 {
		l := skin.kit.name
		y := (along - nameBelow) / nameHigh * float64(l.high)
		x := (across-nameFore)/nameHigh*float64(l.high) + float64(l.wide)/2
		i, j := int(math.Floor(x)), int(math.Floor(y))
		if i < 0 || j < 0 || i >= l.wide || j >= l.high {
			return 1
		}
		return 1 - nameDark*l.ink[j*l.wide+i]
	}
	off := math.Abs(across - 0.035)
	if off < zipHalf*2 && along < f.Build.Trunk*0.9 {
		return float32(1 - zipDark*step(2*zipHalf, zipHalf*0.5, off))
	}
	return 1
}

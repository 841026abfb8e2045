package picture

import (
	"fmt"
	"image"
	"image/color"
	"math"

	"golang.org/x/image/font"
	"golang.org/x/image/math/fixed"

	"mesure/demo/scene"
	"mesure/show/draw"
	"mesure/sport/mark"
)

// The names on the jackets and in the graphics.
const (
	leftName  = "ORLEN"
	rightName = "HARRAK"
)

// The clock of the bout counts down from this many seconds at the clock's zero of
// the first touch, each touch so much later; it stops when the referee halts.
const (
	clockStart = 151.4
	clockEach  = 11.3
	haltAfter  = 0.40 // seconds after the lamps
)

// broadcast draws the graphics of the broadcast: flat, sharp and in one place,
// whatever the camera does.
type broadcast struct{ big, small font.Face }

func newBroadcast() *broadcast {
	face := func(high float64) font.Face {
		f, err := fontOf(high)
		if err != nil {
			panic("picture: the font inside this program cannot be read: " + err.Error())
		}
		return f
	}
	return &broadcast{face(27), face(22)}
}

// draw lays the graphics of a shot over a picture.
func (b *broadcast) draw(img *image.RGBA, film *scene.Film, shot *scene.Shot, f mark.Frame) {
	for _, g := range shot.Graphics {
		if shot.Factor != 1 {
			b.tag(img, g)
		} else {
			b.score(img, g, film, float64(shot.At(f)))
		}
	}
}

// tag is the word over a replay.
func (b *broadcast) tag(img *image.RGBA, g image.Rectangle) {
	look := draw.Stage()
	fill(img, g, look.Ground)
	fill(img, image.Rect(g.Min.X, g.Max.Y-3, g.Max.X, g.Max.Y), look.Rule)
	b.word(img, b.small, "REPLAY", look.Ink, (g.Min.X+g.Max.X)/2, g.Min.Y+26, 0.5)
}

// score is the box with the names, the score, the clock that runs and the lamps.
func (b *broadcast) score(img *image.RGBA, g image.Rectangle, film *scene.Film, t float64) {
	look := draw.Stage()
	x, y := g.Min.X, g.Min.Y
	fill(img, g, look.Ground)
	mid := (g.Min.X + g.Max.X) / 2
	fill(img, image.Rect(mid-62, y, mid+62, g.Max.Y), look.Raised)
	fill(img, image.Rect(x, y, g.Max.X, y+2), look.Rule)
	base := y + 36
	// A square for the left fencer, a disc for the right one, as everywhere.
	fill(img, image.Rect(x+24, y+19, x+40, y+35), look.Left)
	disc(img, g.Max.X-32, y+27, 8.5, look.Right)
	b.word(img, b.big, leftName, look.Ink, x+50, base, 0)
	b.word(img, b.big, rightName, look.Ink, g.Max.X-50, base, 1)
	b.word(img, b.big, fmt.Sprint(film.Before.Left), look.Ink, mid-84, base, 0.5)
	b.word(img, b.big, fmt.Sprint(film.Before.Right), look.Ink, mid+84, base, 0.5)
	b.word(img, b.big, Clock(film, t), look.Ink, mid, base, 0.5)
	red, green := look.Faint, look.Faint
	if t >= float64(film.LampsAt) {
		if film.Lamps.Left {
			red = look.LampRed
		}
		if film.Lamps.Right {
			green = look.LampGreen
		}
	}
	fill(img, image.Rect(x, y+2, x+14, g.Max.Y), red)
	fill(img, image.Rect(g.Max.X-14, y+2, g.Max.X, g.Max.Y), green)
}

// Clock is what the clock of the bout shows at an instant of a film: minutes, seconds and
// tenths. It stops when the referee halts.
func Clock(film *scene.Film, t float64) string {
	t = math.Min(t, float64(film.LampsAt)+haltAfter)
	left := int(math.Ceil((clockStart - clockEach*float64(film.Number-6) - t) * 10))
	return fmt.Sprintf("%d:%02d.%d", left/600, left/10%60, left%10)
}

// word sets a word with its foot at (x, y): share 0 puts its left end at x, 1 its
// right end.
func (b *broadcast) word(img *image.RGBA, face font.Face, text string, c draw.Colour, x, y int, share float64) {
	wide := float64(font.MeasureString(face, text)) / 64
	d := font.Drawer{Dst: img, Src: image.NewUniform(rgba(c)), Face: face, Dot: fixed.P(x-int(math.Round(share*wide)), y)}
	d.DrawString(text)
}

func rgba(c draw.Colour) color.RGBA { return color.RGBA{c.R, c.G, c.B, 255} }

func fill(img *image.RGBA, r image.Rectangle, c draw.Colour) {
	for y := r.Min.Y; y < r.Max.Y; y++ {
		for x := r.Min.X; x < r.Max.X; x++ {
			img.SetRGBA(x, y, rgba(c))
		}
	}
}

// disc fills a round with soft edges.
func disc(img *image.RGBA, cx, cy int, radius float64, c draw.Colour) {
	for y := cy - int(radius) - 1; y <= cy+int(radius)+1; y++ {
		for x := cx - int(radius) - 1; x <= cx+int(radius)+1; x++ {
			k := math.Max(0, math.Min(1, radius+0.5-math.Hypot(float64(x-cx), float64(y-cy))))
			was := img.RGBAAt(x, y)
			over := c.Fade(k).Over(draw.Colour{R: was.R, G: was.G, B: was.B, A: 255})
			img.SetRGBA(x, y, rgba(over))
		}
	}
}

package clip

import (
	"fmt"
	"image"
	"math"
	"slices"
)

// What a Form may be.
var (
	shapes = []Shape{Wide, Upright, Square}
	lines  = []int{720, 1080}
	rates  = []int{24, 25, 30, 50, 60}
)

// Whole fills in what a form leaves open. The error is a *Trouble for a form that is none.
func (f Form) Whole() (Form, error) {
	if f.Shape == "" {
		f.Shape = Wide
	}
	if f.Lines == 0 {
		f.Lines = 720
	}
	if f.Rate == 0 {
		f.Rate = 30
	}
	if f.File == "" {
		f.File = "mp4"
	}
	if f.Sound == "" {
		f.Sound = "none"
	}
	if f.Captions == "" {
		f.Captions = "burnt"
	}
	bad := func(what, mend string) (Form, error) {
		return f, &Trouble{Kind: TroubleForm, What: what, Mend: mend, Out: true}
	}
	switch {
	case !slices.Contains(shapes, f.Shape):
		return bad(fmt.Sprintf("%q is no shape of a clip", f.Shape), "take 16:9, 9:16 or 1:1")
	case !slices.Contains(lines, f.Lines):
		return bad(fmt.Sprintf("a clip cannot have %d lines", f.Lines), "take 720 or 1080")
	case !slices.Contains(rates, f.Rate):
		return bad(fmt.Sprintf("a clip cannot have %d frames a second", f.Rate), "take 24, 25, 30, 50 or 60")
	case f.File != "mp4" && f.File != "webm":
		return bad(fmt.Sprintf("%q is no kind of file for a clip", f.File), "take mp4 or webm")
	case f.Sound != "none" && f.Sound != "original":
		return bad(fmt.Sprintf("%q is no sound of a clip", f.Sound), "take none or original")
	case f.Captions != "burnt" && f.Captions != "file":
		return bad(fmt.Sprintf("captions cannot be %q", f.Captions), "take burnt or file")
	}
	return f, nil
}

// size in pixels of a whole form.
func (f Form) size() (w, h int) {
	long := f.Lines * 16 / 9
	switch f.Shape {
	case Upright:
		return f.Lines, long
	case Square:
		return f.Lines, f.Lines
	}
	return long, f.Lines
}

// stage says what stands where on the pictures of a clip, in pixels. It is the same at
// every size: a small picture is the large one drawn small.
type stage struct {
	form Form
	w, h int
	// u is the unit: one at 720 lines.
	u float64
	// room is where takes are seen, strip where it stands who is who and what is shown,
	// panel where captions stand. None lies over another: a broadcast has its own signs in
	// the corners of a take, and words of ours on them could not be read, nor could they.
	// A strip that is empty stands above and below the take.
	room, strip, panel image.Rectangle
}

// Sizes of type in units: the caption is a 1/18 of the shorter side, so that it is read
// on a telephone held upright; what only helps is smaller.
const (
	captionSize = 40
	titleSize   = 32
	labelSize   = 27
	clockSize   = 24
	smallSize   = 21
	captionLead = 1.24
	safeShare   = 0.05 // free of words on each side: the safe title area of SMPTE ST 2046-1
)

// stageOf lays out a picture this many pixels wide; 0 is the size of the form. Captions
// have a band of their own ground: words on a moving picture are hard to read, and what
// is below the fencers' feet tells nothing.
func stageOf(f Form, width int) stage {
	w, h := f.size()
	if width > 0 {
		h = even(float64(width) * float64(h) / float64(w))
		w = even(float64(width))
	}
	s := stage{form: f, w: w, h: h, u: float64(min(w, h)) / 720}
	whole := image.Rect(0, 0, w, h)
	s.room = whole
	px := func(v float64) int { return even(v * s.u) }
	switch f.Shape {
	case Upright:
		// The foot of the screen belongs to the buttons of the telephone.
		s.room = image.Rect(0, px(210), w, px(850))
		s.panel = image.Rect(0, px(926), w, px(1170))
		return s
	case Square:
		s.ground(px(544), px(110), px(148))
	default:
		s.ground(px(590), px(76), px(114))
	}
	return s
}

// ground puts the strip above the captions, which begin at the line panel, and else above
// the take: a player has the captions of a file at the foot.
func (s *stage) ground(panel, strip, above int) {
	if s.burnt() {
		s.room.Max.Y = panel - strip
		s.strip = image.Rect(0, s.room.Max.Y, s.w, panel)
		s.panel = image.Rect(0, panel, s.w, s.h)
		return
	}
	s.room.Min.Y = above
	s.strip = image.Rect(0, 0, s.w, above)
}

// even is the nearest even number that is at least 2: colour stands for pairs of pixels.
func even(v float64) int { return max(2, 2*int(math.Round(v/2))) }

// px is a length in units as pixels.
func (s stage) px(units float64) float64 { return units * s.u }

// margin is what stays free of words at the sides.
func (s stage) margin() float64 { return safeShare * float64(s.w) }

// burnt says whether captions stand in the picture.
func (s stage) burnt() bool { return s.form.Captions == "burnt" }

package plate

import (
	"errors"
	"fmt"
	"image"
	"strings"
	"unicode"
	"unicode/utf8"

	"mesure/show/draw"
	"mesure/sport/mark"
	"mesure/study"
)

// Shot is one frame of a touch with what was read of it.
type Shot struct {
	Reading *study.Reading
	Take    string
	Frame   mark.Frame
	// Image is the decoded frame, in any size.
	Image image.Image
}

// Options say how a plate is drawn. The zero value is the wide layout with names.
type Options struct {
	Layout Layout
	// Theme of the sheet around the picture and of what lies on it; the zero value means
	// draw.Stage.
	Theme draw.Theme
	// HideNames leaves the names of fencers, clubs and events out: Anonymous in short.
	HideNames bool
	// Names is how fencers are called.
	Names Naming
	// Finding replaces the sentence that stands above the plate.
	Finding string
	// Asked is the target that is asked of each side, by mark.Side. Empty means
	// that of the race, where the race runs from this frame.
	Asked [2]mark.Target
}

// naming is how fencers are called.
func (o Options) naming() Naming {
	if o.HideNames {
		return Anonymous
	}
	return o.Names
}

// call is what the fencers of the shot are called.
func (s Shot) call(o Options) Calling {
	b := s.Reading.Touch.Bout
	return Call(o.naming(), [2]string{b.Left.Name, b.Right.Name})
}

func (o Options) theme() draw.Theme {
	if o.Theme.Name == "" {
		return draw.Stage()
	}
	return o.Theme
}

// Errors of plates. They are matched with errors.Is.
var (
	ErrNotMeasured = errors.New("nothing is measured on this frame: mark a point and a target of the opponent on it, and place the piste")
	ErrNotPlaced   = errors.New("the piste is not placed on this frame: mark at least four known points of it")
)

func (s Shot) check() {
	if s.Reading == nil || s.Reading.Touch == nil {
		panic("plate: a shot needs a reading of a touch")
	}
	if s.Image == nil || s.Image.Bounds().Empty() {
		panic("plate: a shot needs the picture of its frame")
	}
}

// instant returns what was measured on the frame.
func (s Shot) instant() (study.Instant, bool) {
	for _, in := range s.Reading.Instants {
		if in.Take == s.Take && in.Frame == s.Frame {
			return in, true
		}
	}
	return study.Instant{}, false
}

// placed returns the camera of the frame.
func (s Shot) placed() (study.PlacedFrame, bool) {
	for _, p := range s.Reading.Placings {
		if p.Take == s.Take && p.Frame == s.Frame {
			return p, true
		}
	}
	return study.PlacedFrame{}, false
}

// size returns the size of the frame in pixels of the clip: that of the clip
// where it is known, else that of the picture.
func (s Shot) size() (w, h float64) {
	if k, ok := s.Reading.Touch.Take(s.Take); ok {
		if c, ok := s.Reading.Clips[k.Video]; ok && c.Width > 0 && c.Height > 0 {
			return float64(c.Width), float64(c.Height)
		}
	}
	b := s.Image.Bounds()
	return float64(b.Dx()), float64(b.Dy())
}

// photoMost bounds the width of the stored picture in pixels: a sheet 180 mm
// wide at 270 dots per inch, and what a phone can show of one 100 mm wide.
func (l Layout) photoMost() int {
	if l == Wide {
		return 1920
	}
	return 1170
}

// Where says which frame a picture shows: "take live, frame 42, at 2.310 ± 0.012 s".
func Where(in study.Instant) string {
	return fmt.Sprintf("take %s, frame %d, at %s", in.Take, in.Frame, Seconds(in.At))
}

// Origin says which touch it is: event, number, score, and that it is invented.
func Origin(t *study.Touch, hideNames bool) string {
	var parts []string
	if t.Bout.Event != "" && !hideNames {
		parts = append(parts, EventName(t.Bout.Event))
	}
	if t.Number > 0 {
		parts = append(parts, fmt.Sprintf("touch %d at %d–%d", t.Number, t.Before.Left, t.Before.Right))
	}
	if t.Invented {
		parts = append(parts, "invented, shows no real person")
	}
	return strings.Join(parts, ", ")
}

// DoubtNote says what ± means, wherever it is printed.
const DoubtNote = "±" + nb + "is one standard deviation; soft bands hold 95" + nb + "%"

// Sentences makes a source line of its parts: each begins with a capital and
// ends with a full stop; empty ones are left out.
func Sentences(parts ...string) string {
	var kept []string
	for _, p := range parts {
		if p != "" {
			p = Typeset(p)
			first, n := utf8.DecodeRuneInString(p)
			kept = append(kept, string(unicode.ToUpper(first))+p[n:])
		}
	}
	if len(kept) == 0 {
		return ""
	}
	return strings.Join(kept, ". ") + "."
}

// photo puts the part of the frame on the sheet and returns how it is seen.
func (s Shot) photo(sh *Sheet, box draw.Box, p part) view {
	w, h := s.size()
	sh.Place(draw.Picture{Image: cut(s.Image, p, w, h, sh.Layout.photoMost()), Photo: true}, box)
	return view{box: box, x0: p.x0, y0: p.y0, scale: float64(box.W) / p.w()}
}

// Typeset gives a text that was written with typewriter signs its printed ones:
// an apostrophe between or after letters.
func Typeset(s string) string { return strings.ReplaceAll(s, "'", "’") }

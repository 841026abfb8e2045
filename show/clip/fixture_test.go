package clip

import (
	"context"
	"fmt"
	"image"
	"math"
	"sync"
	"testing"

	"mesure/show/draw"
	"mesure/show/plate"
	"mesure/show/report"
	"mesure/show/script"
	"mesure/show/specimen"
	"mesure/sport/bout"
	"mesure/sport/mark"
	"mesure/sport/piste"
	"mesure/study"
)

// eye is a pinhole camera written by hand: it stands at C, looks along y and down by
// tilt, and turns nothing.
func eye(x, y, z float64) mark.Pixel {
	const focal, tilt = 1250.0, 0.17
	dx, dy, dz := x-0.4, y+11, z-2.9
	s, c := math.Sincos(tilt)
	depth := c*dy - s*dz
	return mark.Pixel{U: 639.5 + focal*dx/depth, V: 359.5 + focal*(-s*dy-c*dz)/depth}
}

const stageFrames = 30

// where the points of a fencer are on a frame, in metres: an attack that closes.
func where(s mark.Side, w mark.What, f float64) (x, y, z float64) {
	t := f / stageFrames
	adv := 0.5 * t * t
	side := 1.0
	hip := -1.2 + adv
	if s == mark.Right {
		side, hip = -1, 1.1-0.1*t
	}
	switch w {
	case mark.Point:
		return hip + side*(1.05+0.2*t), 0, 1.25
	case mark.Guard:
		return hip + side*0.5, 0, 1.2
	case mark.Elbow:
		return hip + side*0.3, 0, 1.15
	case mark.Shoulder:
		return hip + side*0.1, 0, 1.4
	case mark.Mask:
		return hip, 0, 1.65
	case mark.Hip:
		return hip, 0, 0.9
	case mark.FrontToe:
		return hip + side*0.45, 0, 0
	}
	return hip - side*0.35, 0, 0
}

var marked = []mark.What{mark.Point, mark.Guard, mark.Elbow, mark.Shoulder, mark.Mask, mark.Hip, mark.FrontToe, mark.RearHeel}

// reelOf answers for videos that are never opened.
type reelOf struct{}

func (reelOf) Probe(context.Context, string, func(float64)) (mark.Clip, error) {
	c := mark.Clip{Width: 1280, Height: 720, BitDepth: 8}
	for i := range stageFrames {
		c.Times = append(c.Times, mark.FileTime(i)/25)
	}
	return c, nil
}

func (reelOf) Still(context.Context, string, mark.Clip, mark.Frame) (image.Image, error) {
	return nil, fmt.Errorf("no picture")
}

// staged is a touch of which every point is marked on every frame, in a live take and a
// replay of it.
var staged = sync.OnceValues(func() (*study.Reading, error) {
	t := &study.Touch{
		Title: "A staged touch", Invented: true,
		Bout:   bout.Bout{Weapon: bout.Epee, Left: bout.Fencer{Name: "Ada Lindqvist"}, Right: bout.Fencer{Name: "Berta Ossowski"}},
		Videos: []study.Video{{ID: "live", File: "live.mp4"}, {ID: "again", File: "again.mp4"}},
		Takes: []mark.Take{{ID: "live", Video: "live", From: 0, To: stageFrames - 1, Steady: true},
			{ID: "again", Video: "again", From: 0, To: stageFrames - 1, Steady: true, Factor: 4, Offset: 0.3}},
		Moments: []mark.Moment{{ID: "launch", Name: "The attack is launched", Take: "live", After: 9, By: 10},
			{ID: "hit", Name: "The point arrives", Take: "live", After: 24, By: 25}},
	}
	for _, k := range t.Takes {
		pl := study.Placing{Take: k.ID, Frame: 0}
		for _, p := range []piste.Place{{X: -2, Y: -0.75}, {X: 2, Y: -0.75}, {X: -2, Y: 0.75}, {X: 2, Y: 0.75}, {X: 0, Y: -0.75}, {X: 0, Y: 0.75}, {X: 3.5, Y: 0.75}} {
			pl.Points = append(pl.Points, study.PlacedPoint{On: p, At: eye(p.X, p.Y, 0), SD: 0.5})
		}
		t.Placings = append(t.Placings, pl)
		for f := range mark.Frame(stageFrames) {
			for _, s := range mark.Sides {
				for _, w := range marked {
					t.Marks = append(t.Marks, mark.Mark{Take: k.ID, Frame: f, Who: s, What: w, At: eye(where(s, w, float64(f))), SD: 1})
				}
			}
		}
	}
	return study.Read(context.Background(), t, reelOf{}, study.ReadOptions{Draws: study.MinDraws})
})

func stagedReading(t testing.TB) *study.Reading {
	t.Helper()
	r, err := staged()
	if err != nil {
		t.Fatal(err)
	}
	return r
}

// invented is the reading of ../testdata, which has a timing and tactics but no takes
// that can be shown.
func invented(t testing.TB) *study.Reading { return specimen.Told(t) }

func drafted(t testing.TB, r *study.Reading) *script.Script {
	t.Helper()
	s, err := script.Draft(r, script.Options{})
	if err != nil {
		t.Fatal(err)
	}
	return s
}

// card is a plate drawn by hand.
func card(name string, kind report.Kind) report.Plate {
	d := draw.New(100, 60, "A finding", "A card")
	d.Ground = draw.Video().Ground
	d.Fill(draw.Box{X: 20, Y: 20, W: 60, H: 20}.Path(), draw.Hex(0x3366cc))
	return report.Plate{Kind: kind, Wide: d, Take: name, Frame: 0}
}

// lamp is footage whose frames have the luma of their number: 40 + 5·frame, in grey.
type lamp struct {
	mu   sync.Mutex
	runs int
	// breaks ends every run on this frame with an error; 0 never does.
	breaks mark.Frame
}

func luma(f mark.Frame) float64 { return 40 + 5*float64(f) }

func (l *lamp) Run(ctx context.Context, touch, take string, from, to mark.Frame, crop image.Rectangle, w, h int, fn func(f mark.Frame, p *image.YCbCr) error) error {
	l.mu.Lock()
	l.runs++
	l.mu.Unlock()
	for f := from; f <= to; f++ {
		if err := ctx.Err(); err != nil {
			return err
		}
		if l.breaks > 0 && f >= l.breaks {
			return fmt.Errorf("the tape broke")
		}
		p := newPlanes(w, h)
		fill(p, p.Rect, [3]byte{byte(luma(f)), 128, 128})
		if err := fn(f, p); err != nil {
			return err
		}
		fill(p, p.Rect, [3]byte{0, 0, 0}) // what fn got is no longer valid
	}
	return nil
}

// whole is a film of every kind of shot over the staged touch.
func wholeBoard() Board {
	return Board{Shots: []Shot{
		{ID: "a", Kind: Live, Title: "The touch", Take: "live", From: 0, To: 29},
		{ID: "b", Kind: Slow, Title: "How it went", Take: "live", From: 8, To: 14, Layers: []string{plate.LayerGaps, plate.LayerMarks}},
		{ID: "c", Kind: Build, Take: "live", From: 10, Lasts: 2},
		{ID: "d", Kind: Beside, Take: "live", From: 10, To: 14, Speed: 0.5, Other: &Other{Take: "again", At: 8, Meets: 12}},
		{ID: "e", Kind: Plate, Title: "A plate", Plate: "race", Lasts: 1},
		{ID: "f", Kind: Hold, Take: "again", From: 20, Lasts: 1},
	}}
}

func filmOf(t testing.TB, b Board) *Film {
	t.Helper()
	r := stagedReading(t)
	f, err := Make(Input{Reading: r, Script: drafted(t, r), Board: b, Plates: []report.Plate{card("", report.KindRace)}})
	if err != nil {
		t.Fatal(err)
	}
	return f
}

package demo

import (
	"fmt"
	"image"
	"math"

	"mesure/demo/scene"
	"mesure/quantity"
	"mesure/sport/bout"
	"mesure/sport/mark"
	"mesure/sport/piste"
)

// Truth is what truly happened in one touch and what each camera truly saw. It
// is written beside the videos as JSON.
type Truth struct {
	Touch   int              `json:"touch"` // from 0
	Number  int              `json:"number"`
	Title   string           `json:"title"`
	Lamps   bout.Lamps       `json:"lamps"`
	LampsAt quantity.Seconds `json:"lamps_at_s"`
	Moments []TrueMoment     `json:"moments"`
	Takes   []TrueTake       `json:"takes"`
}

// TrueMoment is the exact instant of a named moment.
type TrueMoment struct {
	ID   string           `json:"id"`
	Name string           `json:"name"`
	At   quantity.Seconds `json:"at_s"`
}

// TrueTake is one take with every frame.
type TrueTake struct {
	ID     string           `json:"id"`
	File   string           `json:"file"`
	Factor float64          `json:"factor"`
	Start  quantity.Seconds `json:"start_s"`
	// Cut is the frame with which the file goes on with another camera, after the
	// take; 0 where the file ends with the take.
	Cut mark.Frame `json:"cut,omitempty"`
	// Graphics are the parts of the picture over which graphics are laid.
	Graphics []image.Rectangle `json:"graphics"`
	Frames   []TrueFrame       `json:"frames"`
}

// TrueFrame is one frame: its instant, its camera, and both fencers.
type TrueFrame struct {
	Frame  mark.Frame       `json:"frame"`
	At     quantity.Seconds `json:"at_s"`
	Camera TrueCamera       `json:"camera"`
	Left   TrueBody         `json:"left"`
	Right  TrueBody         `json:"right"`
}

// Of returns one of the two.
func (f *TrueFrame) Of(s mark.Side) *TrueBody {
	if s == mark.Left {
		return &f.Left
	}
	return &f.Right
}

// TrueCamera is a pinhole with the principal point in the middle of the picture.
type TrueCamera struct {
	At    piste.Place      `json:"at_m"`
	Pan   quantity.Radians `json:"pan_rad"`  // 0 looks along +y, + turns to +x
	Tilt  quantity.Radians `json:"tilt_rad"` // + looks up
	Roll  quantity.Radians `json:"roll_rad"` // + turns the picture's right side down
	Focal quantity.Pixels  `json:"focal_px"`
}

// TrueBody is one fencer: the points that may be marked, the other joints, and
// the places of the targets.
type TrueBody struct {
	Points  []TruePoint  `json:"points"`
	Joints  []TrueJoint  `json:"joints"`
	Targets []TrueTarget `json:"targets"`
}

// TruePoint is where a point of interest is, in metres, and whether the picture
// shows it: see scene.Sight.
type TruePoint struct {
	What  mark.What   `json:"what"`
	Place piste.Place `json:"place_m"`
	Seen  bool        `json:"seen"`
}

// TrueJoint is where another joint is, in metres.
type TrueJoint struct {
	What  string      `json:"what"`
	Place piste.Place `json:"place_m"`
}

// TrueTarget is where a target is, in metres.
type TrueTarget struct {
	Target mark.Target `json:"target"`
	Place  piste.Place `json:"place_m"`
}

// Point returns where a point of interest is. It panics for any other name.
func (b *TrueBody) Point(w mark.What) piste.Place {
	for _, p := range b.Points {
		if p.What == w {
			return p.Place
		}
	}
	panic("demo: no point is named " + string(w))
}

// Seen reports whether the picture shows a point of interest. It panics for any
// other name.
func (b *TrueBody) Seen(w mark.What) bool {
	for _, p := range b.Points {
		if p.What == w {
			return p.Seen
		}
	}
	panic("demo: no point is named " + string(w))
}

// Target returns where a target is. It panics for a name that is not one.
func (b *TrueBody) Target(t mark.Target) piste.Place {
	for _, p := range b.Targets {
		if p.Target == t {
			return p.Place
		}
	}
	panic("demo: no target is named " + string(t))
}

// TruthOf returns the truth of one touch, 0 to Count − 1.
func TruthOf(touch int) Truth { return truthOf(touch, scene.Films()[touch]) }

func truthOf(i int, f *scene.Film) Truth {
	t := Truth{Touch: i, Number: f.Number, Title: f.Title, Lamps: f.Lamps, LampsAt: f.LampsAt}
	for _, m := range f.Moments {
		t.Moments = append(t.Moments, TrueMoment(m))
	}
	for k := range f.Shots {
		s := &f.Shots[k]
		take := TrueTake{ID: s.ID, File: fileOf(i, s), Factor: s.Factor, Start: s.Start, Graphics: s.Graphics}
		if s.Next != nil {
			take.Cut = mark.Frame(s.Frames)
		}
		for n := range s.Frames {
			take.Frames = append(take.Frames, trueFrame(f, s, mark.Frame(n)))
		}
		t.Takes = append(t.Takes, take)
	}
	return t
}

func trueFrame(f *scene.Film, s *scene.Shot, n mark.Frame) TrueFrame {
	at := s.At(n)
	c := f.Camera(s, at)
	figs, sight := f.At(at), f.Sight(s, at)
	return TrueFrame{
		Frame: n, At: at,
		Camera: TrueCamera{At: c.At.Place(), Pan: c.Pan, Tilt: c.Tilt, Roll: c.Roll, Focal: c.Focal},
		Left:   trueBody(&figs[0], sight), Right: trueBody(&figs[1], sight),
	}
}

func trueBody(f *scene.Figure, sight *scene.Sight) TrueBody {
	var b TrueBody
	for _, w := range mark.Points() {
		b.Points = append(b.Points, TruePoint{w, rounded(f.Of(w)), sight.Shows(f.Side, w)})
	}
	for _, j := range f.Joints() {
		b.Joints = append(b.Joints, TrueJoint{j.Name, rounded(j.At)})
	}
	for _, t := range mark.Targets() {
		b.Targets = append(b.Targets, TrueTarget{t, rounded(f.TargetPlace(t))})
	}
	return b
}

// rounded cuts a place to the micrometre: the files stay small, and no number of
// theirs depends on the last digits of a machine.
func rounded(v scene.Vec) piste.Place {
	r := func(x float64) float64 { return math.Round(x*1e6) / 1e6 }
	return piste.Place{X: r(v.X), Y: r(v.Y), Z: r(v.Z)}
}

// fileOf names the video of a shot.
func fileOf(touch int, s *scene.Shot) string { return fmt.Sprintf("touch-%d-%s.mp4", touch+1, s.ID) }

// truthFile names the file with the truth of a touch.
func truthFile(touch int) string { return fmt.Sprintf("touch-%d-truth.json", touch+1) }

// frame returns one frame of one take; it panics where there is none.
func (t *Truth) frame(take string, f mark.Frame) *TrueFrame {
	for k := range t.Takes {
		if t.Takes[k].ID == take && f >= 0 && int(f) < len(t.Takes[k].Frames) {
			return &t.Takes[k].Frames[f]
		}
	}
	panic(fmt.Sprintf("demo: touch %d has no frame %d in a take %q", t.Touch, f, take))
}

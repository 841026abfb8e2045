package report

import (
	"errors"
	"fmt"
	"image"

	"mesure/show/chart"
	"mesure/show/draw"
	"mesure/show/plate"
	"mesure/show/stave"
	"mesure/sport/mark"
	"mesure/study"
)

// Kind is what a plate shows.
type Kind string

// The kinds of plates.
const (
	KindRace    Kind = "race"
	KindStave   Kind = "stave"
	KindGaps    Kind = "gaps"
	KindPlacing Kind = "placing"
)

// Plate is one picture in its forms. Pictures on the stage are dark on every
// page; charts have a form for the night as well.
type Plate struct {
	Kind  Kind
	Take  string
	Frame mark.Frame
	// Wide and Phone are the two layouts; Phone may be nil.
	Wide, Phone *draw.Drawing
	// WideNight and PhoneNight are for a dark page; nil where the picture is the
	// same on both.
	WideNight, PhoneNight *draw.Drawing

	// timing is the instant that a plate of a timing shows.
	timing *study.Timing
	// tactics are those that a plate of tactics shows.
	tactics *study.Tactics
	// name stands in place of one made of kind, take and frame.
	name string
	press
}

// Name returns a name for the files of the plate, such as "gaps-live-0042".
func (p Plate) Name() string {
	if p.name != "" {
		return p.name
	}
	if p.Kind == KindRace || p.Kind == KindStave {
		return string(p.Kind)
	}
	take := []rune(p.Take)
	for i, r := range take {
		if !(r >= 'a' && r <= 'z' || r >= 'A' && r <= 'Z' || r >= '0' && r <= '9' || r == '-' || r == '_') {
			take[i] = '-'
		}
	}
	return fmt.Sprintf("%s-%s-%04d", p.Kind, string(take), p.Frame)
}

// Stills returns the decoded picture of one frame of a take.
type Stills func(take string, f mark.Frame) (image.Image, error)

// Plates draws every picture of a reading: the race, the timing of a few instants and
// the movements that the profiles rest on, the stave where a moment or an action was
// set, what the bout makes of the touch, the gaps on each measured frame, and for each take the placing that fits worst,
// so that nothing is prettied. It returns the error of stills, with the frame named, where one
// cannot be had; a reading without a race or a placing gives fewer plates.
func Plates(r *study.Reading, stills Stills, hideNames bool) ([]Plate, error) {
	return PlatesNamed(r, stills, Options{HideNames: hideNames}.naming())
}

// PlatesNamed is Plates with fencers called as is asked.
func PlatesNamed(r *study.Reading, stills Stills, names plate.Naming) ([]Plate, error) {
	if r == nil || r.Touch == nil {
		panic("report: plates need a reading of a touch")
	}
	stills = asked(stills)
	var all []job
	if r.Race != nil {
		all = append(all, func() (Plate, bool, error) {
			p, err := racePlate(r, names)
			return p, true, err
		})
	}
	timed, err := timingJobs(r, names)
	if err != nil {
		return nil, err
	}
	all = append(all, timed...)
	if len(r.Touch.Moments)+len(r.Touch.Actions) > 0 && len(r.Touch.Takes) > 0 {
		all = append(all, func() (Plate, bool, error) { return stavePlate(r, names), true, nil })
	}
	all = append(all, tacticsJobs(r, names)...)
	framed := func(kind Kind, take string, f mark.Frame) {
		all = append(all, func() (Plate, bool, error) {
			p, err := framePlate(kind, r, take, f, stills, names)
			return p, true, err
		})
	}
	for _, in := range r.Told() {
		if len(in.Gaps) > 0 {
			framed(KindGaps, in.Take, in.Frame)
		}
	}
	all = append(all, spaceJobs(r, stills, names)...)
	for _, pf := range worstPlacings(r) {
		framed(KindPlacing, pf.Take, pf.Frame)
	}
	return drawAll(all)
}

func racePlate(r *study.Reading, names plate.Naming) (Plate, error) {
	p := Plate{Kind: KindRace, Take: r.Race.Take, Frame: r.Race.Frame}
	_, err := p.chart(func(o chart.Options) (*draw.Drawing, error) { return chart.Race(r, o) }, names)
	return p, err
}

func stavePlate(r *study.Reading, names plate.Naming) Plate {
	p := Plate{Kind: KindStave, Take: r.Touch.Takes[0].ID}
	p.draw(func(l plate.Layout, th draw.Theme, _ int) (*draw.Drawing, error) {
		return stave.Draw(r, stave.Options{Layout: l, Theme: th, Names: names, Phrase: true}).Drawing, nil
	})
	return p
}

func framePlate(kind Kind, r *study.Reading, take string, f mark.Frame, stills Stills, names plate.Naming) (Plate, error) {
	p := Plate{Kind: kind, Take: take, Frame: f}
	img, err := stills(take, f)
	if err != nil {
		return p, fmt.Errorf("frame %d of take %s: %w", f, take, err)
	}
	if img == nil {
		return p, fmt.Errorf("frame %d of take %s: %w", f, take, errors.New("there is no picture"))
	}
	shot := plate.Shot{Reading: r, Take: take, Frame: f, Image: img}
	made := plate.Gaps
	if kind == KindPlacing {
		made = plate.Placing
	}
	return p, p.staged(func(l plate.Layout, th draw.Theme, _ int) (*draw.Drawing, error) {
		return made(shot, plate.Options{Layout: l, Theme: th, Names: names})
	})
}

// worstPlacings returns of each take the placed frame with the largest
// residuals, in the order of the reading.
func worstPlacings(r *study.Reading) []study.PlacedFrame {
	var all []study.PlacedFrame
	at := map[string]int{}
	for _, pf := range r.Placings {
		i, seen := at[pf.Take]
		if !seen {
			at[pf.Take] = len(all)
			all = append(all, pf)
		} else if pf.RMS > all[i].RMS {
			all[i] = pf
		}
	}
	return all
}

package bundle

import (
	"fmt"
	"io"
	"reflect"

	"mesure/sport/bout"
	"mesure/sport/mark"
	"mesure/sport/piste"
	"mesure/study"
)

// ReadTouch reads a touch file and checks that it holds together: names are
// unique and refer to something, frames lie inside their take, numbers are
// finite and within their bounds. Paths of videos stay as they are written. A
// mark without sd_px gets mark.DefaultSD.
//
// Where the file is wrong, the touch is nil and the error an *Error, which names
// the file as name does and lists up to ten problems; its text is one line.
func ReadTouch(r io.Reader, name string) (*study.Touch, error) {
	data, err := slurp(r, name, TouchLimit)
	if err != nil {
		return nil, err
	}
	f, err := decodeTouch(data, name)
	if err != nil {
		return nil, err
	}
	return f.touch(), nil
}

func decodeTouch(data []byte, name string) (*touchFile, error) {
	root, err := plant(data, name)
	if err != nil {
		return nil, err
	}
	if err := heading(root, name, TouchFormat, TouchVersion, false); err != nil {
		return nil, err
	}
	var d decoder
	var f touchFile
	d.fill(root, reflect.ValueOf(&f).Elem(), rule{})
	// References are looked at only where every field reads: a wrong name of a
	// take would otherwise be told once for each of its marks.
	if len(d.List) == 0 {
		checkTouch(&f, &d.problems)
	}
	if err := d.err(name); err != nil {
		return nil, err
	}
	return &f, nil
}

// WriteTouch writes a touch file that ReadTouch reads back as an equal touch,
// with what follows from the rest filled in: the place of a named point, the SD
// of a mark that has none. Equal touches give equal bytes. A touch that ReadTouch
// would refuse is not written: the error is then the one that ReadTouch would
// give.
func WriteTouch(w io.Writer, t *study.Touch) error {
	const name = "the touch"
	f := fileOf(t)
	if err := spellable(reflect.ValueOf(f), name); err != nil {
		return err
	}
	data, err := layOut(f)
	if err != nil {
		return fmt.Errorf("bundle: a touch does not encode: %w", err)
	}
	if len(data) > TouchLimit {
		return whole(name, "it would make a file larger than %d MiB, which no reader takes: split it", TouchLimit>>20)
	}
	if _, err := decodeTouch(data, name); err != nil {
		return err
	}
	if p := raised(t); p != "" {
		return &Error{Name: name, Problems: []Problem{{Pointer: p, Text: "this point does not lie on the floor; a placing point must"}}}
	}
	_, err = w.Write(data)
	return err
}

// raised returns the pointer of the first placing point above or below the
// floor, which the file has no field for.
func raised(t *study.Touch) string {
	for i, p := range t.Placings {
		for j, q := range p.Points {
			if q.On.Z != 0 {
				return item(item("/placings", i)+"/points", j)
			}
		}
	}
	return ""
}

func (f *touchFile) touch() *study.Touch {
	t := &study.Touch{
		Title: f.Title, Line: f.Line, Number: f.Number, PisteWidth: f.PisteWidth,
		Invented: f.Invented, Note: f.Note,
		Bout: f.Bout.bout(), Race: f.Race.ask(), Attacker: f.Attacker, Dismissed: f.Dismissed,
	}
	t.Before = f.Before.score()
	if f.Lamps != nil {
		l := bout.Lamps(*f.Lamps)
		t.Lamps = &l
	}
	for _, v := range f.Videos {
		t.Videos = append(t.Videos, study.Video(v))
	}
	for _, k := range f.Takes {
		t.Takes = append(t.Takes, mark.Take{
			ID: k.ID, Video: k.Video, From: mark.Frame(k.From), To: mark.Frame(k.To),
			Factor: k.Factor, FactorSD: k.FactorSD, Offset: mark.TrueTime(k.Offset), OffsetSD: k.OffsetSD, Steady: k.Steady,
			CaptureRate: k.Rate, Tied: k.Tied,
		})
	}
	for _, p := range f.Placings {
		q := study.Placing{Take: p.Take, Frame: mark.Frame(p.Frame), Distortion: p.Distortion, Cropped: p.Cropped}
		for _, pt := range p.Points {
			q.Points = append(q.Points, pt.point(t.Width()))
		}
		for _, m := range p.Lines {
			q.Lines = append(q.Lines, m.mark(t.Width()))
		}
		t.Placings = append(t.Placings, q)
	}
	for _, m := range f.Marks {
		if m.SD == 0 {
			m.SD = mark.DefaultSD
		}
		t.Marks = append(t.Marks, mark.Mark{
			Take: m.Take, Frame: mark.Frame(m.Frame), Who: sideOf(m.Who), What: mark.What(m.What),
			At: mark.Pixel{U: m.U, V: m.V}, SD: m.SD,
		})
	}
	for _, h := range f.Hidden {
		t.Hidden = append(t.Hidden, mark.Hidden{
			Take: h.Take, Who: sideOf(h.Who), What: mark.What(h.What), From: mark.Frame(h.From), To: mark.Frame(h.To),
		})
	}
	for _, m := range f.Moments {
		q := mark.Moment{ID: m.ID, Name: m.Name, Take: m.Take, After: mark.Frame(m.After), By: mark.Frame(m.By)}
		for _, b := range m.Also {
			q.Also = append(q.Also, mark.Bracket{Take: b.Take, After: mark.Frame(b.After), By: mark.Frame(b.By)})
		}
		t.Moments = append(t.Moments, q)
	}
	for _, a := range f.Actions {
		t.Actions = append(t.Actions, bout.Action{
			ID: a.ID, Who: sideOf(a.Who), Line: a.Line, Word: a.Word, Take: a.Take, From: mark.Frame(a.From), To: mark.Frame(a.To),
		})
	}
	t.Priority = bout.Given(f.Priority)
	for _, n := range f.Notes {
		t.Notes = append(t.Notes, bout.PhraseNote{
			ActionID: n.Action, Line: n.Line, Target: mark.Target(n.Target), Nature: bout.Nature(n.Nature),
			Intention: bout.Intention(n.Intention), Result: bout.Result(n.Result),
		})
	}
	return t
}

func sideOf(word string) mark.Side {
	if word == mark.Left.String() {
		return mark.Left
	}
	return mark.Right
}

func (p pointFile) point(width float64) study.PlacedPoint {
	q := study.PlacedPoint{Name: p.Name, At: mark.Pixel{U: p.U, V: p.V}, SD: p.SD}
	if p.Name != "" {
		q.On, _ = piste.Named(p.Name, width)
	} else {
		q.On = piste.Place{X: *p.X, Y: *p.Y}
	}
	return q
}

func (m lineMark) mark(width float64) study.LineMark {
	q := study.LineMark{Line: m.Line, At: mark.Pixel{U: m.U, V: m.V}, SD: m.SD}
	q.A, q.B, _ = piste.LineNamed(m.Line, width)
	return q
}

func (f *raceAskFile) ask() study.RaceAsk {
	if f == nil {
		return study.RaceAsk{}
	}
	return study.RaceAsk{From: f.From, Left: f.Left.ask(), Right: f.Right.ask()}
}

func (f *runAskFile) ask() study.RunAsk {
	if f == nil {
		return study.RunAsk{}
	}
	a := study.RunAsk{Action: f.Action, Target: mark.Target(f.Target)}
	if f.Onset != nil {
		a.Onset = study.OnsetAsk(*f.Onset)
	}
	return a
}

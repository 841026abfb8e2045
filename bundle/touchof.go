package bundle

import (
	"mesure/sport/mark"
	"mesure/study"
)

// fileOf spells a touch as its file does. What is zero is left out.
func fileOf(t *study.Touch) *touchFile {
	f := &touchFile{
		Format: TouchFormat, Version: TouchVersion,
		Title: t.Title, Invented: t.Invented, Line: t.Line, Number: t.Number, PisteWidth: t.PisteWidth, Note: t.Note,
		Bout: boutOf(t.Bout), Race: raceAskOf(t.Race), Attacker: t.Attacker, Dismissed: t.Dismissed,
	}
	f.Before = scoreOf(t.Before)
	if t.Lamps != nil {
		l := lampsFile(*t.Lamps)
		f.Lamps = &l
	}
	for _, v := range t.Videos {
		f.Videos = append(f.Videos, videoFile(v))
	}
	for _, k := range t.Takes {
		f.Takes = append(f.Takes, takeFile{
			ID: k.ID, Video: k.Video, From: int(k.From), To: int(k.To),
			Factor: k.Factor, FactorSD: k.FactorSD, Offset: float64(k.Offset), OffsetSD: k.OffsetSD, Steady: k.Steady,
			Rate: k.CaptureRate, Tied: k.Tied,
		})
	}
	for _, p := range t.Placings {
		q := placingOf{Take: p.Take, Frame: int(p.Frame), Points: []pointFile{}, Distortion: p.Distortion, Cropped: p.Cropped}
		for _, pt := range p.Points {
			q.Points = append(q.Points, pointOf(pt))
		}
		for _, m := range p.Lines {
			q.Lines = append(q.Lines, lineMark{Line: m.Line, U: m.At.U, V: m.At.V, SD: m.SD})
		}
		f.Placings = append(f.Placings, q)
	}
	for _, m := range t.Marks {
		f.Marks = append(f.Marks, markFile{
			Take: m.Take, Frame: int(m.Frame), Who: sideWord(m.Who), What: string(m.What),
			U: m.At.U, V: m.At.V, SD: m.SD,
		})
	}
	for _, h := range t.Hidden {
		f.Hidden = append(f.Hidden, hiddenFile{
			Take: h.Take, Who: sideWord(h.Who), What: string(h.What), From: int(h.From), To: int(h.To),
		})
	}
	for _, m := range t.Moments {
		q := momentFile{ID: m.ID, Name: m.Name, Take: m.Take, After: int(m.After), By: int(m.By)}
		for _, b := range m.Also {
			q.Also = append(q.Also, bracketFile{Take: b.Take, After: int(b.After), By: int(b.By)})
		}
		f.Moments = append(f.Moments, q)
	}
	for _, a := range t.Actions {
		f.Actions = append(f.Actions, actionFile{
			ID: a.ID, Who: sideWord(a.Who), Line: a.Line, Word: a.Word, Take: a.Take, From: int(a.From), To: int(a.To),
		})
	}
	f.Priority = string(t.Priority)
	for _, n := range t.Notes {
		f.Notes = append(f.Notes, phraseNoteFile{n.ActionID, n.Line, string(n.Target), string(n.Nature), string(n.Intention), string(n.Result)})
	}
	return f
}

// sideWord is the word for a side; it is not one of the two words for a side
// that is not one of the two.
func sideWord(s mark.Side) string {
	if s > mark.Right {
		return "neither side"
	}
	return s.String()
}

// pointOf leaves out the place of a named point: it follows from the name and
// the width of the piste.
func pointOf(p study.PlacedPoint) pointFile {
	f := pointFile{Name: p.Name, U: p.At.U, V: p.At.V, SD: p.SD}
	if p.Name == "" {
		f.X, f.Y = &p.On.X, &p.On.Y
	}
	return f
}

func raceAskOf(a study.RaceAsk) *raceAskFile {
	if a == (study.RaceAsk{}) {
		return nil
	}
	return &raceAskFile{From: a.From, Left: runAskOf(a.Left), Right: runAskOf(a.Right)}
}

func runAskOf(a study.RunAsk) *runAskFile {
	if a == (study.RunAsk{}) {
		return nil
	}
	f := &runAskFile{Action: a.Action, Target: string(a.Target)}
	if a.Onset != (study.OnsetAsk{}) {
		o := onsetFile(a.Onset)
		f.Onset = &o
	}
	return f
}

package stave

import (
	"testing"

	"mesure/quantity"
	"mesure/show/draw"
	"mesure/show/plate"
	"mesure/show/specimen"
	"mesure/sport/bout"
	"mesure/sport/mark"
	"mesure/study"
)

// reading loads the invented reading that the tests of package plate write, and
// gives its video a clock of 50 frames a second.
func reading(t testing.TB) *study.Reading {
	t.Helper()
	r := specimen.Reading(t)
	clip := r.Clips["hall"]
	for i := range 121 {
		clip.Times = append(clip.Times, mark.FileTime(0.02*float64(i)))
	}
	r.Clips["hall"] = clip
	return r
}

// bare is a touch of which there is nothing but a take.
func bare(t testing.TB) *study.Reading {
	r := reading(t)
	r.Moments, r.Instants, r.Race = nil, nil, nil
	r.Touch.Moments, r.Touch.Title = nil, ""
	return r
}

// phrase is a whole phrase: actions on every line, five moments, and the measure
// at four frames down to the hit.
func phrase(t testing.TB) *study.Reading {
	r := reading(t)
	full := r.Instants[0]
	r.Moments, r.Instants = nil, nil
	for _, m := range []struct {
		id, name string
		by       mark.Frame
	}{{"start", "left steps", 40}, {"search", "right seeks the blade", 62}, {"launch", "left launches", 70}, {"foot", "front foot leaves", 72}, {"hit", "the hit", 88}} {
		mm := mark.Moment{ID: m.id, Name: m.name, Take: "live", After: m.by - 1, By: m.by}
		r.Moments = append(r.Moments, study.MomentReading{Moment: mm, At: quantity.Uniform(quantity.Seconds(0.02*float64(m.by-1)), quantity.Seconds(0.02*float64(m.by)))})
	}
	r.Touch.Race.From = "launch"
	for _, k := range []struct {
		f      mark.Frame
		moment string
		left   float64
		right  float64
	}{{40, "start", 1.62, 1.75}, {62, "search", 1.31, 1.22}, {70, "launch", 0.88, 0.97}, {88, "hit", 0.02, 0.35}} {
		in := full
		in.Frame, in.Moment, in.At = k.f, k.moment, quantity.Exactly(quantity.Seconds(0.02*float64(k.f)))
		in.Gaps = []study.Gap{
			{Of: mark.Left, Target: mark.Forearm, Gap: quantity.Normal(quantity.Metres(k.left), quantity.Metres(0.02+0.02*k.left)), Nearest: true},
			{Of: mark.Right, Target: mark.Hand, Gap: quantity.Normal(quantity.Metres(k.right), quantity.Metres(0.02+0.02*k.right)), Nearest: true},
		}
		r.Instants = append(r.Instants, in)
	}
	r.Race.Frame, r.Race.Moment = 70, "launch"
	act := func(who mark.Side, line, word string, from, to mark.Frame) {
		r.Touch.Actions = append(r.Touch.Actions, bout.Action{ID: word, Who: who, Line: line, Word: word, Take: "live", From: from, To: to})
	}
	act(mark.Left, "feet", "step forward", 40, 54)
	act(mark.Left, "feet", "lunge", 72, 90)
	act(mark.Left, "hand", "invitation", 44, 58)
	act(mark.Left, "hand", "extension", 69, 82)
	act(mark.Left, "blade", "derobement", 64, 68)
	act(mark.Left, "blade", "attack", 69, 88)
	act(mark.Right, "blade", "engagement", 60, 66)
	act(mark.Right, "blade", "counter-attack", 76, 90)
	act(mark.Right, "hand", "sixte", 66, 72)
	act(mark.Right, "hand", "half extension", 74, 80)
	act(mark.Right, "feet", "step back", 46, 60)
	act(mark.Right, "feet", "half step back", 70, 78)
	return r
}

// noted is the phrase with something noted of most of it: every nature, the second
// intention and every result.
func noted(t testing.TB) *study.Reading {
	r := phrase(t)
	r.Touch.Notes = []bout.PhraseNote{
		{ActionID: "invitation", Nature: bout.Invitation, Line: "sixte", Result: bout.Drew},
		{ActionID: "derobement", Result: bout.Avoided},
		{ActionID: "attack", Line: "quarte", Target: mark.Chest, Nature: bout.Real, Intention: bout.SecondIntention, Result: bout.Arrived},
		{ActionID: "extension", Nature: bout.False, Result: bout.FellShort},
		{ActionID: "engagement", Nature: bout.Feigned, Result: bout.Missed},
		{ActionID: "counter-attack", Target: mark.Hand, Result: bout.Parried},
		{ActionID: "half extension", Target: mark.Forearm, Nature: bout.Feigned, Result: bout.OffTarget},
	}
	return r
}

// crowded has everything within a few frames, on a clock with doubt.
func crowded(t testing.TB) *study.Reading {
	r := phrase(t)
	r.Touch.Takes[0].OffsetSD = 0.015
	for i, name := range []string{"the hand moves", "the rear knee stretches", "right sees it", "right answers", "the blades meet", "the point lands"} {
		f := mark.Frame(70 + 2*i)
		r.Moments = append(r.Moments, study.MomentReading{Moment: mark.Moment{ID: name, Name: name, Take: "live", After: f - 1, By: f},
			At: quantity.Normal(quantity.Seconds(0.02*float64(f)), 0.016)})
	}
	for i, word := range []string{"beat", "disengage", "feint", "cut-over", "a word of the coach’s own that goes on and on", "remise"} {
		f := mark.Frame(62 + 2*i)
		r.Touch.Actions = append(r.Touch.Actions, bout.Action{ID: word, Who: mark.Right, Line: "blade", Word: word, Take: "live", From: f, To: f + 1})
	}
	return r
}

// staves draws everything that is tested and looked at.
func staves(t testing.TB) map[string]*Stave {
	all := map[string]*Stave{}
	for _, l := range plate.Layouts {
		for _, th := range []draw.Theme{draw.Paper(), draw.Night()} {
			tail := "-" + l.String() + "-" + th.Name
			all["phrase"+tail] = Draw(phrase(t), Options{Layout: l, Theme: th, Phrase: true})
			all["desk"+tail] = Draw(phrase(t), Options{Layout: l, Theme: th, Bare: true})
			all["noted"+tail] = Draw(noted(t), Options{Layout: l, Theme: th, Phrase: true})
			all["empty"+tail] = Draw(bare(t), Options{Layout: l, Theme: th, Bare: true})
		}
		tail := "-" + l.String() + "-paper"
		all["one"+tail] = Draw(reading(t), Options{Layout: l, Phrase: true})
		all["crowded"+tail] = Draw(crowded(t), Options{Layout: l, Phrase: true})
		all["low"+tail] = Draw(phrase(t), Options{Layout: l, Bare: true, W: []draw.MM{880 * Pixel, 390 * Pixel}[l], H: 205 * Pixel, From: 0.7, To: 1.9})
		all["noteddesk"+tail] = Draw(noted(t), Options{Layout: l, Bare: true, From: 0.7, To: 1.9})
		all["close"+tail] = Draw(crowded(t), Options{Layout: l, Bare: true, From: 1.2, To: 1.9})
	}
	return all
}

package summary

import (
	"mesure/quantity"
	"mesure/show/plate"
	"mesure/sport/bout"
	"mesure/sport/mark"
	"mesure/study"
	"mesure/timing"
)

func bodyOf(s mark.Side, c *study.Commit) BodyNow {
	out := BodyNow{
		Of: s, Finding: c.Finding, Base: some(c.Base, plate.InMetres), Load: some(c.OverBase, plate.InPercent),
		Speed: number(c.Stance.Speed, plate.InMetresPerSecond), Flight: chance(c.Flight),
		Front: footOf(c.Stance.Front), Rear: footOf(c.Stance.Rear), Can: []Can{},
	}
	for _, k := range c.Can {
		can := Can{Do: string(k.Do), Word: plate.DoesWords(k.Do), Now: chance(k.Now), Free: k.Now >= freeFrom, Reason: k.Reason}
		if k.Known {
			can.Next = maybe(&k.Next, plate.InMilliseconds)
		}
		out.Can = append(out.Can, can)
	}
	return out
}

// freeFrom is the chance from which a thing is said to be free: more likely than not,
// as timing.Can.Next has it.
const freeFrom quantity.Chance = 0.5

func footOf(f timing.Foot) Foot {
	out := Foot{OnFloor: chance(f.OnFloor)}
	if f.Lands != (quantity.Of[quantity.Seconds]{}) {
		out.Lands = maybe(&f.Lands, plate.InMilliseconds)
	}
	return out
}

func startedOf(x *study.Started) *Started {
	if x == nil {
		return nil
	}
	out := &Started{
		Finding: x.Finding, Starts: []Start{}, Likelihood: number(x.Order.Likelihood, plate.InPercent),
		LeftFirst: number(x.Order.SideFirst[mark.Left], plate.InPercent), RightFirst: number(x.Order.SideFirst[mark.Right], plate.InPercent),
		Lags: []Lag{}, Tempo: []Tempo{},
	}
	for _, i := range x.Order.Sequence {
		s := x.Starts[i]
		out.Starts = append(out.Starts, Start{
			Who: mark.Side(s.Side), Part: s.Part, Word: plate.PartWords(s.Part), Kind: s.Kind, Moment: s.Moment, Proposal: s.Proposal,
			Take: s.Take, Frame: s.By, At: number(s.Time, plate.InSeconds), First: number(x.Order.First[i], plate.InPercent),
		})
	}
	for _, s := range mark.Sides {
		if l := x.Lags[s]; l != nil {
			out.Lags = append(out.Lags, Lag{s, number(l.Time, plate.InMilliseconds), chance(l.HandFirst), chance(l.FootLeads), l.Reason})
		}
		if x.Tempo[s] != (quantity.Of[quantity.Seconds]{}) {
			out.Tempo = append(out.Tempo, Tempo{s, ms(x.Tempo[s])})
		}
	}
	if l := x.Launch; l != nil {
		out.Launch = &Launch{Who: l.Who, At: number(l.At, plate.InSeconds), Take: l.Take, Frame: l.By, Into: l.Into, Word: plate.LaunchWords(l.Into),
			Chance: chance(l.Chance), Finding: l.Finding, Opponent: speedOf(l.OppSpeed), Tempi: maybe(l.Tempi, plate.InRatio)}
	}
	return out
}

func whatIfOf(x *study.Timing) *WhatIf {
	w := x.WhatIf
	if w == nil {
		return nil
	}
	out := &WhatIf{Change: w.Change, Finding: w.Finding, Refused: w.Refused, Race: raceOf(w.Race), Windows: windowsOf(w.Windows), Differences: []Difference{}}
	if was, then := x.Race, w.Race; was != nil && then != nil {
		for _, d := range []struct {
			name, word string
			was, then  quantity.Of[quantity.Chance]
		}{
			{"left_only", "left alone", was.LeftOnly, then.LeftOnly}, {"right_only", "right alone", was.RightOnly, then.RightOnly},
			{"both", "both lamps", was.Both, then.Both}, {"neither", "neither", was.Neither, then.Neither},
			{"left_first", "left arrives first", was.LeftFirst, then.LeftFirst},
		} {
			out.Differences = append(out.Differences, differenceOf(d.name, d.word, d.was, d.then, plate.InPercent))
		}
		none := quantity.Of[quantity.Seconds]{}
		if was.Margin != none && then.Margin != none {
			out.Differences = append(out.Differences, differenceOf("margin", "left is earlier by", was.Margin, then.Margin, plate.InMilliseconds))
		}
	}
	if was, then := x.Windows, w.Windows; was != nil && then != nil {
		for i, a := range was.Each {
			out.Differences = append(out.Differences, differenceOf(string(a.Answer), plate.AnswerWords(a.Answer)+" in time", a.InTime, then.Each[i].InTime, plate.InPercent))
		}
	}
	return out
}

func differenceOf[U quantity.Unit](name, word string, was, then quantity.Of[U], f plate.Form) Difference {
	by := unknown()
	if was.IsValid() && then.IsValid() {
		by = number(quantity.Exactly(then.Mean-was.Mean), f)
	}
	return Difference{name, word, number(was, f), number(then, f), by}
}

// ProfilesOf prints what is known of the two fencers, the left one first; empty where
// no timing was read. The reading is not changed.
func ProfilesOf(r *study.Reading) []Profile {
	out := []Profile{}
	for _, s := range mark.Sides {
		if p := r.Profiles[s]; len(p.Figures) > 0 {
			out = append(out, profileOf(s, p))
		}
	}
	return out
}

func profileOf(s mark.Side, p study.Profile) Profile {
	known := map[string]bout.OwnFigure{}
	for _, f := range bout.OwnFigures() {
		known[f.Name] = f
	}
	out := Profile{Who: s, Figures: []Figure{}, Fits: []Fit{}}
	for _, f := range p.Figures {
		own := known[f.Name]
		line := Figure{Name: f.Name, Word: own.Word, About: own.About, Value: unknown(), From: f.From, FromWord: plate.FromWords(f.From), Source: f.Source}
		switch {
		case f.Metres != nil:
			line.Value, line.Prior = number(*f.Metres, plate.InMetres), maybe(f.PriorMetres, plate.InMetres)
		case f.Seconds != nil:
			line.Value, line.Prior = number(*f.Seconds, plate.InMilliseconds), maybe(f.PriorSeconds, plate.InMilliseconds)
		}
		out.Figures = append(out.Figures, line)
	}
	for _, f := range p.Fits {
		out.Fits = append(out.Fits, Fit{f.Action, f.Touch, f.Take, f.From, f.To, number(quantity.Exactly(f.RMS), plate.InCentimetres), number(f.Onset, plate.InSeconds),
			append([]string{}, f.Uses...), f.Unused})
	}
	return out
}

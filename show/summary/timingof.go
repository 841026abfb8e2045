package summary

import (
	"math"

	"mesure/quantity"
	"mesure/show/plate"
	"mesure/sport/mark"
	"mesure/study"
	"mesure/timing"
)

// TimingOf prints the timing of an instant; nil for nil. It is not changed.
func TimingOf(x *study.Timing) *Timing {
	if x == nil {
		return nil
	}
	out := &Timing{
		Take: x.At.Take, Frame: x.At.Frame, Moment: x.Moment, At: number(x.Instant, plate.InSeconds), Finding: findingOf(x),
		Race: raceOf(x.Race), Attacker: x.Attacker, AttackerWhy: x.AttackerWhy,
		Windows: windowsOf(x.Windows), Parry: parryOf(x.Parry), Map: mapOf(x.Map), Bodies: []BodyNow{},
		Started: startedOf(x.Started), WhatIf: whatIfOf(x), Notes: []Note{}, Lacks: []Lack{},
	}
	for _, s := range mark.Sides {
		if c := x.Commits[s]; c != nil {
			out.Bodies = append(out.Bodies, bodyOf(s, c))
		}
	}
	for _, n := range x.Notes {
		out.Notes = append(out.Notes, Note{n.ID, n.Kind, n.Who, n.Text, n.Reference, n.At.Take, n.At.Frame, n.Dismissed})
	}
	for _, l := range x.Lacks {
		who := l.Side.String()
		if l.Both {
			who = "both"
		}
		out.Lacks = append(out.Lacks, Lack{l.Part, who, l.Why, l.Mend})
	}
	return out
}

// findingOf is the sentence with which an instant begins: who is first, else what is
// open, else what the parts further on say.
func findingOf(x *study.Timing) string {
	switch {
	case x.Race != nil:
		return x.Race.Finding
	case x.Windows != nil:
		return x.Windows.Finding
	case x.Parry != nil:
		return x.Parry.Finding
	case x.Started != nil:
		return x.Started.Finding
	}
	for _, c := range x.Commits {
		if c != nil {
			return c.Finding
		}
	}
	return ""
}

// some prints a quantity whose zero value says that there is none.
func some[U quantity.Unit](q quantity.Of[U], f plate.Form) Number {
	if q == (quantity.Of[U]{}) {
		return unknown()
	}
	return number(q, f)
}

// maybe prints a quantity that may not be there.
func maybe[U quantity.Unit](q *quantity.Of[U], f plate.Form) *Number {
	if q == nil {
		return nil
	}
	n := number(*q, f)
	return &n
}

// ms prints a time from the instant; the zero value says that there is none.
func ms(q quantity.Of[quantity.Seconds]) Number { return some(q, plate.InMilliseconds) }

// States of an answer.
const (
	stateOpen, stateDoubtful, stateShut = "open", "doubtful", "shut"
)

// From openFrom on an answer is said to be open, up to shutTo shut: three of four, as
// a race names its winner (our choice).
const (
	openFrom quantity.Chance = 0.75
	shutTo   quantity.Chance = 0.25
)

// stateOf is the word for a chance to be in time.
func stateOf(c quantity.Chance) string {
	switch {
	case c >= openFrom:
		return stateOpen
	case c <= shutTo:
		return stateShut
	}
	return stateDoubtful
}

func windowsOf(w *study.Windows) *Windows {
	if w == nil {
		return nil
	}
	out := &Windows{
		Finding: w.Finding, Action: w.AttackAction, Target: w.AttackTarget, AnswerTarget: w.AnswerTarget,
		Gap: number(w.Exchange.Attack.Gap, plate.InMetres), AnswerGap: number(w.Exchange.Defence.Gap, plate.InMetres),
		Arrives: number(w.Arrives, plate.InPercent), Hit: ms(w.Hit),
		Seen: ms(w.Cue.At), Gone: some(w.Cue.Gone, plate.InPercent), Left: ms(w.Cue.Left),
		Reaction: ms(w.Exchange.Defence.Reaction.Law()), Ready: ms(w.Ready), ReAim: ms(w.ReAim),
		Answers: []Answer{}, Deciding: string(w.Deciding), Matters: []Matter{}, Draws: w.Draws,
	}
	for _, a := range w.Each {
		out.Answers = append(out.Answers, Answer{
			Name: string(a.Answer), Word: plate.AnswerWords(a.Answer), Asks: a.Asks,
			Earliest: ms(a.Earliest), Latest: ms(a.Latest), Spare: ms(a.Spare),
			InTime: number(a.InTime, plate.InPercent), Possible: number(a.Possible, plate.InPercent), State: stateOf(a.InTime.Mean),
		})
	}
	for _, m := range w.Matters {
		out.Matters = append(out.Matters, Matter{m.Name, chance(quantity.Chance(m.Share)), m.Mend})
	}
	return out
}

func parryOf(p *study.ParryReading) *Parry {
	if p == nil {
		return nil
	}
	a := p.Asked
	out := &Parry{
		Defender: p.Defender, Zone: p.Zone, Finding: p.Finding,
		Threatens: number(a.Threatens, plate.InPercent), Arrived: number(a.Arrived, plate.InPercent), TooClose: number(a.TooClose, plate.InPercent),
		HandToZone: number(a.HandToZone, plate.InMetres), Smallest: number(a.Smallest, plate.InDegrees),
		Best: wayOf(a.Best), Course: []ParryStep{}, Time: ms(p.Time), Usual: ms(p.Usual),
		Observed: observedOf(p.Observed), Riposte: riposteOf(p.Riposte),
	}
	if p.Kind != "" {
		out.Kind, out.Word = string(p.Kind), plate.AnswerWords(p.Kind)
	}
	if h := p.AtHit; h != nil {
		out.AtHit = &ParryAtHit{some(h.Needed, plate.InDegrees), number(h.HandToZone, plate.InMetres), wayOf(h.Best)}
	}
	for _, c := range p.Course {
		out.Course = append(out.Course, ParryStep{number(c.Closed, plate.InMetres), number(c.HandToZone, plate.InMetres), number(c.Turn, plate.InDegrees),
			some(c.Path, plate.InCentimetres), some(c.Travel, plate.InCentimetres), some(c.Sweep, plate.InDegrees)})
	}
	if o := a.Opposition; o != nil {
		out.Opposition = &Opposition{number(o.Path, plate.InCentimetres), number(o.Travel, plate.InCentimetres), number(o.Sweep, plate.InDegrees),
			number(o.Leverage, plate.InRatio), number(o.Hold, plate.InPercent), number(o.ToGo, plate.InCentimetres)}
	}
	if c := a.Ceding; c != nil {
		out.Ceding = &Ceding{Needed: c.Needed, Leverage: number(c.Leverage, plate.InRatio)}
		if c.To != nil {
			path, sweep := length(c.To.Path), number(quantity.Exactly(c.To.Sweep), plate.InDegrees)
			out.Ceding.Path, out.Ceding.Sweep = &path, &sweep
		}
	}
	return out
}

// wayOf prints the way that asks least; nil for nil.
func wayOf(b *timing.BestWay) *ParryWay {
	if b == nil {
		return nil
	}
	way := ParryWay{
		Hour: hourOf(b.Clock), Around: b.Around, Turn: number(b.Turn, plate.InDegrees),
		Path: number(b.Path, plate.InCentimetres), Travel: number(b.Travel, plate.InCentimetres), Sweep: number(b.Sweep, plate.InDegrees),
		OnAttacker: unknown(), OnDefender: unknown(), Leverage: number(b.Leverage, plate.InRatio),
	}
	if m := b.Meeting; m != nil {
		way.OnAttacker, way.OnDefender = length(m.OnAttacker), length(m.OnDefender)
		way.AttackerPart, way.DefenderPart = string(m.AttackerPart), string(m.DefenderPart)
	}
	return &way
}

// length prints a length that was chosen, not measured: a place on a blade.
func length(x quantity.Metres) Number { return number(quantity.Exactly(x), plate.InCentimetres) }

// hourOf is a turn from upward, clockwise, as an hour of the clock.
func hourOf(turn quantity.Radians) int {
	h := int(math.Round(float64(turn)*12/(2*math.Pi))) % 12
	if h <= 0 {
		h += 12
	}
	return h
}

func observedOf(p *study.ObservedParry) *Observed {
	if p == nil {
		return nil
	}
	j := p.Judged
	out := &Observed{
		Action: p.Action, From: p.From, To: p.To, Size: string(j.Size), Word: plate.SizeWords(j.Size), Chance: unknown(), Sizes: []Fact{},
		Finding: p.Finding, Reason: j.Reason,
		Made: number(j.Made, plate.InDegrees), Asked: number(j.Asked, plate.InDegrees), AskedBefore: number(j.AskedBefore, plate.InDegrees),
		Clear: number(j.Clear, plate.InCentimetres), Travel: number(j.Travel, plate.InCentimetres), Sweep: number(j.Sweep, plate.InDegrees),
		Touching: number(j.Touching, plate.InPercent), Leverage: some(j.Leverage, plate.InRatio),
		AttackerPart: string(j.AttackerPart), DefenderPart: string(j.DefenderPart),
		RiposteAfter: maybe(p.RiposteAfter, plate.InMilliseconds),
	}
	for i, s := range timing.Sizes() {
		p := number(j.Chances[i], plate.InPercent)
		out.Sizes = append(out.Sizes, Fact{string(s), p})
		if s == j.Size {
			out.Chance = p
		}
	}
	if p.HandPath != (quantity.Of[quantity.Metres]{}) {
		out.HandPath = maybe(&p.HandPath, plate.InCentimetres)
	}
	return out
}

// Ways to riposte, by name and in words.
var riposteWays = [3][2]string{{"direct", "direct"}, {"along-the-blade", "along the blade"}, {"indirect", "with a disengage"}}

func riposteOf(p *study.Riposte) *Riposte {
	if p == nil {
		return nil
	}
	out := &Riposte{Finding: p.Finding, Target: p.Target, Seen: p.Seen, Ways: []RiposteWay{}}
	for i, w := range []timing.RiposteWay{p.Result.Direct, p.Result.AlongTheBlade, p.Result.Indirect} {
		out.Ways = append(out.Ways, RiposteWay{
			Name: riposteWays[i][0], Word: riposteWays[i][1], Hit: ms(w.Hit), Remise: ms(w.Remise),
			Arrives: number(w.Arrives, plate.InPercent), RemiseArrives: number(w.RemiseArrives, plate.InPercent),
			RiposteOnly: number(w.RiposteOnly, plate.InPercent), RemiseOnly: number(w.RemiseOnly, plate.InPercent),
			Both: number(w.Both, plate.InPercent), Neither: number(w.Neither, plate.InPercent), Delay: ms(w.Delay),
		})
	}
	return out
}

func mapOf(m *study.Map) *Map {
	if m == nil {
		return nil
	}
	out := &Map{Finding: m.Finding, Attacker: m.Attacker, Target: m.Target, Stops: []Stop{}, Here: m.Here}
	for _, s := range m.Path {
		c := s.Cell
		out.Stops = append(out.Stops, Stop{
			Name: s.Name, At: number(s.At, plate.InSeconds), Gap: number(s.Gap, plate.InMetres), Lead: number(s.Lead, plate.InMilliseconds),
			Zone: string(c.Zone), Word: plate.ZoneWords(c.Zone), Outside: !s.Inside,
			AttackerOnly: number(c.AttackerOnly, plate.InPercent), DefenderOnly: number(c.DefenderOnly, plate.InPercent),
			Both: number(c.Both, plate.InPercent), Neither: number(c.Neither, plate.InPercent), Outruns: number(c.Outruns, plate.InPercent),
		})
	}
	return out
}

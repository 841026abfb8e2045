package bundle

import (
	"mesure/quantity"
	"mesure/sport/mark"
	"mesure/study"
)

func parryOf(p *study.ParryReading) *parryFile {
	if p == nil {
		return nil
	}
	f := &parryFile{
		Defender: p.Defender.String(), Zone: string(p.Zone), Course: []courseFile{}, Kind: string(p.Kind),
		Time: spreadOr(p.Time, ms), Usual: spreadOr(p.Usual, ms), Observed: observedOf(p.Observed), Riposte: riposteOf(p.Riposte), Finding: p.Finding,
	}
	for i, a := range list(&p.Asked, p.AtHit) {
		if a == nil {
			continue
		}
		asked := askedFile{
			Threatens: likely(a.Threatens), Arrived: likely(a.Arrived), TooClose: likely(a.TooClose), HandToZone: spread(a.HandToZone, 1),
			Smallest: spread(a.Smallest, 1), Needed: spreadOr(a.Needed, 1), Ways: []wayFile{}, Kinds: []kindFile{},
		}
		for _, w := range a.Ways {
			way := wayFile{Clock: tenth(w.Clock), Turn: tenth(w.Turn), Around: w.Around}
			if m := w.Meeting; m != nil {
				way.Path, way.Leverage = known(tenth(m.Path)), known(tenth(m.Leverage))
			}
			asked.Ways = append(asked.Ways, way)
		}
		if b := a.Best; b != nil {
			asked.Best = &bestFile{Clock: tenth(b.Clock), Around: b.Around, Turn: spread(b.Turn, 1), Path: spread(b.Path, 1), Travel: spread(b.Travel, 1),
				Sweep: spread(b.Sweep, 1), Leverage: spread(b.Leverage, 1)}
			if m := b.Meeting; m != nil {
				asked.Best.OnAttacker, asked.Best.OnDefender = known(tenth(m.OnAttacker)), known(tenth(m.OnDefender))
				asked.Best.AttackerPart, asked.Best.DefenderPart = string(m.AttackerPart), string(m.DefenderPart)
			}
		}
		for _, k := range a.Kinds {
			kind := kindFile{Kind: string(k.Kind)}
			if k.Way != nil {
				kind.Path, kind.Travel = spread(k.Path, 1), spread(k.Travel, 1)
			}
			asked.Kinds = append(asked.Kinds, kind)
		}
		if o := a.Opposition; o != nil {
			asked.Opposition = &oppositionFile{spread(o.Path, 1), spread(o.Travel, 1), spread(o.Sweep, 1), spread(o.Leverage, 1), likely(o.Hold), spread(o.ToGo, 1)}
		}
		if c := a.Ceding; c != nil {
			asked.Ceding = &cedingFile{Needed: c.Needed, Leverage: spread(c.Leverage, 1)}
			if c.To != nil {
				asked.Ceding.Path, asked.Ceding.Sweep = known(tenth(c.To.Path)), known(tenth(c.To.Sweep))
			}
		}
		if i == 0 {
			f.Asked = asked
		} else {
			f.AtHit = &asked
		}
	}
	for _, c := range p.Course {
		f.Course = append(f.Course, courseFile{spread(c.Closed, 1), spread(c.HandToZone, 1), spread(c.Turn, 1), spreadOr(c.Path, 1), spreadOr(c.Travel, 1), spreadOr(c.Sweep, 1)})
	}
	return f
}

func observedOf(o *study.ObservedParry) *observedFile {
	if o == nil {
		return nil
	}
	j := o.Judged
	return &observedFile{
		Action: o.Action, From: frameFile{o.From.Take, int(o.From.Frame)}, To: frameFile{o.To.Take, int(o.To.Frame)}, Size: string(j.Size),
		// The sizes stand in the order in which package timing lists them.
		Nothing: likely(j.Chances[0]), Small: likely(j.Chances[1]), Enough: likely(j.Chances[2]), Large: likely(j.Chances[3]),
		Made: spread(j.Made, 1), Asked: spread(j.Asked, 1), AskedBefore: spread(j.AskedBefore, 1), Clear: spread(j.Clear, 1),
		Travel: spread(j.Travel, 1), Sweep: spread(j.Sweep, 1), Touching: likely(j.Touching), Leverage: spreadOr(j.Leverage, 1),
		AttackerPart: string(j.AttackerPart), DefenderPart: string(j.DefenderPart),
		HandPath: spreadOr(o.HandPath, 1), After: spreadAt(o.RiposteAfter, ms), Reason: j.Reason, Finding: o.Finding,
	}
}

func riposteOf(p *study.Riposte) *riposteFile {
	if p == nil {
		return nil
	}
	f := &riposteFile{Target: string(p.Target), Seen: p.Seen, Ways: []riposteWay{}, Finding: p.Finding}
	names := [3]string{"direct", "along-the-blade", "indirect"}
	for i, w := range list(p.Result.Direct, p.Result.AlongTheBlade, p.Result.Indirect) {
		f.Ways = append(f.Ways, riposteWay{names[i], spreadOr(w.Hit, ms), spreadOr(w.Remise, ms), likely(w.Arrives), likely(w.RemiseArrives),
			likely(w.RiposteOnly), likely(w.RemiseOnly), likely(w.Both), likely(w.Neither), spreadOr(w.Delay, ms)})
	}
	return f
}

func stanceOf(c *study.Commit) *stanceFile {
	if c == nil {
		return nil
	}
	f := &stanceFile{Base: spreadOr(c.Base, 1), OverBase: spreadOr(c.OverBase, 1), Speed: spread(c.Stance.Speed, 1), Flight: likelihood(c.Flight), Can: []canDoFile{}, Finding: c.Finding}
	for i, foot := range list(c.Stance.Front, c.Stance.Rear) {
		to := []*footFile{&f.Front, &f.Rear}[i]
		*to = footFile{likelihood(foot.OnFloor), spreadOr(foot.Lands, ms)}
	}
	for _, k := range c.Can {
		can := canDoFile{Do: string(k.Do), Now: likelihood(k.Now), Bar: string(k.Bar), Reason: k.Reason}
		if k.Known {
			can.Next = spread(k.Next, ms)
		}
		f.Can = append(f.Can, can)
	}
	return f
}

func startedOf(x *study.Started) *startedFile {
	if x == nil {
		return nil
	}
	f := &startedFile{Starts: []startFile{}, Likelihood: likely(x.Order.Likelihood), LeftFirst: likely(x.Order.SideFirst[mark.Left]), RightFirst: likely(x.Order.SideFirst[mark.Right]),
		Lags: []lagFile{}, Tempo: []tempoFile{}, Finding: x.Finding}
	for _, i := range x.Order.Sequence {
		s := x.Starts[i]
		start := startFile{Who: mark.Side(s.Side).String(), Part: s.Part, Kind: s.Kind, Moment: s.Moment, Proposal: s.Proposal, Take: s.Take, By: int(s.By),
			At: spread(s.Time, 1), First: likely(x.Order.First[i]), Before: []float64{}}
		for _, k := range x.Order.Sequence {
			start.Before = append(start.Before, likelihood(x.Order.Before[i][k]))
		}
		f.Starts = append(f.Starts, start)
	}
	for _, s := range mark.Sides {
		if l := x.Lags[s]; l != nil {
			f.Lags = append(f.Lags, lagFile{s.String(), spread(l.Time, ms), likelihood(l.HandFirst), likelihood(l.FootLeads), l.Reason})
		}
		if x.Tempo[s] != (quantity.Of[quantity.Seconds]{}) {
			f.Tempo = append(f.Tempo, tempoFile{s.String(), spread(x.Tempo[s], ms)})
		}
	}
	if l := x.Launch; l != nil {
		f.Launch = &launchFile{l.Who.String(), spread(l.At, 1), l.Take, int(l.By), l.Into, likelihood(l.Chance), spreadAt(l.OppSpeed, 1), spreadAt(l.Tempi, 1), l.Finding}
	}
	return f
}

func profileOf(p study.Profile) profileFile {
	out := profileFile{Figures: []figureFile{}, Fits: []fitFile{}}
	for _, f := range p.Figures {
		out.Figures = append(out.Figures, figureFile{f.Name, spreadAt(f.Metres, 1), spreadAt(f.Seconds, 1), f.From, f.Source, spreadAt(f.PriorMetres, 1), spreadAt(f.PriorSeconds, 1)})
	}
	for _, f := range p.Fits {
		fit := fitFile{Action: f.Action, Touch: f.Touch, Take: f.Take, From: int(f.From), To: int(f.To), Onset: spread(f.Onset, 1), RMS: tenth(f.RMS),
			SeenArm: tenth(f.SeenArm), SeenBody: tenth(f.SeenBody), Unlike: tenth(f.Unlike), Widened: tenth(f.Widened), Uses: append([]string{}, f.Uses...), Unused: f.Unused,
			At: []float64{}, Travel: []float64{}, SD: []float64{}, CurveAt: []float64{}, Curve: []float64{}}
		for _, d := range f.Data {
			fit.At, fit.Travel, fit.SD = append(fit.At, tenth(d.At)), append(fit.Travel, tenth(d.Travel)), append(fit.SD, tenth(d.SD))
		}
		for _, d := range f.Curve {
			fit.CurveAt, fit.Curve = append(fit.CurveAt, tenth(d.At)), append(fit.Curve, tenth(d.Travel))
		}
		for i, m := range list(f.Fitted, f.Prior) {
			to := []*movementFile{&fit.Fitted, &fit.Prior}[i]
			*to = movementFile{spread(m.Arm, 1), spread(m.ArmTime, 1), spread(m.Body, 1), spread(m.BodyTime, 1), spread(m.Delay, 1)}
		}
		out.Fits = append(out.Fits, fit)
	}
	return out
}

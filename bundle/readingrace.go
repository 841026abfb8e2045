package bundle

import (
	"mesure/quantity"
	"mesure/sport/mark"
	"mesure/study"
)

func raceOf(r *study.Race) *raceFile {
	if r == nil {
		return nil
	}
	window := roundOf(r.Window, ms)
	sd := func(q quantity.Of[quantity.Chance]) float64 { return round(float64(q.SD), chancePlaces) }
	p := shares(float64(r.LeftOnly.Mean), float64(r.RightOnly.Mean), float64(r.Both.Mean), float64(r.Neither.Mean))
	f := &raceFile{
		Moment: r.Moment, Take: r.Take, Frame: int(r.Frame), Weapon: string(r.Weapon),
		Window: window.mean, WindowSD: window.sd,
		Left: p[0], LeftSD: sd(r.LeftOnly), Right: p[1], RightSD: sd(r.RightOnly),
		Both: p[2], BothSD: sd(r.Both), Neither: p[3], NeitherSD: sd(r.Neither),
		First:   known(round(float64(r.LeftFirst.Mean), chancePlaces)),
		Finding: r.Finding,
		Runs:    runsFile{runOf(r.Runs[mark.Left]), runOf(r.Runs[mark.Right])},
		Matters: []matterOf{},
	}
	if f.First != nil {
		f.FirstSD = known(sd(r.LeftFirst))
	}
	if r.Runs[mark.Left].Arrives > 0 && r.Runs[mark.Right].Arrives > 0 && r.Margin.IsValid() {
		q := roundOf(r.Margin, ms)
		f.Margin, f.MarginSD, f.Interval = &q.mean, &q.sd, &[2]float64{q.lo, q.hi}
	}
	for _, m := range r.Matters {
		f.Matters = append(f.Matters, matterOf{m.Name, round(float64(m.Share), chancePlaces), m.Mend})
	}
	return f
}

func runOf(r study.Run) runFile {
	gap, onset := roundOf(r.Gap, 1), roundOf(r.Onset, ms)
	f := runFile{
		Action: r.Action, From: r.ParametersFrom, Target: string(r.Target),
		Gap: gap.mean, GapSD: gap.sd, Onset: onset.mean, OnsetSD: onset.sd, OnsetText: r.OnsetText,
		Arrives:    round(float64(r.Arrives), chancePlaces),
		TravelStep: round(float64(study.TravelStep)*ms, maxPlaces),
		Travel:     lengths(r.Travel), Closing: lengths(r.Closing),
	}
	if r.Arrives > 0 && r.Arrival.IsValid() {
		q := roundOf(r.Arrival, ms)
		f.Arrival, f.ArrivalSD, f.ArrivalLo, f.ArrivalHi = &q.mean, &q.sd, &q.lo, &q.hi
	}
	return f
}

func lengths(all []quantity.Metres) []float64 {
	out := make([]float64, len(all))
	for i, x := range all {
		out[i] = round(float64(x), metrePlaces)
	}
	return out
}

package report

import (
	"errors"
	"fmt"

	"mesure/show/chart"
	"mesure/show/draw"
	"mesure/show/plate"
	"mesure/sport/mark"
	"mesure/study"
)

// The kinds of plates of a timing.
const (
	KindWindows Kind = "windows"
	KindMap     Kind = "map"
	KindParry   Kind = "parry"
	KindSeen    Kind = "seen"
	KindStand   Kind = "stand"
	KindStarted Kind = "started"
	KindFit     Kind = "fit"
)

// timings chooses the instants whose timing is told: the one that the reading was asked
// for, or the start of the race, or the first moment that can be told; then those at
// which a parry was observed that is not told yet. A breakdown is slides for a lesson:
// another moment with the same pictures is a question for the desk. The error of the
// study is returned for a question that it refuses.
func timings(r *study.Reading) ([]*study.Timing, error) {
	first, err := firstTiming(r)
	if err != nil || first == nil {
		return nil, err
	}
	all, seen := []*study.Timing{first}, map[study.At]bool{first.At: true}
	parries := map[[2]study.At]bool{}
	isNew := func(o *study.ObservedParry) bool {
		if o == nil {
			return false
		}
		between := [2]study.At{o.From, o.To}
		was := parries[between]
		parries[between] = true
		return !was
	}
	if first.Parry != nil {
		isNew(first.Parry.Observed)
	}
	for _, in := range r.Told() {
		at := study.At{Take: in.Take, Frame: in.Frame}
		if in.Moment == "" || seen[at] {
			continue
		}
		seen[at] = true
		o, err := r.ParrySeenAt(at)
		if err != nil {
			return nil, err
		}
		if !isNew(o) {
			continue
		}
		x, err := r.TimingAt(study.TimingAsk{At: at})
		if err != nil {
			return nil, err
		}
		if x.Parry != nil && x.Parry.Observed != nil {
			all = append(all, x)
		}
	}
	return all, nil
}

// firstTiming is the one that the reading was asked for, or that of the start of the
// race, or of the first moment that is told; nil where none can be read.
func firstTiming(r *study.Reading) (*study.Timing, error) {
	if r.Timing != nil {
		return r.Timing, nil
	}
	asks := []study.At{}
	if r.Race != nil {
		asks = append(asks, study.At{Take: r.Race.Take, Frame: r.Race.Frame})
	}
	for _, in := range r.Told() {
		if in.Moment != "" {
			asks = append(asks, study.At{Take: in.Take, Frame: in.Frame})
		}
	}
	for _, at := range asks {
		if x, err := r.TimingAt(study.TimingAsk{At: at, Map: true}); err != nil || read(x) {
			return x, err
		}
	}
	return nil, nil
}

// Timed returns a reading with the timing of the instant that its report tells first;
// the reading itself where it has that already, or where no instant can be told. The
// error is that of the study, for a question that it refuses.
func Timed(r *study.Reading) (*study.Reading, error) {
	if r.Timing != nil {
		return r, nil
	}
	x, err := firstTiming(r)
	if err != nil || x == nil {
		return r, err
	}
	with := *r
	with.Timing = x
	return &with, nil
}

// read says that a timing has answers or a parry: the order of the starts and the feet
// alone are told with the first instant only.
func read(x *study.Timing) bool { return x.Windows != nil || x.Parry != nil }

// timingJobs are the plates of what the timings of a reading show. The first instant has
// every picture, the others have the parry that was observed there.
func timingJobs(r *study.Reading, names plate.Naming) ([]job, error) {
	all, err := timings(r)
	if err != nil {
		return nil, err
	}
	var out []job
	for i, x := range all {
		with := *r
		with.Timing = x
		for _, pic := range []struct {
			kind  Kind
			made  func(*study.Reading, chart.Options) (*draw.Drawing, error)
			shown bool
		}{
			{KindWindows, chart.Windows, i == 0},
			{KindMap, chart.Distance, i == 0},
			{KindParry, chart.Parry, true},
			{KindSeen, chart.ParrySeen, x.Parry != nil && (x.Parry.Observed != nil || i == 0)},
			{KindStand, chart.Stand, i == 0},
			{KindStarted, chart.Started, i == 0},
		} {
			if pic.shown {
				p := Plate{Kind: pic.kind, Take: x.At.Take, Frame: x.At.Frame, timing: x}
				out = append(out, charted(p, func(o chart.Options) (*draw.Drawing, error) { return pic.made(&with, o) }, names))
			}
		}
	}
	return append(out, fitJobs(r, names)...), nil
}

// fitJobs are the plates of the movements that the profiles rest on.
func fitJobs(r *study.Reading, names plate.Naming) []job {
	var out []job
	for _, s := range mark.Sides {
		for i, f := range r.Profiles[s].Fits {
			p := Plate{Kind: KindFit, Take: f.Take, Frame: f.From, name: fmt.Sprintf("%s-%v-%d", KindFit, s, i+1)}
			out = append(out, charted(p, func(o chart.Options) (*draw.Drawing, error) { return chart.Fit(r.Profiles[s], i, o) }, names))
		}
	}
	return out
}

// charted is the job of a plate that is a chart.
func charted(p Plate, made func(chart.Options) (*draw.Drawing, error), names plate.Naming) job {
	return func() (Plate, bool, error) {
		drawn, err := p.chart(made, names)
		return p, drawn, err
	}
}

// nothingToDraw are the errors of charts for which a reading has nothing.
var nothingToDraw = []error{chart.ErrNoWindows, chart.ErrNoMap, chart.ErrNoParry, chart.ErrNoParrySeen, chart.ErrNoStand, chart.ErrNoStarts, chart.ErrNoFit,
	chart.ErrNoThread, chart.ErrNoHabit, chart.ErrNoBalance, chart.ErrNoPayoff, chart.ErrNoBout, chart.ErrNoPlan, chart.ErrNoLadder}

// chart draws a chart for every page; false where the reading has nothing for it.
func (p *Plate) chart(made func(chart.Options) (*draw.Drawing, error), names plate.Naming) (bool, error) {
	err := p.draw(func(l plate.Layout, th draw.Theme, low int) (*draw.Drawing, error) {
		return made(chart.Options{Layout: l, Theme: th, Names: names, Low: low})
	})
	for _, none := range nothingToDraw {
		if errors.Is(err, none) {
			return false, nil
		}
	}
	return err == nil, err
}

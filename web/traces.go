package web

import (
	"math"

	"mesure/show/chart"
	"mesure/show/plate"
	"mesure/show/summary"
	"mesure/sport/mark"
	"mesure/study"
)

// States of a take, as they go over the wire.
const (
	takeNone, takeFollowed, takeStale = "none", "followed", "stale"
)

// followedAnswer is what was followed, as far as a window asked for it.
func followedAnswer(r *study.Reading, kept KeptFollowing, ask FollowingAsk, look pageLook) (*Followed, error) {
	out := &Followed{Takes: []FollowedTake{}}
	for _, k := range r.Touch.Takes {
		out.Takes = append(out.Takes, takeOf(r.Touch, k, kept))
	}
	if ask.Take == "" {
		return out, nil
	}
	traces := summary.TracesOf(r, ask.Take)
	out.Traces = &traces
	for i, t := range r.Tracks {
		if t.Take != ask.Take || t.Who != ask.Who || t.What != ask.What || len(t.Steps) == 0 {
			continue
		}
		m, err := motionOf(r, i, look)
		if err != nil {
			return nil, err
		}
		out.Motion = m
	}
	return out, nil
}

// takeOf says how far a take is followed.
func takeOf(t *study.Touch, k mark.Take, kept KeptFollowing) FollowedTake {
	out := FollowedTake{Take: k.ID, State: takeNone, Cuts: []mark.Frame{}, Graphics: []Area{}, Lost: []study.Stretch{}, Warnings: []study.Warning{}}
	if kept.Following == nil {
		return out
	}
	for _, f := range kept.Following.Takes {
		if f.Take != k.ID {
			continue
		}
		out.State = takeStale
		if of := kept.Of[k.ID]; of != "" && of == followedOf(t, k) && kept.Following.Version == study.FollowVersion {
			out.State = takeFollowed
		}
		out.Cuts, out.Lost, out.Warnings = append(out.Cuts, f.Cuts...), append(out.Lost, f.Lost...), append(out.Warnings, f.Warnings...)
		for _, g := range f.Graphics {
			out.Graphics = append(out.Graphics, Area{g.Min.X, g.Min.Y, g.Dx(), g.Dy()})
		}
	}
	return out
}

// motionOf draws the movement of one track.
func motionOf(r *study.Reading, track int, l pageLook) (*Motion, error) {
	m, err := chart.Motion(r, track, chart.Options{Layout: plate.Phone, Theme: l.theme, Bare: true})
	if err != nil {
		return nil, err
	}
	svg, err := m.SVG("motion")
	if err != nil {
		return nil, err
	}
	out := &Motion{SVG: svg, Width: float64(m.Drawing.W), Height: float64(m.Drawing.H), X0: float64(m.X0), X1: float64(m.X1), From: m.From, Speeds: m.Says, X: []float64{}}
	for _, x := range m.X {
		out.X = append(out.X, math.Round(float64(x)*100)/100)
	}
	t := r.Tracks[track]
	one := summary.TracesOf(&study.Reading{Tracks: []study.Track{t}}, t.Take).Tracks[0]
	out.Peak, out.PeakFrame, out.PeakBias = one.Peak, one.PeakFrame, summary.PeakBias(t)
	return out, nil
}

package web

import (
	"context"
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"

	"mesure/show/chart"
	"mesure/show/draw"
	"mesure/show/summary"
	"mesure/sport/mark"
	"mesure/study"
)

// Bounds of what a change may ask: beyond them nobody stands on a piste, and the
// answer would be a curiosity of the model.
const (
	mostCloser  = 2.0 // metres
	mostEarlier = 2.0 // seconds
	mostLonger  = 1.0 // metres
)

// timing answers what one instant of a touch tells, as it stands on the desk. The
// reading of the touch is kept: another frame, another change of a "what if" is read
// from it, so that a slider costs its own draws and nothing else.
func (s *Server) timing(ctx context.Context, in *inTiming) (*body[TimingAnswer], error) {
	if in.Body.Draws > maxLiveDraws {
		return nil, &unfit{fmt.Sprintf("the timing at the desk takes at most %d draws", maxLiveDraws)}
	}
	t, err := s.onDesk(ctx, in.ID, in.Body.Touch)
	if err != nil {
		return nil, err
	}
	ask, err := timingAsk(t, in)
	if err != nil {
		return nil, err
	}
	if err := s.indexed(ctx, t); err != nil {
		return nil, err
	}
	leave, err := s.reading.enter(ctx)
	if err != nil {
		return nil, err
	}
	defer leave()
	r, err := s.instant(ctx, in.ID, t, in.Body.Draws, ask)
	if err != nil {
		return nil, err
	}
	out := TimingAnswer{Timing: summary.TimingOf(r.Timing), Profiles: profilesIn(r), Pictures: map[string]string{}}
	look := lookOf(in.Body.Night, in.Body.Phone)
	for _, name := range in.Body.Pictures {
		if err := out.draw(r, name, chart.Options{Layout: look.layout, Theme: look.theme, Bare: true}); err != nil {
			return nil, err
		}
	}
	return &body[TimingAnswer]{out}, nil
}

// timingAsk is what a window asks, checked: nothing is moved to where it would fit.
func timingAsk(t *study.Touch, in *inTiming) (study.TimingAsk, error) {
	ask := study.TimingAsk{Map: in.Body.Map, WhatIf: in.Body.WhatIf}
	if in.Body.At != nil {
		at := *in.Body.At
		k, ok := t.Take(at.Take)
		if !ok {
			return ask, &unfit{fmt.Sprintf("there is no take %q in this touch: ask for one of %s", at.Take, strings.Join(takeNames(t), ", "))}
		}
		if at.Frame < k.From || at.Frame > k.To {
			return ask, &unfit{fmt.Sprintf("frame %d is not in the take %q: ask for one of its frames %d to %d", at.Frame, at.Take, k.From, k.To)}
		}
		ask.At = at
	}
	if c := in.Body.WhatIf; c != nil {
		for _, b := range []struct {
			what  string
			value float64
			most  float64
			unit  string
		}{
			{"closer", float64(c.Closer), mostCloser, "m"},
			{"earlier", float64(c.Earlier), mostEarlier, "s"},
			{"a longer arm", float64(c.Longer), mostLonger, "m"},
		} {
			if math.IsNaN(b.value) || math.Abs(b.value) > b.most {
				return ask, &unfit{fmt.Sprintf("%s by %.3g %s makes no sense on a piste: give −%g to %g %s", b.what, b.value, b.unit, b.most, b.most, b.unit)}
			}
		}
		if c.Target != "" && !slices.Contains(mark.Targets(), c.Target) {
			return ask, &unfit{fmt.Sprintf("%q is not a target: ask for one of %s", c.Target, strings.Join(targetNames(), ", "))}
		}
	}
	return ask, nil
}

func takeNames(t *study.Touch) []string {
	names := []string{}
	for _, k := range t.Takes {
		names = append(names, k.ID)
	}
	return names
}

func targetNames() []string {
	names := []string{}
	for _, w := range mark.Targets() {
		names = append(names, string(w))
	}
	return names
}

// charts draws the pictures of a timing by the names that a window asks for.
var charts = map[TimingPicture]func(*study.Reading, chart.Options) (*draw.Drawing, error){
	picWindows: chart.Windows,
	picMap:     chart.Distance,
	picParry:   chart.Parry,
	picStand:   chart.Stand,
	picStarted: chart.Started,
	picWhatIf:  chart.WhatIf,
}

// draw adds the picture of this name; one for which the marks do not suffice is left
// out, since the answer says in words what is lacking.
func (a *TimingAnswer) draw(r *study.Reading, name TimingPicture, o chart.Options) error {
	if name == picFits {
		for _, p := range r.Profiles {
			for i := range p.Fits {
				d, err := chart.Fit(p, i, o)
				if err := a.add(fmt.Sprintf("fit-%v-%d", p.Who, i), d, err); err != nil {
					return err
				}
			}
		}
		return nil
	}
	d, err := charts[name](r, o)
	return a.add(string(name), d, err)
}

// add writes a drawing into the answer.
func (a *TimingAnswer) add(name string, d *draw.Drawing, err error) error {
	for _, none := range []error{chart.ErrNoWindows, chart.ErrNoMap, chart.ErrNoParry, chart.ErrNoStand, chart.ErrNoStarts, chart.ErrNoWhatIf, chart.ErrNoFit} {
		if errors.Is(err, none) {
			return nil
		}
	}
	if err != nil {
		return err
	}
	var b strings.Builder
	if err := d.PageSVG(&b, "timing"); err != nil {
		return err
	}
	a.Pictures[name] = b.String()
	return nil
}

// instant reads the timing of one instant.
func (s *Server) instant(ctx context.Context, id study.ID, t *study.Touch, draws int, ask study.TimingAsk) (*study.Reading, error) {
	kept, _ := s.follows.kept(id)
	videos := s.footage()
	return s.read(ctx, t, videos, study.ReadOptions{Draws: draws, Path: videos.path(ctx), Partial: true, Cameras: s.cameras, Following: kept.Following, Timing: &ask})
}

// profilesIn prints the profiles of a reading and nothing else of it.
func profilesIn(r *study.Reading) []summary.Profile {
	return summary.Of(&study.Reading{Touch: r.Touch, Profiles: r.Profiles}).Profiles
}

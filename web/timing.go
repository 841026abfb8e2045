package web

import (
	"context"
	"errors"
	"fmt"
	"strings"

	"mesure/show/chart"
	"mesure/show/draw"
	"mesure/show/summary"
	"mesure/study"
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
	ask := study.TimingAsk{Map: in.Body.Map, WhatIf: in.Body.WhatIf}
	if in.Body.At != nil {
		ask.At = *in.Body.At
	}
	if err := s.indexed(ctx, t); err != nil {
		return nil, err
	}
	known, err := s.knownOf(ctx, in.ID)
	if err != nil {
		return nil, err
	}
	leave, err := s.reading.enter(ctx)
	if err != nil {
		return nil, err
	}
	defer leave()
	r, err := s.instant(ctx, in.ID, t, in.Body.Draws, known, ask)
	if err != nil {
		return nil, err
	}
	out := TimingAnswer{Profiles: []summary.Profile{}, Pictures: map[string]string{}}
	if x := r.Timing; in.Body.WhatIfOnly {
		// The change is told by what is and what would be, the rest is known to who asks.
		out.Timing = summary.TimingOf(&study.Timing{At: x.At, Moment: x.Moment, Instant: x.Instant, Attacker: x.Attacker, AttackerWhy: x.AttackerWhy, Race: x.Race, Windows: x.Windows, WhatIf: x.WhatIf, Lacks: x.Lacks})
		out.Timing.Race, out.Timing.Windows = nil, nil
	} else {
		out.Timing, out.Profiles = summary.TimingOf(x), summary.ProfilesOf(r)
	}
	look := lookOf(in.Body.Night, in.Body.Phone)
	for _, name := range in.Body.Pictures {
		if err := out.draw(r, name, chart.Options{Layout: look.layout, Theme: look.theme, Bare: true}); err != nil {
			return nil, err
		}
	}
	return &body[TimingAnswer]{out}, nil
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

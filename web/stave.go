package web

import (
	"strings"

	"mesure/show/draw"
	"mesure/show/stave"
	"mesure/sport/mark"
	"mesure/study"
)

// StaveAsk is how the desk wants its stave.
type StaveAsk struct {
	// From and To are the true instants at its ends; where To is not after From, all
	// that the takes show.
	From mark.TrueTime `json:"from_s,omitempty"`
	To   mark.TrueTime `json:"to_s,omitempty"`
	// Width and Height of the room for it, in CSS pixels.
	Width  float64 `json:"width,omitempty" minimum:"0" maximum:"8000"`
	Height float64 `json:"height,omitempty" minimum:"0" maximum:"8000"`
}

// staveOf draws the stave for the desk.
func staveOf(r *study.Reading, l pageLook, a StaveAsk) (*Stave, error) {
	s := stave.Draw(r, stave.Options{Layout: l.layout, Theme: l.theme, Bare: true, From: a.From, To: a.To,
		W: draw.MM(a.Width) * stave.Pixel, H: draw.MM(a.Height) * stave.Pixel})
	svg, err := s.SVG("stave")
	if err != nil {
		return nil, err
	}
	out := &Stave{SVG: svg, Width: float64(s.Drawing.W), Height: float64(s.Drawing.H),
		X0: float64(s.X0), X1: float64(s.X1), T0: s.T0, T1: s.T1, Lines: []StaveLine{}, Frames: []TakeClock{}}
	if s.Legend != nil {
		var b strings.Builder
		if err := s.Legend.PageSVG(&b, "legend"); err != nil {
			return nil, err
		}
		out.Legend = b.String()
	}
	for _, l := range s.Lines {
		out.Lines = append(out.Lines, StaveLine{l.Who, l.Line, float64(l.Y), float64(l.H)})
	}
	for _, c := range s.Clocks {
		out.Frames = append(out.Frames, TakeClock(c))
	}
	return out, nil
}

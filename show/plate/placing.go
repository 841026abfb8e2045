package plate

import (
	"fmt"
	"strings"

	"mesure/show/draw"
	"mesure/sport/mark"
	"mesure/study"
)

// gridStyle is how strongly the lines of the piste are drawn.
type gridStyle struct {
	colour  draw.Colour
	opacity float64
}

var (
	quietGrid = gridStyle{draw.Stage().Ink, 0.38}
	fullGrid  = gridStyle{draw.Stage().Quiet, 0.95}
)

// grid draws the lines of the piste where the camera puts them. Painted lines
// are full, the edge of the warning zone, which is a change of colour and not a
// line, is dashed.
func grid(g *draw.Group, v view, pf study.PlacedFrame, th draw.Theme, st gridStyle) {
	for _, l := range pf.Grid {
		if !drawnLine(l) {
			continue
		}
		var pts []draw.Pt
		for _, p := range l.Points {
			pts = append(pts, v.at(p))
		}
		pen := draw.Pen{Colour: st.colour.Fade(st.opacity), Width: 0.4}
		under := draw.Pen{Colour: th.Ground.Fade(st.opacity * 0.6), Width: 0.9}
		if !l.Painted {
			pen.Dash, under.Dash = []draw.MM{1.8, 1.2}, []draw.MM{1.8, 1.2}
		}
		g.Stroke(draw.Polyline(pts...), under)
		g.Stroke(draw.Polyline(pts...), pen)
	}
}

func drawnLine(l study.GridLine) bool {
	for _, p := range l.Points {
		if !finite(p) {
			return false
		}
	}
	return len(l.Points) >= 2
}

// lineWords says a line of the piste in a few words.
func lineWords(name string) string {
	switch {
	case name == "centre":
		return "centre"
	case strings.HasSuffix(name, "on-guard"):
		return "on guard, 2 m"
	case strings.HasSuffix(name, "warning"):
		return "5 m"
	case strings.HasSuffix(name, "rear"):
		return "rear limit, 7 m"
	}
	return ""
}

// gridNames writes the names of the lines across at their near ends.
func gridNames(g *draw.Group, v view, pf study.PlacedFrame, sh *Sheet, o *obstacles) {
	for _, l := range pf.Grid {
		words := lineWords(l.Name)
		if words == "" || !drawnLine(l) {
			continue
		}
		near := l.Points[0]
		for _, p := range l.Points {
			if p.V > near.V {
				near = p
			}
		}
		t := draw.Text{S: words, Font: draw.Sans, Size: sh.Type.Label, Colour: sh.Theme.Ink, Halo: haloOf(sh.Theme, 0.85), HaloWidth: 0.45}
		w, h := t.Width()+1.2, t.Size*draw.CapShare+1.6
		at := v.at(near)
		at.Y += h/2 + 0.6
		box, ok := o.settle(at, w, h, 18)
		if !ok {
			continue
		}
		t.At = draw.Pt{X: box.X + 0.6, Y: box.Bottom() - 0.8}
		g.Text(t)
		o.boxes = append(o.boxes, box)
	}
}

// residualScale is how many times the residual ticks are drawn longer than they
// are: a good placing is off by a pixel, which nobody sees.
const residualScale = 20

// Disagrees is from which ratio to the expected error a point is named: marking
// errors alone exceed it once in 500 points.
const Disagrees = 2.5

// Placing draws the frame with the lines of the piste as the camera sees them
// and, at each placing point, a tick towards where the camera puts it, twenty
// times as long as it is. It returns ErrNotPlaced where the reading has no
// camera of this frame, and panics where the shot lacks its reading or its
// picture.
func Placing(s Shot, o Options) (*draw.Drawing, error) {
	s.check()
	pf, ok := s.placed()
	if !ok {
		return nil, ErrNotPlaced
	}
	finding := o.Finding
	if finding == "" {
		finding = placingFinding(pf)
	}
	l := o.Layout
	w, h := s.size()
	var pts []mark.Pixel
	for _, r := range pf.Residuals {
		// Below a point stand the names of the lines.
		pts = append(pts, r.At, mark.Pixel{U: r.At.U, V: min(h-1, r.At.V+0.06*h)})
	}
	p := shown(l, pts, w, h)
	picture := l.Width() * draw.MM(p.h()/p.w())
	where := fmt.Sprintf("take %s, frame %d", pf.Take, pf.Frame)
	ticks := fmt.Sprintf("ticks are %d times as long as the points are off", residualScale)
	sh := NewSheet(l, o.theme(), finding, placingDesc(pf), Sentences(Origin(s.Reading.Touch, o.naming() == Anonymous), where, ticks), picture)
	box := draw.Box{X: 0, Y: sh.Body.Y, W: l.Width(), H: picture}
	sh.Begin(draw.FigureStretch, box)
	v := s.photo(sh, box, p)
	over := sh.Clip(box.Path())
	grid(over, v, pf, sh.Theme, fullGrid)
	ob := &obstacles{room: v.box.Grow(-1)}
	for _, r := range pf.Residuals {
		if !finite(r.At) || !finite(r.Fitted) {
			continue
		}
		residual(over, v, r, sh, ob)
	}
	gridNames(over, v, pf, sh, ob)
	for _, r := range pf.Residuals {
		if r.Share >= Disagrees && finite(r.At) {
			residualName(over, v, r, sh, ob)
		}
	}
	return sh.Drawing, nil
}

func placingFinding(pf study.PlacedFrame) string {
	worst := study.Residual{}
	for _, r := range pf.Residuals {
		if r.Share > worst.Share {
			worst = r
		}
	}
	rms := number(float64(pf.RMS), 1) + nb + "px"
	if worst.Share >= Disagrees {
		return "The placing points agree to " + rms + ", but “" + worst.Name + "” does not fit"
	}
	return "The placing points agree with the camera to " + rms
}

func placingDesc(pf study.PlacedFrame) string {
	return fmt.Sprintf("A frame of the video with the lines of the piste drawn where the camera puts them, and %d placing points. Focal length %s, camera %s above the floor.",
		len(pf.Residuals), Pixels(pf.Focal), Metres(pf.Position[2]))
}

func residual(g *draw.Group, v view, r study.Residual, sh *Sheet, o *obstacles) {
	th := sh.Theme
	hue := th.Ink
	if r.Share >= Disagrees {
		hue = th.Brass
	}
	at, fitted := v.at(r.At), v.at(r.Fitted)
	end := draw.Pt{X: at.X + (fitted.X-at.X)*residualScale, Y: at.Y + (fitted.Y-at.Y)*residualScale}
	g.Stroke(draw.Segment(at, end), draw.Pen{Colour: th.Ground.Fade(0.7), Width: 1.3, Cap: draw.RoundCap})
	g.Stroke(draw.Segment(at, end), draw.Pen{Colour: hue, Width: 0.6, Cap: draw.RoundCap})
	g.Stroke(draw.Circle(at, 1.3), draw.Pen{Colour: th.Ground.Fade(0.7), Width: 1.2})
	g.Stroke(draw.Circle(at, 1.3), draw.Pen{Colour: hue, Width: 0.5})
	o.boxes = append(o.boxes, draw.Box{X: at.X - 2, Y: at.Y - 2, W: 4, H: 4})
	o.line(at, end, 0.6)
}

func residualName(g *draw.Group, v view, r study.Residual, sh *Sheet, o *obstacles) {
	t := draw.Text{S: r.Name + ": off by " + number(float64(r.Off), 1) + nb + "px", Font: draw.SansBold, Size: sh.Type.Label, Colour: sh.Theme.Brass, Halo: haloOf(sh.Theme, 0.9), HaloWidth: 0.5}
	w, h := t.Width()+1.2, t.Size*draw.CapShare+1.6
	if box, ok := o.settle(v.at(r.At), w, h, 30); ok {
		t.At = draw.Pt{X: box.X + 0.6, Y: box.Bottom() - 0.8}
		g.Text(t)
		o.boxes = append(o.boxes, box)
	}
}

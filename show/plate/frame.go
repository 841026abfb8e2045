package plate

import (
	"slices"
	"strings"

	"mesure/show/draw"
	"mesure/sport/mark"
	"mesure/study"
)

// FrameOptions say what a frame shows. The zero value shows piste, points, gaps and reach.
type FrameOptions struct {
	Options
	// Layers of the overlay (LayerPiste …); nil means all but LayerQuiet and LayerNames.
	Layers []string
}

// Frame draws the measured frame with the piste as the camera sees it, the points, the
// gaps to the targets asked, and arcs to where each point comes with an extension, a lunge,
// a step and lunge: the fencer's own reach in the plane of action, with its ± as a soft
// band. It returns ErrNotMeasured where the reading has neither a gap nor a reach on this
// frame, and panics where the shot lacks its reading or its picture.
func Frame(s Shot, o FrameOptions) (*draw.Drawing, error) {
	s.check()
	return frameOf(s, s.tableau(), o)
}

// frameOf is Frame on a tableau that is known.
func frameOf(s Shot, t study.Tableau, o FrameOptions) (*draw.Drawing, error) {
	if len(t.Gaps) == 0 && len(t.Arcs) == 0 {
		return nil, ErrNotMeasured
	}
	if o.Layers == nil {
		o.Layers = []string{LayerPiste, LayerMarks, LayerGaps, LayerReach}
	}
	over := OverlayOptions{Layers: o.Layers, Theme: o.theme(), Asked: s.asked(o.Options)}
	over.Names = s.call(o.Options).Say
	var arcs []study.Arc
	if over.has(LayerReach) {
		arcs = ArcsShown(&t)
	}
	main := prominent(t.Gaps, over.Asked)
	finding := o.Finding
	if finding == "" {
		finding = frameFinding(t.Gaps)
	}
	l := o.Layout
	w, h := s.size()
	pts := pointsOf(t.Instant, main)
	for _, b := range t.Bodies {
		for _, p := range b.Points {
			if p.What.IsFoot() { // below them stand the names of lines and fencers
				pts = append(pts, mark.Pixel{U: p.At.U, V: min(h-1, p.At.V+0.05*h)})
			}
		}
	}
	p := shown(l, pts, w, h)
	picture := l.Width() * draw.MM(p.h()/p.w())
	key := frameKey{s: s, o: o.Options, gaps: main, arcs: arcs}
	sh := NewSheet(l, o.theme(), finding, frameDesc(t, main, arcs),
		Sentences(Origin(s.Reading.Touch, o.naming() == Anonymous), Where(t.Instant), reachSource(arcs), DoubtNote), picture+key.height())
	box := draw.Box{X: 0, Y: sh.Body.Y, W: l.Width(), H: picture}
	sh.Begin(draw.FigureStretch, box)
	v := s.photo(sh, box, p)
	newOverlay(sh.Clip(box.Path()), &t, v, over, sh.Type).draw()
	below := draw.Box{X: sh.Inner().X, Y: box.Bottom(), W: sh.Inner().W, H: key.height()}
	sh.Begin(draw.FigureStretch, below) // it can stand beside the picture
	key.draw(sh, below)
	return sh.Drawing, nil
}

// tableau is what the reading has of the frame: all of it where a camera is known, else
// what was stated with the reading.
func (s Shot) tableau() study.Tableau {
	if t, ok := s.Reading.TableauAt(s.Take, s.Frame); ok {
		return t
	}
	t := study.Tableau{Instant: study.Instant{Take: s.Take, Frame: s.Frame}}
	if in, ok := s.instant(); ok {
		t.Instant = in
	}
	if pf, ok := s.placed(); ok {
		t.Grid = pf.Grid
	}
	return t
}

// From which chance on something is said without "most likely", and with it; below, it may
// be so.
const (
	sure   = 0.95
	likely = 0.75
)

// frameFinding says what each fencer needs to reach the nearest target.
func frameFinding(gaps []study.Gap) string {
	if both := bothNeed(gaps); both != "" {
		return both
	}
	var said []string
	for _, side := range mark.Sides {
		for _, g := range gaps {
			if g.Of != side || !g.Nearest || !g.Gap.IsValid() {
				continue
			}
			who := side.String()
			if len(said) == 0 {
				who = Name(side)
			}
			says := " " + needs(g.Band)
			switch {
			case g.Chance < likely:
				says = " " + mayNeed(g.Band) + " (" + Chance(g.Chance) + ")"
			case g.Chance < sure:
				says = " most likely" + says + " (" + Chance(g.Chance) + ")"
			}
			said = append(said, who+says+": "+Metres(g.Gap)+" to the "+TargetWords(g.Target))
		}
	}
	if len(said) == 0 {
		return "What each point can reach from here"
	}
	return strings.Join(said, "; ")
}

// bothNeed says it once where both need the same for the same target.
func bothNeed(gaps []study.Gap) string {
	var near []study.Gap
	for _, g := range gaps {
		if g.Nearest && g.Gap.IsValid() {
			near = append(near, g)
		}
	}
	if len(near) != 2 || near[0].Target != near[1].Target || near[0].Band != near[1].Band {
		return ""
	}
	chance := func(g study.Gap) string {
		if g.Chance < sure {
			return " (" + Chance(g.Chance) + ")"
		}
		return ""
	}
	target := TargetWords(near[0].Target)
	says := map[string][2]string{
		"short":  {"reach the " + target + " with the arm alone", "may just reach the " + target + " with the arm alone"},
		"medium": {"need a lunge to the " + target, "may need a lunge to the " + target},
		"long":   {"need a step and a lunge to the " + target, "may need a step and a lunge to the " + target},
		"out":    {"are out of reach of the " + target, "may be out of reach of the " + target},
	}[near[0].Band]
	if says[0] == "" {
		return ""
	}
	said := "Both " + says[0]
	switch least := min(near[0].Chance, near[1].Chance); {
	case least < likely:
		said = "Both " + says[1]
	case least < sure:
		said = "Both most likely " + says[0]
	}
	return said + ": left " + Metres(near[0].Gap) + chance(near[0]) + ", right " + Metres(near[1].Gap) + chance(near[1])
}

// needs says what a measure asks of a fencer.
func needs(band string) string {
	switch band {
	case "short":
		return "reaches with the arm alone"
	case "medium":
		return "needs a lunge"
	case "long":
		return "needs a step and a lunge"
	case "out":
		return "is out of reach"
	}
	return "stands"
}

// mayNeed says the same where it is hardly more likely than not.
func mayNeed(band string) string {
	switch band {
	case "short":
		return "may just reach with the arm alone"
	case "medium":
		return "may need a lunge"
	case "long":
		return "may need a step and a lunge"
	case "out":
		return "may be out of reach"
	}
	return "stands"
}

func frameDesc(t study.Tableau, main []study.Gap, arcs []study.Arc) string {
	var parts []string
	for _, g := range main {
		parts = append(parts, g.Of.String()+"’s point to "+g.Of.Other().String()+"’s "+TargetWords(g.Target)+" "+Metres(g.Gap))
	}
	d := "A frame of the video with the lines of the piste and the marked points of both fencers."
	if len(parts) > 0 {
		d += " Lines lead from each point to its target: " + strings.Join(parts, "; ") + "."
	}
	parts = nil
	for _, a := range arcs {
		parts = append(parts, a.Of.String()+"’s "+ReachWords(a.Band)+" "+Metres(a.Reach))
	}
	if len(parts) > 0 {
		d += " Arcs about each point show how far it comes: " + strings.Join(parts, "; ") + "."
	}
	return d + " " + strings.TrimSuffix(Sentences(Where(t.Instant)), ".") + "."
}

// reachSource says what the arcs are and what they rest on.
func reachSource(arcs []study.Arc) string {
	var from []string
	for _, a := range arcs {
		for _, part := range strings.Split(a.Source, "; ") {
			// What a movement takes in time has no say in how far it goes.
			if part != "" && !strings.Contains(part, " ms") && !strings.HasPrefix(part, "time of ") && !strings.HasPrefix(part, "start of ") && !slices.Contains(from, part) {
				from = append(from, part)
			}
		}
	}
	if len(arcs) == 0 {
		return ""
	}
	says := "arcs: how far the point comes in the plane of action"
	if len(from) > 0 {
		says += " (" + strings.Join(from, "; ") + ")"
	}
	return says
}

// frameKey says below a frame in words and numbers what stands on it.
type frameKey struct {
	s    Shot
	o    Options
	gaps []study.Gap
	arcs []study.Arc
}

// rows counts the arcs of each side.
func (k frameKey) rows() (n [2]int) {
	for _, a := range k.arcs {
		n[a.Of]++
	}
	return n
}

// betweenSides is the room between the rows of the two fencers on the phone.
const betweenSides draw.MM = 2.4

func (k frameKey) arcHeight() draw.MM { return k.o.Layout.Type().Label*leading + 1.2 }

func (k frameKey) height() draw.MM {
	h := legendHeight(k.o.Layout, k.gaps)
	n := k.rows()
	if k.o.Layout == Wide {
		return h + draw.MM(max(n[0], n[1]))*k.arcHeight()
	}
	// On the phone left's rows stand before right's.
	return h + draw.MM(n[0]+n[1])*k.arcHeight() + betweenSides
}

func (k frameKey) draw(sh *Sheet, box draw.Box) {
	const gutter = 9
	y := [2]draw.MM{box.Y + 2.6, box.Y + 2.6}
	at := func(s mark.Side, h draw.MM) draw.Box {
		b := draw.Box{X: box.X, Y: y[s], W: box.W, H: h}
		if sh.Layout == Wide {
			b.W = (box.W - gutter) / 2
			b.X += draw.MM(s) * (b.W + gutter)
		}
		y[s] += h
		return b
	}
	for _, s := range mark.Sides {
		if sh.Layout != Wide && s == mark.Right {
			y[s] = y[mark.Left] + betweenSides
		}
		for _, g := range k.gaps {
			if g.Of == s {
				k.s.legendRow(sh, g, at(s, rowHeight(sh.Layout)), k.o)
			}
		}
		for _, a := range k.arcs {
			if a.Of == s {
				k.arcRow(sh, a, at(s, k.arcHeight()))
			}
		}
	}
}

// arcRow says one arc with a piece of its line.
func (k frameKey) arcRow(sh *Sheet, a study.Arc, at draw.Box) {
	th, ty := sh.Theme, sh.Type
	base := at.Y + ty.Label*leading
	mid := base - ty.Label*draw.XShare/2
	const sample = 7
	sh.Stroke(draw.Segment(draw.Pt{X: at.X, Y: mid}, draw.Pt{X: at.X + sample, Y: mid}), draw.Pen{Colour: Hue(th, a.Of), Width: 0.5, Dash: ReachDash(a.Band), Cap: draw.RoundCap})
	sh.Text(draw.Text{At: draw.Pt{X: at.X + sample + 1.8, Y: base}, S: "a" + article(ReachWords(a.Band)) + " takes the point", Font: draw.Sans, Size: ty.Label, Colour: th.Quiet})
	sh.Text(draw.Text{At: draw.Pt{X: at.Right(), Y: base}, S: Metres(a.Reach), Font: draw.Sans, Size: ty.Label, Colour: th.Ink, Anchor: draw.End})
}

// article puts the n of "an" before a word where it belongs.
func article(word string) string {
	if strings.ContainsAny(word[:1], "aeiou") {
		return "n " + word
	}
	return " " + word
}

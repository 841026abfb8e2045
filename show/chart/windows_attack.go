package chart

import (
	"math"
	"sort"
	"strconv"
	"strings"

	"mesure/quantity"
	"mesure/show/draw"
	"mesure/show/plate"
	"mesure/sport/mark"
	"mesure/study"
)

// event is an instant that stands as an upright.
type event struct {
	at    quantity.Of[quantity.Seconds]
	words string
	kind  eventKind
	row   int
	text  draw.Text // set when placed
}

type eventKind int

const (
	eventSeen eventKind = iota
	eventReAim
	eventReady
	eventDone // what the defender did
	eventHit
)

// setEvents gathers the uprights and finds a row for the words of each.
func (c *windows) setEvents(ty plate.Type) {
	add := func(q quantity.Of[quantity.Seconds], words string, k eventKind) {
		if told(q) && c.shows(q.Mean) {
			c.events = append(c.events, event{at: q, words: words + " " + plate.Milliseconds(q), kind: k})
		}
	}
	add(c.w.Cue.At, "seen", eventSeen)
	if hits(c.w) {
		add(c.w.ReAim, "re-aimed until", eventReAim)
	}
	add(c.w.Ready, "ready", eventReady)
	if q, ok := c.done(); ok {
		add(q, strings.ToLower(plate.Name(c.def))+"’s hand did start", eventDone)
	}
	if hits(c.w) {
		add(c.w.Hit, "hits", eventHit)
	}
	sort.SliceStable(c.events, func(i, j int) bool { return c.events[i].at.Mean < c.events[j].at.Mean })
	var taken [][]draw.Box
	for i := range c.events {
		e := &c.events[i]
		for e.row = 0; ; e.row++ {
			if e.row == len(taken) {
				taken = append(taken, nil)
			}
			if t, ok := c.eventText(*e, ty, taken[e.row]); ok {
				e.text = t
				taken[e.row] = append(taken[e.row], t.Box().Grow(0.8))
				break
			}
		}
	}
	c.rows = max(1, len(taken))
}

// eventText is the words of an event beside its upright, where they cover no others.
func (c *windows) eventText(e event, ty plate.Type, taken []draw.Box) (draw.Text, bool) {
	x := c.x(e.at.Mean)
	for _, at := range [...]struct {
		x draw.MM
		a draw.Anchor
	}{{x + 1.1, draw.Start}, {x - 1.1, draw.End}} {
		t := draw.Text{S: e.words, Font: draw.Sans, Size: ty.Fine, Anchor: at.a, At: draw.Pt{X: at.x}}
		b := t.Box()
		free := b.X >= c.x0-scaleGutter && b.Right() <= c.x0+c.span+1.5
		for _, o := range taken {
			free = free && !b.Meets(o)
		}
		if free {
			return t, true
		}
	}
	if len(taken) > 0 {
		return draw.Text{}, false
	}
	// Alone in a row and still too wide for either side: in the middle of the axis.
	return draw.Text{S: e.words, Font: draw.Sans, Size: ty.Fine, Anchor: draw.Middle, At: draw.Pt{X: c.x0 + c.span/2}}, true
}

// done is when the defender's hand first started after the attack did, as it was seen,
// counted from the instant.
func (c *windows) done() (quantity.Of[quantity.Seconds], bool) {
	if c.tm.Started == nil || !c.tm.Instant.IsValid() {
		return quantity.Of[quantity.Seconds]{}, false
	}
	zero := c.tm.Instant.Mean
	for _, s := range c.tm.Started.Starts { // in the order of time
		if s.Side == int(c.def) && s.Part == "hand" && s.Time.IsValid() && s.Time.Mean-zero > onsetOf(c.w) {
			q := s.Time
			q.Mean, q.Lo, q.Hi = q.Mean-zero, q.Lo-zero, q.Hi-zero
			return q, true
		}
	}
	return quantity.Of[quantity.Seconds]{}, false
}

// bands draws the soft bands of ready and hit behind everything.
func (c *windows) bands(top, bottom draw.MM) {
	for _, e := range c.events {
		switch e.kind {
		case eventReady:
			c.band(&c.Group, e.at, top, bottom, plate.Hue(c.Theme, c.def).Fade(0.08))
		case eventHit:
			c.band(&c.Group, e.at, top, bottom, plate.Hue(c.Theme, c.att).Fade(0.1))
		}
	}
}

// pen is how the upright of an event is drawn.
func (c *windows) pen(k eventKind) draw.Pen {
	switch k {
	case eventReAim:
		return draw.Pen{Colour: plate.Hue(c.Theme, c.att), Width: 0.3, Dash: []draw.MM{1.2, 1}}
	case eventReady:
		return draw.Pen{Colour: plate.Hue(c.Theme, c.def), Width: 0.45}
	case eventDone:
		return draw.Pen{Colour: c.Theme.Ink, Width: 0.6}
	case eventHit:
		return draw.Pen{Colour: plate.Hue(c.Theme, c.att), Width: 0.6}
	}
	return draw.Pen{Colour: c.Theme.Quiet, Width: 0.3, Dash: []draw.MM{0.3, 0.8}, Cap: draw.RoundCap}
}

// uprights draws the lines of the events; the cue only where its words stand, the
// answers begin later.
func (c *windows) uprights(top, bottom draw.MM, words bool) {
	for _, e := range c.events {
		if e.kind == eventSeen && !words {
			continue
		}
		end := bottom
		if words && (e.kind == eventSeen) {
			end = top + draw.MM(e.row+1)*eventRow
		}
		x := c.x(e.at.Mean)
		c.Stroke(draw.Segment(draw.Pt{X: x, Y: top}, draw.Pt{X: x, Y: end}), c.pen(e.kind))
	}
}

func (c *windows) eventWords(b draw.Box) {
	for _, e := range c.events {
		t := e.text
		t.At.Y = b.Y + draw.MM(e.row)*eventRow + 3
		t.Colour, t.Halo, t.HaloWidth = c.Theme.Ink, c.Theme.Ground, 0.6
		c.Text(t)
	}
}

// attackLine says the attack and its length in one line, on the phone.
func (c *windows) attackLine(b draw.Box) {
	const size = 2.6
	y := b.Bottom() - 2.6
	c.Fill(plate.Shape(c.att, draw.Pt{X: b.X + size/2, Y: y - c.Type.Text*draw.CapShare/2}, size), plate.Hue(c.Theme, c.att))
	gap := draw.Text{At: draw.Pt{X: b.Right(), Y: y}, S: plate.Metres(c.w.Exchange.Attack.Gap), Font: draw.SansBold, Size: c.Type.Key, Colour: plate.Hue(c.Theme, c.att), Anchor: draw.End}
	c.Text(gap)
	for _, words := range [...]string{c.attackOf(), plate.Name(c.att) + "’s " + plate.ActionWords(c.w.AttackAction), plate.Name(c.att)} {
		t := draw.Text{At: draw.Pt{X: b.X + size + 1.8, Y: y}, S: words, Font: draw.Serif, Size: c.Type.Text, Colour: c.Theme.Ink}
		if t.Box().Right()+2 <= gap.Box().X || words == plate.Name(c.att) {
			c.Text(t)
			return
		}
	}
}

// attackColumn says the attack beside its way, on the wide sheet.
func (c *windows) attackColumn(b draw.Box) {
	const size = 2.6
	y := b.Y + 4
	hue := plate.Hue(c.Theme, c.att)
	c.Fill(plate.Shape(c.att, draw.Pt{X: b.X + size/2, Y: y - c.Type.Text*draw.CapShare/2}, size), hue)
	room := nameColumn - scaleGutter - size - 2.8
	end := c.Paragraph(draw.Text{At: draw.Pt{X: b.X + size + 1.8, Y: y}, S: c.attackOf(), Font: draw.Serif, Size: c.Type.Text, Colour: c.Theme.Ink}, room, c.Type.Text*1.25)
	c.Text(draw.Text{At: draw.Pt{X: b.X + size + 1.8, Y: end + 6}, S: plate.Metres(c.w.Exchange.Attack.Gap), Font: draw.SansBold, Size: c.Type.Key, Colour: hue})
	if !hits(c.w) {
		return
	}
	x := c.x0 + c.span + 2.6
	c.Text(draw.Text{At: draw.Pt{X: b.Right(), Y: y}, S: "hits after", Font: draw.Serif, Size: c.Type.Text, Colour: c.Theme.Ink, Anchor: draw.End})
	key := draw.Text{At: draw.Pt{X: b.Right(), Y: y + 6}, S: plate.Milliseconds(c.w.Hit), Font: draw.SansBold, Size: c.Type.Key, Colour: hue, Anchor: draw.End}
	if key.Box().X < x {
		key.Size = c.Type.Text
	}
	c.Text(key)
	if c.w.Arrives.Mean < 0.995 {
		c.Text(draw.Text{At: draw.Pt{X: b.Right(), Y: y + 10.6}, S: "in " + plate.Chance(c.w.Arrives.Mean) + " of the draws", Font: draw.Sans, Size: c.Type.Fine, Colour: c.Theme.Quiet, Anchor: draw.End})
	}
}

// travel draws how far the attacker's point has gone, with the target as a soft line
// across.
func (c *windows) travel(b draw.Box) {
	hue, gap := plate.Hue(c.Theme, c.att), c.w.Exchange.Attack.Gap
	if c.Layout == plate.Wide {
		c.attackColumn(b)
	}
	if !gap.IsValid() || !(gap.Mean > 0) {
		return
	}
	plot := draw.Box{X: c.x0, Y: b.Y + 1.5, W: c.span, H: b.H - 2}
	top := math.Max(float64(gap.Hi), 0.05) * 1.06
	y := func(m quantity.Metres) draw.MM {
		return plot.Bottom() - plot.H*draw.MM(math.Max(0, math.Min(1, float64(m)/top)))
	}
	step := metreStep(top)
	if c.Layout == plate.Phone && top/step > 4 {
		step *= 2
	}
	decimals := 1
	if step == 0.25 {
		decimals = 2
	}
	for i := 0; float64(i)*step <= top; i++ {
		v := float64(i) * step
		c.Stroke(draw.Segment(draw.Pt{X: plot.X, Y: y(quantity.Metres(v))}, draw.Pt{X: plot.Right(), Y: y(quantity.Metres(v))}), draw.Pen{Colour: c.Theme.Rule.Fade(0.45), Width: 0.15})
		s := strconv.FormatFloat(v, 'f', decimals, 64)
		if i == 0 {
			s = "0" + nb + "m"
		}
		c.Text(draw.Text{At: draw.Pt{X: plot.X - 1.2, Y: y(quantity.Metres(v)) + c.Type.Fine*draw.CapShare/2}, S: s, Font: draw.Sans, Size: c.Type.Fine, Colour: c.Theme.Quiet, Anchor: draw.End})
	}
	closing := c.closing()
	for _, e := range [2][2]quantity.Metres{{gap.Lo, gap.Hi}, {gap.Mean - gap.SD, gap.Mean + gap.SD}} {
		upper, lower := c.targetLine(closing, e[1], y), c.targetLine(closing, e[0], y)
		for i := len(lower) - 1; i >= 0; i-- {
			upper = append(upper, lower[i])
		}
		c.Fill(draw.Polygon(upper...), c.Theme.Rule.Fade(0.3))
	}
	c.Stroke(draw.Polyline(c.targetLine(closing, gap.Mean, y)...), draw.Pen{Colour: c.Theme.Quiet, Width: 0.35})
	target := "the target"
	if c.w.AttackTarget != "" {
		target = "the " + plate.TargetWords(c.w.AttackTarget)
	}
	c.Text(draw.Text{At: draw.Pt{X: plot.X + 1.5, Y: y(gap.Lo) + c.Type.Fine*draw.CapShare + 1.2}, S: target, Font: draw.Sans, Size: c.Type.Fine, Colour: c.Theme.Ink, Halo: c.Theme.Ground, HaloWidth: 0.6})

	end := float64(study.TravelStep) * float64(len(c.w.Travel)-1)
	if hits(c.w) {
		end = math.Min(end, float64(c.w.Hit.Mean))
	}
	end = math.Min(end, c.t1)
	var pts []draw.Pt
	for i := 0; end > 0; i++ {
		t := math.Min(end, float64(i)*float64(study.TravelStep))
		way := after(c.w.Travel, quantity.Seconds(t))
		if !finite(float64(way)) {
			break
		}
		pts = append(pts, draw.Pt{X: c.x(quantity.Seconds(t)), Y: y(min(way, gap.Mean-after(closing, quantity.Seconds(t))))})
		if t >= end {
			break
		}
	}
	if len(pts) > 1 {
		area := append(append([]draw.Pt{}, pts...), draw.Pt{X: pts[len(pts)-1].X, Y: plot.Bottom()}, draw.Pt{X: pts[0].X, Y: plot.Bottom()})
		c.Fill(draw.Polygon(area...), hue.Fade(0.16))
		c.Stroke(draw.Polyline(pts...), draw.Pen{Colour: hue, Width: 0.65, Cap: draw.RoundCap})
		last := pts[len(pts)-1]
		c.Fill(plate.Shape(c.att, last, 3.4), c.Theme.Ground)
		c.Fill(plate.Shape(c.att, last, 2.6), hue)
	}
}

// closing is how far the target comes to meet the attack, every study.TravelStep from
// the instant: nil where the windows are those of a target that stays.
func (c *windows) closing() []quantity.Metres {
	m := c.w.Exchange.Defence.Coming.Movement
	if c.tm.Race == nil || !(m.Arm.Mean > 0 || m.Body.Mean > 0) {
		return nil
	}
	all := c.tm.Race.Runs[c.att].Closing
	for _, v := range all {
		if !finite(float64(v)) {
			return nil
		}
	}
	return all
}

// targetLine is where a target at this gap stands over the time of the axis.
func (c *windows) targetLine(closing []quantity.Metres, gap quantity.Metres, y func(quantity.Metres) draw.MM) []draw.Pt {
	if closing == nil {
		return []draw.Pt{{X: c.x0, Y: y(gap)}, {X: c.x0 + c.span, Y: y(gap)}}
	}
	pts := []draw.Pt{{X: c.x0, Y: y(gap)}}
	end := c.t1
	if hits(c.w) {
		end = math.Min(end, float64(c.w.Hit.Mean))
	}
	for t := 0.0; t < end; t += float64(study.TravelStep) {
		pts = append(pts, draw.Pt{X: c.x(quantity.Seconds(t)), Y: y(gap - after(closing, quantity.Seconds(t)))})
	}
	last := y(gap - after(closing, quantity.Seconds(end)))
	return append(pts, draw.Pt{X: c.x(quantity.Seconds(end)), Y: last}, draw.Pt{X: c.x0 + c.span, Y: last})
}

// phases is the ribbon of what the defender can do while the attack is on its way.
func (c *windows) phases(b draw.Box) {
	onset := quantity.Seconds(math.Max(c.t0, float64(onsetOf(c.w))))
	def := plate.Hue(c.Theme, c.def)
	hit := quantity.Seconds(c.t1)
	if hits(c.w) {
		hit = c.w.Hit.Mean
	}
	if !told(c.w.Cue.At) || !told(c.w.Ready) {
		return
	}
	seen, ready := min(c.w.Cue.At.Mean, hit), min(c.w.Ready.Mean, hit)
	part := func(from, to quantity.Seconds, fill func(draw.Box), colour draw.Colour, words ...string) {
		p := draw.Box{X: c.x(from), Y: b.Y, W: c.x(to) - c.x(from), H: b.H}
		if !(p.W > 0.05) {
			return
		}
		fill(p)
		for _, s := range words {
			t := draw.Text{S: s, Font: draw.Sans, Size: c.Type.Fine, Colour: colour, Halo: c.Theme.Ground, HaloWidth: 0.8, Anchor: draw.Middle,
				At: draw.Pt{X: p.X + p.W/2, Y: p.Y + p.H/2 + c.Type.Fine*draw.XShare/2}}
			if t.Width()+2 <= p.W {
				c.Text(t)
				return
			}
		}
	}
	part(onset, seen, func(p draw.Box) {
		c.Hatch(p.Path(), draw.Hatch{Colour: c.Theme.Rule, Width: 0.22, Gap: 0.8, Rising: c.att == mark.Left})
	}, c.Theme.Ink, "cannot be seen yet", "not seen", "unseen")
	part(seen, ready, func(p draw.Box) {
		c.Hatch(p.Path(), draw.Hatch{Colour: def.Fade(0.8), Width: 0.24, Gap: 1.1, Rising: c.def == mark.Left})
	}, c.Theme.Ink, strings.ToLower(plate.Name(c.def))+" reacts", "reacts")
	part(ready, hit, func(p draw.Box) { c.Fill(p.Path(), def.Fade(0.3)) }, c.Theme.Ink, strings.ToLower(plate.Name(c.def))+" can answer", "can answer", "answers")
	c.Stroke(draw.Box{X: c.x(onset), Y: b.Y, W: max(c.x(hit)-c.x(onset), 0.1), H: b.H}.Path(), draw.Pen{Colour: c.Theme.Rule, Width: 0.22})
}

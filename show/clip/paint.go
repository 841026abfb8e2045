package clip

import (
	"image"
	"image/color"
	"math"
	"slices"
	"strings"
	"unicode"

	"mesure/quantity"
	"mesure/show/draw"
	"mesure/show/handoff"
	"mesure/show/plate"
	"mesure/sport/mark"
	"mesure/study"
)

// Everything drawn here has a millimetre of the pen as one pixel of the picture.

// theme of everything that is drawn on a clip.
var theme = draw.Video()

// paint draws into a box of the picture; nil where nothing was drawn. The group is in
// pixels of the whole picture.
func paint(box image.Rectangle, fn func(g *draw.Group)) *image.RGBA {
	if box.Empty() {
		return nil
	}
	d := draw.New(draw.MM(box.Dx()), draw.MM(box.Dy()), "", "")
	fn(d.Shift(draw.MM(-box.Min.X), draw.MM(-box.Min.Y)))
	img := d.Raster(box.Dx())
	img.Rect = img.Rect.Add(box.Min)
	return img
}

// plainLine is a text of the coach as it can be set on one line.
func plainLine(s string) string {
	s = strings.Map(func(r rune) rune {
		switch {
		case r == '\t' || r == '\n' || r == '\r':
			return ' '
		case unicode.IsControl(r) || unicode.Is(unicode.Cf, r):
			return -1
		}
		return r
	}, strings.ToValidUTF8(s, "\ufffd"))
	return strings.Join(strings.Fields(s), " ")
}

// fitted is a text at most so wide: it is set smaller down to three quarters, then cut
// with an ellipsis.
func fitted(t draw.Text, width draw.MM) draw.Text {
	for i := 0; i < 5 && t.Width() > width; i++ {
		t.Size *= 0.944
	}
	rs := []rune(t.S)
	for t.Width() > width && len(rs) > 1 {
		rs = rs[:len(rs)-1]
		t.S = strings.TrimRight(string(rs), " ") + "…"
	}
	return t
}

// pill is a dark ground for words on a picture.
func pill(g *draw.Group, b draw.Box, u float64) {
	g.Fill(b.Grow(draw.MM(8*u)).Round(draw.MM(7*u)), theme.Ground.Fade(0.72))
}

// tag writes a line on a dark ground; the text's box is what is left free about it.
func tag(g *draw.Group, t draw.Text, u float64) draw.Box {
	b := t.Box()
	b.Y, b.H = t.At.Y-t.Size*0.74, t.Size*0.98
	pill(g, b, u)
	g.Text(t)
	return b
}

// speedWords says how slow a shot plays.
func speedWords(v float64) string {
	for _, n := range []struct {
		speed float64
		words string
	}{{1, ""}, {0.5, "half speed"}, {0.25, "quarter speed"}, {0.2, "a fifth of the speed"}, {0.125, "an eighth of the speed"}, {0.1, "a tenth of the speed"}} {
		if math.Abs(v-n.speed) < 1e-6 {
			return n.words
		}
	}
	return plate.Chance(quantity.Chance(v)) + " of the speed"
}

// A place is where a line of the furniture stands.
type place struct {
	x, y   float64
	anchor draw.Anchor
	size   float64 // of its type in units
	width  float64 // at most so wide
}

// places are those of the furniture on a stage: what is shown, how fast, until when, and
// what it is; and the fencers, each on their side.
type places struct {
	chapter, speed, clock, note place
	names                       [2]place
}

// placesOn lays the furniture out, all of it off the take and inside the safe title area:
// a row of names with the chapter between them and a row below; on a narrow picture one
// row more; on an upright one above and below the take.
func placesOn(st stage) places {
	m, inner := st.margin(), float64(st.w)-2*st.margin()
	left, right, middle := m, float64(st.w)-m, float64(st.w)/2
	if st.form.Shape == Upright {
		top, foot, half := float64(st.room.Min.Y)-st.px(100), float64(st.room.Max.Y)+st.px(34), inner/2
		return places{
			chapter: place{left, top, draw.Start, titleSize, inner * 0.42}, clock: place{right, top, draw.End, clockSize, inner * 0.56},
			note: place{left, top + st.px(46), draw.Start, smallSize, inner * 0.56}, speed: place{right, top + st.px(46), draw.End, smallSize, inner * 0.42},
			names: [2]place{{left, foot, draw.Start, labelSize, half}, {right, foot, draw.End, labelSize, half}},
		}
	}
	y := float64(st.strip.Min.Y) + st.px(28)
	if st.strip.Min.Y == 0 { // at the top, where the safe area begins
		y = safeShare*float64(st.h) + st.px(labelSize*draw.CapShare+4)
	}
	next := y + st.px(rowLead)
	if st.form.Shape == Square {
		last := next + st.px(rowLead)
		return places{
			names:   [2]place{{left, y, draw.Start, labelSize, inner * 0.48}, {right, y, draw.End, labelSize, inner * 0.48}},
			chapter: place{left, next, draw.Start, labelSize, inner * 0.42}, clock: place{right, next, draw.End, clockSize, inner * 0.56},
			note: place{left, last, draw.Start, smallSize, inner * 0.56}, speed: place{right, last, draw.End, smallSize, inner * 0.42},
		}
	}
	return places{
		names:   [2]place{{left, y, draw.Start, labelSize, inner * 0.31}, {right, y, draw.End, labelSize, inner * 0.31}},
		chapter: place{middle, y, draw.Middle, labelSize, inner * 0.34}, speed: place{middle, next, draw.Middle, smallSize, inner * 0.3},
		note: place{left, next, draw.Start, smallSize, inner * 0.33}, clock: place{right, next, draw.End, clockSize, inner * 0.33},
	}
}

// rowLead is from one row of the strip to the next: the ground of a word must not cover
// the word below it.
const rowLead = 33

// text sets a line at its place.
func (p place) text(st stage, s string, font draw.Font, c draw.Colour) draw.Text {
	t := draw.Text{At: draw.Pt{X: draw.MM(p.x), Y: draw.MM(p.y)}, S: s, Font: font, Size: draw.MM(st.px(p.size)), Colour: c, Anchor: p.anchor}
	return fitted(t, draw.MM(p.width))
}

// furniture draws what stands still while a shot lasts: its chapter, who is who, how fast
// it plays, and that it is invented. Words have grounds of their own, for who lays the
// overlays over another picture.
func (b *bound) furniture(st stage, g *draw.Group) {
	if b.main == nil {
		return
	}
	at := placesOn(st)
	b.whoIsWho(st, g, at.names)
	if b.label != "" {
		tag(g, at.chapter.text(st, b.label, draw.SerifBold, theme.Ink), st.u)
	}
	if w := speedWords(float64(b.Speed)); w != "" && b.moving() {
		tag(g, at.speed.text(st, w, draw.Sans, theme.Quiet), st.u)
	}
	for _, n := range b.notes {
		tag(g, at.note.text(st, n, draw.Sans, theme.Quiet), st.u)
		at.note.y += st.px(smallSize * 1.4)
	}
	if b.other != nil {
		b.which(st, g)
	}
}

// which says of two takes beside each other which is which.
func (b *bound) which(st stage, g *draw.Group) {
	c := newComposer(b, st)
	for k, v := range b.views() {
		d := c.frames[k].dest
		p := place{x: max(float64(d.Min.X), st.margin()), y: float64(d.Min.Y) - st.px(14), size: smallSize}
		p.width = float64(d.Max.X) - p.x - st.px(16)
		if st.form.Shape == Square {
			p.x, p.y, p.width = st.margin(), float64(d.Min.Y+d.Max.Y)/2, st.px(nameColumn-14)
		}
		tag(g, p.text(st, plainLine(v.called()), draw.Sans, theme.Ink), st.u)
	}
}

// extent is a box about all that the layers of a moving picture draw; that of one which
// stands, where words look for a free place, is all of it.
func (b *bound) extent(st stage, t *study.Tableau, f framing) image.Rectangle {
	if !b.moving() || t == nil {
		return f.dest
	}
	var box image.Rectangle
	k := f.scale()
	see := func(p mark.Pixel) {
		if !finite(p) || math.Abs(p.U) > 1e6 || math.Abs(p.V) > 1e6 {
			return
		}
		x := f.dest.Min.X + int((p.U+0.5-float64(f.crop.Min.X))*k)
		y := f.dest.Min.Y + int((p.V+0.5-float64(f.crop.Min.Y))*k)
		box = box.Union(image.Rect(x, y, x+1, y+1))
	}
	for _, g := range t.Gaps {
		see(g.From)
		see(g.To)
	}
	layers := b.layers()
	if slices.Contains(layers, plate.LayerMarks) || slices.Contains(layers, plate.LayerNames) {
		for _, s := range mark.Sides {
			for _, p := range t.Bodies[s].Points {
				see(p.At)
			}
		}
	}
	if slices.Contains(layers, plate.LayerPiste) {
		return f.dest
	}
	if box.Empty() {
		return box
	}
	// Half a number beside a line, and a number above or below it.
	dx, dy := int(st.px(150)), int(st.px(90))
	return image.Rect(box.Min.X-dx, box.Min.Y-dy, box.Max.X+dx, box.Max.Y+dy).Intersect(f.dest)
}

// whoIsWho names the fencers, each on their side.
func (b *bound) whoIsWho(st stage, g *draw.Group, places [2]place) {
	for _, s := range mark.Sides {
		if b.names[s] == "" {
			continue
		}
		p := places[s]
		size := draw.MM(st.px(p.size))
		shape := size * 0.62
		p.anchor, p.width = draw.Start, p.width-float64(shape*1.7)
		t := p.text(st, b.names[s], draw.SansBold, plate.Hue(theme, s))
		w := t.Width()
		at := draw.Pt{X: draw.MM(p.x) + shape/2, Y: draw.MM(p.y) - size*draw.CapShare/2}
		t.At.X = draw.MM(p.x) + shape*1.7
		if s == mark.Right {
			at.X = draw.MM(p.x) - shape/2
			t.At.X = at.X - shape*1.2 - w
		}
		box := draw.Box{X: min(at.X-shape/2, t.At.X), Y: t.At.Y - t.Size*0.74, W: w + shape*1.7, H: t.Size * 0.98}
		pill(g, box, st.u)
		g.Fill(plate.Shape(s, at, shape), plate.Hue(theme, s))
		g.Text(t)
	}
}

// clockText says how far off the end of the phrase is on a frame: "0.24 ± 0.01 s before
// the hit", and "at the hit" where the doubt does not tell them apart. Empty where it is
// not known.
func (b *bound) clockText(pos float64) string {
	if b.end == "" {
		return ""
	}
	q, ok := b.main.r.Until(b.end, b.main.take.ID, mark.Frame(math.Floor(pos+1e-9)))
	if !ok {
		return ""
	}
	_, which, _ := b.main.r.Ending()
	words := " before the " + which
	if math.Abs(float64(q.Mean)) <= 2*float64(q.SD) {
		return "at the " + which
	}
	if q.Mean < 0 {
		words = " after the " + which
		q.Mean, q.Lo, q.Hi = -q.Mean, -q.Hi, -q.Lo
	}
	return plate.Seconds(q) + words
}

// clockBox is where the clock is drawn.
func (st stage) clockBox() image.Rectangle {
	y, h := int(placesOn(st).clock.y), int(st.px(44))
	return image.Rect(st.w/8, y-h, st.w, y+h).Intersect(image.Rect(0, 0, st.w, st.h))
}

// clock writes how far off the end of the phrase is.
func (b *bound) clock(st stage, g *draw.Group, text string) {
	tag(g, placesOn(st).clock.text(st, text, draw.SansBold, theme.Ink), st.u)
}

// caption writes one screen of words on its panel.
func caption(st stage, g *draw.Group, s handoff.Screen) {
	width := float64(st.panel.Dx()) - 2*st.margin()
	size := draw.MM(st.px(captionSize))
	lines := s.Lines
	for _, l := range lines {
		if float64((draw.Text{S: l, Font: draw.Sans, Size: size}).Width()) > width {
			lines = draw.Balance(strings.Join(s.Lines, " "), draw.Sans, size, draw.MM(width))
			break
		}
	}
	// The letters that hang below the last line stand inside the safe area too.
	head := draw.MM(st.panel.Min.Y)
	foot := min(draw.MM(st.panel.Max.Y), draw.MM((1-safeShare)*float64(st.h))) - size*draw.DescentShare
	high := func() draw.MM { return size*captionLead*draw.MM(len(lines)-1) + size*draw.CapShare }
	// Words for which there is no room are set smaller.
	for high() > foot-head && size > draw.MM(st.px(captionSize))/2 {
		size *= 0.92
		lines = draw.Balance(strings.Join(s.Lines, " "), draw.Sans, size, draw.MM(width))
	}
	for len(lines) > 1 && high() > foot-head {
		lines = lines[:len(lines)-1]
	}
	lead := size * captionLead
	y := head + (foot-head-high())/2 + size*draw.CapShare
	if st.form.Shape == Upright {
		y = head + size*draw.CapShare
	}
	for i, l := range lines {
		t := draw.Text{At: draw.Pt{X: draw.MM(float64(st.w) / 2), Y: y + lead*draw.MM(i)}, S: l, Font: draw.Sans, Size: size, Colour: theme.Ink, Anchor: draw.Middle}
		g.Text(fitted(t, draw.MM(width)))
	}
}

// ease is a motion that starts and ends at rest: 3t² − 2t³.
func ease(t float64) float64 {
	t = clampTo(t, 0, 1)
	return t * t * (3 - 2*t)
}

// overlay draws the layers of a take over it.
func (b *bound) overlayOn(st stage, g *draw.Group, t *study.Tableau, f framing, built func(part string) float64) {
	if t == nil {
		return
	}
	v := plate.View{
		Box: draw.Box{X: draw.MM(f.dest.Min.X), Y: draw.MM(f.dest.Min.Y), W: draw.MM(f.dest.Dx()), H: draw.MM(f.dest.Dy())},
		X0:  float64(f.crop.Min.X), Y0: float64(f.crop.Min.Y), Scale: f.scale(),
	}
	o := plate.OverlayOptions{
		Layers: b.layers(), Theme: theme, Size: st.px(overlaySize(st.form.Shape)), Asked: b.targets(), Built: built, Steady: b.moving(),
	}
	plate.Overlay(g, t, v, o)
}

// overlaySize is how many pixels of a picture of 720 lines are a millimetre of a wide
// sheet: its key numbers then stand 34 pixels high. Where the picture is narrow, less.
func overlaySize(s Shape) float64 {
	if s == Wide {
		return 6.6
	}
	return 5.4
}

// textCard writes the lines of a shot that shows nothing else.
func (b *bound) textCard(st stage, g *draw.Group) {
	g.Fill(draw.Box{W: draw.MM(st.w), H: draw.MM(st.h)}.Path(), theme.Ground)
	m := draw.MM(st.margin()) * 1.6
	width := draw.MM(st.w) - 2*m
	foot := draw.MM(st.h) * 0.9
	if st.burnt() && !st.panel.Empty() {
		foot = draw.MM(st.panel.Min.Y)
	}
	size := draw.MM(st.px(54))
	title := b.label
	if title == "" {
		title = "Mesure"
	}
	lines := draw.Balance(title, draw.SerifBold, size, width)
	for len(lines) > 4 && size > draw.MM(st.px(24)) {
		size *= 0.9
		lines = draw.Balance(title, draw.SerifBold, size, width)
	}
	lead := size * 1.2
	y := (foot-lead*draw.MM(len(lines)-1))/2 + size*draw.CapShare/2
	for i, l := range lines {
		t := draw.Text{At: draw.Pt{X: draw.MM(st.w) / 2, Y: y + lead*draw.MM(i)}, S: l, Font: draw.SerifBold, Size: size, Colour: theme.Ink, Anchor: draw.Middle}
		g.Text(fitted(t, width))
	}
	rule := draw.Segment(draw.Pt{X: draw.MM(st.w)/2 - m, Y: y + lead*draw.MM(len(lines)-1) + size*0.8}, draw.Pt{X: draw.MM(st.w)/2 + m, Y: y + lead*draw.MM(len(lines)-1) + size*0.8})
	g.Stroke(rule, draw.Pen{Colour: theme.Brass, Width: draw.MM(st.px(3))})
}

func colourOf(c draw.Colour) color.RGBA { return color.RGBA{c.R, c.G, c.B, 255} }

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

// head is the baseline of the first line at the top of the picture: its capitals begin
// where the safe area does; on an upright picture it stands above the take.
func (st stage) head() float64 {
	if st.form.Shape == Upright {
		return float64(st.room.Min.Y) - st.px(60)
	}
	return float64(st.room.Min.Y) + safeShare*float64(st.h) + st.px(titleSize*draw.CapShare)
}

// furniture draws what stands still while a shot lasts: its chapter, who is who, how fast
// it plays, and that it is invented. Words stand on grounds of their own.
func (b *bound) furniture(st stage, g *draw.Group) {
	if b.main == nil {
		return
	}
	u, m := st.u, st.margin()
	room := b.rooms(st)
	top := st.head()
	half := draw.MM(float64(st.w)/2 - m - st.px(16))
	if b.label != "" {
		t := draw.Text{At: draw.Pt{X: draw.MM(m), Y: draw.MM(top)}, S: b.label, Font: draw.SerifBold, Size: draw.MM(st.px(titleSize)), Colour: theme.Ink}
		tag(g, fitted(t, half), u)
	}
	right := []string{}
	if w := speedWords(float64(b.Speed)); w != "" && b.moving() {
		right = append(right, w)
	}
	y := top
	if b.end != "" && b.Kind != Live {
		y += st.px(titleSize * 1.5) // the clock stands above
	}
	for _, w := range right {
		tag(g, draw.Text{At: draw.Pt{X: draw.MM(float64(st.w) - m), Y: draw.MM(y)}, S: w, Font: draw.Sans, Size: draw.MM(st.px(labelSize)), Colour: theme.Quiet, Anchor: draw.End}, u)
		y += st.px(labelSize * 1.5)
	}
	y = top
	if b.label != "" {
		y += st.px(titleSize * 1.3)
	}
	for _, n := range b.notes {
		t := draw.Text{At: draw.Pt{X: draw.MM(m), Y: draw.MM(y)}, S: n, Font: draw.Sans, Size: draw.MM(st.px(smallSize)), Colour: theme.Quiet}
		tag(g, fitted(t, half), u)
		y += st.px(smallSize * 1.4)
	}
	b.whoIsWho(st, g, room, half)
	if b.other != nil {
		b.which(st, g)
	}
}

// which says of two takes beside each other which is which.
func (b *bound) which(st stage, g *draw.Group) {
	c := newComposer(b, st)
	for k, v := range b.views() {
		d := c.frames[k].dest
		t := draw.Text{At: draw.Pt{X: draw.MM(float64(d.Min.X) + st.px(16)), Y: draw.MM(float64(d.Max.Y) - st.px(16))}, S: plainLine(v.take.ID),
			Font: draw.Sans, Size: draw.MM(st.px(smallSize)), Colour: theme.Ink}
		if st.form.Shape != Upright { // the names stand at the foot
			t.At.Y = draw.MM(float64(d.Min.Y) + st.px(34))
		}
		tag(g, fitted(t, draw.MM(float64(d.Dx())-st.px(32))), st.u)
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

// rooms is the box of the picture that words may stand on.
func (b *bound) rooms(st stage) image.Rectangle {
	r := st.room
	if st.over {
		r.Max.Y = st.panel.Min.Y
	}
	return r
}

// whoIsWho names the fencers at the foot of the picture, each on their side.
func (b *bound) whoIsWho(st stage, g *draw.Group, room image.Rectangle, half draw.MM) {
	u, m := st.u, st.margin()
	y := float64(room.Max.Y) - st.px(22)
	if !st.over && st.form.Shape == Wide {
		y = float64(room.Max.Y) - m*9/16 - st.px(10)
	}
	if st.form.Shape == Upright {
		y = float64(room.Max.Y) + st.px(34)
	}
	size := draw.MM(st.px(labelSize))
	shape := size * 0.62
	for _, s := range mark.Sides {
		if b.names[s] == "" {
			continue
		}
		t := draw.Text{S: b.names[s], Font: draw.SansBold, Size: size, Colour: plate.Hue(theme, s), At: draw.Pt{Y: draw.MM(y)}}
		t = fitted(t, half-shape*2)
		w := t.Width()
		at := draw.Pt{X: draw.MM(m) + shape/2, Y: draw.MM(y) - size*draw.CapShare/2}
		t.At.X = draw.MM(m) + shape*1.7
		if s == mark.Right {
			at.X = draw.MM(float64(st.w)-m) - shape/2
			t.At.X = at.X - shape*1.2 - w
		}
		box := draw.Box{X: min(at.X-shape/2, t.At.X), Y: t.At.Y - t.Size*0.74, W: w + shape*1.7, H: t.Size * 0.98}
		pill(g, box, u)
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

// clockBox is where the clock stands.
func (b *bound) clock(st stage, g *draw.Group, text string) {
	top := st.head()
	t := draw.Text{At: draw.Pt{X: draw.MM(float64(st.w) - st.margin()), Y: draw.MM(top)}, S: text, Font: draw.SansBold,
		Size: draw.MM(st.px(labelSize)), Colour: theme.Ink, Anchor: draw.End}
	tag(g, t, st.u)
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
	lead := size * captionLead
	// Words that no line can hold are set smaller.
	for most := 4; len(lines) > most; {
		size *= 0.9
		lead = size * captionLead
		lines = draw.Balance(strings.Join(s.Lines, " "), draw.Sans, size, draw.MM(width))
		if size < draw.MM(st.px(captionSize))/2 {
			lines = lines[:min(len(lines), most+2)]
			break
		}
	}
	high := lead*draw.MM(len(lines)-1) + size*draw.CapShare
	foot := draw.MM(st.panel.Max.Y)
	if st.form.Shape != Upright {
		foot -= draw.MM(0.03 * float64(st.h))
	}
	head := draw.MM(st.panel.Min.Y)
	y := head + (foot-head-high)/2 + size*draw.CapShare
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

package clip

import (
	"context"
	"fmt"
	"image"
	imagedraw "image/draw"
	"math"
	"slices"
	"strings"

	"mesure/show/draw"
	"mesure/show/plate"
	"mesure/sport/mark"
	"mesure/study"
)

// layer is a drawn picture that lies on the base of a frame.
type layer struct {
	img    *image.RGBA // premultiplied, at its place
	sprite *sprite
	// words is true for the captions, which overlays alone leave out.
	words bool
}

func layerOf(img *image.RGBA) *layer {
	if img == nil {
		return &layer{}
	}
	return &layer{img: img, sprite: spriteOf(img)}
}

// state is everything that one frame of a shot shows.
type state struct {
	// pos is where main and other are, in frames of their takes.
	pos    [2]float64
	layers []*layer
}

func (s state) equal(o state) bool { return s.pos == o.pos && slices.Equal(s.layers, o.layers) }

// composer makes the frames of one shot at one size. Not for use at the same time.
type composer struct {
	b       *bound
	st      stage
	frames  [2]framing
	base    *image.YCbCr // what stands behind all of them
	still   *layer       // furniture
	texts   []*layer
	clock   map[string]*layer
	overlay map[string]*layer // of frames that stand
}

func newComposer(b *bound, st stage) *composer {
	c := &composer{b: b, st: st, texts: make([]*layer, len(b.texts)), clock: map[string]*layer{}, overlay: map[string]*layer{}}
	switch {
	case b.Kind == Beside:
		for i, room := range st.halves() {
			s := b.views()[i]
			c.frames[i] = frameIn(room, b.needs[i], s.clip.Width, s.clip.Height, closest)
		}
	case b.main != nil:
		c.frames[0] = st.frameTake(b.needs[0], b.main.clip.Width, b.main.clip.Height)
	}
	c.base = newPlanes(st.w, st.h)
	fill(c.base, c.base.Rect, sample(theme.Ground.R, theme.Ground.G, theme.Ground.B))
	return c
}

// views are the takes that a shot shows.
func (b *bound) views() []*seen {
	if b.other != nil {
		return []*seen{b.main, b.other}
	}
	if b.main != nil {
		return []*seen{b.main}
	}
	return nil
}

// pos is where the takes are on frame i of the shot.
func (b *bound) pos(i int) (out [2]float64) {
	if b.main == nil {
		return out
	}
	if !b.moving() {
		return [2]float64{float64(b.From)}
	}
	t := float64(i) / float64(b.st.form.Rate) * float64(b.Speed)
	out[0] = b.settled(b.main, b.main.posAfter(b.From, t))
	if b.other != nil {
		when := b.main.poses.when
		t -= when[b.Other.Meets-b.main.take.From] - when[b.From-b.main.take.From]
		out[1] = b.settled(b.other, b.other.posAfter(b.Other.At, t))
	}
	return out
}

// settled chooses between a place between two frames and the nearer frame. Where the take
// has fewer frames than the clip its pictures are mixed, and what is drawn moves with
// them; where it has about as many or more each frame of the clip shows one of them,
// since mixing would only blur what is sharp.
func (b *bound) settled(s *seen, pos float64) float64 {
	when := s.poses.when
	n := len(when) - 1
	if n < 1 {
		return pos
	}
	perFrame := float64(n) / (when[n] - when[0]) * float64(b.Speed) / float64(b.st.form.Rate)
	if !(perFrame < mixBelow) {
		return math.Round(pos)
	}
	return pos
}

// mixBelow is how many frames of a take go by in one of the clip, below which its
// pictures are mixed.
const mixBelow = 0.75

// at is frame i of the shot.
func (c *composer) at(i int) state {
	b, st := c.b, c.st
	s := state{pos: b.pos(i)}
	if b.main == nil {
		s.layers = append(s.layers, c.cards())
	} else {
		for k, v := range b.views() {
			if l := c.over(i, k, v, s.pos[k]); l != nil {
				s.layers = append(s.layers, l)
			}
		}
		if text := b.clockText(s.pos[0]); text != "" && b.Kind != Live {
			l := c.clock[text]
			if l == nil {
				l = layerOf(paint(st.clockBox(), func(g *draw.Group) { b.clock(st, g, text) }))
				c.clock = map[string]*layer{text: l}
			}
			s.layers = append(s.layers, l)
		}
		if c.still == nil {
			c.still = layerOf(paint(image.Rect(0, 0, st.w, st.h), func(g *draw.Group) { b.furniture(st, g) }))
		}
		s.layers = append(s.layers, c.still)
	}
	if st.burnt() && !st.panel.Empty() {
		s.layers = append(s.layers, c.words(i))
	}
	return s
}

// words is the caption of frame i on its panel.
func (c *composer) words(i int) *layer {
	b, st := c.b, c.st
	n := b.captionAt(i)
	if n < 0 {
		l := c.overlay["panel"]
		if l == nil {
			l = layerOf(paint(st.panel, func(g *draw.Group) { panel(st, g) }))
			l.words = true
			c.overlay["panel"] = l
		}
		return l
	}
	if c.texts[n] == nil {
		c.texts[n] = layerOf(paint(st.panel, func(g *draw.Group) {
			panel(st, g)
			caption(st, g, b.texts[n])
		}))
		c.texts[n].words = true
	}
	return c.texts[n]
}

// panel is the ground of the captions.
func panel(st stage, g *draw.Group) {
	r := st.panel
	g.Fill(draw.Box{X: draw.MM(r.Min.X), Y: draw.MM(r.Min.Y), W: draw.MM(r.Dx()), H: draw.MM(r.Dy())}.Path(), theme.Ground)
}

// over draws the layers over one take on frame i.
func (c *composer) over(i, k int, v *seen, pos float64) *layer {
	b := c.b
	if len(b.layers()) == 0 {
		return nil
	}
	if b.moving() && b.moves > 0 {
		i = min(i, b.moves) // what stands at the end is the same from whichever frame it is drawn
	}
	t := float64(i) / float64(b.st.form.Rate)
	var tab *study.Tableau
	built := func(string) float64 { return 1 }
	key := ""
	switch {
	case b.moving():
		if tab = v.poses.at(pos); tab != nil && k == 0 {
			tab = b.steady(tab, v, t)
			there := [2]float64{b.there(mark.Left, t), b.there(mark.Right, t)}
			built = func(part string) float64 {
				for _, s := range mark.Sides {
					if strings.HasPrefix(part, "gap-"+s.String()) {
						return there[s]
					}
				}
				return 1
			}
		} else if tab != nil {
			tab = b.steady(tab, v, t)
		}
		if i >= b.moves && b.moves > 0 {
			key = fmt.Sprintf("end-%d", k)
		}
	case b.Kind == Build:
		tab = v.poses.on(b.From)
		step := b.buildStep()
		share := map[string]float64{}
		sum := 0.0
		for n, p := range b.parts {
			share[p] = ease((t - breath - float64(n)*step) / math.Min(growTime, step))
			sum += share[p]
		}
		built = func(part string) float64 { return share[part] }
		if sum == float64(len(b.parts)) || sum == 0 {
			key = fmt.Sprintf("built-%g", sum)
		} else {
			key = fmt.Sprintf("part-%.6f", sum)
		}
	default:
		tab = v.poses.on(b.From)
		key = "hold"
	}
	if l, ok := c.overlay[key]; ok && key != "" {
		return l
	}
	l := layerOf(paint(b.extent(c.st, tab, c.frames[k]), func(g *draw.Group) { b.overlayOn(c.st, g, tab, c.frames[k], built) }))
	if key != "" && !strings.HasPrefix(key, "part-") {
		c.overlay[key] = l
	}
	return l
}

// buildStep is the time from one part of a build to the next: they are spread over what
// is said, within bounds.
func (b *bound) buildStep() float64 {
	all := float64(b.count)/float64(b.st.form.Rate) - breath - builtTime
	return clampTo(all/float64(max(1, len(b.parts))), 0.25, 1.6)
}

// numberTime is how long a number stands while the picture moves: one that changed with
// every frame could not be read.
const numberTime = 0.5

// steady keeps of a frame that moves the asked gaps, with numbers that stand for a while:
// each is that of the frame at which it appears.
func (b *bound) steady(t *study.Tableau, v *seen, at float64) *study.Tableau {
	out := *t
	out.Gaps = nil
	from := math.Floor(at/numberTime) * numberTime * float64(b.Speed)
	start := b.From
	if v == b.other {
		when := b.main.poses.when
		from -= when[b.Other.Meets-b.main.take.From] - when[b.From-b.main.take.From]
		start = b.Other.At
	}
	then := v.poses.on(mark.Frame(math.Round(v.posAfter(start, from))))
	for _, g := range t.Gaps {
		if g.Target != b.targets()[g.Of] {
			continue
		}
		if x, ok := gapOf(then, g); ok {
			g.Gap = x.Gap
		}
		g.Nearest = false
		out.Gaps = append(out.Gaps, g)
	}
	return &out
}

// cards is the picture of a shot without a take: a plate, or its lines alone.
func (c *composer) cards() *layer {
	k := &c.b.card
	k.mu.Lock()
	defer k.mu.Unlock()
	if k.layer == nil || k.width != c.st.w {
		k.width = c.st.w
		if c.b.plate != nil {
			k.layer = layerOf(c.plate())
		} else {
			k.layer = layerOf(paint(image.Rect(0, 0, c.st.w, c.st.h), func(g *draw.Group) { c.b.textCard(c.st, g) }))
		}
	}
	return k.layer
}

// plate is a plate on the ground of the clip, in the room above the captions.
func (c *composer) plate() *image.RGBA {
	st := c.st
	layout := plateLayout(st.form.Shape)
	d := c.b.plate.In(layout, theme)
	foot := st.h
	if st.form.Shape == Upright || st.burnt() {
		foot = st.panel.Min.Y
	}
	// What the sheet says stands in the safe area and clear of the captions. The sheet
	// keeps a twentieth free on each side, which may reach beyond.
	mx, my := int(safeShare*float64(st.w)), int(safeShare*float64(st.h))
	room := image.Rect(mx, my, st.w-mx, st.h-my)
	if foot < st.h {
		room.Max.Y = foot - int(st.px(20))
	}
	const said = 1 - 2*safeShare
	rw, rh := float64(room.Dx()), float64(room.Dy())
	w := math.Min(rw, rh/float64(d.H/d.W)) / said
	h := w * float64(d.H/d.W)
	img := d.Raster(max(1, int(math.Round(w))))
	out := image.NewRGBA(image.Rect(0, 0, st.w, st.h))
	ground := image.NewUniform(colourOf(theme.Ground))
	imagedraw.Draw(out, out.Rect, ground, image.Point{}, imagedraw.Src)
	at := image.Pt(room.Min.X+int(math.Round((rw-w)/2)), room.Min.Y+int(math.Round((rh-h)/2)))
	seen := image.Rectangle{at, at.Add(img.Rect.Size())}.Intersect(image.Rect(0, 0, st.w, foot))
	imagedraw.Draw(out, seen, img, seen.Min.Sub(at), imagedraw.Over)
	return out
}

func plateLayout(s Shape) plate.Layout {
	switch s {
	case Upright, Square:
		return plate.Square
	}
	return plate.Screen
}

// put lays the layers of a state on planes that have their picture.
func (s state) put(p *image.YCbCr) {
	for _, l := range s.layers {
		l.sprite.lay(p)
	}
}

// picture puts a take on planes at its place: frames a and b mixed by the fraction of
// pos.
func (f framing) picture(p *image.YCbCr, a, b *image.YCbCr, pos float64) {
	w := int(math.Round(256 * (pos - math.Floor(pos))))
	if b == nil {
		b = a
	}
	mix(p, f.dest.Min, a, b, w)
}

// one draws a single frame: for thumbnails and the preview.
func (c *composer) one(ctx context.Context, footage Footage, i int) (*image.RGBA, error) {
	s := c.at(i)
	p := newPlanes(c.st.w, c.st.h)
	copyPlanes(p, image.Point{}, c.base)
	for k, v := range c.b.views() {
		f := mark.Frame(math.Floor(s.pos[k]))
		last := min(f+1, v.take.To)
		if s.pos[k] == math.Floor(s.pos[k]) {
			last = f
		}
		var got [2]*image.YCbCr
		err := footage.Run(ctx, v.touch, v.take.ID, f, last, c.frames[k].crop, c.frames[k].dest.Dx(), c.frames[k].dest.Dy(), func(n mark.Frame, q *image.YCbCr) error {
			if n >= f && n <= last {
				got[n-f] = newPlanes(c.frames[k].dest.Dx(), c.frames[k].dest.Dy())
				copyPlanes(got[n-f], image.Point{}, q)
			}
			return nil
		})
		if err != nil {
			return nil, err
		}
		if got[0] == nil {
			return nil, fmt.Errorf("clip: frame %d of take %s did not come", f, v.take.ID)
		}
		c.frames[k].picture(p, got[0], got[1], s.pos[k])
	}
	s.put(p)
	return rgba(p), nil
}

// alone draws the layers of a frame without its picture and without captions.
func (s state) alone(into *image.RGBA) {
	clear(into.Pix)
	for _, l := range s.layers {
		if l.img != nil && !l.words {
			imagedraw.Draw(into, l.img.Rect, l.img, l.img.Rect.Min, imagedraw.Over)
		}
	}
}

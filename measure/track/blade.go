package track

import (
	"context"
	"fmt"
	"math"

	"mesure/quantity"
	"mesure/sport/mark"
)

// GuardAt says where the guard is on a frame, from a mark or followed; false where
// that is not known.
type GuardAt func(f mark.Frame) (BridgeStep, bool)

// BladeOptions of Blade and BladeOnward. The zero value takes the defaults.
type BladeOptions struct {
	// Ground, Hidden and Slow are those of BridgeOptions.
	Ground Ground
	Hidden func(f mark.Frame) bool
	Slow   float64
}

// Blade proposes the tip of a blade on each frame between two marks on it. Where the
// guard is not known between them the tip is lost. Where it is not known at a mark, or
// the blade points at the camera there, the tip is followed as any other point, by Bridge.
//
// On every frame all rays from the guard are asked how much they look like a line:
// brighter or darker than what lies on both sides, along the whole ray, in the picture
// and in its difference to what stood there a few frames before and after. How the
// angle θ went is then found for all frames at once, with the turn of the blade taken
// to change from frame to frame by a normal error:
//
//	P(θ₁ … θₙ) ∝ Π exp(κ·S_f(θ_f)) · Π exp(−(θ_{f+1} − 2θ_f + θ_{f−1})² / 2σ²)
//
// S is the share of the ray that looks like a line, 0 to 1. The length goes evenly
// from one mark to the other, with slack, and ends where the line ends. Sure is the
// probability of the angles about the best one times the share of the blade that was
// seen; where either is small, or the end of the line lies far before the tip, the
// step is lost. Units are pixels and frames.
//
// Errors: as Bridge. Source of the sums over
// all paths: Rabiner, Proc. IEEE 77:257 (1989), forward and backward procedure.
func Blade(ctx context.Context, film Film, guard GuardAt, a, b Anchor, o BladeOptions) ([]BridgeStep, error) {
	if b.Frame <= a.Frame {
		return nil, fmt.Errorf("track: a bridge goes from an earlier mark to a later one, not from frame %d to %d", a.Frame, b.Frame)
	}
	a, b = a.checked(), b.checked()
	if b.Frame == a.Frame+1 {
		return nil, ctx.Err()
	}
	s, ok := newSwing(guard, a, &b, o)
	if !ok {
		return Bridge(ctx, film, a, b, o.point())
	}
	if err := s.watch(ctx, film, a.Frame, b.Frame); err != nil {
		return nil, err
	}
	return s.steps(), nil
}

// point is what Bridge makes of the options.
func (o BladeOptions) point() BridgeOptions {
	return BridgeOptions(o)
}

// BladeOnward is Blade away from one mark, as Onward is to Bridge. It ends where the
// tip is lost for good.
func BladeOnward(ctx context.Context, film Film, guard GuardAt, a Anchor, until mark.Frame, o BladeOptions) ([]BridgeStep, error) {
	a = a.checked()
	if until == a.Frame {
		return nil, ctx.Err()
	}
	dir, left := mark.Frame(1), until-a.Frame
	if left < 0 {
		dir, left = -1, -left
	}
	var steps []BridgeStep
	// A stretch at a time: what was found last is the mark of the next one.
	for left > 0 {
		n := min(left, onwardStretch)
		s, ok := newSwing(guard, a, nil, o)
		if !ok {
			if len(steps) == 0 {
				return Onward(ctx, film, a, until, o.point())
			}
			break
		}
		if err := s.watch(ctx, film, a.Frame, a.Frame+dir*n); err != nil {
			return nil, err
		}
		more := s.steps()
		// The last of a stretch are known from one side only: they are looked at again.
		if n < left {
			more = more[:n-onwardAgain]
		}
		steps = append(steps, more...)
		i := len(steps) - 1
		for i >= 0 && steps[i].Lost {
			i--
		}
		if i < 0 || float64(len(steps)-1-i) > mostCoast*s.o.Slow || n == left {
			break
		}
		steps = steps[:i+1]
		st := steps[i]
		a = Anchor{Frame: st.Frame, At: st.At, SD: st.SD}
		left = (until - a.Frame) * dir
	}
	return endedBlade(steps, o.point().checked().Slow), nil
}

// onwardStretch is how many frames a blade is followed at a time with no mark ahead,
// and onwardAgain how many of them are then followed anew.
const (
	onwardStretch = 20
	onwardAgain   = 5
)

// endedBlade leaves out what comes after the tip is lost for good.
func endedBlade(steps []BridgeStep, slow float64) []BridgeStep {
	end := 0
	for i, st := range steps {
		if !st.Lost {
			end = i + 1
		} else if float64(i-end) > mostCoast*slow {
			break
		}
	}
	return steps[:min(len(steps), end+1)]
}

// swing is one blade between two marks, or on from one.
type swing struct {
	o     BridgeOptions
	guard GuardAt
	a     Anchor
	b     *Anchor
	fan   fan
	views []view
	look  *polar
	open  float64 // see shown
}

// view is what one frame shows of the blade.
type view struct {
	frame mark.Frame
	guard BridgeStep
	known bool
	frameSize
	// score is S on the coarse angles; nil where nothing was seen. rays keeps what
	// refining needs.
	score []float32
	rays  []ray
}

// newSwing is false where the guard is not known at a mark or the blade is too short in
// the picture to have an angle, or no blade at all.
func newSwing(guard GuardAt, a Anchor, b *Anchor, o BladeOptions) (*swing, bool) {
	s := &swing{guard: guard, a: a, b: b, o: o.point().checked()}
	ga, ok := guard(a.Frame)
	if !ok || ga.Lost {
		return nil, false
	}
	ta, la := toward(ga.At, a.At)
	from, to, least, most := ta, ta, la, la
	if b != nil {
		gb, ok := guard(b.Frame)
		if !ok || gb.Lost {
			return nil, false
		}
		tb, lb := toward(gb.At, b.At)
		d := math.Remainder(tb-ta, 2*math.Pi)
		from, to, least, most = min(ta, ta+d), max(ta, ta+d), min(la, lb), max(la, lb)
	}
	if !(least >= leastBlade && most <= mostBlade) {
		return nil, false
	}
	slack := fanSlack
	if b == nil {
		slack = onwardSlack
	}
	s.fan = newFan(from, to, most, slack, s.o.Slow)
	s.look = newPolar(&s.fan)
	return s, true
}

// Lengths of a blade in the picture between which it is looked for, in pixels: shorter
// it has no angle, and longer no picture holds it.
const (
	leastBlade = 12
	mostBlade  = 4000
)

// toward returns angle and length of the line between two places.
func toward(p, q mark.Pixel) (angle, length float64) {
	return math.Atan2(q.V-p.V, q.U-p.U), math.Hypot(q.U-p.U, q.V-p.V)
}

// watch looks at the frames from one to the other, both in it, in this order.
func (s *swing) watch(ctx context.Context, film Film, from, to mark.Frame) error {
	dir := mark.Frame(1)
	if to < from {
		dir = -1
	}
	for f := from; f != to+dir; f += dir {
		if err := ctx.Err(); err != nil {
			return err
		}
		v := view{frame: f}
		v.guard, v.known = s.guard(f)
		if v.known && !v.guard.Lost && !s.o.Hidden(f) {
			if err := s.look.see(&v, film, &s.o); err != nil {
				return fmt.Errorf("track: frame %d: %w", f, err)
			}
		}
		s.views = append(s.views, v)
	}
	return nil
}

// length returns how long the blade should look on the view i and its standard
// deviation, in pixels.
func (s *swing) length(i int) (l, sd float64) {
	ga, _ := s.guard(s.a.Frame)
	_, la := toward(ga.At, s.a.At)
	n := float64(len(s.views) - 1)
	k := float64(i)
	own := float64(s.a.SD)
	if s.b == nil {
		return la, math.Hypot(own, shorten*la*math.Sqrt(k/s.o.Slow))
	}
	gb, _ := s.guard(s.b.Frame)
	_, lb := toward(gb.At, s.b.At)
	t := k / n
	return la + t*(lb-la), math.Hypot(own, shorten*max(la, lb)*math.Sqrt(k*(n-k)/n/s.o.Slow))
}

// shorten is by what share of its length a blade looks shorter or longer after one
// live frame, as it turns towards the camera or away; it adds by squares.
const shorten = 0.014

// steps returns the tip on every frame but those of the marks.
func (s *swing) steps() []BridgeStep {
	ga, _ := s.guard(s.a.Frame)
	ta, la := toward(ga.At, s.a.At)
	pins := map[int]pin{0: {ta, math.Max(float64(s.a.SD)/la, s.fan.coarse/2)}}
	last := len(s.views) - 1
	if s.b != nil {
		gb, _ := s.guard(s.b.Frame)
		tb, lb := toward(gb.At, s.b.At)
		pins[last] = pin{tb, math.Max(float64(s.b.SD)/lb, s.fan.coarse/2)}
		last--
	}
	path := s.fan.path(s.views, pins, s.o.Slow)
	s.open = s.shown(path)
	out := make([]BridgeStep, 0, last)
	covered := make([]bool, 0, last)
	for i := 1; i <= last; i++ {
		st, short := s.step(i, path[i])
		out, covered = append(out, st), append(covered, short)
	}
	// What is covered before and after is not seen for a frame or two between.
	most := int(math.Round(peepMost * s.o.Slow))
	for i := 0; i < len(covered); i++ {
		end := i
		for end < len(covered) && !covered[end] {
			end++
		}
		if i > 0 && end > i && end < len(covered) && end-i <= most {
			for k := i; k < end; k++ {
				out[k].lose()
			}
		}
		i = end
	}
	return out
}

// peepMost is for how many live frames a tip may show between two on which it is
// covered, and is not believed.
const peepMost = 2

// lose makes a step a lost one.
func (st *BridgeStep) lose() { st.Lost, st.Sure, st.SD = true, 0, max(st.SD, mostTipSD) }

// shown is the share of its length over which the blade can be followed where the tip
// is known to be seen: on the frames of the marks.
func (s *swing) shown(path []heading) float64 {
	ends := []int{0}
	if s.b != nil {
		ends = append(ends, len(s.views)-1)
	}
	open := 1.0
	for _, i := range ends {
		if v := &s.views[i]; v.score != nil {
			l, lsd := s.length(i)
			open = min(open, s.look.tip(v, path[i], l, lsd).reach/l)
		}
	}
	return open
}

// step makes a step of what was found of the angle on view i. short says that the blade
// ends before its tip.
func (s *swing) step(i int, h heading) (st BridgeStep, short bool) {
	v := &s.views[i]
	l, lsd := s.length(i)
	st = BridgeStep{Frame: v.frame, SD: mostSD, Lost: true}
	if s.b != nil {
		st.At = s.o.between(s.a, *s.b, v.frame)
	} else {
		st.At = s.o.carried(s.a.Frame, v.frame, s.a.At)
	}
	if v.known {
		st.At = mark.Pixel{U: v.guard.At.U + l*math.Cos(h.angle), V: v.guard.At.V + l*math.Sin(h.angle)}
	}
	if v.score == nil {
		return st, false
	}
	t := s.look.tip(v, h, l, lsd)
	st.At = t.at
	st.Sure = math.Sqrt(h.mass) * t.seen
	st.SD = quantity.Pixels(math.Sqrt((t.sideSD*t.sideSD + t.alongSD*t.alongSD) / 2))
	st.Lost = false
	short = !t.end || t.reach < s.open*l-shortSDs*lsd-shortBy
	if short || !v.holds(t.at) || h.mass < leastMass || t.seen < leastSeen || float64(st.SD) > mostTipSD {
		st.lose()
	}
	return st, short
}

// When a tip is lost.
const (
	leastMass = 0.5  // least probability of the angles about the best one
	leastSeen = 0.25 // least share of the blade that looks like a line
	mostTipSD = 14.0 // pixels
)

package chart

import (
	"errors"
	"fmt"
	"math"
	"strings"

	"mesure/quantity"
	"mesure/show/draw"
	"mesure/show/plate"
	"mesure/sport/mark"
	"mesure/study"
	"mesure/timing"
)

// ErrNoStand says that the reading has no fencer whose feet are known.
var ErrNoStand = errors.New("there is no footwork in this reading: mark toe or heel of both feet of a fencer on this frame, and the hip")

// stood is a picture of footwork in the making.
type stood struct {
	o     Options
	who   []mark.Side // those that are known
	c     [2]*study.Commit
	lacks []study.Lack
	until float64 // seconds that the lanes reach to
}

// Stand draws what each body can do at the instant of Reading.Timing: feet and hip
// from the side on the floor, to scale, with the base, where the hip stands over it and
// to where the body runs; a foot in the air is outlined and lifted. Below, for each
// fencer, a lane from now on for everything they may do next: hatched until it can start
// at the earliest, full from then on, as strong as it is likely. Where both are known and
// stand opposite each other, their distance is to scale, else the floor is broken.
//
// It returns ErrNoStand where nothing is known of either, and panics without a reading
// of a touch.
func Stand(r *study.Reading, o Options) (*draw.Drawing, error) {
	if r == nil || r.Touch == nil {
		panic("chart: footwork needs a reading of a touch")
	}
	if r.Timing == nil {
		return nil, ErrNoStand
	}
	c := &stood{o: o.themed(), c: r.Timing.Commits, lacks: r.Timing.Lacks, until: 0.3}
	for _, s := range mark.Sides {
		k := c.c[s]
		if k == nil || !finite(float64(k.Stance.Front.At.Mean+k.Stance.Rear.At.Mean+k.Stance.Hip.Mean+k.Runs.Mean)) || !finite(float64(k.Stance.Height)) {
			continue
		}
		c.who = append(c.who, s)
		for _, can := range k.Can {
			if can.Known && can.Next.IsValid() {
				c.until = math.Max(c.until, math.Min(float64(can.Next.Hi)*1.15, 1))
			}
		}
	}
	if len(c.who) == 0 {
		return nil, ErrNoStand
	}
	parts := []part{headed("Feet and hip on the floor, from the side"), c.floor()}
	var each [][]part
	width := c.o.inner()
	if c.o.Layout == plate.Wide && len(c.who) == 2 {
		width = (width - standGap) / 2
	}
	if c.o.Low < 2 {
		for _, s := range c.who {
			each = append(each, c.fencer(s, width))
		}
	}
	if c.o.Layout == plate.Wide && len(each) == 2 {
		parts = append(parts, columns(c.o.inner(), standGap, each...))
	} else {
		for _, e := range each {
			parts = append(parts, e...)
		}
	}
	if len(c.who) == 1 {
		parts = append(parts, said(c.o, c.lack(c.who[0].Other())))
	}
	first := c.first()
	return leafOf(c.o, c.finding(first), c.desc(), standSource(r, o.anonymous()), parts), nil
}

// standGap lies between the columns of the two fencers.
const standGap draw.MM = 8

// first is the fencer who can do the least: the title is about that one.
func (c *stood) first() mark.Side {
	best, least := c.who[0], math.Inf(1)
	for _, s := range c.who {
		sum := 0.0
		for _, can := range c.c[s].Can {
			sum += float64(can.Now)
		}
		if sum < least-1e-9 {
			best, least = s, sum
		}
	}
	return best
}

func (c *stood) finding(s mark.Side) string {
	if f := c.c[s].Finding; f != "" {
		return f
	}
	return "What " + strings.ToLower(plate.Name(s)) + " can do from here"
}

// supposed says that the hip was not marked.
func supposed(c *study.Commit) bool { return c.OverBase == (quantity.Of[quantity.Ratio]{}) }

// fencer is the column of one: what is known of the body, and what it may do.
func (c *stood) fencer(s mark.Side, width draw.MM) []part {
	k := c.c[s]
	name := part{kind: draw.HeadStretch, height: 7.4, draw: func(l *leaf, b draw.Box) {
		const size = 2.8
		y := b.Bottom() - 2.2
		l.Fill(plate.Shape(s, draw.Pt{X: b.X + size/2, Y: y - l.Type.Text*draw.CapShare/2}, size), plate.Hue(l.Theme, s))
		l.Text(draw.Text{At: draw.Pt{X: b.X + size + 1.8, Y: y}, S: plate.Name(s), Font: draw.SansBold, Size: l.Type.Text, Colour: plate.Hue(l.Theme, s)})
		l.Stroke(draw.Segment(draw.Pt{X: b.X + size + 16, Y: y - 1.1}, draw.Pt{X: b.Right(), Y: y - 1.1}), draw.Pen{Colour: l.Theme.Rule.Fade(0.6), Width: 0.18})
	}}
	load := fact{"over the front foot", plate.FigureOf(k.OverBase, inShare).Text, "of the weight, at rest"}
	if supposed(k) {
		load = fact{"over the front foot", "not known", "the hip is not marked"}
	}
	speed := fact{"the hip goes forward", plate.FigureOf(k.Stance.Speed, plate.InMetresPerSecond).Text, "and runs to the arrow’s end"}
	if k.Stance.Speed.Mean < 0 {
		back := k.Stance.Speed
		back.Mean, back.Lo, back.Hi = -back.Mean, -back.Hi, -back.Lo
		speed.what, speed.number = "the hip goes back", plate.FigureOf(back, plate.InMetresPerSecond).Text
	}
	if c.o.Low > 0 {
		return []part{name, c.lanes(s, width)}
	}
	out := []part{name, factsIn(c.o, []fact{{"base, foot to foot", plate.Metres(k.Base), ""}, load, speed}, 3, width), c.lanes(s, width)}
	return append(out, saidIn(c.o, c.reasons(s), width), saidIn(c.o, c.lack(s), width))
}

// inShare prints a share as a percentage without calling its ends certain.
var inShare = plate.InPercent

// reasons says what stands in the way of what.
func (c *stood) reasons(s mark.Side) string {
	var order []string
	what := map[string][]string{}
	for _, can := range c.c[s].Can {
		if can.Bar == timing.BarNone || can.Reason == "" {
			continue
		}
		if what[can.Reason] == nil {
			order = append(order, can.Reason)
		}
		what[can.Reason] = append(what[can.Reason], plate.DoesWords(can.Do))
	}
	var all []string
	for _, reason := range order {
		all = append(all, capital(enumerated(what[reason]))+": "+reason+".")
	}
	if len(all) == 0 {
		return "Nothing stands in the way."
	}
	return strings.Join(all, " ")
}

// lack says what was not seen of a fencer.
func (c *stood) lack(s mark.Side) string {
	for _, l := range c.lacks {
		if l.Part == study.PartCommit && !l.Both && l.Side == s && l.Why != "" {
			return capital(l.Why) + "."
		}
	}
	return ""
}

// enumerated joins words with commas and a last "and".
func enumerated(w []string) string {
	if len(w) < 2 {
		return strings.Join(w, "")
	}
	return strings.Join(w[:len(w)-1], ", ") + " and " + w[len(w)-1]
}

func standSource(r *study.Reading, hide bool) string {
	at := ""
	if t := r.Timing.At; t.Take != "" {
		at = fmt.Sprintf("take %s, frame %d", t.Take, t.Frame)
	}
	return plate.Sentences(plate.Origin(r.Touch, hide), at, "a foot pushes only where it stands; the body is caught where its hip would come to rest (Hof 2005)", "readings version "+r.Version, plate.DoubtNote)
}

func (c *stood) desc() string {
	var b strings.Builder
	for _, s := range c.who {
		fmt.Fprintf(&b, "%s: ", plate.Name(s))
		for i, can := range c.c[s].Can {
			if i > 0 {
				b.WriteString(", ")
			}
			b.WriteString(plate.DoesWords(can.Do) + " " + canWords(can))
		}
		b.WriteString(". ")
	}
	return strings.TrimSpace(b.String())
}

// canWords says when something can start.
func canWords(can timing.Can) string {
	switch {
	case can.Now >= 0.5:
		if can.Now >= 0.995 {
			return "now"
		}
		return "now, " + plate.Chance(can.Now)
	case !can.Known || !can.Next.IsValid():
		return "not known when"
	}
	return "in " + plate.Milliseconds(can.Next)
}

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

// ErrNoParry says that the reading has no parry.
var ErrNoParry = errors.New("there is no parry in this reading: mark both hands and both points on one frame, and say which target is attacked")

// parried is a chart of a parry in the making.
type parried struct {
	o        Options
	p        *study.ParryReading
	attacker mark.Side
}

// Parry draws what a parry has to do at the instant of Reading.Timing: the target as
// the attacker's hand sees it along the blade, with the smallest turn that takes the
// line out of it and the turn to every other side; both blades in the plane in which
// they move most, in thirds, now and where the least parry ends; the leverage as two
// lengths; and how both grow as the attack comes on. Angles and lengths are to scale. What a parry that was seen did against
// this is the picture of ParrySeen.
//
// It returns ErrNoParry where the reading has none, and panics without a reading of
// a touch.
func Parry(r *study.Reading, o Options) (*draw.Drawing, error) {
	if r == nil || r.Touch == nil {
		panic("chart: a parry needs a reading of a touch")
	}
	c, err := newParried(r, o)
	if err != nil {
		return nil, err
	}
	p := c.p
	finding := p.Finding
	if finding == "" {
		finding = c.finding()
	}
	title, rest := headline(finding)
	parts := []part{headed("As the attacker’s hand sees it along the blade"), c.view()}
	if b := p.Asked.Best; b != nil && b.Meeting != nil {
		parts = append(parts, headed("Both blades, "+c.plane().words), c.blades(), c.bladeFacts(),
			headed("Leverage where they meet"), c.lever())
	}
	parts = append(parts, said(o, c.otherWays()))
	parts = append(parts, said(o, rest))
	parts = append(parts, c.course()...)
	return leafOf(c.o, title, c.desc(), parrySource(r, o.anonymous()), parts), nil
}

func newParried(r *study.Reading, o Options) (*parried, error) {
	if r.Timing == nil || r.Timing.Parry == nil {
		return nil, ErrNoParry
	}
	p := r.Timing.Parry
	if n := p.Parry.Places.Len(); n < 18 || len(p.Parry.Places.Cov) != n*n || !finites(p.Parry.Places.Mean) || !finites(p.Parry.Places.Cov) {
		return nil, ErrNoParry
	}
	return &parried{o: o.themed(), p: p, attacker: p.Defender.Other()}, nil
}

// finites reports whether all numbers are finite.
func finites(all []float64) bool {
	for _, v := range all {
		if !finite(v) {
			return false
		}
	}
	return true
}

// target is the zone in words that stand after "the".
func (c *parried) target() string {
	if c.p.Zone == "" {
		return "target"
	}
	return plate.TargetWords(c.p.Zone)
}

func (c *parried) finding() string {
	if len(c.p.Asked.Ways) == 0 {
		if c.p.Asked.Threatens.Mean >= Rarely {
			return "The line of " + strings.ToLower(plate.Name(c.attacker)) + "’s point most likely passes the " + c.target()
		}
		return "The line of " + strings.ToLower(plate.Name(c.attacker)) + "’s point passes the " + c.target()
	}
	return plate.Name(c.p.Defender) + "’s parry must turn the blade by " + plate.Degrees(c.p.Asked.Smallest)
}

// clockWords says a direction as the hour towards which it points.
func clockWords(turn quantity.Radians) string {
	h := int(math.Round(float64(turn)/(2*math.Pi)*12)) % 12
	if h <= 0 {
		h += 12
	}
	return fmt.Sprintf("%d%so’clock", h, nb)
}

// sideWords says a direction as the attacker sees it.
func sideWords(turn quantity.Radians) string {
	return [8]string{"up", "up and to the attacker’s right", "to the attacker’s right", "down and to the attacker’s right",
		"down", "down and to the attacker’s left", "to the attacker’s left", "up and to the attacker’s left"}[int(math.Round(float64(turn)/(math.Pi/4)+8))%8]
}

// otherWays says what answers with the point, or yielding, would need.
func (c *parried) otherWays() string {
	var b []string
	if op := c.p.Asked.Opposition; op != nil {
		s := "To oppose with the point in line instead, no part of the own blade travels more than " + plate.Centimetres(op.Path) + " and the hand " + plate.Centimetres(op.Travel) + "; leverage " + plate.FigureOf(op.Leverage, inTimes).Text
		if op.ToGo.Mean > 0 {
			s += "; the point then has " + plate.Centimetres(op.ToGo) + " to go"
		}
		b = append(b, s)
	}
	if ce := c.p.Asked.Ceding; ce != nil {
		s := "The blades touch now, " + plate.Centimetres(ce.OnAttacker) + " from the attacker’s hand and " + plate.Centimetres(ce.OnDefender) + " from the defender’s, leverage " + plate.FigureOf(ce.Leverage, inTimes).Text
		switch {
		case ce.Needed && ce.To != nil:
			s += ": pressing back does not serve; yielding carries the hand " + plate.Centimetres(quantity.Exactly(ce.To.Travel)) + " and brings the contact to the own forte"
		case ce.Needed:
			s += ": pressing back does not serve"
		}
		b = append(b, s)
	}
	if len(b) == 0 {
		return ""
	}
	return strings.Join(b, ". ") + "."
}

// inTimes prints a leverage: a pure number without more digits than it is worth.
var inTimes = plate.InRatio

func parrySource(r *study.Reading, hide bool) string {
	t := r.Timing
	at := ""
	if t.At.Take != "" {
		at = fmt.Sprintf("take %s, frame %d", t.At.Take, t.At.Frame)
	}
	return plate.Sentences(plate.Origin(r.Touch, hide), at, "rigid blades; the attacker’s hand stays while its blade is turned",
		fmt.Sprintf("%s draws, seed %d, readings version %s", plate.Count(max(t.Parry.Asked.Draws, 1)), r.Seed, r.Version), plate.DoubtNote)
}

func (c *parried) desc() string {
	a := c.p.Asked
	var b strings.Builder
	fmt.Fprintf(&b, "%s attacks the %s; %s parries. ", plate.Name(c.attacker), c.target(), strings.ToLower(plate.Name(c.p.Defender)))
	if len(a.Ways) == 0 {
		b.WriteString("The line of the point passes the target already. ")
	} else {
		fmt.Fprintf(&b, "The smallest turn of the attacking blade that clears it is %s, towards %s as the attacker sees it. ", plate.Degrees(a.Smallest), clockWords(a.Ways[0].Clock))
	}
	if w := a.Best; w != nil && w.Meeting != nil {
		fmt.Fprintf(&b, "The least parry meets the attacker’s %s with the own %s: the hand travels %s, the blade turns %s, leverage %s. ",
			w.Meeting.AttackerPart, w.Meeting.DefenderPart, plate.Centimetres(w.Travel), plate.Degrees(w.Sweep), plate.FigureOf(w.Leverage, inTimes).Text)
	}
	return strings.TrimSpace(b.String())
}

// hue is the colour of a fencer.
func (c *parried) hue(s mark.Side) draw.Colour { return plate.Hue(c.o.Theme, s) }

// hands and points by side of the parry.
func (c *parried) place(s timing.Spot) space3 { return placeOf(c.p.Parry, s) }

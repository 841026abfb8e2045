package study

import (
	"errors"
	"fmt"
	"math/rand/v2"
	"slices"

	"mesure/quantity"
	"mesure/sport/mark"
	"mesure/timing"
)

// parryStream keeps the draws of the parry apart from any others of the same seed.
const parryStream = 0x7061727279 // "parry"

// readParry reads what a parry has to do at one instant: the geometry of both blades
// and of the target at which the attack is taken to go, in three dimensions. Where the
// marks do not carry it, the Lack says which are missing.
func readParry(t *Touch, r *Reading, at At, attacker mark.Side, draws int, seed uint64) (*ParryReading, *Lack) {
	in, fig, ok := r.figureAt(at)
	if !ok {
		return nil, &Lack{Part: PartParry, Both: true, Why: "nothing is measured on this frame", Mend: "place the frame and mark guard and point of both fencers on it"}
	}
	target, lack := parryTarget(t, fig, attacker)
	if lack != nil {
		return nil, lack
	}
	p := parryOf(t, fig, in, attacker, target)
	asked, err := p.Ask(draws, rand.NewPCG(seed, parryStream))
	if err != nil {
		return nil, parryRefused(err, attacker)
	}
	out := &ParryReading{Defender: attacker.Other(), Zone: target, Parry: p, Asked: asked}
	return out, nil
}

// parryTarget is the target that the parry has to keep: the one that the race asks for,
// else the one nearest to the line of the attacker's blade.
func parryTarget(t *Touch, fig figure, attacker mark.Side) (mark.Target, *Lack) {
	for _, s := range [2]mark.Side{attacker, attacker.Other()} {
		for _, w := range [2]mark.What{mark.Guard, mark.Point} {
			if _, ok := fig.index[s][w]; !ok {
				return "", &Lack{Part: PartParry, Side: s, Why: fmt.Sprintf("%v's %s is not marked on this frame: a blade is a line from guard to point", s, plain(string(w))),
					Mend: fmt.Sprintf("mark %v's guard and point", s)}
			}
		}
	}
	if ask := t.Race.Of(attacker).Target; ask != "" {
		what, ok := zoneOf(ask).in(fig, attacker.Other())
		switch {
		case ok:
			return ask, nil
		case !slices.Contains(mark.Targets(), ask):
			return "", &Lack{Part: PartParry, Both: true, Why: fmt.Sprintf("%q is not a target", ask), Mend: fmt.Sprintf("name one of %v", mark.Targets())}
		}
		return "", &Lack{Part: PartParry, Side: attacker.Other(), Why: fmt.Sprintf("%v's %s is not marked on this frame, and the %s is the target", attacker.Other(), plain(string(what)), plain(string(ask))),
			Mend: fmt.Sprintf("mark %v's %s, or choose another target", attacker.Other(), plain(string(what)))}
	}
	var best mark.Target
	least := 0.0
	for _, x := range mark.Targets() {
		z := zoneOf(x)
		if _, ok := z.in(fig, attacker.Other()); !ok {
			continue
		}
		j := fig.blades(attacker, z, nil)
		if off, ok := timing.LinePasses(j.Mean, z.radius.Mean); ok && (best == "" || float64(off) < least) {
			best, least = x, float64(off)
		}
	}
	if best == "" {
		return "", &Lack{Part: PartParry, Side: attacker.Other(), Why: fmt.Sprintf("no target of %v's that lies ahead of the blade is marked on this frame", attacker.Other()),
			Mend: fmt.Sprintf("mark %v's elbow, shoulder and hip, or choose the target", attacker.Other())}
	}
	return best, nil
}

// parryOf is the state that timing.Parry needs.
func parryOf(t *Touch, fig figure, in Instant, attacker mark.Side, target mark.Target) timing.Parry {
	z := zoneOf(target)
	j := fig.blades(attacker, z, aimOf(t, fig, in, attacker))
	for i := range 2 {
		j = withBlade(j, 6*i, 6*i+3)
	}
	return timing.Parry{Places: j, Radius: z.radius, Margin: timing.ParryMargin}
}

// aimOf is where the defender's own point would go in an opposition: the target that
// the race asks of them, else the nearest; nil where none is marked.
func aimOf(t *Touch, fig figure, in Instant, attacker mark.Side) []mark.Share {
	d := attacker.Other()
	target := t.Race.Of(d).Target
	for _, g := range in.Gaps {
		if g.Of == d && g.Nearest && target == "" {
			target = g.Target
		}
	}
	made := target.Made()
	for _, s := range made {
		if _, ok := fig.index[attacker][s.Of]; !ok {
			return nil
		}
	}
	return made
}

// blades are the places of a timing.Parry in their order: hand and point of the
// attacker and of the defender, both ends of the zone, and the aim where there is one.
func (fig figure) blades(attacker mark.Side, z zone, aim []mark.Share) quantity.Joint {
	one := func(w mark.What) []mark.Share { return []mark.Share{{Of: w, Weight: 1}} }
	d := attacker.Other()
	type place struct {
		of    mark.Side
		share []mark.Share
	}
	places := []place{{attacker, one(mark.Guard)}, {attacker, one(mark.Point)}, {d, one(mark.Guard)}, {d, one(mark.Point)}, {d, z.from}, {d, z.to}}
	if len(aim) > 0 {
		places = append(places, place{attacker, aim})
	}
	n := fig.places.Len()
	rows := make([]float64, 3*len(places)*n)
	for i, p := range places {
		for _, s := range p.share {
			for c := range 3 {
				rows[(3*i+c)*n+fig.index[p.of][s.Of]+c] += s.Weight
			}
		}
	}
	return fig.places.Linear(rows, nil)
}

// parryRefused puts an error of the geometry as a lack.
func parryRefused(err error, attacker mark.Side) *Lack {
	l := &Lack{Part: PartParry, Both: true, Why: err.Error(), Mend: "look at guard and point of both fencers under the loupe"}
	var blade *timing.BladeError
	var near *timing.TooCloseError
	var behind *timing.BehindError
	switch {
	case errors.As(err, &blade):
		l.Both, l.Side = false, attacker
		if blade.Whose == "defender's" {
			l.Side = attacker.Other()
		}
		l.Why = fmt.Sprintf("%v's blade is %.2f m from guard to point as marked", l.Side, float64(blade.Length))
		l.Mend = fmt.Sprintf("mark %v's guard and point again: the rules allow 0.90 m", l.Side)
	case errors.As(err, &near):
		l.Why = fmt.Sprintf("%v's hand is at the target already: at this distance no turn of the blade clears it", attacker)
		l.Mend = "look at an earlier instant, or choose a smaller target"
	case errors.As(err, &behind):
		l.Why = fmt.Sprintf("the target lies behind %v's hand as the blade points", attacker)
		l.Mend = "check who attacks, and which target is meant"
	}
	return l
}

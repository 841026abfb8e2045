package study

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"mesure/measure/motion"
	"mesure/quantity"
	"mesure/sport/mark"
)

// Parts of a fencer that begin something.
const (
	PartHand      = "hand"
	PartFrontFoot = "front-foot"
	PartRearFoot  = "rear-foot"
	PartBlade     = "blade"
)

// proposals finds what the movement shows to begin: the hand against its shoulder, the
// blade against its guard, and each foot leaving the floor and striking it. What is a
// moment of the touch already is not proposed again.
func (all *trails) proposals(t *Touch, r *Reading) {
	if all == nil {
		return
	}
	type ask struct {
		take string
		who  mark.Side
		part string
	}
	var asks []ask
	for _, k := range t.Takes {
		if _, ok := all.plane[k.ID]; !ok {
			continue
		}
		for _, s := range mark.Sides {
			for _, p := range []string{PartHand, PartFrontFoot, PartRearFoot, PartBlade} {
				asks = append(asks, ask{k.ID, s, p})
			}
		}
	}
	found := make([][]Proposal, len(asks))
	inParallel(len(asks), func(i int) {
		a := asks[i]
		var b keyBytes
		b.text("begins " + a.take + a.who.String() + a.part)
		for _, w := range restsOn(a.part) {
			if x, ok := all.of(trackName{a.take, a.who, w}); ok {
				b = append(b, x.key[:]...)
			}
			b.text(string(w))
		}
		found[i] = move(all.kept, b.sum(), func() []Proposal { return all.begins(a.take, a.who, a.part) })
	})
	for _, some := range found {
		for _, p := range some {
			if _, set := t.Moment(p.ID); !set {
				r.Proposals = append(r.Proposals, p)
			}
		}
	}
	slices.SortStableFunc(r.Proposals, func(a, b Proposal) int {
		return cmp.Or(cmp.Compare(a.Take, b.Take), cmp.Compare(a.At.Mean, b.At.Mean), cmp.Compare(a.ID, b.ID))
	})
}

// surest is the most that a movement in a picture can make sure of.
const surest = 0.999

// restsOn lists the points whose movement tells what a part begins: the one that is
// dated first.
func restsOn(part string) []mark.What {
	switch part {
	case PartHand:
		return []mark.What{mark.Guard, mark.Shoulder}
	case PartBlade:
		return []mark.What{mark.Point, mark.Guard}
	case PartFrontFoot:
		return []mark.What{mark.FrontToe, mark.FrontHeel}
	}
	return []mark.What{mark.RearToe, mark.RearHeel}
}

// begins lists what one part of a fencer begins in a take.
func (all *trails) begins(take string, who mark.Side, part string) []Proposal {
	samples := func(w mark.What) []motion.Sample {
		x, ok := all.of(trackName{take, who, w})
		if !ok || !x.enough() {
			return nil
		}
		return motion.Walked(x.samples, x.marked, motion.WalkShare)
	}
	var out []Proposal
	add := func(kind string, at quantity.Of[quantity.Seconds], after, by quantity.Seconds, sure quantity.Chance, of mark.What) {
		from, to, ok := all.bracket(trackName{take, who, of}, after, by)
		if !ok {
			return
		}
		out = append(out, Proposal{
			ID:   fmt.Sprintf("%s-%s-%s-%s-%d", take, who, part, kind, to),
			Name: fmt.Sprintf("%s %s %s", sideName(who), strings.ReplaceAll(part, "-", " "), kind),
			Who:  who, Part: part, Kind: kind, Take: take, After: from, By: to, At: at, Sure: min(float64(sure), surest),
		})
	}
	of, against := restsOn(part)[0], restsOn(part)[1]
	switch part {
	case PartHand, PartBlade:
		moving := samples(of)
		if base := samples(against); len(base) > 0 && len(moving) > 0 {
			moving = motion.Relative(moving, base)
		} else if part == PartBlade {
			return nil // a tip that moves with its hand begins nothing of its own
		}
		if len(moving) < leastSamples {
			return nil
		}
		found, err := motion.Onsets(moving, motion.OnsetOptions{})
		if err != nil {
			return nil
		}
		for _, o := range found {
			add(OnsetStarts, o.At, moving[o.After].At, moving[o.By].At, o.Sure, of)
		}
	default:
		a, b := samples(of), samples(against)
		if len(a) == 0 {
			of = against
		}
		if len(a)+len(b) == 0 {
			return nil
		}
		found, err := motion.Contacts(a, b, motion.ContactOptions{})
		if err != nil {
			return nil
		}
		for _, c := range found {
			kind := OnsetLifts
			if c.Kind == motion.Lands {
				kind = OnsetLands
			}
			add(kind, c.At, c.After, c.By, c.Sure, of)
		}
	}
	return out
}

// bracket takes two instants to the frames of a track that show them.
func (all *trails) bracket(n trackName, after, by quantity.Seconds) (from, to mark.Frame, ok bool) {
	x, ok := all.of(n)
	if !ok {
		return 0, 0, false
	}
	i := slices.IndexFunc(x.samples, func(s motion.Sample) bool { return s.At >= after })
	k := slices.IndexFunc(x.samples, func(s motion.Sample) bool { return s.At >= by })
	if i < 0 || k < 0 {
		return 0, 0, false
	}
	if i == k {
		if i == 0 {
			return 0, 0, false
		}
		i--
	}
	return x.frames[i], x.frames[k], true
}

// sideName is how a fencer is called in the name of a moment.
func sideName(s mark.Side) string { return called(s) + "'s" }

package timing

import (
	"cmp"
	"math"
	"math/rand/v2"
	"slices"

	"mesure/quantity"
)

// Size is what an observed parry was, against what its own distance asked for.
type Size string

// The sizes.
const (
	// SizeNone: the line missed the target before the parry; nothing was asked.
	SizeNone Size = "nothing-asked"
	// SizeSmall: the line still meets the target or passes it by less than the margin.
	SizeSmall Size = "too-small"
	// SizeEnough: the line passes by the margin and at most ParryExcess more.
	SizeEnough Size = "enough"
	// SizeLarge: the line passes by more than that.
	SizeLarge Size = "larger-than-needed"
)

// Sizes lists the sizes in order.
func Sizes() [4]Size { return [4]Size{SizeNone, SizeSmall, SizeEnough, SizeLarge} }

// Judged is an observed parry against the one asked for.
type Judged struct {
	// Size is the most likely one, the first of Sizes where two are, and Chances how
	// likely each is, in the order of Sizes; they sum to 1.
	Size    Size
	Chances [4]quantity.Of[quantity.Chance]
	// Asked is the smallest turn that would have served: from where the attacker's
	// hand is after the parry, with the blade as it pointed before. AskedBefore is the
	// same where the hand was before: less, if the distance closed.
	Asked, AskedBefore quantity.Of[quantity.Radians]
	// Made is the turn of the attacking blade that was seen. It may be larger than
	// Asked in a parry that was enough: the smallest turn has one direction only.
	Made quantity.Of[quantity.Radians]
	// Clear is by how much the line passes the target after the parry, without the
	// margin; negative where it meets it.
	Clear quantity.Of[quantity.Metres]
	// Travel is how far the defender's hand went and Sweep how far the blade turned.
	Travel quantity.Of[quantity.Metres]
	Sweep  quantity.Of[quantity.Radians]
	// Apart is the smallest distance of the blades after the parry, Touching the
	// chance that it is a contact, and OnAttacker, OnDefender and Leverage where they
	// are nearest.
	Apart                  quantity.Of[quantity.Metres]
	Touching               quantity.Of[quantity.Chance]
	OnAttacker, OnDefender quantity.Of[quantity.Metres]
	AttackerPart           Part
	DefenderPart           Part
	Leverage               quantity.Of[quantity.Ratio]
	// Reason says in words why.
	Reason string
	Draws  int
}

// SureSize is the chance below which the reason does not speak of the size as a fact
// (our choice).
const SureSize = quantity.Chance(0.75)

// ClosingAsked is how much greater the turn asked for must have become by closing
// before the reason speaks of it (our choice: a quarter more).
const ClosingAsked = quantity.Ratio(1.25)

// nearestLever is the distance from a hand below which a contact counts as being
// there, so that a leverage stays finite.
const nearestLever = 0.001

// Judge compares two states of the same parry, before it and at its end, by draws
// over both, which are taken as independent; one draw where nothing is uncertain.
// The verdict rests on how the line passes the target at the end, never on the
// angle: a close hand asks for a large turn, and a parry that gives it is enough.
// Radius and Margin are those of after.
//
// Errors: *InputError and *BladeError for each state; *BehindError and
// *TooCloseError of before. After the parry the target may well lie aside of the
// blade. It panics if draws is not between 1 and MaxDraws.
//
// Source of the bounds: common practice, no source (a parry as small as possible
// but enough: at least the half-width and the margin, at most 3 cm more).
func Judge(before, after Parry, draws int, src rand.Source) (Judged, error) {
	return compare(before, after, draws, src, false)
}

// JudgeAttack is Judge of a parry against an attack that is known to have been on its
// target: only draws count in which the line threatens before. Where fewer than
// leastOnTarget of them do, that knowledge contradicts the places, and it is Judge.
func JudgeAttack(before, after Parry, draws int, src rand.Source) (Judged, error) {
	return compare(before, after, draws, src, true)
}

// leastOnTarget is the share of draws that must threaten for JudgeAttack to leave the
// others out (our choice: one in twenty, as elsewhere the doubt that is not told).
const leastOnTarget = 0.05

func compare(before, after Parry, draws int, src rand.Source, onTarget bool) (Judged, error) {
	if draws < 1 || draws > MaxDraws {
		panic("timing: a parry needs between 1 and MaxDraws draws")
	}
	if _, err := before.check(); err != nil {
		return Judged{}, err
	}
	switch _, err := after.check(); err.(type) {
	case nil, *BehindError, *TooCloseError:
	default:
		return Judged{}, err
	}
	s0, s1 := newSampler(before.Places, quantity.Exactly(after.Radius.Mean)), newSampler(after.Places, after.Radius)
	if s0.certain() && s1.certain() {
		draws = 1
	}
	rng := stream{src.Uint64()}
	t := newSeen(draws)
	all := func(skip bool) int {
		n := 0
		for range draws {
			x0, _ := s0.next(&rng)
			x1, r := s1.next(&rng)
			if t.add(n, x0, x1, r, float64(after.Margin), skip) {
				n++
			}
		}
		return n
	}
	start := rng
	if n := all(onTarget); float64(n) >= leastOnTarget*float64(draws) {
		return t.cut(n).judged(), nil
	}
	rng, t = start, newSeen(draws)
	all(false)
	return t.judged(), nil
}

// seen is the columns of the draws.
type seen struct {
	count                            [4]int
	touching                         int
	asked, askedBefore, made, sweep  []quantity.Radians
	clear, travel, apart, onAt, onDe []quantity.Metres
	leverage                         []quantity.Ratio
	share                            [2]float64 // sums of the shares of the blades
	hits                             int        // draws in which the line still meets the target
}

func newSeen(n int) *seen {
	r := func() []quantity.Radians { return make([]quantity.Radians, n) }
	m := func() []quantity.Metres { return make([]quantity.Metres, n) }
	return &seen{asked: r(), askedBefore: r(), made: r(), sweep: r(),
		clear: m(), travel: m(), apart: m(), onAt: m(), onDe: m(), leverage: make([]quantity.Ratio, n)}
}

// cut keeps the first n draws.
func (t *seen) cut(n int) *seen {
	for _, v := range []*[]quantity.Radians{&t.asked, &t.askedBefore, &t.made, &t.sweep} {
		*v = (*v)[:n]
	}
	for _, v := range []*[]quantity.Metres{&t.clear, &t.travel, &t.apart, &t.onAt, &t.onDe} {
		*v = (*v)[:n]
	}
	t.leverage = t.leverage[:n]
	return t
}

// add takes one draw as the i-th, and says whether it counts: one that does not threaten
// may be skipped.
func (t *seen) add(i int, x0, x1 []float64, radius, margin float64, skip bool) bool {
	was, is := newPair(x0), newPair(x1)
	before, threat := askedOf(&was, x0, was.u, radius+margin)
	if skip && !threat {
		return false
	}
	asked, _ := askedOf(&is, x1, was.u, radius+margin)
	from := placeAt(x1, ZoneFrom)
	along := placeAt(x1, ZoneTo).less(from)
	_, _, miss := nearestOfLines(is.attacker, is.u, math.Inf(1), from, along)
	clear := miss - radius
	switch {
	case !threat:
		t.count[0]++
	case clear < margin:
		t.count[1]++
	case clear <= margin+float64(ParryExcess):
		t.count[2]++
	default:
		t.count[3]++
	}
	if clear < 0 {
		t.hits++
	}
	t.askedBefore[i], t.asked[i] = quantity.Radians(before), quantity.Radians(asked)
	t.made[i], t.sweep[i] = quantity.Radians(was.u.angle(is.u)), quantity.Radians(was.q.angle(is.q))
	t.clear[i], t.travel[i] = quantity.Metres(clear), quantity.Metres(is.defender.less(was.defender).length())
	a, d, apart := nearestOfLines(is.attacker, is.u, is.la, is.defender, is.q.times(is.ld))
	d *= is.ld
	t.share[0] += a / is.la
	t.share[1] += d / is.ld
	t.apart[i], t.onAt[i], t.onDe[i] = quantity.Metres(apart), quantity.Metres(a), quantity.Metres(d)
	t.leverage[i] = Leverage(quantity.Metres(max(a, nearestLever)), quantity.Metres(max(d, nearestLever)))
	if apart <= float64(BladeEngaged) {
		t.touching++
	}
	return true
}

// askedOf is the smallest turn for a blade that points along u, and whether its
// line threatens; half a turn where the hand is inside the zone.
func askedOf(p *pair, x []float64, u vec, r float64) (float64, bool) {
	c, ok := zoneOf(p, x, r)
	if !ok {
		return math.Pi / 2, true
	}
	s, _ := c.inside(u)
	return math.Asin(max(0, min(1, s))), s > 0
}

func (t *seen) judged() Judged {
	n := len(t.asked)
	chance := func(k int) quantity.Of[quantity.Chance] {
		if n == 1 {
			return quantity.Exactly(quantity.Chance(k))
		}
		return quantity.FromCounts(k, n)
	}
	j := Judged{
		Asked: quantity.FromDraws(t.asked), AskedBefore: quantity.FromDraws(t.askedBefore), Made: quantity.FromDraws(t.made),
		Clear: quantity.FromDraws(t.clear), Travel: quantity.FromDraws(t.travel), Sweep: quantity.FromDraws(t.sweep),
		Apart: quantity.FromDraws(t.apart), Touching: chance(t.touching),
		OnAttacker: quantity.FromDraws(t.onAt), OnDefender: quantity.FromDraws(t.onDe), Leverage: quantity.FromDraws(t.leverage),
		AttackerPart: PartOf(quantity.Ratio(t.share[0] / float64(n))), DefenderPart: PartOf(quantity.Ratio(t.share[1] / float64(n))),
		Draws: n,
	}
	best := 0
	for i, k := range t.count {
		j.Chances[i] = chance(k)
		if k > t.count[best] {
			best = i
		}
	}
	j.Size = Sizes()[best]
	j.Reason = t.reason(j)
	return j
}

// reason is the sentence for the coach, without numbers: those stand beside it.
func (t *seen) reason(j Judged) string {
	var s string
	if best := slices.MaxFunc(j.Chances[:], func(a, b quantity.Of[quantity.Chance]) int { return cmp.Compare(a.Mean, b.Mean) }); best.Mean < SureSize {
		s = "the places are not sure enough to tell: it is only the likeliest"
		if 2*j.Touching.Mean < 1 {
			s += "; whether the blades touch cannot be seen either"
		}
		return s
	}
	switch j.Size {
	case SizeNone:
		return "the point's line passed the target before the parry: nothing was asked"
	case SizeSmall:
		s = "the point's line passes the target by less than the margin"
		if 2*t.hits > t.count[1] {
			s = "the point's line still meets the target"
		}
	case SizeEnough:
		s = "the point's line passes the target by the margin and hardly more"
	case SizeLarge:
		s = "the point's line passes the target by more than was needed"
	}
	if j.Asked.Mean > j.AskedBefore.Mean*quantity.Radians(ClosingAsked) {
		switch j.Size {
		case SizeSmall:
			s += ": the closing distance asked for a larger turn than at its start"
		case SizeEnough:
			s += ": large as it is, the closed distance asked for it"
		case SizeLarge:
			s += ", even for the closed distance, which asked for a larger turn than at its start"
		}
	}
	if 2*j.Touching.Mean < 1 {
		s += "; the blades do not touch in this picture"
	}
	return s
}

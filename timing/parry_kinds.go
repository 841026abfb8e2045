package timing

import (
	"math"
	"math/rand/v2"

	"mesure/quantity"
)

// LowLine is how far below the level of the hand a point must look for its blade to
// count as in the low line (our choice: 5°, so that a level blade is in the high one).
const LowLine = quantity.Radians(0.0872664625997165)

const sinLow = 0.087155742747658 // sin 5°

// KindAsked is the smallest parry of one kind: ParryLateral, where the defending blade
// goes straight across and stays at its height; ParrySemi, where its point goes from the
// high line to the low one or back; ParryCircular, where it goes round the other blade
// and comes back to its height.
type KindAsked struct {
	Kind Answer
	// Way of it at the means; nil where this kind does not serve: no place has leverage,
	// or the blades do not overlap so that there is nothing to go round.
	Way *Way
	// Path and Travel of hand over the draws that threaten, of at most kindDraws: their
	// spread is known well enough from those. Zero without a Way.
	Path, Travel quantity.Of[quantity.Metres]
}

// kinds lists the kinds in the order of Asked.Kinds.
var kinds = [3]Answer{ParryLateral, ParrySemi, ParryCircular}

// kindDraws is of how many draws the sizes of the kinds are taken: a mean is then known
// to a thirtieth of its spread.
const kindDraws = 1000

// What is tried for each kind: places along the attacking blade, places on the forte,
// directions of the defending blade about the place.
const (
	kindPlaces     = 8
	kindForte      = 3
	kindDirections = 24
)

// ending is how a parry ends, in terms that carry over from draw to draw: the push, the
// shares of the blades, and the direction of the defending blade in the plane square to
// the push, as cosine and sine from against the attack towards v × push.
type ending struct {
	towards    vec
	onA, onD   float64
	cos, sin   float64
	goesRound  bool
	path, hand float64
	set        bool
	way        Round
}

// direction of the defending blade in the end.
func (e *ending) direction(v, push vec) vec {
	return v.times(-e.cos).at(e.sin, v.cross(push))
}

// kindIndex names a parry by how the defending blade turns from q to w.
func kindIndex(q, w vec, around bool) int {
	switch {
	case (q.z < -sinLow) != (w.z < -sinLow):
		return 1
	case around:
		return 2
	}
	return 0
}

// size is the travel of hand and point of one ending, given the turn.
func (p *pair) size(e *ending, g vec, turn float64, v, push vec) (path, hand float64, way Round) {
	a, d := e.onA*p.la, e.onD*p.ld
	w := e.direction(v, push)
	if e.goesRound {
		r := p.round(a, d, g, turn, v, push, w)
		return max(r.hand, r.point), r.hand, r.way
	}
	x := p.attacker.at(a, v)
	hand = x.at(-d, w).less(p.defender).length()
	return max(hand, x.at(p.ld-d, w).less(p.guardian).length()), hand, Round{}
}

// smallest looks for the smallest ending of each kind with this push, at one share of
// the attacking blade.
func (p *pair) smallest(onA float64, g, v, push vec, turn float64, around bool, best *[len(kinds)]ending) {
	for j := range kindForte {
		e := ending{towards: g, onA: onA, goesRound: around, set: true}
		e.onD = p.onForte(j*(placesOnForte-1)/(kindForte-1)) / p.ld
		if !(e.onA*p.la > float64(HoldsFrom)*e.onD*p.ld) {
			continue
		}
		for k := range kindDirections {
			e.sin, e.cos = math.Sincos(2 * math.Pi * (float64(k) + .5) / kindDirections)
			if e.cos > 0 && math.Abs(e.sin) < sinCrossing {
				continue
			}
			b := &best[kindIndex(p.q, e.direction(v, push), around)]
			var path, hand float64
			if path, hand, e.way = p.size(&e, g, turn, v, push); !b.set || path < b.path {
				e.path, e.hand = path, hand
				*b = e
			}
		}
	}
}

// leastOf is the kind with the smallest path; −1 where there is none.
func leastOf(each *[len(kinds)]ending) int {
	least := -1
	for k := range each {
		if each[k].set && (least < 0 || each[k].path < each[least].path) {
			least = k
		}
	}
	return least
}

// way is one direction of the push at the means, and the smallest endings of each kind
// in it.
func (p *pair) way(g vec, turn float64, around bool) (w Way, each [len(kinds)]ending) {
	v, push := turned(p.u, g, turn)
	for i := 1; i <= kindPlaces; i++ {
		p.smallest(float64(i)/kindPlaces, g, v, push, turn, around, &each)
	}
	w = Way{Towards: [3]float64{g.x, g.y, g.z}, Turn: quantity.Radians(turn), Around: around}
	if around {
		if k := leastOf(&each); k >= 0 {
			w = *p.wayOf(&each[k], kinds[k], w)
		}
		return w, each
	}
	if a, d, ok := p.best(v, push, 0); ok {
		m := p.meeting(a, d, v, push)
		along := vecOf(m.Point).less(vecOf(m.Hand)).unit()
		k := kindIndex(p.q, along, false)
		w.Meeting, w.Kind = &m, kinds[k]
		// Its end is exact where those of the kinds are one of a ring.
		e := &each[k]
		if !e.set || float64(m.Path) < e.path {
			*e = ending{towards: g, onA: a / p.la, onD: d / p.ld, cos: -along.dot(v), sin: along.dot(v.cross(push)),
				path: float64(m.Path), hand: float64(m.Travel), set: true}
		}
	}
	return w, each
}

// wayOf is a way with this ending.
func (p *pair) wayOf(e *ending, kind Answer, w Way) *Way {
	v, push := turned(p.u, e.towards, float64(w.Turn))
	w.Kind, w.Meeting, w.Round = kind, p.meetingAt(e, v, push), nil
	if e.goesRound {
		way := e.way
		w.Round = &way
	}
	return &w
}

// placeOf is the smallest meeting of a way at one share of the attacking blade; nil
// where it has no leverage.
func (p *pair) placeOf(g, v, push vec, w Way, share float64) *Meeting {
	if w.Around {
		var each [len(kinds)]ending
		p.smallest(share, g, v, push, float64(w.Turn), true, &each)
		if k := leastOf(&each); k >= 0 {
			return p.meetingAt(&each[k], v, push)
		}
		return nil
	}
	a, d, ok := p.best(v, push, p.la*share)
	if !ok {
		return nil
	}
	m := p.meeting(a, d, v, push)
	return &m
}

// meetingAt is the meeting of an ending.
func (p *pair) meetingAt(e *ending, v, push vec) *Meeting {
	m := p.meetingOf(e.onA*p.la, e.onD*p.ld, v, push, e.direction(v, push))
	m.Path, m.Travel = quantity.Metres(e.path), quantity.Metres(e.hand)
	return &m
}

// drawKinds fills what varies of the kinds.
func (p Parry) drawKinds(best *[len(kinds)]ending, draws int, src rand.Source, out *Asked) {
	any := false
	for i := range best {
		any = any || best[i].set
	}
	if !any {
		return
	}
	rng := stream{src.Uint64()}
	s := newSampler(p.Places, p.Radius)
	draws = min(draws, kindDraws)
	if s.certain() {
		draws = 1
	}
	var path, hand [len(kinds)][]quantity.Metres
	for range draws {
		x, radius := s.next(&rng)
		two := newPair(x)
		c, ok := zoneOf(&two, x, radius+float64(p.Margin))
		if !ok {
			continue
		}
		if sine, _ := c.inside(two.u); sine <= 0 {
			continue
		}
		for i := range best {
			if !best[i].set {
				continue
			}
			g := two.u.square(best[i].towards)
			turn := c.leavingFrom(two.u, g)
			v, push := turned(two.u, g, turn)
			size, travel, _ := two.size(&best[i], g, turn, v, push)
			path[i], hand[i] = append(path[i], quantity.Metres(size)), append(hand[i], quantity.Metres(travel))
		}
	}
	for i := range best {
		out.Kinds[i].Path, out.Kinds[i].Travel = summary(path[i]), summary(hand[i])
	}
}

func vecOf(m [3]quantity.Metres) vec { return vec{float64(m[0]), float64(m[1]), float64(m[2])} }

package timing

import (
	"math"
	"math/rand/v2"
	"slices"

	"mesure/quantity"
)

// Asked is what a parry has to do.
type Asked struct {
	// Threatens is the chance that the line meets the zone with its margin at all.
	Threatens quantity.Of[quantity.Chance]
	// Arrived is the chance that the point is in the target already, without the
	// margin; TooClose the chance that the hand is within the zone, where no turn
	// serves.
	Arrived, TooClose quantity.Of[quantity.Chance]
	// HandToZone is the distance from the attacker's hand to the middle line of the
	// zone.
	HandToZone quantity.Of[quantity.Metres]
	// Smallest is the smallest turn of the attacking blade about its hand with which
	// the line misses the zone and its margin, over the draws that are not TooClose;
	// 0 where it misses already.
	Smallest quantity.Of[quantity.Radians]
	// Needed is the same over the draws that threaten: what an attack that is on its
	// target asks for. The zero value where none does.
	Needed quantity.Of[quantity.Radians]
	// Ways are the ways to push the blade out at the means of all inputs: the one
	// with the smallest turn first, then all round in equal steps, from straight up
	// to the attacker's right and on. Empty where nothing threatens at the means.
	Ways []Way
	// Best is the way with the smallest Path, one that needs not go around the
	// attacking blade before any that does; nil where Ways is empty or no place has
	// leverage.
	Best *BestWay
	// Kinds are the smallest lateral, semicircular and circular parry, in this order.
	Kinds [3]KindAsked
	// Opposition is what the answer with the point needs; nil without an Aim or where
	// nothing threatens.
	Opposition *Opposition
	// Ceding is what yielding needs; nil where the blades are not in contact.
	Ceding *Ceding
	Draws  int
}

// Way is one direction in which the attacking blade can be pushed out.
type Way struct {
	// Towards is the direction of the push, square to the blade, and Clock the turn
	// from upward to it as the attacker sees it, clockwise, 0 to 2π.
	Towards [3]float64
	Clock   quantity.Radians
	// Turn is the angle about the attacker's hand.
	Turn quantity.Radians
	// Around says that the defending blade stands on the side to which it is to
	// push, so that it must first go around the other one (a circular parry). Round is
	// the way around, which the sizes of the Meeting count; nil otherwise.
	Around bool
	Round  *Round
	// Kind is ParryLateral, ParrySemi or ParryCircular, by how the defending blade
	// turns; empty without a Meeting.
	Kind Answer
	// Meeting is the place with the smallest Path; nil where none has leverage.
	Meeting *Meeting
}

// BestWay is a Way with its spread: how the numbers at this place vary, over the
// draws that threaten.
type BestWay struct {
	Way
	Turn         quantity.Of[quantity.Radians]
	Path, Travel quantity.Of[quantity.Metres]
	Sweep        quantity.Of[quantity.Radians]
	Leverage     quantity.Of[quantity.Ratio]
	// Places are the meetings of this way along the attacking blade, from the hand
	// to the point, each with its best place on the forte.
	Places []Meeting
}

// waysAround is how many directions are tried, and meetingPlaces how many places
// along the attacking blade are listed.
const (
	waysAround    = 16
	meetingPlaces = 18
)

// Ask returns what the parry has to do, with draws over everything that is
// uncertain; one draw where nothing is. Directions and places are chosen at the
// means and kept over the draws, as shares of the blades.
//
// The smallest turn is exact for a zone that is a ball or a capsule: the lines that
// meet it form a convex cone, and the turn is the angle to the nearest of its
// planes (for a ball asin(R/D) − θ, with D from hand to middle and θ the angle by
// which the line misses it; R is radius + margin). It never falls as the hand
// closes along its own line. Blades are rigid and straight; the attacker's hand
// stays while the blade is turned.
//
// Errors: *InputError, *BladeError, *BehindError, *TooCloseError at the means.
// Blades of draws are not checked again. It panics if draws is not between 1 and
// MaxDraws.
func (p Parry) Ask(draws int, src rand.Source) (Asked, error) {
	if draws < 1 || draws > MaxDraws {
		panic("timing: a parry needs between 1 and MaxDraws draws")
	}
	x, err := p.check()
	if err != nil {
		return Asked{}, err
	}
	var out Asked
	plan := p.atMeans(x, &out)
	p.draw(plan, draws, src, &out)
	p.drawKinds(&plan.kinds, draws, src, &out)
	return out, nil
}

// plan is the way that is followed over the draws.
type plan struct {
	towards vec
	onA, d  float64 // shares of the blades
	set     bool
	// end is set where it goes around: meet does not know the way.
	end *ending
	// the same of the opposition
	aimA, aimD float64
	opposes    bool
	kinds      [len(kinds)]ending
}

// zone is the cone of one draw.
func zoneOf(two *pair, x []float64, r float64) (cone, bool) {
	return newCone(two.attacker, placeAt(x, ZoneFrom), placeAt(x, ZoneTo), r)
}

func (p Parry) atMeans(x []float64, out *Asked) plan {
	two := newPair(x)
	s, t, apart := nearestOfLines(two.attacker, two.u, two.la, two.defender, two.q.times(two.ld))
	between := two.defender.at(t*two.ld, two.q).less(two.attacker.at(s, two.u))
	if apart <= float64(BladeEngaged) {
		out.Ceding = two.cede(s, t*two.ld)
	}
	c, _ := zoneOf(&two, x, float64(p.Radius.Mean+p.Margin))
	sine, n := c.inside(two.u)
	if sine <= 0 {
		return plan{}
	}
	ring := []vec{two.u.square(n.times(-1))}
	up := two.u.square(vec{0, 0, 1})
	right := two.u.cross(up)
	for i := range waysAround {
		s, c := math.Sincos(2 * math.Pi * float64(i) / waysAround)
		ring = append(ring, up.times(c).at(s, right))
	}
	// Only where the blades overlap is there one to go around.
	overlap := two.guardian.less(two.attacker).dot(two.u) < two.la
	around := func(g vec) bool { return overlap && between.dot(g) > float64(BladeEngaged) }
	clock := func(g vec) quantity.Radians {
		return quantity.Radians(math.Mod(math.Atan2(g.dot(right), g.dot(up))+2*math.Pi, 2*math.Pi))
	}
	best := -1
	var ends []*ending // of the ways that go around
	var to plan
	for i, g := range ring {
		w, each := two.way(g, c.leaving(two.u, g), around(g))
		w.Clock = clock(g)
		out.Ways = append(out.Ways, w)
		if k := leastOf(&each); k >= 0 && w.Around {
			ends = append(ends, &each[k])
		} else {
			ends = append(ends, nil)
		}
		for k := range each {
			if e := &each[k]; e.set && (!to.kinds[k].set || e.path < to.kinds[k].path) {
				to.kinds[k] = *e
				out.Kinds[k].Way = two.wayOf(e, kinds[k], w)
			}
		}
		if w.Meeting != nil && (best < 0 || better(w, out.Ways[best])) {
			best = i
		}
	}
	for k := range kinds {
		out.Kinds[k].Kind = kinds[k]
	}
	if best < 0 {
		return to
	}
	w := out.Ways[best]
	b := &BestWay{Way: w}
	v, push := turned(two.u, ring[best], float64(w.Turn))
	for i := 1; i <= meetingPlaces; i++ {
		if m := two.placeOf(ring[best], v, push, w, float64(i)/meetingPlaces); m != nil {
			b.Places = append(b.Places, *m)
		}
	}
	out.Best = b
	to.towards, to.onA, to.d, to.set = ring[best], float64(w.Meeting.OnAttacker)/two.la, float64(w.Meeting.OnDefender)/two.ld, true
	to.end = ends[best]
	if len(x) > sixPlaces {
		to.aimA, to.aimD, to.opposes = two.bestOpposition(placeAt(x, Aim), v, push)
		to.aimA, to.aimD = to.aimA/two.la, to.aimD/two.ld
	}
	return to
}

func better(a, b Way) bool {
	if a.Around != b.Around {
		return b.Around
	}
	return a.Meeting.Path < b.Meeting.Path
}

// draw fills what varies.
func (p Parry) draw(plan plan, draws int, src rand.Source, out *Asked) {
	rng := stream{src.Uint64()}
	s := newSampler(p.Places, p.Radius)
	if s.certain() {
		draws = 1
	}
	out.Draws = draws
	var (
		smallest, turn, sweep        = make([]quantity.Radians, 0, draws), make([]quantity.Radians, 0, draws), make([]quantity.Radians, 0, draws)
		needed                       = make([]quantity.Radians, 0, draws)
		path, travel, toZone         = make([]quantity.Metres, 0, draws), make([]quantity.Metres, 0, draws), make([]quantity.Metres, 0, draws)
		opposes                      []opposed
		aimed, ceded                 []quantity.Ratio
		cedeA, cedeD                 []quantity.Metres
		leverage                     = make([]quantity.Ratio, 0, draws)
		threatens, arrived, tooClose int
	)
	for range draws {
		x, radius := s.next(&rng)
		two := newPair(x)
		if out.Ceding != nil {
			a, d, _ := nearestOfLines(two.attacker, two.u, two.la, two.defender, two.q.times(two.ld))
			a, d = max(a, nearestLever), max(d*two.ld, nearestLever)
			cedeA, cedeD, ceded = append(cedeA, quantity.Metres(a)), append(cedeD, quantity.Metres(d)), append(ceded, quantity.Ratio(a/d))
		}
		from := placeAt(x, ZoneFrom)
		along := placeAt(x, ZoneTo).less(from)
		if _, _, apart := nearestOfLines(two.attacker, two.u, two.la, from, along); apart <= radius {
			arrived++
		}
		c, ok := zoneOf(&two, x, radius+float64(p.Margin))
		toZone = append(toZone, quantity.Metres(c.near))
		if !ok {
			tooClose++
			threatens++
			continue
		}
		sine, _ := c.inside(two.u)
		least := quantity.Radians(math.Asin(max(0, min(1, sine))))
		smallest = append(smallest, least)
		if sine <= 0 {
			continue
		}
		threatens++
		needed = append(needed, least)
		if !plan.set {
			continue
		}
		g := two.u.square(plan.towards)
		k := c.leavingFrom(two.u, g)
		v, push := turned(two.u, g, k)
		a, d := plan.onA*two.la, plan.d*two.ld
		var e end
		var size, hand float64
		if plan.end != nil {
			size, hand, _ = two.size(plan.end, g, k, v, push)
			e.w = plan.end.direction(v, push)
		} else {
			e = two.meet(a, d, v, v.cross(push))
			size, hand = max(e.hand, e.point), e.hand
		}
		turn = append(turn, quantity.Radians(k))
		path = append(path, quantity.Metres(size))
		travel = append(travel, quantity.Metres(hand))
		sweep = append(sweep, quantity.Radians(two.q.angle(e.w)))
		leverage = append(leverage, quantity.Ratio(a/d))
		if plan.opposes {
			if o, ok := two.oppose(plan.aimA*two.la, plan.aimD*two.ld, placeAt(x, Aim), v, push); ok {
				opposes = append(opposes, o)
				aimed = append(aimed, quantity.Ratio(plan.aimA*two.la/(plan.aimD*two.ld)))
			}
		}
	}
	chance := func(k int) quantity.Of[quantity.Chance] {
		if draws == 1 {
			return quantity.Exactly(quantity.Chance(k))
		}
		return quantity.FromCounts(k, draws)
	}
	out.Threatens, out.Arrived, out.TooClose = chance(threatens), chance(arrived), chance(tooClose)
	out.HandToZone = quantity.FromDraws(toZone)
	if len(smallest) > 0 {
		out.Smallest = quantity.FromDraws(smallest)
	}
	if out.Needed = out.Smallest; len(needed) < len(smallest) {
		out.Needed = summary(needed)
	}
	if c := out.Ceding; c != nil {
		c.OnAttacker, c.OnDefender, c.Leverage = quantity.FromDraws(cedeA), quantity.FromDraws(cedeD), quantity.FromDraws(ceded)
	}
	if len(opposes) > 0 {
		at := newPair(p.Places.Mean)
		out.Opposition = opposition(plan.aimA*at.la, plan.aimD*at.ld, opposes, aimed)
	}
	if b := out.Best; b != nil && len(turn) > 0 {
		b.Turn, b.Sweep = quantity.FromDraws(turn), quantity.FromDraws(sweep)
		b.Path, b.Travel = quantity.FromDraws(path), quantity.FromDraws(travel)
		b.Leverage = quantity.FromDraws(leverage)
	}
}

// sampler draws places and a radius from a stream.
type sampler struct {
	mean, z, x []float64
	used       []int       // numbers that have a spread of their own
	columns    [][]float64 // of the root, from the diagonal down, for each of them
	radius     input
}

func newSampler(j quantity.Joint, radius quantity.Of[quantity.Metres]) *sampler {
	n, root := j.Len(), j.Root()
	s := &sampler{mean: j.Mean, z: make([]float64, n), x: slices.Clone(j.Mean),
		radius: input{mean: float64(radius.Mean), sd: float64(radius.SD), lo: 0, hi: math.Inf(1)}}
	for k := range n {
		if root[k*n+k] == 0 {
			continue
		}
		column := make([]float64, 0, n-k)
		for i := k; i < n; i++ {
			column = append(column, root[i*n+k])
		}
		s.used, s.columns = append(s.used, k), append(s.columns, column)
	}
	return s
}

func (s *sampler) certain() bool { return len(s.used) == 0 && s.radius.sd == 0 }

// next goes through the root column by column: the sums then do not wait for each other.
func (s *sampler) next(rng *stream) (x []float64, radius float64) {
	for _, k := range s.used {
		s.z[k] = rng.normal()
	}
	copy(s.x, s.mean)
	for j, k := range s.used {
		z, x := s.z[k], s.x[k:]
		for i, r := range s.columns[j] {
			x[i] += float64(r * z)
		}
	}
	return s.x, s.radius.draw(rng)
}

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
	k, lack := parryingOf(t, r, at, attacker, draws, seed)
	if lack != nil {
		return nil, lack
	}
	var err error
	if k.out.Asked, err = k.ask(k.out.Parry, draws); err != nil {
		return nil, parryRefused(err, attacker)
	}
	k.comingOn()
	k.times()
	lack = k.seen()
	k.riposte()
	k.out.Finding = k.finding()
	return k.out, lack
}

// parryingOf begins the reading of a parry: where both blades and the target are.
func parryingOf(t *Touch, r *Reading, at At, attacker mark.Side, draws int, seed uint64) (*parrying, *Lack) {
	in, fig, ok := r.figureAt(at)
	if !ok {
		return nil, &Lack{Part: PartParry, Both: true, Why: "nothing is measured on this frame", Mend: "place the frame and mark guard and point of both fencers on it"}
	}
	target, lack := parryTarget(t, r, in, fig, attacker)
	if lack != nil {
		return nil, lack
	}
	k := &parrying{t: t, r: r, at: at, in: in, fig: fig, attacker: attacker, defender: attacker.Other(), target: target, draws: draws, seed: seed}
	k.out = &ParryReading{Defender: k.defender, Zone: target, Parry: k.state(fig, in)}
	return k, nil
}

// parrying is the reading of one parry under way.
type parrying struct {
	t                  *Touch
	r                  *Reading
	at                 At
	in                 Instant
	fig                figure
	attacker, defender mark.Side
	target             mark.Target
	draws              int
	seed               uint64
	out                *ParryReading
	// after is the end of an observed parry, where there is one.
	after   *figure
	afterIn Instant
}

// state is what timing.Parry needs of one frame.
func (k *parrying) state(fig figure, in Instant) timing.Parry {
	return k.stateOf(fig, in, 0)
}

// ParriedOutSD is how far to either side of where it usually is a point may stand that
// was parried (our choice: the half-width of a trunk, since that is what a parry to the
// side is for).
const ParriedOutSD = quantity.Metres(0.20)

// parried is the state at the end of a parry: the attacking point stands anywhere
// sideways, as far as the length of the blade in the picture does not tell.
func (k *parrying) parried(fig figure, in Instant) timing.Parry {
	return k.stateOf(fig, in, ParriedOutSD)
}

// keptOf is what follows from these inputs alone, through what the reading keeps.
func keptOf[T any](k *parrying, what string, draws int, inputs any, fresh func() (T, error)) (T, error) {
	type answer struct {
		v   T
		err error
	}
	var key keyBytes
	key.text(fmt.Sprintf("%s %d %d %+v", what, draws, k.seed, inputs))
	a := move(k.r.kept, key.sum(), func() answer {
		v, err := fresh()
		return answer{v, err}
	})
	return a.v, a.err
}

// ask is timing.Parry.Ask with the draws of this reading.
func (k *parrying) ask(p timing.Parry, draws int) (timing.Asked, error) {
	return keptOf(k, "parry", draws, p, func() (timing.Asked, error) { return p.Ask(draws, rand.NewPCG(k.seed, parryStream)) })
}

// Steps of the course, and of how many draws the states after this one are asked: the
// sizes at the hit are then known to a fortieth of their spread, those on the way to a
// twentieth.
const (
	courseSteps = 4
	atHitDraws  = 2000
	courseDraws = 400
)

// comingOn is what the parry is asked as the attack comes on.
func (k *parrying) comingOn() {
	p := k.out.Parry
	left := p.ToGo()
	if !(left > 0) || len(k.out.Asked.Ways) == 0 {
		return
	}
	at, err := k.ask(p.Carried(left), min(k.draws, atHitDraws))
	if err != nil {
		return
	}
	k.out.AtHit = &at
	for i := range courseSteps + 1 {
		closed := left * quantity.Metres(i) / courseSteps
		a := at
		switch i {
		case 0:
			a = k.out.Asked
		case courseSteps:
		default:
			if a, err = k.ask(p.Carried(closed), min(k.draws, courseDraws)); err != nil {
				return
			}
		}
		s := ParryStep{Closed: quantity.Exactly(closed), HandToZone: a.HandToZone, Turn: a.Needed}
		if b := a.Best; b != nil {
			s.Path, s.Travel, s.Sweep = b.Path, b.Travel, b.Sweep
		}
		k.out.Course = append(k.out.Course, s)
	}
}

// latest is the state in which the parry has to be done: at the hit, or here where the
// point is there.
func (p *ParryReading) latest() *timing.Asked {
	if p.AtHit != nil && p.AtHit.Best != nil {
		return p.AtHit
	}
	return &p.Asked
}

// times says how long the parry takes, in the size that it must have by the hit.
func (k *parrying) times() {
	d := k.r.Profiles[k.defender].defence(quantity.Of[quantity.Metres]{})
	usual := map[timing.Answer]quantity.Of[quantity.Seconds]{timing.ParryLateral: d.Lateral, timing.ParrySemi: d.Semicircular, timing.ParryCircular: d.Circular}
	k.out.Kind = timing.ParryLateral
	b := k.out.latest().Best
	if b == nil {
		k.out.Usual = usual[k.out.Kind]
		return
	}
	k.out.Kind, k.out.Usual = b.Kind, usual[b.Kind]
	k.out.Time = timing.KindAsked{Kind: b.Kind, Way: &b.Way, Path: b.Path}.Time(k.out.Usual)
}

// sized is a defence whose parries have the size that this attack asks for by its hit,
// or here where it is at the target already.
func (p *ParryReading) sized(d timing.Defence) timing.Defence {
	switch {
	case p == nil:
		return d
	case p.AtHit != nil:
		return d.Sized(*p.AtHit)
	}
	return d.Sized(p.Asked)
}

// parryTarget is the target that the parry has to keep: the one that the race asks for,
// else the one nearest to the line of the attacker's blade.
func parryTarget(t *Touch, r *Reading, in Instant, fig figure, attacker mark.Side) (mark.Target, *Lack) {
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
		j := fig.blades(attacker, z, nil, z.moved(t, attacker, r.heads(&in, attacker)))
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

// stateOf is the state that timing.Parry needs: of an attack that is on its target
// sideways, or of an attacking point that is so much less sure sideways than it usually
// is.
func (k *parrying) stateOf(fig figure, in Instant, sideways quantity.Metres) timing.Parry {
	z := zoneOf(k.target)
	j := fig.blades(k.attacker, z, aimOf(k.t, fig, in, k.attacker), z.moved(k.t, k.attacker, k.r.heads(&in, k.attacker)))
	y := 3*int(timing.AttackersPoint) + 1
	j.Cov[y*j.Len()+y] += float64(sideways * sideways)
	p := timing.Parry{Places: j, Radius: z.radius, Margin: timing.ParryMargin}
	if sideways == 0 {
		p = p.Aimed()
		j = p.Places
	}
	for i := range 2 {
		j = withBlade(j, 6*i, 6*i+3)
	}
	p.Places = j
	return p
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
// attacker and of the defender, both ends of the zone, moved from their marks, and the
// aim where there is one.
func (fig figure) blades(attacker mark.Side, z zone, aim []mark.Share, moved [2][3]float64) quantity.Joint {
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
	off := make([]float64, 3*len(places))
	for i, m := range moved {
		copy(off[3*(int(timing.ZoneFrom)+i):], m[:])
	}
	return fig.places.Linear(rows, off)
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

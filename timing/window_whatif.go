package timing

import (
	"math/rand/v2"

	"mesure/quantity"
)

// Change is one thing that could have been otherwise. The zero value changes
// nothing.
type Change struct {
	// Side that Earlier, Longer and Target speak of; in an exchange the attacker is
	// Left and the defender Right.
	Side int
	// Closer makes both gaps smaller by this much, not below 0.
	Closer quantity.Metres
	// Earlier lets the side start this much earlier than the other. A reaction
	// becomes shorter, not below 0. An onset at an instant moves, but not to before
	// the gaps were measured: then the other's moves back instead, the same race on
	// another clock. An opponent who reacts follows, and nothing but the clock
	// changes. In an exchange only the defender can be earlier, or later where it is
	// negative.
	Earlier quantity.Seconds
	// Longer lets the arm of the side travel this much further.
	Longer quantity.Metres
	// Target is another target for the side; nil keeps it.
	Target *Target
}

// Target is what a point is aimed at: its gap, and how far it goes along with the
// opponent's arm, as in Runner.
type Target struct {
	Gap   quantity.Of[quantity.Metres]
	OnArm quantity.Ratio
}

// moveLaw shifts a law by this much, its mean not below lowest.
func moveLaw[U quantity.Unit](q quantity.Of[U], by, lowest U) quantity.Of[U] {
	return quantity.Normal(max(lowest, q.Mean+by), q.SD)
}

func (c Change) check() error {
	if c.Side != Left && c.Side != Right {
		return &InputError{"side of the change", float64(c.Side), "0 for the left fencer or attacker, 1 for the right one or defender"}
	}
	return nil
}

// farthest is below every length and time that a race accepts: no limit.
const farthest = -2 * maxTime

// Race returns the race with the change. It returns *InputError for an unknown
// side; other numbers that cannot be used show when the race is run.
func (c Change) Race(r Race) (Race, error) {
	if err := c.check(); err != nil {
		return r, err
	}
	own := &r.Runners[c.Side]
	if c.Target != nil {
		own.Gap, own.TargetOnArm = c.Target.Gap, c.Target.OnArm
	}
	if c.Closer != 0 {
		for side := range r.Runners {
			r.Runners[side].Gap = moveLaw(r.Runners[side].Gap, -c.Closer, 0)
		}
	}
	other := &r.Runners[1-c.Side].Onset
	switch {
	case c.Earlier == 0:
	case own.Onset.AfterOther:
		own.Onset.Time = moveLaw(own.Onset.Time, -c.Earlier, 0)
	case own.Onset.Time.Mean-c.Earlier >= 0:
		own.Onset.Time = moveLaw(own.Onset.Time, -c.Earlier, 0)
	case !other.AfterOther:
		other.Time = moveLaw(other.Time, c.Earlier, farthest)
	}
	if c.Longer != 0 {
		own.Movement.Arm = moveLaw(own.Movement.Arm, c.Longer, 0)
	}
	return r, nil
}

// Exchange returns the exchange with the change. It returns *InputError for an
// unknown side and for an attack that starts earlier (it would be answered
// earlier).
func (c Change) Exchange(x Exchange) (Exchange, error) {
	if err := c.check(); err != nil {
		return x, err
	}
	a, d := &x.Attack, &x.Defence
	if t := c.Target; t != nil && c.Side == Left {
		a.Gap, a.TargetOnArm = t.Gap, t.OnArm
	} else if t != nil {
		d.Gap, d.TargetOnArm = t.Gap, t.OnArm
	}
	if c.Closer != 0 {
		a.Gap, d.Gap = moveLaw(a.Gap, -c.Closer, 0), moveLaw(d.Gap, -c.Closer, 0)
	}
	arm := &a.Movement.Arm
	if c.Side == Right {
		arm = &d.Extension.Arm
	}
	if c.Longer != 0 {
		*arm = moveLaw(*arm, c.Longer, 0)
	}
	switch {
	case c.Earlier == 0:
	case c.Side == Left:
		return x, &InputError{"earlier start of the attack", float64(c.Earlier), "0, since the defender reacts to it whenever it starts: make the defender later instead"}
	default:
		d.Reaction.Simple = moveLaw(d.Reaction.Simple, -c.Earlier, 0)
	}
	return x, nil
}

// WhatIf runs the race and then each changed one on the same draws: each input of
// a draw is the same quantile of its law everywhere, so that the difference of two
// results is that of their inputs. The results follow the same law as those of
// Run, from other draws; errors are those of Run.
func (r Race) WhatIf(app Apparatus, draws int, src rand.Source, changed ...Race) ([]Result, error) {
	if draws < 1 || draws > MaxDraws {
		return nil, &InputError{"number of draws", float64(draws), "between 1 and 10 million"}
	}
	races := append([]Race{r}, changed...)
	drawers, certain := make([]*drawer, len(races)), true
	for i, race := range races {
		d, err := newDrawer(race, app)
		if err != nil {
			return nil, err
		}
		drawers[i] = d
		certain = certain && d.certain()
	}
	seed, err := seedOf(src, certain)
	if err != nil {
		return nil, err
	}
	out := make([]Result, len(races))
	for i, d := range drawers {
		n := draws
		if d.certain() {
			n = 1
		}
		d.common = &[2][inputs]law{}
		for side := range 2 {
			for k, in := range d.in[side] {
				d.common[side][k] = lawOf(in)
			}
		}
		out[i] = d.runAll(n, rand.NewPCG(seed, 0)).result(races[i], d)
	}
	return out, nil
}

// drawCommon is draw with one normal number for every input, uncertain or not, so
// that races that differ in their inputs stay in step.
func (d *drawer) drawCommon(b *batch, k int, rng *stream) {
	var z, leftGap [batchSize]float64
	next := 0
	for side := range 2 {
		for i := range inputs {
			for j := range k {
				z[j] = rng.normal()
			}
			if i == inGap && side == Left {
				leftGap = z
			} else if i == inGap && d.corr != 0 {
				for j := range k {
					z[j] = float64(d.corr*leftGap[j]) + float64(d.corrRest*z[j])
				}
			}
			if d.in[side][i].sd == 0 {
				continue
			}
			c, law := &b.columns[next], &d.common[side][i]
			next++
			for j := range k {
				c.v[j] = law.at(z[j])
			}
		}
	}
	d.drawApparatus(b, k, rng)
}

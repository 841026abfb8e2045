package timing

import (
	"math"
	"math/rand/v2"

	"mesure/quantity"
)

// Plan is what a fencer sets out to do before it is known what the other does. Who
// goes starts by a decision of their own; who does not waits and answers what is seen.
type Plan string

// The plans.
const (
	// Straight goes at the target by the shortest way.
	Straight Plan = "straight"
	// Feinting threatens, goes round one parry and lands a disengage later.
	Feinting Plan = "feinting"
	// Taking meets the other blade first and lands a parry's time later.
	Taking Plan = "taking"
	// Drawing shows an attack with a step, takes the counter-attack that it draws and
	// hits then.
	Drawing Plan = "drawing"
	// Countering extends to the nearest target of an attack that is seen.
	Countering Plan = "countering"
	// CounteringBody extends to the body of the attacker, CounteringBack does so with a
	// step back, CounteringClosed with opposition.
	CounteringBody   Plan = "countering-body"
	CounteringBack   Plan = "countering-back"
	CounteringClosed Plan = "countering-closed"
	// Parrying parries an attack that is seen, and ripostes.
	Parrying Plan = "parrying"
	// GoingBack steps back from an attack that is seen.
	GoingBack Plan = "going-back"
	// Running goes straight with a flèche, whatever the gap.
	Running Plan = "running"
)

// Plans lists all of them.
func Plans() []Plan {
	return []Plan{Straight, Feinting, Taking, Countering, Parrying, Drawing, GoingBack, Running, CounteringBody, CounteringBack, CounteringClosed}
}

// Goes reports whether a plan starts by itself.
func (p Plan) Goes() bool {
	switch p {
	case Straight, Feinting, Taking, Drawing, Running:
		return true
	}
	return false
}

// counters reports whether a plan extends into what it sees.
func (p Plan) counters() bool {
	return p == Countering || p == CounteringBody || p == CounteringBack || p == CounteringClosed
}

// What the model of two plans assumes.
const (
	// TrialShare is the part of the variance of a movement or a reaction that changes
	// from phrase to phrase; the rest is how little is known of the fencer (our choice,
	// no source: the usual spreads are of both together).
	TrialShare quantity.Ratio = 0.5
	// OnBody is the chance that a point that arrives at the body makes a valid hit, by
	// phrase (our choice, no source).
	OnBody quantity.Chance = 0.75
	// OnBodySD is our doubt of it.
	OnBodySD quantity.Chance = 0.08
	// OnHand is the same at the hand and the forearm behind the guard (our choice, no
	// source).
	OnHand quantity.Chance = 0.50
	// OnHandSD is our doubt of it.
	OnHandSD quantity.Chance = 0.10
	// Holding is the chance that a blade that is taken or parried is held for as long as
	// the answer goes along it (our choice, no source).
	Holding quantity.Chance = 0.65
	// HoldingSD is our doubt of it.
	HoldingSD quantity.Chance = 0.12
	// Finding is the chance that who looks for the blade finds it, where it is not drawn
	// away by a movement of its own (our choice, no source: as likely as not).
	Finding quantity.Chance = 0.50
	// FindingSD is our doubt of it.
	FindingSD quantity.Chance = 0.15
	// Remising is the chance that who was parried or taken goes on rather than back (our
	// choice, no source).
	Remising quantity.Chance = 0.40
	// RemisingSD is our doubt of it.
	RemisingSD quantity.Chance = 0.15
	// HandLead is by how much the hand is nearer to the other's point than the body.
	// Derived: forearm and guard before the trunk.
	HandLead = quantity.Metres(0.45)
	// HandLeadSD is our spread of HandLead (no source).
	HandLeadSD = quantity.Metres(0.05)
	// CrossingGap is the gap to the body at which the blades overlap by a quarter of a
	// metre, so that one can be met. Derived: 1.655 m from the shoulder to the point
	// less 0.45 m of bent arm, less 0.25 m (our choice).
	CrossingGap = quantity.Metres(0.95)
	// PlannedSD is how well a movement that was decided before, a disengage round a
	// parry that must come, is placed in time (our choice, no source).
	PlannedSD = quantity.Seconds(0.050)
	// MomentSD is the spread of the instants at which two who both want to go see their
	// moment (our choice, no source).
	MomentSD = quantity.Seconds(0.080)
	// Usable is the share of a body's travel with which fencers still hit: most can lunge
	// further than they can hit (trade literature; the number is common practice, no
	// source).
	Usable quantity.Ratio = 0.9
	// ShownArm is how much of the arm an attack shows that is only to draw an answer: the
	// hand stays back (our choice, no source).
	ShownArm quantity.Ratio = 0.5
)

// Ability is what one fencer brings to a phrase, on guard, before anything has started.
type Ability struct {
	// Gap from the own point to the opponent's body.
	Gap quantity.Of[quantity.Metres]
	// Extension is the arm alone; Lunge, StepLunge and Fleche give their bodies, StepIn
	// that of an attack that is shown, StepBack that of a retreat.
	Extension, Lunge, StepLunge, Fleche, StepIn, StepBack Movement
	// Visual is the reaction to an attack that is seen, Touch that to contact of the
	// blades.
	Visual, Touch Reaction
	// Times of a parry, of a circular one, of an opposition, a disengage, and from a
	// parry to the hit of a remise.
	Lateral, Circular, Opposition, Disengage, Remise quantity.Of[quantity.Seconds]
	// Cue is the share of its travel at which the other's attack is seen, Lead see
	// HandLead.
	Cue  quantity.Of[quantity.Ratio]
	Lead quantity.Of[quantity.Metres]
	// Chances: see OnBody, OnHand, Holding, Finding, Remising.
	OnBody, OnHand, Holding, Finding, Remising quantity.Of[quantity.Chance]
	// Hold is how long this fencer waits after a parry before the riposte starts.
	Hold quantity.Of[quantity.Seconds]
}

// NewAbility returns a fencer of whom nothing but the gap is known: the defaults of
// this sex and level, as Default has them, a visual reaction among two answers.
func NewAbility(gap quantity.Of[quantity.Metres], sex, level string) Ability {
	of := func(action string) Movement {
		m, err := Default(action, sex, level)
		if err != nil {
			panic("timing: " + err.Error()) // the names are our own
		}
		return m
	}
	return Ability{
		Gap: gap, Extension: of(Extension), Lunge: of(Lunge), StepLunge: of(StepLunge), Fleche: of(Fleche), StepIn: of(StepIn), StepBack: of(Retreat),
		Visual: VisualAmong(2), Touch: TactileAmong(2),
		Lateral: quantity.Normal(ParryTime, ParryTimeSD), Circular: quantity.Normal(CircularParryTime, CircularParryTimeSD),
		Opposition: quantity.Normal(OppositionTime, OppositionTimeSD), Disengage: quantity.Normal(DisengageTime, DisengageTimeSD),
		Remise: quantity.Normal(RemiseTime, RemiseTimeSD),
		Cue:    quantity.Uniform(CueShareLow, CueShareHigh), Lead: quantity.Normal(HandLead, HandLeadSD),
		OnBody: quantity.Normal(OnBody, OnBodySD), OnHand: quantity.Normal(OnHand, OnHandSD), Holding: quantity.Normal(Holding, HoldingSD),
		Finding: quantity.Normal(Finding, FindingSD), Remising: quantity.Normal(Remising, RemisingSD),
	}
}

// OnGuard is two fencers at a measure before either has done anything. Index 0 is the
// left fencer. GapCorrelation is how much the errors of the two gaps go together.
type OnGuard struct {
	Fencers        [2]Ability
	GapCorrelation quantity.Ratio
}

// PhraseEnds is how likely a phrase ends in each way; they sum to 1.
type PhraseEnds struct{ Left, Both, Right, Nothing quantity.Chance }

// Meets is how each plan of the left fencer meets each of the right one.
type Meets struct {
	// Draws has, for each plan of the left fencer and each of the right one, a draw of
	// the chances for each draw of what is not known. Draws of the same number belong
	// together over all pairs.
	Draws [][][]PhraseEnds
	// Mean of the draws.
	Mean [][]PhraseEnds
	// Served is how often the answer was in time: the parry met the blade, the counter
	// registered first, the attack fell short, the counter that was drawn was taken.
	// Where both go it is how often the left point was first. 0 where both wait.
	Served [][]quantity.Chance
	// Goes names the movement with which each side attacks from this gap most often.
	Goes [2]string
	// Unknown and Trials are how many draws of what is not known there are, and how many
	// phrases each.
	Unknown, Trials int
}

// Numbers of draws that serve.
const (
	// MeetsUnknown is how many draws of what is not known there are: they place the ends
	// of a 95 % interval to about 0.9 % of the draws (binomial).
	MeetsUnknown = 300
	// MeetsTrials is how many phrases each of them has: the mean of all 4,800 is right to
	// ±0.007 at worst.
	MeetsTrials = 16
)

// Meet lets every plan of the left fencer meet every one of the right fencer, both
// decided before the other's is known. Chances are drawn on two levels: unknown times
// over what is not known of the two (gaps, means of their movements and reactions, how
// often they hit, hold and find), and for each of these over that many trials, what
// changes from phrase to phrase. What the two levels have in common in the usual
// spreads is parted by TrialShare. The draws of chances are those of the outer level;
// the noise of counting few trials is taken off them by drawing each in to the mean of
// its pair so far that the variance is that of the chances alone,
//
//	λ² = max(0, 1 − Σ p̂(1−p̂)/(n−1) / Σ var p̂).
//
// One phrase: who goes attacks with the arm, a lunge or a step and lunge, the first
// that reaches with Usable of its body's travel, and is seen after Cue of the travel.
// The other starts a reaction later:
//
//   - a counter runs to the hand of the attacker, which the attack itself brings nearer;
//   - a parry must be there before the point, is the larger the nearer the hand is
//     (Sized by the angle atan(w/D)), and is followed by a riposte against the remise, as in
//     AfterParry: along the blade where it holds;
//   - a step back must leave the attack short.
//
// A feint's disengage is placed beforehand at the middle of the parry that must come. It
// deceives where it ends while that parry moves, is met where it ends later (a disengage
// must be over before the blades meet), and shows the true line where it ends earlier. Who was deceived may parry again, by a reaction and a circular
// parry. Taking meets the blade after the time of a parry unless the other has started
// before; a held blade comes free a reaction by touch and a disengage later. Drawing
// takes what comes in the same way, beforehand or on sight, before it arrives. Where
// both go, the instants differ by MomentSD and each runs onto the other's point. Points
// that arrive hit with OnBody or OnHand; lamps are those of the apparatus.
//
// Two who wait do nothing. The model ends with the first lamps or with one riposte and
// one remise, and knows no second intention beyond these, no fatigue and no end of the
// piste.
//
// Errors: *InputError for a number that cannot be used, and for fewer than 2 unknown or
// trials. Sources stand at the constants.
func (o OnGuard) Meet(app Apparatus, left, right []Plan, unknown, trials int, src rand.Source) (Meets, error) {
	if unknown < 2 || trials < 2 || unknown > MaxDraws/trials {
		return Meets{}, &InputError{"number of draws", float64(unknown) * float64(trials), "at least 2 of each and at most 10 million phrases"}
	}
	m, err := newMeeter(o, app)
	if err != nil {
		return Meets{}, err
	}
	for side, plans := range [2][]Plan{left, right} {
		for _, p := range plans {
			if !known(p) {
				return Meets{}, &InputError{[2]string{"left", "right"}[side] + " plan " + string(p), 0, "one of timing.Plans"}
			}
		}
	}
	c := newMeetCounts(left, right, unknown, trials)
	c.run(m, &stream{src.Uint64()})
	return c.meets(m), nil
}

func known(p Plan) bool {
	for _, q := range Plans() {
		if p == q {
			return true
		}
	}
	return false
}

// meetCounts counts the ends of all pairs.
type meetCounts struct {
	left, right     []Plan
	unknown, trials int
	n               []int32 // pair, draw, end
	served          []int
	went            [2][4]int
}

func newMeetCounts(left, right []Plan, unknown, trials int) *meetCounts {
	pairs := len(left) * len(right)
	return &meetCounts{left: left, right: right, unknown: unknown, trials: trials, n: make([]int32, pairs*unknown*4), served: make([]int, pairs)}
}

func (c *meetCounts) run(m *meeter, rng *stream) {
	var p phrase
	for d := range c.unknown {
		m.know(rng)
		for range c.trials {
			m.next(&p, rng)
			for side := range 2 {
				c.went[side][p.s[side].goes]++
			}
			k := 0
			for _, l := range c.left {
				for _, r := range c.right {
					end, served := p.meet(l, r)
					c.n[(k*c.unknown+d)*4+int(end)]++
					if served {
						c.served[k]++
					}
					k++
				}
			}
		}
	}
}

// meets makes chances of the counts.
func (c *meetCounts) meets(m *meeter) Meets {
	out := Meets{Unknown: c.unknown, Trials: c.trials}
	for side := range 2 {
		most := 0
		for i, n := range c.went[side] {
			if n > c.went[side][most] {
				most = i
			}
		}
		out.Goes[side] = goings[most]
	}
	k := 0
	for range c.left {
		var draws [][]PhraseEnds
		var mean []PhraseEnds
		var served []quantity.Chance
		for range c.right {
			d, at := c.chances(k)
			draws, mean = append(draws, d), append(mean, at)
			served = append(served, quantity.Chance(float64(c.served[k])/float64(c.unknown*c.trials)))
			k++
		}
		out.Draws, out.Mean, out.Served = append(out.Draws, draws), append(out.Mean, mean), append(out.Served, served)
	}
	return out
}

// chances are the draws of one pair, drawn in, and their mean.
func (c *meetCounts) chances(k int) ([]PhraseEnds, PhraseEnds) {
	counts := c.n[k*c.unknown*4 : (k+1)*c.unknown*4]
	n := float64(c.trials)
	var mean [4]float64
	for i, v := range counts {
		mean[i%4] += float64(v) / (n * float64(c.unknown))
	}
	noise, spread := 0.0, 0.0
	for i, v := range counts {
		p := float64(v) / n
		noise += float64(p*(1-p)) / (n - 1)
		spread += float64((p - mean[i%4]) * (p - mean[i%4]))
	}
	in := 0.0
	if spread > noise {
		in = math.Sqrt(1 - noise/spread)
	}
	out := make([]PhraseEnds, c.unknown)
	for d := range out {
		var p [4]float64
		for e := range p {
			p[e] = mean[e] + float64(in*(float64(counts[d*4+e])/n-mean[e]))
		}
		out[d] = endsOf(p)
	}
	return out, endsOf(mean)
}

func endsOf(p [4]float64) PhraseEnds {
	c := func(e meetEnd) quantity.Chance { return quantity.Chance(max(0, p[e])) }
	return PhraseEnds{Left: c(endLeft), Both: c(endBoth), Right: c(endRight), Nothing: c(endNothing)}
}

package demo

import (
	"math"
	"math/rand/v2"

	"mesure/quantity"
	"mesure/sport/bout"
	"mesure/timing"
)

// Difference is in what the simulated fencers and the camera differ from what the
// predictions suppose. The zero value is no difference but that of the slanting
// lines, which is always there.
type Difference struct {
	// Early lets the speed of a movement peak before its middle: its share of the way
	// is the minimum-jerk curve of τ^(1−Early) in place of τ, τ the share of the time.
	// 0.15 puts the peak at 42 % of the time.
	Early float64
	// OneBody is the correlation of a fencer's reaction, movement times and parry
	// times: who is quick in one is quick in all.
	OneBody float64
	// LateTail is the share of the variance of a reaction that lies in an exponential
	// tail (ex-Gaussian), with mean and SD unchanged.
	LateTail float64
	// QuickAttack lets the attacker's movement take less time, by this share.
	QuickAttack float64
	// Noisier lets the camera err by this share more than it states.
	Noisier float64
	// Level puts every target at the height of the point that is aimed at it.
	Level bool
	// Stiff leaves a point at its height while its own fencer does not move, where
	// otherwise the hand keeps it on the line to its target: a target on a slanting
	// line may then pass it by.
	Stiff bool
}

// What is drawn of each touch besides the bodies (own assumptions).
const (
	trialFrames = 50 // a second
	// An attack starts at most so long before, or after, the frame that is measured.
	onsetBefore, onsetAfter = 0.08, 0.20
	// The attack starts from this share of its usual reach, and the other's point is
	// nearer or farther by so much, in metres.
	reachFrom, reachTo       = 0.3, 1.1
	otherNearer, otherFarter = 0.4, 0.5
	leastGap                 = 0.15
	// The camera states so many metres for each coordinate of a place, and so great
	// an error of its scale.
	placeSDFrom, placeSDTo = 0.01, 0.04
	scaleSD                = 0.01
)

// fencing is one simulated touch: the truth, and what was measured of it. Sides are
// timing.Left and timing.Right; times count from the frame that is measured.
type fencing struct {
	attacker int
	bodies   [2]body
	// point of each side, and the target of each side that the other's point is aimed
	// at, in the plane of action: metres along the piste and up. onArm is how far a
	// target goes along with the own arm.
	point, target [2]place
	onArm         [2]float64
	// Of the apparatus: the window, and the contact of each point.
	window  float64
	contact [2]float64
	answers answering
	stiff   bool
	// coming is a defender who comes forward by a decision made before the attack, and
	// may answer it all the same.
	coming bool

	race     timing.Race
	exchange timing.Exchange
	app      timing.Apparatus
}

// place is in the plane of action.
type place struct{ x, z float64 }

// body is one fencer's movement as it truly is: lengths, times, and the onset.
type body struct {
	arm, armTime, body, bodyTime, delay, onset float64
	early                                      float64
}

// answering is what the defender truly brings.
type answering struct {
	cue, reaction                                float64
	lateral, semi, circular, opposition, removal float64
	extension, back                              body
}

// luck draws numbers of one fencer, who may be quick in everything.
type luck struct {
	*rand.Rand
	of   float64 // standard normal, of the fencer
	pace float64 // by which all times are longer
	Difference
}

// normal draws within [lo, ∞) again and again.
func (l *luck) normal(mean, sd, lo float64) float64 {
	for {
		if v := mean + sd*l.NormFloat64(); v >= lo {
			return v
		}
	}
}

// length draws a length on the side of its mean.
func (l *luck) length(q quantity.Of[quantity.Metres]) float64 {
	m := float64(q.Mean)
	if m < 0 {
		return -l.normal(-m, float64(q.SD), 0)
	}
	if m == 0 {
		return 0
	}
	return l.normal(m, float64(q.SD), 0)
}

// span draws a time of this fencer, at least a fifth of its mean.
func (l *luck) span(q quantity.Of[quantity.Seconds]) float64 {
	m := float64(q.Mean)
	for {
		if v := m + float64(q.SD)*l.own(); v >= 0.2*m {
			return v * l.pace
		}
	}
}

// own is a standard normal number that goes with the fencer's quickness.
func (l *luck) own() float64 {
	return math.Sqrt(l.OneBody)*l.of + math.Sqrt(1-l.OneBody)*l.NormFloat64()
}

// reaction draws a reaction with its cost of choosing, in seconds.
func (l *luck) reaction(bits float64) float64 {
	simple, choice := timing.Visual(), timing.PerChoice()
	mean := float64(simple.Mean) + bits*float64(choice.Mean)
	sd := math.Hypot(float64(simple.SD), bits*float64(choice.SD))
	for {
		tail := sd * math.Sqrt(l.LateTail)
		v := mean - tail + tail*l.ExpFloat64() + sd*math.Sqrt(1-l.LateTail)*l.own()
		if v >= 0 {
			return v * l.pace
		}
	}
}

// move draws a movement of this fencer.
func (l *luck) move(m timing.Movement) body {
	b := body{arm: l.length(m.Arm), body: l.length(m.Body), armTime: 1, bodyTime: 1, early: l.Early}
	if b.arm != 0 {
		b.armTime = l.span(m.ArmTime)
	}
	if b.body != 0 {
		b.bodyTime = l.span(m.BodyTime)
		b.delay = float64(m.Delay.Mean) + float64(m.Delay.SD)*l.NormFloat64()
	}
	return b
}

func (l *luck) between(lo, hi float64) float64 { return lo + (hi-lo)*l.Float64() }

// pick draws one of the words, each as often as it stands there.
func pick[T any](l *luck, of ...T) T { return of[l.IntN(len(of))] }

// fence draws a touch and measures it.
func fence(o ReliabilityOptions, number uint64) *fencing {
	chance := rand.New(rand.NewPCG(o.Seed, number))
	var who [2]*luck
	for s := range who {
		who[s] = &luck{chance, chance.NormFloat64(), 1, o.Differs}
	}
	attacker := chance.IntN(2)
	f := &fencing{attacker: attacker, app: trialApparatus(), stiff: o.Differs.Stiff}
	a, d := who[attacker], who[1-attacker]
	a.pace -= o.Differs.QuickAttack

	// Who does what, and as whom the coach takes them.
	attack := usual(pick(a, timing.Extension, timing.Lunge, timing.Lunge, timing.StepLunge, timing.Fleche), a)
	other := usual(pick(d, timing.Extension, timing.Extension, timing.Extension, timing.Lunge, timing.Lunge, timing.StepLunge,
		timing.Retreat, timing.Retreat, timing.None), d)
	f.bodies[attacker], f.bodies[1-attacker] = a.move(attack), d.move(other)

	// Where they are: both gaps, each on a line that rises or falls.
	var gap [2]float64
	gap[attacker] = float64(attack.Reach().Mean) * a.between(reachFrom, reachTo)
	gap[1-attacker] = max(leastGap, gap[attacker]+d.between(-otherNearer, otherFarter))
	for s := range gap {
		onArm, high := 0.0, 0.0
		switch l := who[1-s]; pick(l, "hand", "forearm", "trunk", "trunk", "leg") {
		case "hand":
			onArm, high = 1, l.between(-0.1, 0.1)
		case "forearm":
			onArm, high = 0.5, l.between(-0.1, 0.15)
		case "trunk":
			high = l.between(-0.2, 0.2)
		case "leg":
			high = l.between(-0.7, -0.4)
		}
		high = max(-0.8*gap[s], min(0.8*gap[s], high))
		if o.Differs.Level {
			high = 0
		}
		f.onArm[1-s] = onArm
		f.put(s, gap[s], high)
	}

	// When each starts, and how that is seen.
	choices := pick(d, 1, 2, 4)
	bits := math.Log2(float64(choices))
	f.answers = d.answering(bits)
	var onsets [2]timing.Onset
	f.bodies[attacker].onset, onsets[attacker] = a.starts(-onsetBefore, onsetAfter)
	if d.Float64() < 0.5 {
		f.bodies[1-attacker].onset = f.bodies[attacker].onset + f.answers.reaction
		onsets[1-attacker] = timing.Reacting(timing.Visual(), timing.PerChoice(), choices)
	} else {
		f.bodies[1-attacker].onset, onsets[1-attacker] = d.starts(-onsetBefore, 2*onsetAfter)
	}

	w, c := f.app.Window-f.app.Tolerance, f.app.ContactMin
	f.window = a.between(float64(w), float64(w+2*f.app.Tolerance))
	for s := range f.contact {
		f.contact[s] = a.between(float64(c), float64(f.app.ContactMax))
	}

	measured, together := f.measure(a)
	f.race.GapCorrelation = together
	for s := range f.race.Runners {
		m := other
		if s == attacker {
			m = attack
		}
		f.race.Runners[s] = timing.Runner{Gap: measured[s], Movement: m, Onset: onsets[s], TargetOnArm: quantity.Ratio(f.onArm[1-s])}
	}
	f.exchange = timing.Exchange{Attack: timing.NewAttack(measured[attacker], attack), Defence: timing.NewDefence(measured[1-attacker]), GapCorrelation: together}
	f.exchange.Attack.Onset = onsets[attacker]
	f.exchange.Defence.TargetOnArm = quantity.Ratio(f.onArm[attacker])
	f.exchange.Defence.Reaction = timing.VisualAmong(choices)
	if f.coming = !onsets[1-attacker].AfterOther && other.Body.Mean > 0; f.coming {
		f.exchange.Defence.Coming = timing.Runner{Movement: other, Onset: onsets[1-attacker]}
		f.exchange.Attack.TargetOnArm = quantity.Ratio(f.onArm[1-attacker])
	}
	return f
}

// put places the point of a side and the target that it is aimed at: a gap apart,
// the target higher by this much. The left fencer looks along +x.
func (f *fencing) put(s int, gap, high float64) {
	ahead := 1.0
	if s == timing.Right {
		ahead = -1
	}
	f.point[s] = place{-ahead, 1.1}
	f.target[1-s] = place{f.point[s].x + ahead*math.Sqrt(gap*gap-high*high), 1.1 + high}
}

// starts draws an onset, and what is seen of it: the two frames between which it
// lies, or that it is the frame that is measured.
func (l *luck) starts(from, to float64) (float64, timing.Onset) {
	if l.Float64() < 0.3 {
		return 0, timing.Simultaneous()
	}
	at := l.between(from, to)
	frame := math.Floor(at * trialFrames)
	seen := quantity.Uniform(quantity.Seconds(frame/trialFrames), quantity.Seconds((frame+1)/trialFrames))
	return at, timing.Observed(seen, true)
}

// answering draws what the defender brings.
func (l *luck) answering(bits float64) answering {
	usual := timing.NewDefence(quantity.Exactly(quantity.Metres(1)))
	a := answering{reaction: l.reaction(bits), extension: l.move(usual.Extension), back: l.move(usual.StepBack),
		cue: l.between(float64(timing.CueShareLow), float64(timing.CueShareHigh))}
	// A hand that is quick in one parry is quick in all.
	share := (l.span(usual.Lateral)/l.pace - float64(usual.Lateral.Mean)) / float64(usual.Lateral.SD)
	for to, q := range map[*float64]quantity.Of[quantity.Seconds]{&a.lateral: usual.Lateral, &a.semi: usual.Semicircular, &a.circular: usual.Circular} {
		*to = (float64(q.Mean) + share*float64(q.SD)) * l.pace
	}
	a.opposition, a.removal = l.span(usual.Opposition), l.span(usual.Removal)
	return a
}

// measure is one look of a camera at both points and both targets: each coordinate
// with an error, all with one error of scale. It returns both gaps with their ±, and
// how much their errors go together.
func (f *fencing) measure(l *luck) (gaps [2]quantity.Of[quantity.Metres], together quantity.Ratio) {
	sd := l.between(placeSDFrom, placeSDTo)
	off := func() float64 { return sd * (1 + l.Noisier) * l.NormFloat64() }
	scale := 1 + scaleSD*(1+l.Noisier)*l.NormFloat64()
	var cov [3][3]float64
	cov[0][0], cov[2][2] = 2*sd*sd, 2*sd*sd
	shared, own := 1.0, 1.0
	for s := range gaps {
		p, t := f.point[s], f.target[1-s]
		g := quantity.Distance([3]quantity.Metres{
			quantity.Metres((t.x-p.x)*scale + off() - off()), 0,
			quantity.Metres((t.z-p.z)*scale + off() - off())}, cov)
		byScale := scaleSD * float64(g.Mean)
		total := math.Hypot(float64(g.SD), byScale)
		gaps[s] = quantity.Normal(g.Mean, quantity.Metres(total))
		shared, own = shared*byScale, own*total
	}
	return gaps, quantity.Ratio(shared / own)
}

// usual is a movement with the numbers that the coach would take for this fencer.
func usual(action string, l *luck) timing.Movement {
	m, err := timing.Default(action, pick(l, "m", "f"), pick(l, "club", "elite"))
	if err != nil {
		panic("demo: " + err.Error())
	}
	return m
}

// trialApparatus is the épée's.
func trialApparatus() timing.Apparatus {
	ms := func(v float64) quantity.Seconds { return quantity.Seconds(v / 1000) }
	return timing.Apparatus{Window: ms(bout.EpeeWindowMS), Tolerance: ms(bout.EpeeToleranceMS),
		ContactMin: ms(bout.EpeeContactMinMS), ContactMax: ms(bout.EpeeContactMaxMS)}
}

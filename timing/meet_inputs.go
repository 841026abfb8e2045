package timing

import (
	"math"

	"mesure/quantity"
)

// The uncertain inputs of one fencer in a phrase, in the order of their draws.
const (
	mGap = iota
	mArm
	mArmTime
	mBody // of the lunge, the step and lunge or the flèche: one luck for all
	mBodyTime
	mDelay
	mIn
	mInTime
	mBack
	mBackTime
	mCue
	mVisual
	mSimple // the visual reaction of who expects just this
	mTouch
	mParry // one luck for all that the blade does on the other
	mDisengage
	mLead
	mRemise
	mHold
	mOnBody
	mOnHand
	mHolding
	mFinding
	mRemising
	mMoment
	mPlanned
	mInputs // how many
)

// goings are the movements of who goes, by place; the flèche is chosen by plan alone.
var goings = [4]string{Extension, Lunge, StepLunge, Fleche}

// what is not known of an input and what changes from phrase to phrase, as shares of
// its standard deviation.
const (
	bothLevels = iota
	knowledge
	execution
)

// meetInput is one input: its law and how the law is parted.
type meetInput struct {
	law
	level int
}

// meeter holds what is fixed over the draws of a meeting.
type meeter struct {
	in [2][mInputs]meetInput
	// bodies, times and delays of the goings, and the other parries, drawn with the
	// number of mBody, mBodyTime, mDelay, mParry.
	bodies           [2][4][3]law
	circular, oppose [2]law
	corr, rest       float64
	window, contact  input
	outer, inner     float64 // shares of the standard deviation
	// plannedParry and plannedCounter are when a side expects, beforehand, the middle of
	// the other's parry and the counter on its way.
	plannedParry, plannedCounter [2]float64
	// What is not known, as drawn last: the normal numbers, the values of what changes
	// with it alone, and the movement by which each side goes.
	z, known [2][mInputs]float64
	goes     [2]int
	mean     phrase // everything at its mean
}

func newMeeter(o OnGuard, app Apparatus) (*meeter, error) {
	m := &meeter{corr: float64(o.GapCorrelation), outer: math.Sqrt(1 - float64(TrialShare)), inner: math.Sqrt(float64(TrialShare))}
	if !(m.corr >= -1 && m.corr <= 1) {
		return nil, &InputError{"correlation of the gaps", m.corr, "between -1 and 1"}
	}
	m.rest = math.Sqrt(1 - float64(m.corr*m.corr))
	if err := app.check(); err != nil {
		return nil, err
	}
	m.window = bandInput(app.Window-app.Tolerance, app.Window+app.Tolerance)
	m.contact = bandInput(app.ContactMin, app.ContactMax)
	for side, a := range o.Fencers {
		if err := m.side(side, [2]string{"left ", "right "}[side], a); err != nil {
			return nil, err
		}
	}
	m.usual()
	return m, nil
}

// side takes one fencer in.
func (m *meeter) side(side int, whose string, a Ability) error {
	set := func(i, level int, in input, err error) error {
		m.in[side][i] = meetInput{lawOf(in), level}
		return err
	}
	ext, err := inputsOf(whose+"extension", Runner{Gap: a.Gap, Movement: a.Extension})
	if err != nil {
		return err
	}
	if !(ext[inArmTravel].mean > 0) {
		return &InputError{whose + "extension arm travel", ext[inArmTravel].mean, "towards the opponent: positive"}
	}
	set(mGap, knowledge, ext[inGap], nil)
	set(mArm, bothLevels, ext[inArmTravel], nil)
	set(mArmTime, bothLevels, ext[inArmTime], nil)
	for k, mv := range []Movement{{}, a.Lunge, a.StepLunge, a.Fleche} {
		in, err := inputsOf(whose+goings[k], Runner{Movement: mv})
		if err != nil {
			return err
		}
		if k > 0 && !(in[inBodyTravel].mean > 0) {
			return &InputError{whose + goings[k] + " body travel", in[inBodyTravel].mean, "towards the opponent: positive"}
		}
		m.bodies[side][k] = [3]law{lawOf(in[inBodyTravel]), lawOf(in[inBodyTime]), lawOf(in[inBodyDelay])}
	}
	unit := input{sd: 1, lo: math.Inf(-1), hi: math.Inf(1)}
	for _, i := range []int{mBody, mBodyTime, mDelay} {
		set(i, bothLevels, unit, nil)
	}
	in, err := inputsOf(whose+"step in", Runner{Movement: a.StepIn})
	if err != nil {
		return err
	}
	set(mIn, bothLevels, in[inBodyTravel], nil)
	set(mInTime, bothLevels, in[inBodyTime], nil)
	back, err := inputsOf(whose+"step back", Runner{Movement: a.StepBack})
	if err != nil {
		return err
	}
	if !(in[inBodyTravel].mean > 0) || !(back[inBodyTravel].mean < 0) {
		return &InputError{whose + "steps", back[inBodyTravel].mean, "forward for the step in and backward for the step back"}
	}
	set(mBack, bothLevels, back[inBodyTravel], nil)
	set(mBackTime, bothLevels, back[inBodyTime], nil)
	lo, hi := float64(a.Cue.Mean)-math.Sqrt(3)*float64(a.Cue.SD), float64(a.Cue.Mean)+math.Sqrt(3)*float64(a.Cue.SD)
	if !(lo >= -1e-12 && hi <= 1 && a.Cue.SD >= 0) {
		return &InputError{whose + "share of the attack that shows it", float64(a.Cue.Mean), "between 0 and 1, with its whole band"}
	}
	set(mCue, bothLevels, input{mean: float64(a.Cue.Mean), sd: float64(a.Cue.SD), lo: 0, hi: 1, uniform: true}, nil)
	simple := a.Visual
	simple.Bits = 0
	for _, r := range []struct {
		i int
		r Reaction
	}{{mVisual, a.Visual}, {mSimple, simple}, {mTouch, a.Touch}} {
		in, err := r.r.input()
		if err := set(r.i, bothLevels, in, err); err != nil {
			return err
		}
	}
	var kinds [2]input
	for _, k := range []struct {
		field string
		q     quantity.Of[quantity.Seconds]
		to    *input
		i     int
	}{
		{"time of the parry", a.Lateral, nil, mParry}, {"time of the circular parry", a.Circular, &kinds[0], 0}, {"time of the opposition", a.Opposition, &kinds[1], 0},
		{"time of the disengage", a.Disengage, nil, mDisengage}, {"time of the remise", a.Remise, nil, mRemise},
	} {
		in, err := spanInput(whose+k.field, k.q)
		if err != nil {
			return err
		}
		if k.to != nil {
			*k.to = in
		} else {
			set(k.i, bothLevels, in, nil)
		}
	}
	m.circular[side], m.oppose[side] = lawOf(kinds[0]), lawOf(kinds[1])
	hold, err := timeInput(whose+"hold", a.Hold)
	hold.lo = 0
	if err := set(mHold, bothLevels, hold, err); err != nil {
		return err
	}
	lead, err := lengthInput(whose+"lead of the hand", a.Lead, 0, math.Inf(1))
	if err := set(mLead, bothLevels, lead, err); err != nil {
		return err
	}
	for _, k := range []struct {
		field string
		q     quantity.Of[quantity.Chance]
		i     int
	}{{"hits on the body", a.OnBody, mOnBody}, {"hits on the hand", a.OnHand, mOnHand}, {"holding", a.Holding, mHolding}, {"finding", a.Finding, mFinding}, {"remising", a.Remising, mRemising}} {
		v, sd := float64(k.q.Mean), float64(k.q.SD)
		if !(v >= 0 && v <= 1 && sd >= 0 && sd <= 1) {
			return &InputError{whose + "chance of " + k.field, v, "a chance between 0 and 1, with its spread"}
		}
		set(k.i, knowledge, input{mean: v, sd: sd, lo: 0, hi: 1}, nil)
	}
	set(mMoment, execution, input{sd: float64(MomentSD), lo: math.Inf(-1), hi: math.Inf(1)}, nil)
	set(mPlanned, execution, input{sd: float64(PlannedSD), lo: math.Inf(-1), hi: math.Inf(1)}, nil)
	return nil
}

// usual sets the phrase in which everything is at its mean: by it each side places
// beforehand what it plans.
func (m *meeter) usual() {
	for side := range 2 {
		s := &m.mean.s[side]
		for i := range s.x {
			s.x[i] = m.in[side][i].at(0)
		}
		for k := range goings {
			b := &m.bodies[side][k]
			s.body[k] = [3]float64{b[0].at(0), b[1].at(0), b[2].at(0)}
		}
		s.cueTau = MinimumJerkTime(s.x[mCue])
	}
}

// plan places what a side decides beforehand at this gap, by what is usual of both: the
// middle of the parry that answers its attack, and the middle of the way of the counter.
func (m *meeter) plan(side int) {
	p := &m.mean
	for k := range 2 {
		p.s[k].x[mGap], p.s[k].goes = m.known[k][mGap], m.goes[k]
	}
	w := &p.s[1-side]
	m.plannedParry[side] = p.attackOf(side, Feinting, 0).seen(w.cueTau) + w.x[mVisual] + w.x[mParry]/2
	a := p.attackOf(side, Drawing, 0)
	ready := a.seen(w.cueTau) + w.x[mVisual]
	m.plannedCounter[side] = ready + min(p.counter(1-side, a, ready, Countering)-ready, w.x[mArmTime])/2
}

// know draws what is not known.
func (m *meeter) know(rng *stream) {
	for side := range 2 {
		for i := range mInputs {
			m.z[side][i] = rng.normal()
		}
	}
	if m.corr != 0 {
		m.z[Right][mGap] = float64(m.corr*m.z[Left][mGap]) + float64(m.rest*m.z[Right][mGap])
	}
	for side := range 2 {
		for i := range mInputs {
			if in := &m.in[side][i]; in.level == knowledge {
				m.known[side][i] = in.at(m.z[side][i])
			}
		}
		gap, arm := m.known[side][mGap], m.in[side][mArm].at(m.outer*m.z[side][mArm])
		body := func(k int) float64 { return m.bodies[side][k][0].at(m.outer * m.z[side][mBody]) }
		switch {
		case gap <= arm:
			m.goes[side] = 0
		case gap <= arm+float64(float64(Usable)*body(1)):
			m.goes[side] = 1
		default:
			m.goes[side] = 2
		}
	}
	for side := range 2 {
		m.plan(side)
	}
}

// next draws what changes from phrase to phrase.
func (m *meeter) next(p *phrase, rng *stream) {
	for side := range 2 {
		s := &p.s[side]
		var z [mInputs]float64
		for i := range z {
			in := &m.in[side][i]
			switch {
			case in.level == knowledge:
				s.x[i] = m.known[side][i]
				continue
			case in.level == execution:
				z[i] = rng.normal()
			case i == mSimple: // quick to what may come, quick to what must come
				z[i] = z[mVisual]
			default:
				z[i] = float64(m.outer*m.z[side][i]) + float64(m.inner*rng.normal())
			}
			s.x[i] = in.at(z[i])
		}
		s.goes = m.goes[side]
		for k := range goings {
			b := &m.bodies[side][k]
			s.body[k] = [3]float64{b[0].at(z[mBody]), b[1].at(z[mBodyTime]), b[2].at(z[mDelay])}
		}
		s.circular, s.oppose = m.circular[side].at(z[mParry]), m.oppose[side].at(z[mParry])
		s.cueTau = MinimumJerkTime(s.x[mCue])
		s.plannedParry, s.plannedCounter = m.plannedParry[side]+s.x[mPlanned], m.plannedCounter[side]+s.x[mPlanned]
		s.contact = m.contact.part(rng.bits())
		for i := range s.roll {
			s.roll[i] = rng.unit()
		}
	}
	p.window = m.window.part(rng.bits())
}

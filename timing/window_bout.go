package timing

import (
	"math"

	"mesure/quantity"
)

// The uncertain inputs of an exchange, in the order of their draws.
const (
	wGap = iota
	wArm
	wArmTime
	wBody
	wBodyTime
	wDelay
	wOnset
	wCue
	wWindow
	wContact
	wOwnGap
	wOwnArm
	wOwnArmTime
	wOwnContact
	wBack
	wBackTime
	wBackDelay
	wParry // one for all kinds
	wOppose
	wRemove
	wReAim
	wReaction
	wComing
	wComingTime
	wComingAt
	wComingArm // the share of it that carries the attacker's target
	wComingArmTime
	wComingArmAt
	wInputs // how many
)

// bout holds what is fixed over the draws of an exchange.
type bout struct {
	in             [wInputs]law
	semi, circular law // drawn with the number of wParry
	onArm          float64
	corr, rest     float64
}

// newBout checks an exchange.
func newBout(x Exchange, app Apparatus) (*bout, error) {
	b := &bout{onArm: float64(x.Defence.TargetOnArm), corr: float64(x.GapCorrelation)}
	a, d := x.Attack, x.Defence
	if a.Onset.AfterOther {
		return nil, &BothReactError{}
	}
	mine, err := inputsOf("attack", Runner{Gap: a.Gap, Movement: a.Movement, Onset: a.Onset})
	if err != nil {
		return nil, err
	}
	own, err := inputsOf("defence", Runner{Gap: d.Gap, Movement: d.Extension, TargetOnArm: d.TargetOnArm})
	if err != nil {
		return nil, err
	}
	back, err := inputsOf("step back", Runner{Movement: d.StepBack})
	if err != nil {
		return nil, err
	}
	if err := b.directions(a, d); err != nil {
		return nil, err
	}
	if err := app.check(); err != nil {
		return nil, err
	}
	if !(b.corr >= -1 && b.corr <= 1) {
		return nil, &InputError{"correlation of the gaps", b.corr, "between -1 and 1"}
	}
	b.rest = math.Sqrt(1 - float64(b.corr*b.corr))
	var in [wInputs]input
	copy(in[wGap:wCue], []input{mine[inGap], mine[inArmTravel], mine[inArmTime], mine[inBodyTravel], mine[inBodyTime], mine[inBodyDelay], mine[inOnset]})
	in[wOwnGap], in[wOwnArm], in[wOwnArmTime] = own[inGap], own[inArmTravel], own[inArmTime]
	in[wBack], in[wBackTime], in[wBackDelay] = back[inBodyTravel], back[inBodyTime], back[inBodyDelay]
	if err := comingInputs(d.Coming, float64(a.TargetOnArm), in[wComing:wComingArmAt+1]); err != nil {
		return nil, err
	}
	in[wWindow] = bandInput(app.Window-app.Tolerance, app.Window+app.Tolerance)
	in[wContact] = bandInput(app.ContactMin, app.ContactMax)
	in[wOwnContact] = in[wContact]
	in[wReAim] = input{mean: float64(ReAimTime), sd: float64(ReAimTimeSD), lo: 0, hi: math.Inf(1)}
	lo, hi := float64(a.Cue.Mean)-math.Sqrt(3)*float64(a.Cue.SD), float64(a.Cue.Mean)+math.Sqrt(3)*float64(a.Cue.SD)
	if !(lo >= -1e-12 && hi <= 1 && a.Cue.SD >= 0) {
		return nil, &InputError{"share of the attack that shows it", float64(a.Cue.Mean), "between 0 and 1, with its whole band"}
	}
	in[wCue] = input{mean: float64(a.Cue.Mean), sd: float64(a.Cue.SD), lo: 0, hi: 1, uniform: true}
	var kinds [2]input
	for _, k := range []struct {
		field string
		q     quantity.Of[quantity.Seconds]
		to    *input
	}{
		{"time of the lateral parry", d.Lateral, &in[wParry]}, {"time of the semicircular parry", d.Semicircular, &kinds[0]},
		{"time of the circular parry", d.Circular, &kinds[1]}, {"time of the opposition", d.Opposition, &in[wOppose]},
		{"time to remove the target", d.Removal, &in[wRemove]},
	} {
		if *k.to, err = spanInput(k.field, k.q); err != nil {
			return nil, err
		}
	}
	if in[wReaction], err = d.Reaction.input(); err != nil {
		return nil, err
	}
	for i := range in {
		b.in[i] = lawOf(in[i])
	}
	b.semi, b.circular = lawOf(kinds[0]), lawOf(kinds[1])
	return b, nil
}

// comingInputs sets travel, time and start of the body of a defender who comes forward,
// and then of the arm as far as it carries the target; where nobody comes it sets nothing.
func comingInputs(c Runner, onArm float64, in []input) error {
	if !(onArm >= 0 && onArm <= 1) {
		return &InputError{"share of the arm in the attacker's target", onArm, "between 0 and 1"}
	}
	if c.Movement.Body == (quantity.Of[quantity.Metres]{}) {
		return nil
	}
	r, err := inputsOf("coming defender", Runner{Movement: c.Movement, Onset: c.Onset})
	if err != nil {
		return err
	}
	switch body := c.Movement.Body.Mean; {
	case c.Onset.AfterOther:
		return &InputError{"start of the coming defender", float64(c.Onset.Time.Mean), "an instant: who comes forward in answer to the attack does not come into it"}
	case body <= 0:
		return &InputError{"coming defender body travel", float64(body), "towards the attacker: positive; leave out who does not come"}
	}
	copy(in, []input{r[inBodyTravel], r[inBodyTime],
		// The start of the body: the delay goes with it.
		{mean: r[inOnset].mean + r[inBodyDelay].mean, sd: math.Hypot(r[inOnset].sd, r[inBodyDelay].sd), lo: math.Inf(-1), hi: math.Inf(1)},
		r[inArmTravel], r[inArmTime], r[inOnset]})
	arm := &in[3]
	arm.mean, arm.sd, arm.lo, arm.hi = onArm*arm.mean, onArm*arm.sd, onArm*arm.lo, onArm*arm.hi
	if onArm == 0 {
		arm.lo, arm.hi = 0, 0
	}
	return nil
}

// spanInput is timeInput for a time that an answer takes.
func spanInput(field string, q quantity.Of[quantity.Seconds]) (input, error) {
	in, err := timeInput(field, q)
	if err == nil && in.mean < minDuration {
		err = &InputError{field, in.mean, "at least 0.001 s"}
	}
	in.lo = shortestShare * in.mean
	return in, err
}

// directions refuses movements that go the wrong way.
func (b *bout) directions(a Attack, d Defence) error {
	still := func(q quantity.Of[quantity.Metres]) bool { return q.Mean == 0 && q.SD == 0 }
	arm, body := float64(a.Movement.Arm.Mean), float64(a.Movement.Body.Mean)
	switch {
	case arm < 0 || arm == 0 && !still(a.Movement.Arm):
		return &InputError{"attack arm travel", arm, "towards the defender: positive, or exactly 0"}
	case body < 0 || body == 0 && !still(a.Movement.Body):
		return &InputError{"attack body travel", body, "towards the defender: positive, or exactly 0"}
	case arm == 0 && body == 0:
		return &InputError{"attack travel", 0, "more than nothing: choose a movement such as " + Lunge}
	case !still(d.Extension.Body):
		return &InputError{"defence body travel", float64(d.Extension.Body.Mean), "0, since the answer is the arm alone: run a Race for a counter with the feet"}
	case d.Extension.Arm.Mean < 0 || d.Extension.Arm.Mean == 0 && !still(d.Extension.Arm):
		return &InputError{"defence arm travel", float64(d.Extension.Arm.Mean), "towards the attacker: positive, or exactly 0"}
	case !still(d.StepBack.Arm):
		return &InputError{"step back arm travel", float64(d.StepBack.Arm.Mean), "0, since only the feet step back"}
	case d.StepBack.Body.Mean > 0 || d.StepBack.Body.Mean == 0 && !still(d.StepBack.Body):
		return &InputError{"step back body travel", float64(d.StepBack.Body.Mean), "away from the attacker: negative, or exactly 0"}
	}
	return nil
}

// certain reports whether nothing is uncertain that the answers depend on; the
// re-aim alone does not count, since it only says what is sensible.
func (b *bout) certain() bool {
	for i := range b.in {
		if b.in[i].sd != 0 && i != wReAim {
			return false
		}
	}
	return b.semi.sd == 0 && b.circular.sd == 0
}

// draw is one draw of an exchange.
type draw struct {
	x              [wInputs]float64
	semi, circular float64
	attack         course  // of the attacker's point
	closing        course  // by which the attacker's target comes closer
	cue, hit, end  float64 // hit is +Inf where the attack falls short
	done, closed   float64 // of both courses at time 0: in the gaps already
}

// next makes a draw. Every input takes one normal number, uncertain or not.
func (b *bout) next(d *draw, rng *stream) {
	var z [wInputs]float64
	for i := range z {
		z[i] = rng.normal()
	}
	if b.corr != 0 {
		z[wOwnGap] = float64(b.corr*z[wGap]) + float64(b.rest*z[wOwnGap])
	}
	for i := range z {
		d.x[i] = b.in[i].at(z[i])
	}
	d.semi, d.circular = b.semi.at(z[wParry]), b.circular.at(z[wParry])
	x := &d.x
	body := x[wOnset] + x[wDelay]
	d.attack, d.closing = course{}, course{}
	d.attack.add(x[wArm], x[wOnset], x[wArmTime])
	d.attack.add(x[wBody], body, x[wBodyTime])
	d.closing.add(x[wBody], body, x[wBodyTime])
	d.closing.add(b.onArm*x[wArm], x[wOnset], x[wArmTime])
	if b.in[wComing].mean != 0 { // who comes forward brings the own target and the own point
		d.attack.add(x[wComing], x[wComingAt], x[wComingTime])
		d.closing.add(x[wComing], x[wComingAt], x[wComingTime])
		d.attack.add(x[wComingArm], x[wComingArmAt], x[wComingArmTime])
	}
	tau := MinimumJerkTime(x[wCue])
	d.cue, d.end = math.Inf(1), 0
	if x[wArm] != 0 {
		d.cue, d.end = x[wOnset]+float64(tau*x[wArmTime]), x[wOnset]+x[wArmTime]
	}
	if x[wBody] != 0 {
		d.cue, d.end = min(d.cue, body+float64(tau*x[wBodyTime])), max(d.end, body+x[wBodyTime])
	}
	if b.in[wComing].mean != 0 {
		d.end = max(d.end, x[wComingAt]+x[wComingTime], x[wComingArmAt]+x[wComingArmTime])
	}
	d.done, _ = d.attack.at(0)
	d.closed, _ = d.closing.at(0)
	d.hit = d.reaches(x[wGap], math.NaN())
}

// reaches returns when the attack has closed this gap, +Inf where it never does.
func (d *draw) reaches(gap, guess float64) float64 {
	if t, ok := d.attack.first(gap, guess); ok {
		return t
	}
	return math.Inf(1)
}

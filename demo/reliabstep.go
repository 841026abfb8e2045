package demo

import (
	"math"
	"math/rand/v2"

	"mesure/timing"
)

// Steps of the simulation.
const (
	// trialStep is the step in seconds; within it, a point is taken to close on its
	// target evenly.
	trialStep = 0.001
	// Draws of a prediction: enough that their luck is small beside the spread of the
	// chances from touch to touch. Windows average chances, not counts.
	raceTrialDraws, windowTrialDraws = 600, 120
)

// done is the share of its way that a movement has gone.
func (b *body) done(since, whole float64) float64 {
	tau := since / whole
	switch {
	case tau <= 0:
		return 0
	case tau >= 1:
		return 1
	case b.early != 0:
		tau = math.Pow(tau, 1-b.early)
	}
	return tau * tau * tau * (10 + tau*(6*tau-15))
}

// at returns how far arm and body have gone.
func (b *body) at(t float64) (arm, body float64) {
	if b.arm != 0 {
		arm = b.arm * b.done(t-b.onset, b.armTime)
	}
	if b.body != 0 {
		body = b.body * b.done(t-b.onset-b.delay, b.bodyTime)
	}
	return arm, body
}

// end is when the body comes to rest.
func (b *body) end() float64 {
	t := 0.0
	if b.arm != 0 {
		t = b.onset + b.armTime
	}
	if b.body != 0 {
		t = max(t, b.onset+b.delay+b.bodyTime)
	}
	return t
}

// run is one point that follows one target.
type run struct {
	point, target place
	hits          float64 // +Inf while it does not
	armed         float64 // the instant before which it hits nobody
	stiff         bool    // the point stays at its height while its own fencer does not move
}

// follow moves the target along the piste by shift and then the point towards it by
// way (away from it where way is negative), over the step that ends at t.
func (r *run) follow(t, shift, way float64) {
	if !math.IsInf(r.hits, 1) {
		return
	}
	dx, dz := r.target.x-r.point.x, r.target.z-r.point.z
	was := math.Hypot(dx, dz)
	r.target.x += shift
	if was == 0 {
		r.land(t, 0)
		return
	}
	ux, uz := dx/was, dz/was
	if !r.stiff && dx != 0 { // the hand keeps the point on the line
		rise := dz * shift / dx
		r.point.z, dz = r.point.z-rise, dz+rise
	}
	dx += shift
	left := dx*ux + dz*uz // along the line as it was: negative once the target has run past
	if left > 0 {
		left = math.Hypot(dx, dz)
		ux, uz = dx/left, dz/left
	}
	if left > way {
		r.point.x, r.point.z = r.point.x+way*ux, r.point.z+way*uz
		return
	}
	if share := was / (was - left + way); share < 1 {
		r.land(t, share)
	} else {
		r.land(t, 1)
	}
}

// land sets the point on its target, at this share of the step that ends at t.
func (r *run) land(t, share float64) {
	if t <= r.armed { // there, but not out yet
		r.point = r.target
		return
	}
	r.hits = max(r.armed, t-trialStep*(1-share))
}

// world is what moves: both points, each after its target.
type world struct {
	bodies [2]*body
	onArm  [2]float64 // of each side's target, with the own arm
	runs   [2]run
	// still is a side whose target stays whatever its body of bodies does.
	still [2]bool
	// coming is a body that comes forward beside that of bodies; nil where none does.
	// It carries target and point, its arm the target alone.
	coming [2]*body
}

// world of this touch as it stands at the measured frame.
func (f *fencing) world(left, right *body) *world {
	w := &world{bodies: [2]*body{left, right}, onArm: f.onArm}
	for s := range w.runs {
		w.runs[s] = run{f.point[s], f.target[1-s], math.Inf(1), math.Inf(-1), f.stiff}
	}
	return w
}

// play steps through time until everything is at rest.
func (w *world) play() {
	var arm, trunk, comingArm, coming [2]float64
	end := 0.0
	for s, b := range w.bodies {
		arm[s], trunk[s] = b.at(0)
		end = max(end, b.end())
		if c := w.coming[s]; c != nil {
			comingArm[s], coming[s] = c.at(0)
			end = max(end, c.end())
		}
	}
	steps := int(end/trialStep) + 1
	for k := 1; k <= steps; k++ {
		t := float64(k) * trialStep
		var shift, way [2]float64 // of each side's target, and of its point
		for s, b := range w.bodies {
			a, c := b.at(t)
			way[s] = a - arm[s] + c - trunk[s]
			if !w.still[s] {
				shift[s] = c - trunk[s] + w.onArm[s]*(a-arm[s])
			}
			arm[s], trunk[s] = a, c
			if b := w.coming[s]; b != nil {
				a, c := b.at(t)
				way[s] += c - coming[s]
				shift[s] += c - coming[s] + w.onArm[s]*(a-comingArm[s])
				comingArm[s], coming[s] = a, c
			}
		}
		shift[timing.Right] = -shift[timing.Right]
		for s := range w.runs {
			w.runs[s].follow(t, shift[1-s], way[s])
		}
	}
}

// lamps says which lamps light, given when the points hit.
func (f *fencing) lamps(at [2]float64) (lit [2]bool) {
	l, r := at[timing.Left]+f.contact[timing.Left], at[timing.Right]+f.contact[timing.Right]
	first := min(l, r)
	if math.IsInf(first, 1) {
		return lit
	}
	return [2]bool{timing.Left: l-first <= f.window, timing.Right: r-first <= f.window}
}

// raced is which of the four kinds of lamps the race truly shows.
func (f *fencing) raced() int {
	w := f.world(&f.bodies[timing.Left], &f.bodies[timing.Right])
	w.play()
	switch f.lamps([2]float64{w.runs[timing.Left].hits, w.runs[timing.Right].hits}) {
	case [2]bool{true, true}:
		return kindBoth
	case [2]bool{timing.Left: true}:
		return kindLeft
	case [2]bool{timing.Right: true}:
		return kindRight
	}
	return kindNeither
}

// ready is when the defender truly can start an answer: the step in which arm or body
// has gone its share, and the reaction; no earlier than at the measured frame.
func (f *fencing) ready() float64 {
	b := &f.bodies[f.attacker]
	for t := b.onset; ; t += trialStep {
		arm, body := b.at(t)
		if b.arm != 0 && arm >= f.answers.cue*b.arm || b.body != 0 && body >= f.answers.cue*b.body {
			return max(0, t-trialStep/2+f.answers.reaction)
		}
	}
}

// answered is which answers, started at the end of the reaction, truly serve, in the
// order of timing.Answers.
func (f *fencing) answered() []bool {
	a, from := f.attacker, f.ready()
	play := func(own body, stays bool) (attack, answer float64) {
		own.onset = from
		w := f.world(&own, &own)
		w.bodies[a] = &f.bodies[a]
		if f.coming {
			w.coming[1-a] = &f.bodies[1-a]
		}
		w.still[1-a] = stays
		w.runs[1-a].armed = from
		w.play()
		return w.runs[a].hits, w.runs[1-a].hits
	}
	hit, counter := play(f.answers.extension, true)
	chased, _ := play(f.answers.back, false)
	var at [2]float64
	at[a], at[1-a] = hit, counter
	lit := f.lamps(at)
	attackLit, counterLit := lit[a], lit[1-a]
	in := func(takes float64) bool { return from+takes <= hit }
	x := &f.answers
	return []bool{
		counterLit && !attackLit, counterLit,
		in(x.lateral), in(x.semi), in(x.circular),
		from+x.lateral <= chased, math.IsInf(chased, 1),
		in(x.removal), in(x.opposition) && !math.IsInf(counter, 1),
	}
}

// simulate plays one touch and predicts it.
func simulate(o ReliabilityOptions, number uint64) []event {
	f := fence(o, number)
	draws := rand.NewPCG(o.Seed, number|1<<63)
	race, err := f.race.Run(f.app, raceTrialDraws, draws)
	if err != nil {
		panic("demo: " + err.Error())
	}
	windows, err := f.exchange.Windows(f.app, windowTrialDraws, draws)
	if err != nil {
		panic("demo: " + err.Error())
	}
	var events []event
	add := func(kind int, p float64, came bool) {
		events = append(events, event{kind, int(number), p, came})
	}
	came := f.raced()
	for kind, p := range [kindAnswers]float64{kindLeft: float64(race.LeftOnly.Mean), kindRight: float64(race.RightOnly.Mean),
		kindBoth: float64(race.Both.Mean), kindNeither: float64(race.Neither.Mean)} {
		add(kind, p, kind == came)
	}
	for i, served := range f.answered() {
		add(kindAnswers+i, float64(windows.Each[i].InTime.Mean), served)
	}
	return events
}

package timing

import "math"

// latest returns, for this draw, the latest start of every answer that still
// serves: −Inf where none does, +Inf where the attack falls short and the answer
// serves whenever it starts.
func (d *draw) latest(out *[answers]float64) {
	x := &d.x
	never := math.Inf(-1)
	for i, a := range Answers() {
		switch a {
		case ExtendSingle:
			out[i] = d.counter(d.hit + x[wContact] - x[wOwnContact] - x[wWindow])
		case ExtendDouble:
			out[i] = d.counter(d.hit + x[wContact] - x[wOwnContact] + x[wWindow])
		case ParryLateral:
			out[i] = d.hit - x[wParry]
		case ParrySemi:
			out[i] = d.hit - d.semi
		case ParryCircular:
			out[i] = d.hit - d.circular
		case ParryStepBack:
			out[i] = d.parryWithStep(x[wParry])
		case RetreatOut:
			out[i] = d.retreat()
		case RemoveTarget:
			out[i] = d.hit - x[wRemove]
		case OpposeInTheLine:
			out[i] = d.hit - x[wOppose]
			if math.IsInf(d.counter(math.Inf(1)), -1) {
				out[i] = never
			}
		}
	}
}

// counter is the latest start of an extension that lands by this instant. The
// attack brings its target closer all the time, so that the most the extension
// has to travel by then is what the gap is at that very instant:
//
//	by − T·m⁻¹((gap − closing(by))/arm).
func (d *draw) counter(by float64) float64 {
	closed := 0.0
	if math.IsInf(by, 1) {
		for i := range d.closing.n {
			closed += d.closing.terms[i].length
		}
	} else {
		closed, _ = d.closing.at(by)
	}
	need := d.x[wOwnGap] - (closed - d.closed)
	switch {
	case need <= 0: // the target runs onto the point, if it has started: on guard it may not be in line
		return by
	case need > d.x[wOwnArm]:
		return math.Inf(-1)
	}
	return by - float64(d.x[wOwnArmTime]*MinimumJerkTime(need/d.x[wOwnArm]))
}

// retreat is the latest start of a step back after which the attack falls short
// for ever.
//
// At a time t after the hit on a target that stays, the attack has gone
// y(t) = travel(t) − gap too far, and the step must have carried the target
// further than that: it must have started before
//
//	φ(t) = t − delay − T·m⁻¹(y(t)/step),
//
// so that the latest start is the least φ until the attack is over.
func (d *draw) retreat() float64 {
	if math.IsInf(d.hit, 1) {
		return d.hit
	}
	return d.leastStart(max(d.hit, d.end))
}

// parryWithStep is the latest common start of a parry that takes this long and a
// step back: the step only has to hold the point off until the parry is there, at
// the instant t at which y(t) is what the step has gained in the time of the
// parry; before that, φ holds as in retreat.
func (d *draw) parryWithStep(parry float64) float64 {
	if math.IsInf(d.hit, 1) {
		return d.hit
	}
	gain := -d.x[wBack] * MinimumJerk((parry-d.x[wBackDelay])/d.x[wBackTime])
	if !(gain > 0) {
		return d.hit - parry
	}
	until := d.reaches(d.x[wGap]+gain, math.NaN())
	if math.IsInf(until, 1) {
		return d.leastStart(max(d.hit, d.end))
	}
	return min(until-parry, d.leastStart(until))
}

// leastParts is into how many parts the search of the least φ is cut, and
// leastSteps how often the best of them is narrowed, by a parabola through three
// places or the golden section where that leads out (Brent, Algorithms for
// Minimization without Derivatives, 1973, ch. 5); it ends within leastClose of a
// part, a tenth of a millisecond, at the flat bottom of φ far below a microsecond.
const (
	leastParts = 10
	leastSteps = 12
	leastClose = 1.0 / 500
	golden     = 0.6180339887498949 // (√5 − 1)/2
)

// leastStart is the least φ between the hit and until.
func (d *draw) leastStart(until float64) float64 {
	step := -d.x[wBack]
	// The attack only goes forward: where it has gone furthest at the end, the step
	// must be longer than that.
	if step <= 0 || d.tooFar(until) > step*(1+1e-9) { // a whole step exactly will do
		return math.Inf(-1)
	}
	from, width := d.hit, (until-d.hit)/leastParts
	best, at := math.Inf(1), 0
	for i := range leastParts + 1 {
		if v := d.mustStart(from + float64(float64(i)*width)); v < best {
			best, at = v, i
		}
	}
	lo, hi := from+float64(float64(max(0, at-1))*width), from+float64(float64(min(leastParts, at+1))*width)
	return d.narrow(lo, from+float64(float64(at)*width), hi, best, leastClose*width)
}

// narrow is the least φ between lo and hi, given that of the best place between them.
// x is the best place, w the second best and v the one before.
func (d *draw) narrow(lo, x, hi, fx, tol float64) float64 {
	w, v, fw, fv := x, x, fx, fx
	step, before := 0.0, 0.0 // the last step and the one before
	for range leastSteps {
		mid := (lo + hi) / 2
		if math.Abs(x-mid) <= 2*tol-(hi-lo)/2 {
			break
		}
		useGolden := true
		if math.Abs(before) > tol { // a parabola through x, w and v
			r, q := (x-w)*(fx-fv), (x-v)*(fx-fw)
			p := (x-v)*q - (x-w)*r
			q = 2 * (q - r)
			if q > 0 {
				p = -p
			}
			q = math.Abs(q)
			last := before
			before = step
			if math.Abs(p) < math.Abs(0.5*q*last) && p > q*(lo-x) && p < q*(hi-x) {
				step = p / q
				useGolden = false
				if u := x + step; u-lo < 2*tol || hi-u < 2*tol {
					step = math.Copysign(tol, mid-x)
				}
			}
		}
		if useGolden {
			before = hi - x
			if x >= mid {
				before = lo - x
			}
			step = (1 - golden) * before
		}
		u := x + step
		if math.Abs(step) < tol {
			u = x + math.Copysign(tol, step)
		}
		fu := d.mustStart(u)
		if fu <= fx {
			if u >= x {
				lo = x
			} else {
				hi = x
			}
			v, fv, w, fw, x, fx = w, fw, x, fx, u, fu
			continue
		}
		if u < x {
			lo = u
		} else {
			hi = u
		}
		switch {
		case fu <= fw || w == x:
			v, fv, w, fw = w, fw, u, fu
		case fu <= fv || v == x || v == w:
			v, fv = u, fu
		}
	}
	return fx
}

// tooFar is y(t).
func (d *draw) tooFar(t float64) float64 {
	v, _ := d.attack.at(t)
	return max(0, v-d.done-d.x[wGap])
}

// mustStart is φ(t).
func (d *draw) mustStart(t float64) float64 {
	return t - d.x[wBackDelay] - float64(d.x[wBackTime]*MinimumJerkTime(d.tooFar(t)/-d.x[wBack]))
}

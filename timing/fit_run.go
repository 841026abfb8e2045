package timing

import (
	"fmt"
	"math"
	"slices"

	"gonum.org/v1/gonum/mat"

	"mesure/quantity"
)

// fit is a fit under work.
type fit struct {
	samples []FitSample
	prior   Movement
	mean    [fitParameters]float64
	sd      [fitParameters]float64
	free    []int // indices of the parameters that are fitted
	// By how much the SDs of the samples of each part, and of each prior, are wider
	// than stated.
	wide  [fitParts]float64
	loose [fitParameters]float64
	count [fitParts]int
}

func newFit(samples []FitSample, prior Movement, onset quantity.Of[quantity.Seconds]) (*fit, error) {
	f := &fit{samples: slices.Clone(samples), prior: prior, wide: [fitParts]float64{1, 1, 1}}
	for i := range f.loose {
		f.loose[i] = 1
	}
	// In the order of time, part by part: residuals that are neighbours go together.
	slices.SortStableFunc(f.samples, func(a, b FitSample) int {
		switch {
		case a.Of != b.Of:
			return int(a.Of) - int(b.Of)
		case a.At < b.At:
			return -1
		case a.At > b.At:
			return 1
		}
		return 0
	})
	for i, s := range f.samples {
		if s.Of < 0 || s.Of >= fitParts {
			return nil, &InputError{fmt.Sprintf("part of sample %d", i+1), float64(s.Of), "the point, the arm or the body"}
		}
		if !finite(float64(s.At)) || !finite(float64(s.Travel)) {
			return nil, &InputError{fmt.Sprintf("sample %d", i+1), float64(s.Travel), "a number, at an instant that is one"}
		}
		if !(s.SD > 0) || math.IsInf(float64(s.SD), 0) {
			return nil, &InputError{fmt.Sprintf("SD of sample %d", i+1), float64(s.SD), "a spread above 0 m"}
		}
		f.count[s.Of]++
	}
	if len(f.samples) < FitLeastSamples {
		return nil, &TooLittleError{"samples of the movement", float64(len(f.samples)), FitLeastSamples, "follow the movement over more frames, or from a take with more frames a second"}
	}
	if err := f.priors(onset); err != nil {
		return nil, err
	}
	return f, f.standsOut()
}

func finite(x float64) bool { return !math.IsNaN(x) && !math.IsInf(x, 0) }

// priors sets what is known before.
func (f *fit) priors(onset quantity.Of[quantity.Seconds]) error {
	m := f.prior
	if _, err := inputsOf("prior", Runner{Movement: m, Onset: Onset{Time: onset}}); err != nil {
		return err
	}
	set := func(i int, mean, sd float64) { f.mean[i], f.sd[i] = mean, sd }
	set(fitArm, float64(m.Arm.Mean), float64(m.Arm.SD))
	set(fitBody, float64(m.Body.Mean), float64(m.Body.SD))
	set(fitArmTime, float64(m.ArmTime.Mean), float64(m.ArmTime.SD))
	set(fitBodyTime, float64(m.BodyTime.Mean), float64(m.BodyTime.SD))
	set(fitDelay, float64(m.Delay.Mean), float64(m.Delay.SD))
	set(fitOnset, float64(onset.Mean), float64(onset.SD))
	if !f.moves(fitArm) { // a time of nothing does not matter
		set(fitArmTime, 1, 0)
	}
	if !f.moves(fitBody) {
		set(fitBodyTime, 1, 0)
		set(fitDelay, 0, 0)
	}
	for p := range fitParts {
		if f.count[p] > 0 {
			first := slices.IndexFunc(f.samples, func(s FitSample) bool { return s.Of == p })
			set(fitBase+int(p), float64(f.samples[first].Travel), fitBaseSD)
		}
	}
	for i, sd := range f.sd {
		if sd > 0 {
			f.free = append(f.free, i)
		}
	}
	return nil
}

// moves reports whether the prior has a length here at all.
func (f *fit) moves(length int) bool { return f.mean[length] != 0 || f.sd[length] != 0 }

// standsOut refuses samples in which nothing moves.
func (f *fit) standsOut() error {
	most, need := 0.0, float64(FitLeastTravel)
	for p := range fitParts {
		var travel, sds []float64
		for _, s := range f.samples {
			if s.Of == p {
				travel, sds = append(travel, float64(s.Travel)), append(sds, float64(s.SD))
			}
		}
		if len(travel) == 0 {
			continue
		}
		slices.Sort(sds)
		if far := slices.Max(travel) - slices.Min(travel); far > most {
			most, need = far, max(float64(FitLeastTravel), FitLeastSigns*sds[len(sds)/2])
		}
	}
	if most < need {
		return &TooLittleError{"travel of what was followed, in metres", most, need, "choose a stretch in which the arm or the body moves"}
	}
	return nil
}

// full is all parameters with the free ones at p.
func (f *fit) full(p []float64) [fitParameters]float64 {
	all := f.mean
	for k, i := range f.free {
		all[i] = p[k]
	}
	return all
}

// curve is the travel of a part and its derivatives by all parameters.
func (f *fit) curve(q *[fitParameters]float64, of FitPart, at float64) (s float64, by [fitParameters]float64) {
	s, by[fitBase+int(of)] = q[fitBase+int(of)], 1
	if of != OfBody && f.moves(fitArm) {
		tau, per := share(at-q[fitOnset], q[fitArmTime])
		m, speed := MinimumJerk(tau), float64(q[fitArm]*MinimumJerkSpeed(tau))
		s += float64(q[fitArm] * m)
		by[fitArm] += m
		by[fitArmTime] -= float64(speed * tau * per)
		by[fitOnset] -= float64(speed * per)
	}
	if of != OfArm && f.moves(fitBody) {
		tau, per := share(at-q[fitOnset]-q[fitDelay], q[fitBodyTime])
		m, speed := MinimumJerk(tau), float64(q[fitBody]*MinimumJerkSpeed(tau))
		s += float64(q[fitBody] * m)
		by[fitBody] += m
		by[fitBodyTime] -= float64(speed * tau * per)
		by[fitOnset] -= float64(speed * per)
		by[fitDelay] -= float64(speed * per)
	}
	return s, by
}

// share is how much of a duration is over, and one over the duration.
func share(t, whole float64) (tau, per float64) {
	per = 1 / max(whole, fitShortest)
	return float64(t * per), per
}

// solve finds the minimum from a start.
func (f *fit) solve(start []float64) (quantity.Solution, error) {
	n, k := len(f.samples), len(f.free)
	problem := quantity.Problem{
		Count: n + k,
		Residuals: func(dst, p []float64) {
			q := f.full(p)
			for i, s := range f.samples {
				at, _ := f.curve(&q, s.Of, float64(s.At))
				dst[i] = (at - float64(s.Travel)) / f.sdOf(s)
			}
			for j, i := range f.free {
				dst[n+j] = (q[i] - f.mean[i]) / (f.sd[i] * f.loose[i])
			}
		},
		Jacobian: func(dst *mat.Dense, p []float64) {
			q := f.full(p)
			dst.Zero()
			for i, s := range f.samples {
				_, by := f.curve(&q, s.Of, float64(s.At))
				for j, at := range f.free {
					dst.Set(i, j, by[at]/f.sdOf(s))
				}
			}
			for j, i := range f.free {
				dst.Set(n+j, j, 1/(f.sd[i]*f.loose[i]))
			}
		},
	}
	return quantity.Fit(problem, start, quantity.Settings{})
}

func (f *fit) sdOf(s FitSample) float64 { return float64(s.SD) * f.wide[s.Of] }

// settle widens the SDs of the prior and solves anew until both agree.
func (f *fit) settle(s quantity.Solution, err error) (quantity.Solution, error) {
	for range fitRounds {
		if err != nil || !f.loosen(s.P) {
			break
		}
		s, err = f.solve(s.P)
	}
	return s, err
}

// loosen sets by how much the SD of each prior must be wider; false where no more than it
// is.
func (f *fit) loosen(p []float64) (changed bool) {
	q := f.full(p)
	for _, i := range f.free {
		z := math.Abs(q[i]-f.mean[i]) / f.sd[i]
		if l := max(1, z/FitPull); math.Abs(l-f.loose[i]) > 0.01*f.loose[i] {
			f.loose[i], changed = l, true
		}
	}
	return changed
}

// widen sets by how much the SDs of each part must be wider; false where no more than they
// are. It is done once: residuals that the prior makes, once it weighs more, say nothing of
// the samples.
func (f *fit) widen(p []float64) (changed bool) {
	q := f.full(p)
	for part := range fitParts {
		if f.count[part] == 0 {
			continue
		}
		var res []float64
		for _, s := range f.samples {
			if s.Of == part {
				at, _ := f.curve(&q, part, float64(s.At))
				res = append(res, (float64(s.Travel)-at)/float64(s.SD))
			}
		}
		if w := max(1, widening(res, f.numbersOf(part))); math.Abs(w-f.wide[part]) > 0.01*f.wide[part] {
			f.wide[part], changed = w, true
		}
	}
	return changed
}

// numbersOf is how many numbers the samples of a part may bend to: length, time, start
// and base for arm or body, both for the point.
func (f *fit) numbersOf(p FitPart) int {
	n := 1
	if p != OfBody && f.moves(fitArm) {
		n += 3
	}
	if p != OfArm && f.moves(fitBody) {
		n += 3
	}
	return n
}

// widening is what the residuals, in their SDs, say of the SDs: see Fit.
func widening(res []float64, numbers int) float64 {
	n := float64(len(res))
	sum, next := 0.0, 0.0
	for i, r := range res {
		sum += float64(r * r)
		if i > 0 {
			next += float64(r * res[i-1])
		}
	}
	if sum == 0 {
		return 1
	}
	over := max(1, sum/max(1, n-float64(numbers)))
	rho := next/sum + float64(numbers)/n
	if rho < 1.645/math.Sqrt(n) {
		rho = 0
	}
	rho = min(rho, 0.9)
	return math.Sqrt(over * (1 + rho) / (1 - rho))
}

// fitted states the result.
func (f *fit) fitted(s quantity.Solution) Fitted {
	q := f.full(s.P)
	sd := [fitParameters]float64{}
	for j, i := range f.free {
		sd[i] = math.Sqrt(s.Cov[j*len(f.free)+j])
	}
	m := f.prior
	if f.moves(fitArm) {
		m.Arm = quantity.Normal(quantity.Metres(q[fitArm]), quantity.Metres(sd[fitArm]))
		m.ArmTime = quantity.Normal(quantity.Seconds(q[fitArmTime]), quantity.Seconds(sd[fitArmTime]))
	}
	if f.moves(fitBody) {
		m.Body = quantity.Normal(quantity.Metres(q[fitBody]), quantity.Metres(sd[fitBody]))
		m.BodyTime = quantity.Normal(quantity.Seconds(q[fitBodyTime]), quantity.Seconds(sd[fitBodyTime]))
		m.Delay = quantity.Normal(quantity.Seconds(q[fitDelay]), quantity.Seconds(sd[fitDelay]))
	}
	m.Source = "fitted to what was followed, from: " + f.prior.Source
	out := Fitted{
		Movement: m, Samples: len(f.samples), Widened: quantity.Ratio(slices.Max(f.wide[:])),
		Onset: quantity.Normal(quantity.Seconds(q[fitOnset]), quantity.Seconds(sd[fitOnset])),
	}
	sum := 0.0
	for _, x := range f.samples {
		at, _ := f.curve(&q, x.Of, float64(x.At))
		sum += (at - float64(x.Travel)) * (at - float64(x.Travel))
	}
	for _, i := range f.free {
		if i < fitOnset {
			out.Unlike = max(out.Unlike, quantity.Ratio(math.Abs(q[i]-f.mean[i])/f.sd[i]))
		}
	}
	out.RMS = quantity.Metres(math.Sqrt(sum / float64(len(f.samples))))
	for p := range fitParts {
		out.Base[p] = quantity.Metres(q[fitBase+int(p)])
	}
	if f.moves(fitArm) {
		out.SeenArm, out.BeforeArm = f.seen(OfArm, q[fitOnset], q[fitArmTime])
	}
	if f.moves(fitBody) {
		out.SeenBody, out.BeforeBody = f.seen(OfBody, q[fitOnset]+q[fitDelay], q[fitBodyTime])
	}
	return out
}

// seen is the share of the travel of arm or body that was done at the last sample that
// shows it, by itself or in the point, and whether one shows it at rest.
func (f *fit) seen(part FitPart, start, took float64) (done quantity.Ratio, before bool) {
	for _, s := range f.samples {
		if s.Of != part && s.Of != OfPoint {
			continue
		}
		tau, _ := share(float64(s.At)-start, took)
		done, before = max(done, quantity.Ratio(MinimumJerk(tau))), before || MinimumJerk(tau) <= float64(FitRestShare)
	}
	return done, before
}

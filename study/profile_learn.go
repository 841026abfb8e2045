package study

import (
	"fmt"
	"math"
	"slices"

	"mesure/quantity"
	"mesure/sport/bout"
	"mesure/sport/mark"
	"mesure/timing"
)

// How much a fencer's own movement differs from one time to the next, beside OwnLungeSD.
const (
	// OwnTimeSD is the spread of a fencer's own times from one movement to the next, as a
	// share of them (common practice, no source).
	OwnTimeSD = 0.10
	// OwnDelaySD is the same of the start of the body after the hand, in seconds (common
	// practice, no source).
	OwnDelaySD = 0.030
)

// fit fits one movement and states data and curve from its onset.
func (b followedBody) fit(action string, prior timing.Movement, samples []timing.FitSample, onset quantity.Of[quantity.Seconds]) (Fit, bool) {
	got, err := timing.Fit(samples, prior, onset)
	if err != nil {
		return Fit{}, false
	}
	// The places of guard and shoulder are those of a plane; what they lie beside it moves
	// them along as they pass the camera.
	body := float64(got.SeenBody) * math.Abs(float64(got.Movement.Body.Mean))
	beside := quantity.Metres(fitBeside * body)
	got.Movement.Body = quantity.Normal(got.Movement.Body.Mean, quantity.Metres(math.Hypot(float64(got.Movement.Body.SD), float64(beside))))
	if got.SeenArm > 0 {
		beside = quantity.Metres(fitBeside * math.Sqrt2 * (body + float64(got.Movement.Arm.Mean)))
		got.Movement.Arm = quantity.Normal(got.Movement.Arm.Mean, quantity.Metres(math.Hypot(float64(got.Movement.Arm.SD), float64(beside))))
	}
	// A clock that runs too fast or too slow by a share makes every time so.
	for _, q := range [...]*quantity.Of[quantity.Seconds]{&got.Movement.ArmTime, &got.Movement.BodyTime, &got.Movement.Delay} {
		*q = quantity.Normal(q.Mean, quantity.Seconds(math.Hypot(float64(q.SD), b.slow*float64(q.Mean))))
	}
	f := Fit{
		Action: action, Take: b.take, Fitted: got.Movement, Prior: prior, RMS: got.RMS, Onset: got.Onset,
		Unlike: got.Unlike, Widened: got.Widened,
	}
	if got.BeforeArm {
		f.SeenArm = got.SeenArm
	}
	if got.BeforeBody {
		f.SeenBody = got.SeenBody
	}
	end := float64(0)
	for _, s := range samples {
		at := s.At - got.Onset.Mean
		end = max(end, float64(at))
		travel := s.Travel - got.Base[s.Of]
		sd := s.SD
		if s.Of == timing.OfArm && got.SeenBody > 0 {
			// The point: arm and body together, where both were measured.
			k := slices.IndexFunc(samples, func(o timing.FitSample) bool { return o.Of == timing.OfBody && o.At == s.At })
			if k < 0 {
				continue
			}
			travel += samples[k].Travel - got.Base[timing.OfBody]
			sd = quantity.Metres(math.Hypot(float64(sd), float64(samples[k].SD)))
		} else if s.Of == timing.OfBody && f.hasArm() {
			continue
		}
		f.Data = append(f.Data, FitPoint{At: at, Travel: travel, SD: sd})
	}
	if len(f.Data) == 0 {
		return Fit{}, false
	}
	drawn := got.Movement
	if got.SeenBody == 0 {
		drawn.Body = quantity.Exactly(quantity.Metres(0))
	}
	for k := range fitCurve + 1 {
		at := quantity.Seconds(-fitBefore + (end+2*fitBefore)*float64(k)/fitCurve)
		f.Curve = append(f.Curve, FitPoint{At: at, Travel: drawn.Travel(at)})
	}
	return f, true
}

// fitBeside is by how much of its way a place along the piste comes out wrong for a point
// that lies beside the plane of action: 0.15 m, the spread that study takes for arm and
// weapon, at 10 m from the camera.
const fitBeside = 0.015

// fitCurve is how many pieces the curve of a fit is drawn in.
const fitCurve = 60

func (f *Fit) hasArm() bool { return f.Prior.Arm.Mean != 0 }

// uses says which figures the fit informs: those of the parts that were followed from rest
// over most of their travel, where the curve describes what was followed.
func (f *Fit) uses(leaning bool) {
	far := math.Abs(float64(f.Fitted.Body.Mean))
	if f.SeenBody == 0 {
		far = 0
	}
	far += float64(f.Fitted.Arm.Mean) * float64(min(1, f.SeenArm))
	if limit := max(fitMisfitLeast, quantity.Metres(fitMisfitMost*far)); f.RMS > limit {
		f.Unused = fmt.Sprintf("the curve of the movement misses what was followed by %.0f mm: it was no simple one", 1000*float64(f.RMS))
		return
	}
	if f.hasArm() && f.SeenArm >= fitSeenLeast {
		if f.Action == timing.Extension && !leaning {
			f.Uses = append(f.Uses, figExtension, figExtensionTime)
		} else if f.Action != timing.Extension {
			f.Uses = append(f.Uses, usesArm)
		}
	}
	if b, ok := bodyFigures[f.Action]; ok && f.SeenBody >= fitSeenLeast {
		f.Uses = append(f.Uses, b.length, b.time)
		if b.delay != "" && f.SeenArm >= fitSeenLeast {
			f.Uses = append(f.Uses, b.delay)
		}
	}
	f.Uses = slices.DeleteFunc(f.Uses, func(name string) bool {
		fitted, _, ok := f.number(name)
		g, known := bout.OwnFigureNamed(name)
		return ok && known && (fitted[0] < g.Least || fitted[0] > g.Most)
	})
	if len(f.Uses) == 0 {
		f.Unused = "it was not followed from rest over most of its way"
		if leaning {
			f.Unused = "the body went along, too little for a lunge and too much for an extension on the spot"
		}
	}
}

// usesArm is what a movement with the body tells of the arm: it goes into the movements of
// that name only, since an arm that is not alone need not hurry.
const usesArm = "arm"

// number is the mean and SD of a figure in a fit, after and before; false for a figure that
// its movement does not have.
func (f *Fit) number(name string) (fitted, prior [2]float64, ok bool) {
	length := func(a, b quantity.Of[quantity.Metres]) ([2]float64, [2]float64, bool) {
		return [2]float64{math.Abs(float64(a.Mean)), float64(a.SD)}, [2]float64{math.Abs(float64(b.Mean)), float64(b.SD)}, true
	}
	span := func(a, b quantity.Of[quantity.Seconds]) ([2]float64, [2]float64, bool) {
		return [2]float64{float64(a.Mean), float64(a.SD)}, [2]float64{float64(b.Mean), float64(b.SD)}, true
	}
	b := bodyFigures[f.Action]
	switch name {
	case figExtension:
		return length(f.Fitted.Arm, f.Prior.Arm)
	case figExtensionTime:
		return span(f.Fitted.ArmTime, f.Prior.ArmTime)
	case b.length:
		return length(f.Fitted.Body, f.Prior.Body)
	case b.time:
		return span(f.Fitted.BodyTime, f.Prior.BodyTime)
	case b.delay:
		return span(f.Fitted.Delay, f.Prior.Delay)
	}
	return fitted, prior, false
}

// hint is what one fit tells of a number, apart from the prior that it began with.
type hint struct{ mean, variance float64 }

// hintOf takes the prior out of a fitted number: two normal laws divide. It is false where
// the fit told next to nothing.
func hintOf(fitted, prior [2]float64) (hint, bool) {
	if !(fitted[1] > 0) {
		return hint{}, false
	}
	// The prior was widened beyond timing.FitPull: see timing.Fit.
	loose := prior[1] * max(1, math.Abs(fitted[0]-prior[0])/(prior[1]*timing.FitPull))
	var0 := loose * loose
	w := 1/(fitted[1]*fitted[1]) - 1/var0
	if !(w*var0 > 0.2) {
		return hint{}, false
	}
	return hint{(fitted[0]/(fitted[1]*fitted[1]) - prior[0]/var0) / w, 1 / w}, true
}

// learn is what a fencer's next movement is expected to be after some that were followed.
//
// A movement is the fencer's own mean and a deviation of spread within; the prior (mean,
// sd) is of a movement, so that of the own mean has the variance sd² − within². Each
// movement that was followed tells the own mean to its variance + within²; the next one
// has the variance of the own mean + within². Where what was followed lies further from
// the prior than two of both spreads, the prior of the own mean is widened until it does
// not: the fencer is unlike it. What is stated for the fencer is taken at its word. Of a
// prior that is surer than the spread within, three quarters of the variance are taken to
// be within. Units are those of the number.
func learn(mean, sd, within float64, stated bool, seen []hint) (m, s float64) {
	if len(seen) == 0 || sd == 0 {
		return mean, sd
	}
	within = min(within, sd*math.Sqrt(0.75))
	between := sd*sd - within*within
	w, sum := 0.0, 0.0
	for _, x := range seen {
		v := 1 / (x.variance + within*within)
		w, sum = w+v, sum+v*x.mean
	}
	data, variance := sum/w, 1/w
	if d := data - mean; !stated && d*d > 4*(between+variance) {
		between = d*d/4 - variance
	}
	own := 1 / (1/between + 1/variance)
	return own * (mean/between + data/variance), math.Sqrt(own + within*within)
}

// withinOf is the spread of a fencer's own movement from one time to the next.
func withinOf(name string, mean float64) float64 {
	g, _ := bout.OwnFigureNamed(name)
	switch {
	case name == figLungeDelay:
		return OwnDelaySD
	case g.Unit == "m":
		return OwnLungeSD * math.Abs(mean)
	}
	return OwnTimeSD * math.Abs(mean)
}

// ofReach reports whether a figure says how far a fencer can go. Who goes less far had less
// far to go: a movement that was followed can only raise it.
func ofReach(name string) bool {
	switch name {
	case figExtension, figLunge, figStepLunge, figFleche:
		return true
	}
	return false
}

// learned puts what was followed on top of a profile.
func (p *Profile) learned() {
	for i := range p.Figures {
		if f, ok := p.learnFigure(&p.Figures[i]); ok {
			p.Figures[i] = f
		}
	}
	p.stepWithLunge()
}

// learnFigure is one figure after the fits that inform it; false where none does.
func (p *Profile) learnFigure(f *ProfileFigure) (ProfileFigure, bool) {
	fits := p.Fits
	mean, sd := f.number()
	var seen []hint
	here, elsewhere := 0, 0
	for k := range fits {
		if !slices.Contains(fits[k].Uses, f.Name) {
			continue
		}
		fitted, prior, ok := fits[k].number(f.Name)
		if !ok {
			continue
		}
		if x, ok := hintOf(fitted, prior); ok && !(ofReach(f.Name) && x.mean < mean) {
			seen = append(seen, x)
			if fits[k].Touch == "" {
				here++
			} else {
				elsewhere++
			}
		}
	}
	m, s := learn(mean, sd, withinOf(f.Name, mean), f.From == FromStated, seen)
	if len(seen) == 0 {
		return *f, false
	}
	g, _ := bout.OwnFigureNamed(f.Name)
	m = min(max(m, g.Least), g.Most)
	out := figureOf(f.Name, m, s, FromFitted, fitSource(here, elsewhere)+"; before: "+f.Source)
	out.PriorMetres, out.PriorSeconds = f.Metres, f.Seconds
	return out, true
}

// fitSource says in words what a figure was fitted to.
func fitSource(here, elsewhere int) string {
	times := func(n int, where string) string {
		if n == 1 {
			return "one movement followed in " + where
		}
		return fmt.Sprintf("%d movements followed in %s", n, where)
	}
	switch {
	case elsewhere == 0:
		return times(here, "this touch")
	case here == 0:
		return times(elsewhere, "other touches")
	}
	return times(here, "this touch") + " and " + times(elsewhere, "other touches")
}

// armIn is length and time of the arm in a movement with the body, after the fits of that
// movement; the movement as it stands where none tells.
func (p *Profile) armIn(m timing.Movement) (timing.Movement, bool) {
	length, span := []hint{}, []hint{}
	for _, f := range p.Fits {
		if f.Action != m.Name || !slices.Contains(f.Uses, usesArm) {
			continue
		}
		pair := func(am, as, bm, bs float64) ([2]float64, [2]float64) { return [2]float64{am, as}, [2]float64{bm, bs} }
		a, b := pair(float64(f.Fitted.Arm.Mean), float64(f.Fitted.Arm.SD), float64(f.Prior.Arm.Mean), float64(f.Prior.Arm.SD))
		if x, ok := hintOf(a, b); ok && x.mean >= float64(m.Arm.Mean) {
			length = append(length, x)
		}
		a, b = pair(float64(f.Fitted.ArmTime.Mean), float64(f.Fitted.ArmTime.SD), float64(f.Prior.ArmTime.Mean), float64(f.Prior.ArmTime.SD))
		if x, ok := hintOf(a, b); ok {
			span = append(span, x)
		}
	}
	if len(length)+len(span) == 0 {
		return m, false
	}
	a, s := learn(float64(m.Arm.Mean), float64(m.Arm.SD), withinOf(figExtension, float64(m.Arm.Mean)), p.own(figExtension) != nil, length)
	m.Arm = quantity.Normal(quantity.Metres(a), quantity.Metres(s))
	a, s = learn(float64(m.ArmTime.Mean), float64(m.ArmTime.SD), withinOf(figExtensionTime, float64(m.ArmTime.Mean)), false, span)
	m.ArmTime = quantity.Normal(quantity.Seconds(a), quantity.Seconds(s))
	return m, true
}

// readProfiles states what is known of both fencers: the defaults, what is stated, and what
// was followed in this touch and, by ReadOptions.Known, in others.
func readProfiles(t *Touch, all *trails, r *Reading, o ReadOptions) {
	inParallel(len(mark.Sides), func(i int) {
		p := profileOf(t, mark.Sides[i])
		p.Fits = append(all.fits(t, p, r), o.Known[i]...)
		p.learned()
		r.Profiles[i] = p
	})
}

// FitsOf returns the movements of one fencer that were followed in the touch of a reading,
// to be handed to the reading of another touch of the same fencer (ReadOptions.Known). They
// are said to be of the touch's title.
func FitsOf(r *Reading, s mark.Side) []Fit {
	if r == nil {
		return nil
	}
	var out []Fit
	for _, f := range r.Profiles[s].Fits {
		if f.Touch == "" {
			f.Touch = touchName(r.Touch)
			out = append(out, f)
		}
	}
	return out
}

// touchName is how another touch is called.
func touchName(t *Touch) string {
	switch {
	case t.Title != "":
		return t.Title
	case t.Number != 0:
		return fmt.Sprintf("touch %d", t.Number)
	}
	return "another touch"
}

// knownKeys names fits of other touches by what a profile takes from them; nil where there
// are none.
func knownKeys(known [2][]Fit) (keys []string) {
	for side, fits := range known {
		for _, f := range fits {
			keys = append(keys, fmt.Sprintf("%d %s %q %v %v %v", side, f.Action, f.Touch, f.Uses, f.Fitted, f.Prior))
		}
	}
	return keys
}

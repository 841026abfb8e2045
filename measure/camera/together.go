package camera

import (
	"errors"
	"fmt"
	"math"
	"sort"

	"mesure/quantity"
)

// PlaceTogether finds the cameras of several pictures of one take: the camera's
// place is the same in all of them, and so are k1 and the principal point where
// they are fitted; pan, tilt, roll and focal length are each picture's own. All
// are fitted at once, with the cost that Place states. A picture that shows only
// two or three points, or one and a line at two places, is placed through the
// others.
//
// One result for each picture, in order. It refuses what Place refuses, naming
// the picture by its number from 1; ErrTooFew for a picture with fewer than
// MinSharedPoints points; and ErrShared where no picture places the camera on its
// own. A picture that puts the camera elsewhere is warned of with CodeMoved.
func PlaceTogether(pics []Picture, opt Options) ([]*Placing, error) {
	if len(pics) == 0 {
		return nil, ErrShared
	}
	frames := make([]frame, len(pics))
	for i, pic := range pics {
		f, err := newFrame(pic, opt)
		if err == nil && equations(f.pic.Points) < 2*MinSharedPoints {
			err = tooFewToTurn(f.pic.Points)
		}
		if err != nil {
			return nil, &PictureError{Picture: i, Err: err}
		}
		frames[i] = f
	}
	t := take{frames: frames, alone: make([]*Placing, len(pics))}
	if err := t.anchors(); err != nil {
		return nil, err
	}
	if len(pics) == 1 {
		return t.alone, nil
	}
	return t.joint()
}

// take is the pictures of one take on their way to placings.
type take struct {
	frames []frame
	alone  []*Placing // those that can be placed on their own
}

// anchors places every picture that can be placed on its own.
func (t *take) anchors() error {
	var first error
	any := false
	for i, f := range t.frames {
		if general(f.pic.Points) != nil {
			continue
		}
		p, err := Place(f.pic, f.opt)
		if errors.Is(err, ErrMirrored) || errors.Is(err, ErrSwapped) {
			return &PictureError{Picture: i, Err: err}
		}
		if err != nil {
			if first == nil {
				first = &PictureError{Picture: i, Err: err}
			}
			continue
		}
		t.alone[i] = p
		any = true
	}
	if any {
		return nil
	}
	if first != nil {
		return first
	}
	if len(t.frames) == 1 {
		_, err := Place(t.frames[0].pic, t.frames[0].opt)
		return fmt.Errorf("picture 1: %w", err)
	}
	return ErrShared
}

// joint fits all pictures at once, and again while points lose weight.
func (t *take) joint() ([]*Placing, error) {
	centre := t.meanCentre()
	starts := make([]seed, len(t.frames))
	for i, f := range t.frames {
		s, err := t.start(i, f, centre)
		if err != nil {
			return nil, &PictureError{Picture: i, Err: err}
		}
		starts[i] = s
	}
	weights := make([][]float64, len(t.frames))
	for i, f := range t.frames {
		weights[i] = make([]float64, len(f.pic.Points))
		for k := range weights[i] {
			weights[i][k] = 1
		}
		if p := t.alone[i]; p != nil { // a point found wrong there starts so here
			copy(weights[i], p.weight)
		}
	}
	var all []solved
	for range weighRounds {
		var err error
		if all, err = t.bundle(starts, centre, weights, t.frames[0].opt).solve(); err != nil {
			return nil, err
		}
		if !t.reweigh(all, weights) {
			break
		}
		for i, s := range all {
			starts[i] = seed{s.lens, s.pose, 0}
		}
		centre = all[0].pose.centre
	}
	all = t.released(all, weights)
	for i, s := range all {
		if ratio, _ := misfit(s.chi, 1); !(ratio < hopeless) {
			return nil, &PictureError{Picture: i, Err: fmt.Errorf("%s: %w", names(t.frames[i].pic.Points), ErrNoFit)}
		}
		if f := t.frames[i]; t.alone[i] == nil && len(proper(f.pic.Points)) < MinSharedPoints && f.looseTurn(s) {
			return nil, &PictureError{Picture: i, Err: fmt.Errorf("%s: %w", names(f.pic.Points), ErrOpenTurn)}
		}
	}
	return t.placings(all, weights), nil
}

// released fits once more without the priors that every picture overrules.
func (t *take) released(all []solved, weights [][]float64) []solved {
	opt := t.frames[0].opt
	var keep Priors
	starts := make([]seed, len(all))
	for i, s := range all {
		p, _ := opt.Priors.overruled(s, t.frames[i].pic.Width)
		keep = keep.and(p)
		starts[i] = seed{s.lens, s.pose, 0}
	}
	if keep.Scale = opt.Priors.Scale; keep == opt.Priors {
		return all
	}
	opt.Priors = keep
	free, err := t.bundle(starts, all[0].pose.centre, weights, opt).solve()
	if err != nil {
		return all
	}
	return free
}

// bundle states the joint fit.
func (t *take) bundle(starts []seed, centre vec, weights [][]float64, opt Options) *bundle {
	b := &bundle{}
	base := t.sharedLens(starts)
	lens := b.lensSlots(base, t.frames[0].pic.Width, opt)
	at := b.centreSlots(centre, opt.Priors)
	for i, s := range starts {
		v := &view{lens: s.lens, pose: pose{s.pose.turn, centre}, points: t.frames[i].pic.Points, weight: weights[i]}
		v.slots = slots{lens: lens, centre: at}
		b.look(v, opt)
	}
	return b
}

// sharedLens is what the pictures' lenses have in common: the mean k1.
func (t *take) sharedLens(starts []seed) optics {
	l := starts[0].lens
	l.K1 = 0
	for _, s := range starts {
		l.K1 += s.lens.K1 / float64(len(starts))
	}
	return l
}

// meanCentre is the place of the camera by the pictures placed on their own: the
// one whose place is surest.
func (t *take) meanCentre() vec {
	best, least := vec{}, math.Inf(1)
	for _, p := range t.alone {
		if p == nil {
			continue
		}
		v := p.Position[0].Variance() + p.Position[1].Variance() + p.Position[2].Variance()
		if v < least {
			best, least = p.pose.centre, v
		}
	}
	return best
}

// start is where the joint fit begins for one picture: its own placing, moved to
// the common place, or the turn and focal length that bring its points nearest.
func (t *take) start(i int, f frame, centre vec) (seed, error) {
	var k1, n float64
	var lens []optics
	for _, p := range t.alone {
		if p != nil {
			k1 += p.lens.K1
			n++
			lens = append(lens, p.lens)
		}
	}
	base := middleOf(f.pic.Width, f.pic.Height)
	base.K1 = k1 / n
	if f.opt.Lens != nil {
		base, lens = f.opt.Lens.optics(), lens[:0]
	}
	var tried []seed
	add := func(focal float64) {
		l := base
		if f.opt.Lens == nil {
			l.Fx, l.Fy = focal, focal
		}
		for _, r := range t.turns(centre, l, f.pic.Points) {
			q := pose{r, centre}
			c := misses(l, q, f.pic.Points)
			if f.opt.Priors.Roll > 0 {
				c += square(q.roll() / float64(f.opt.Priors.Roll))
			}
			tried = append(tried, seed{l, q, c})
		}
	}
	if f.opt.Lens != nil {
		add(base.Fx)
	} else if p := t.alone[i]; p != nil {
		add(p.lens.Fx)
	} else {
		for _, l := range lens {
			for k := -zoomSteps; k <= zoomSteps; k++ {
				add(l.Fx * math.Pow(2, float64(k)/2))
			}
		}
	}
	if len(tried) == 0 {
		return seed{}, fmt.Errorf("%s: %w", names(f.pic.Points), ErrNoFit)
	}
	sort.SliceStable(tried, func(a, b int) bool { return tried[a].cost < tried[b].cost })
	if len(proper(f.pic.Points)) < MinSharedPoints {
		if tried = f.turned(tried); len(tried) == 0 {
			return seed{}, fmt.Errorf("%s: %w", names(f.pic.Points), ErrNoFit)
		}
	}
	if math.IsInf(tried[0].cost, 1) {
		return seed{}, fmt.Errorf("%s: %w", names(f.pic.Points), ErrNoFit)
	}
	return tried[0], nil
}

// zoomSteps is how many half octaves of zoom up and down are tried as starts.
const zoomSteps = 4

// reweigh sets the weights anew and reports whether any changed.
func (t *take) reweigh(all []solved, weights [][]float64) bool {
	changed := false
	var every []float64
	offs := make([][]float64, len(all))
	for i, s := range all {
		offs[i] = s.offs(t.frames[i].pic.Points)
		every = append(every, evened(t.frames[i].pic.Points, offs[i])...)
	}
	limit := float64(OutlierSDs) * math.Max(1, bulk(every))
	for i := range offs {
		for k, r := range offs[i] {
			w := 1.0
			if r > limit {
				w = square(limit / r)
			}
			changed = changed || math.Abs(w-weights[i][k]) > 1e-3
			weights[i][k] = w
		}
	}
	return changed
}

// placings states the results.
func (t *take) placings(all []solved, weights [][]float64) []*Placing {
	// The camera's place, k1 and the principal point are shared.
	chi, given, params := 0.0, 0, all[0].n-atCentre
	for i, s := range all {
		chi += s.chi
		given += equations(t.frames[i].pic.Points)
		params += s.free - (s.n - atCentre)
	}
	ratio, far := misfit(chi, given-params)
	out := make([]*Placing, len(all))
	for i, s := range all {
		f := t.frames[i]
		if far {
			for k := range s.cov {
				s.cov[k] *= ratio
			}
		}
		p := newPlacing(s, f.opt.Priors.Scale)
		p.residuals(f.pic.Points)
		p.weight = weights[i]
		named := t.named(i)
		p.Warnings = append(p.Warnings, named...)
		p.Warnings = append(p.Warnings, discounted(f.pic.Points, weights[i], s.offs(f.pic.Points), named)...)
		if far {
			p.Warnings = append(p.Warnings, Warning{Code: CodeMisfit, Doubt: math.Sqrt(ratio),
				Text: fmt.Sprintf("over the take, the residuals are %.1f times the marking noise: check the labels, whether the camera stood still, and lens distortion", math.Sqrt(ratio))})
		}
		if spare := equations(f.pic.Points) - (s.free - (s.n - atCentre)); spare <= 1 {
			p.Warnings = append(p.Warnings, spareWarning(f.pic.Points, spare))
		}
		if w, ok := t.moved(i, p); ok {
			p.Warnings = append(p.Warnings, w)
		}
		p.Warnings = append(p.Warnings, p.doubts(f.pic.Points)...)
		p.Warnings = append(p.Warnings, f.pic.offImage()...)
		out[i] = p
	}
	return out
}

// named is what the picture on its own was told about its marks.
func (t *take) named(i int) []Warning {
	if t.alone[i] == nil {
		return nil
	}
	var ws []Warning
	for _, w := range t.alone[i].Warnings {
		switch w.Code {
		case CodeDisagrees, CodeSwap, CodeDistortion, CodeWidth:
			ws = append(ws, w)
		}
	}
	return ws
}

// moved compares the camera's place in one picture with the common one.
func (t *take) moved(i int, p *Placing) (Warning, bool) {
	own := t.alone[i]
	if own == nil {
		return Warning{}, false
	}
	worst := 0.0
	for k := range 3 {
		// The common place rests on this picture too, so that its variance is part
		// of the picture's own.
		v := own.cov[(atCentre+k)*own.n+atCentre+k]
		worst = math.Max(worst, math.Abs(own.pose.centre[k]-p.pose.centre[k])/math.Sqrt(v))
	}
	if quantity.Ratio(worst) <= MovedSDs {
		return Warning{}, false
	}
	return Warning{Code: CodeMoved, Doubt: worst,
		Text: fmt.Sprintf("on its own, this picture puts the camera %.1f standard deviations from where the take has it: check that the camera stood still, or split the take", worst)}, true
}

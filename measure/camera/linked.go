package camera

import (
	"errors"
	"fmt"
	"math"

	"gonum.org/v1/gonum/mat"

	"mesure/quantity"
	"mesure/sport/mark"
)

// Link says how the picture turned between two frames of one take: where points of
// the background are in the one and in the other.
type Link struct {
	// From and To are numbers of pictures, from 0.
	From, To int
	Matches  []LinkMatch
	// SD of a match in each direction, in pixels.
	SD quantity.Pixels
}

// LinkMatch is one point of the background in both pictures.
type LinkMatch struct{ From, To mark.Pixel }

// Linked is the cameras of a take whose frames are linked.
type Linked struct {
	// Placings has one camera for each picture; nil for one that no chain of links
	// joins to a picture with marks on the piste.
	Placings []*Placing
	// Drifts says how far the camera had come off at each picture with marks but the
	// first that a chain reaches from the one before.
	Drifts []Drift
}

// Drift is how far the camera that was followed from the last picture with marks had
// come off at the next.
type Drift struct {
	Picture int
	// Px is the root mean square distance of the marks from where the followed camera
	// puts their points; Metres the same on the floor.
	Px     quantity.Pixels
	Metres quantity.Metres
	// Share is the ratio of Px to what the camera's stated uncertainty and the marking
	// noise lead one to expect.
	Share quantity.Ratio
}

// CodeDrift is the code of the warning of a followed camera that had come off further
// than it believed.
const CodeDrift = "camera-drifted"

// DriftSDs is how many times the expected distance warrants that warning.
const DriftSDs = 3.0

// PlaceLinked finds the cameras of all pictures of one take. Those with marks on the
// piste are placed as PlaceTogether does; the others have neither points nor lines
// and follow through links. A camera that only turns and zooms shows a point of the
// background that it saw at p in picture a in picture b at
//
//	p' = show_b(R_b R_aᵀ ray_a(p)),
//
// wherever it lies. Pictures from which links go out, and those with marks, are fitted
// at once with the place of the camera that all share: the residuals of PlaceTogether
// and those of all links, each by its standard deviation. A picture that is only
// reached is then turned to its link, with the covariance
//
//	C_b = F C_a Fᵀ + SD²(J_bᵀJ_b)⁻¹,  F = −(J_bᵀJ_b)⁻¹J_bᵀJ_a
//
// so that what is not known grows with the length of the chain and shrinks towards the
// next picture with marks. Errors are those of PlaceTogether for the pictures with
// marks; a PictureError counts all pictures.
//
// Two points of the piste are enough on a picture of a camera whose place another
// picture tells (the two-point method for cameras that pan, tilt and zoom: Chen, Zhu
// & Little 2018, arXiv 1801.09005).
func PlaceLinked(pics []Picture, links []Link, opt Options) (*Linked, error) {
	t := &linkedTake{pics: pics, links: links, opt: opt, at: map[int]int{}}
	var marked []Picture
	for i, p := range pics {
		if len(p.Points)+len(p.Lines) > 0 {
			t.at[i] = len(marked)
			marked = append(marked, p)
			t.marked = append(t.marked, i)
		}
	}
	own, err := PlaceTogether(marked, opt)
	if err != nil {
		var in *PictureError
		if errors.As(err, &in) {
			return nil, &PictureError{Picture: t.marked[in.Picture], Err: in.Err}
		}
		return nil, err
	}
	t.own = own
	out := &Linked{Placings: make([]*Placing, len(pics))}
	for k, i := range t.marked {
		out.Placings[i] = own[k]
	}
	if len(links) == 0 {
		return out, nil
	}
	t.index()
	out.Drifts = t.drifts()
	t.joint(t.carried(out.Placings), out)
	t.leaves(out.Placings)
	for _, d := range out.Drifts {
		if p := out.Placings[d.Picture]; d.Share > DriftSDs {
			p.Warnings = append(p.Warnings, Warning{Code: CodeDrift, Doubt: float64(d.Share), Text: driftText(d)})
		}
	}
	return out, nil
}

func driftText(d Drift) string {
	return fmt.Sprintf("the camera that was followed from the placed frame before had come %.1f px off here (%.0f cm on the floor), %.1f times what it believed: check the marks on both frames, or place one more frame between them",
		float64(d.Px), d.Metres.Centimetres(), float64(d.Share))
}

type linkedTake struct {
	pics   []Picture
	links  []Link
	opt    Options
	at     map[int]int // picture → index in marked
	marked []int
	own    []*Placing
	by     [][]int // links that touch each picture
}

func (t *linkedTake) index() {
	t.by = make([][]int, len(t.pics))
	for k, l := range t.links {
		t.by[l.From] = append(t.by[l.From], k)
		t.by[l.To] = append(t.by[l.To], k)
	}
}

// hub reports whether a picture takes part in the joint fit: it has marks, or links go
// out from it.
func (t *linkedTake) hub(i int) bool {
	if _, ok := t.at[i]; ok {
		return true
	}
	for _, k := range t.by[i] {
		if t.links[k].From == i {
			return true
		}
	}
	return false
}

// spreadFrom carries cameras from those that are there to the hubs that links reach,
// the nearest first; stop ends it when it says so of a picture that was just reached.
func (t *linkedTake) spreadFrom(have []*Placing, stop func(i int) bool) {
	var queue []int
	for i, p := range have {
		if p != nil {
			queue = append(queue, i)
		}
	}
	for len(queue) > 0 {
		i := queue[0]
		queue = queue[1:]
		for _, k := range t.by[i] {
			l := t.links[k]
			j := l.From + l.To - i
			if have[j] != nil || !t.hub(j) {
				continue
			}
			p, ok := have[i].carried(l, l.To == j)
			if !ok {
				continue
			}
			have[j] = p
			if stop != nil && stop(j) {
				return
			}
			queue = append(queue, j)
		}
	}
}

// carried are the hubs as they start into the joint fit.
func (t *linkedTake) carried(placed []*Placing) []*Placing {
	have := append([]*Placing(nil), placed...)
	t.spreadFrom(have, nil)
	return have
}

// drifts compares each picture with marks with the camera followed from the last one.
func (t *linkedTake) drifts() []Drift {
	var out []Drift
	for k := 1; k < len(t.marked); k++ {
		have := make([]*Placing, len(t.pics))
		have[t.marked[k-1]] = t.own[k-1]
		goal := t.marked[k]
		t.spreadFrom(have, func(i int) bool { return i == goal })
		if p := have[goal]; p != nil {
			if d, ok := t.drift(p, goal); ok {
				out = append(out, d)
			}
		}
	}
	return out
}

func (t *linkedTake) drift(p *Placing, i int) (Drift, bool) {
	var off, want, floor float64
	n := 0
	for _, q := range t.pics[i].Points {
		px, v := p.expected(at(q.On))
		got, err := p.Floor(q.At, 0)
		if err != nil {
			continue
		}
		off += square(px.U-q.At.U) + square(px.V-q.At.V)
		want += v + 2*square(q.sd())
		floor += square(got.Mean[0]-q.On.X) + square(got.Mean[1]-q.On.Y)
		n++
	}
	if n == 0 {
		return Drift{}, false
	}
	return Drift{Picture: i, Px: quantity.Pixels(math.Sqrt(off / float64(n))), Metres: quantity.Metres(math.Sqrt(floor / float64(n))),
		Share: quantity.Ratio(math.Sqrt(off / want))}, true
}

// joint fits all hubs at once and puts their cameras in out. Where that fails, the
// cameras as they were carried stand.
func (t *linkedTake) joint(start []*Placing, out *Linked) {
	b := &bundle{}
	opt := t.opt
	opt.Priors = opt.Priors.filled()
	first := t.own[0]
	width := t.pics[t.marked[0]].Width
	lens := b.lensSlots(first.lens, width, opt)
	centre := b.centreSlots(first.pose.centre, opt.Priors)
	views := make([]int, len(t.pics)) // picture → view, from 1
	var hubs []int
	for i, p := range start {
		if p == nil {
			continue
		}
		v := &view{lens: p.lens, pose: p.pose, slots: slots{lens: lens, centre: centre}}
		if k, ok := t.at[i]; ok {
			pic := t.pics[i]
			v.points, v.weight = pic.whole(), t.own[k].weight
			b.look(v, opt)
		} else {
			v.slots.turn = b.add(0, 0, 0)
			v.slots.logFocal = fixed
			if opt.Lens == nil {
				v.slots.logFocal = b.add(math.Log(v.lens.Fx))
			}
			b.views = append(b.views, v)
		}
		hubs = append(hubs, i)
		views[i] = len(b.views)
	}
	for _, l := range t.links {
		if views[l.From] > 0 && views[l.To] > 0 {
			b.links = append(b.links, bundleLink{l, b.views[views[l.From]-1], b.views[views[l.To]-1]})
		}
	}
	all, err := b.solve()
	if err != nil {
		copy(out.Placings, start)
		return
	}
	chi, given, params := 0.0, 0, all[0].n-atCentre
	for h, i := range hubs {
		if _, ok := t.at[i]; ok {
			s := all[h]
			chi += s.chi
			given += equations(b.views[h].points)
			params += s.free - (s.n - atCentre)
		}
	}
	ratio, far := misfit(chi, given-params)
	for h, i := range hubs {
		s := all[h]
		if far {
			for k := range s.cov {
				s.cov[k] *= ratio
			}
		}
		p := newPlacing(s, opt.Priors.Scale)
		if k, ok := t.at[i]; ok {
			p.residuals(b.views[h].points)
			p.weight, p.Warnings = t.own[k].weight, append([]Warning(nil), t.own[k].Warnings...)
		}
		out.Placings[i] = p
	}
}

// leaves turns the pictures that are only reached to their links.
func (t *linkedTake) leaves(placed []*Placing) {
	for _, l := range t.links {
		if placed[l.To] == nil && placed[l.From] != nil {
			if p, ok := placed[l.From].carried(l, true); ok {
				placed[l.To] = p
			}
		}
	}
}

// carryRounds bounds the rounds of turning a camera to a link.
const carryRounds = 20

// carried is the camera of the other picture of a link: to its second (forward) or
// back to its first.
func (p *Placing) carried(l Link, forward bool) (*Placing, bool) {
	b := &view{lens: p.lens, pose: p.pose}
	var step [4]float64
	for range carryRounds {
		jb, _, off, ok := p.linkRows(b, l, forward)
		if !ok || len(off) < 8 {
			return nil, false
		}
		chol, ok := normalRoot(jb)
		if !ok {
			return nil, false
		}
		var right, move mat.VecDense
		right.MulVec(jb.T(), mat.NewVecDense(len(off), off))
		if chol.SolveVecTo(&move, &right) != nil {
			return nil, false
		}
		for k := range step {
			step[k] = -move.AtVec(k)
		}
		if p.known() { // the focal length stays
			step[atFocal] = 0
		}
		b.lens.Fx *= math.Exp(step[atFocal])
		b.lens.Fy = b.lens.Fx
		b.pose = b.pose.turned(vec{step[1], step[2], step[3]})
		if !finite(b.lens.Fx, step[1], step[2], step[3]) || !(b.lens.Fx >= 1) {
			return nil, false
		}
		if math.Abs(step[0])+math.Abs(step[1])+math.Abs(step[2])+math.Abs(step[3]) < 1e-10 {
			break
		}
	}
	return p.carriedTo(b, l, forward)
}

// normalRoot is the Cholesky root of JᵀJ; false where the rows leave a column open.
func normalRoot(j *mat.Dense) (*mat.Cholesky, bool) {
	var normal mat.SymDense
	normal.SymOuterK(1, j.T())
	var chol mat.Cholesky
	return &chol, chol.Factorize(&normal)
}

// known reports whether the focal length was given and not fitted.
func (p *Placing) known() bool { return p.cov[atFocal*p.n+atFocal] == 0 }

// carriedTo states the camera of the other picture with its covariance.
func (p *Placing) carriedTo(b *view, l Link, forward bool) (*Placing, bool) {
	jb, ja, _, ok := p.linkRows(b, l, forward)
	if !ok {
		return nil, false
	}
	chol, ok := normalRoot(jb)
	if !ok {
		return nil, false
	}
	var q mat.SymDense
	if chol.InverseTo(&q) != nil {
		return nil, false
	}
	var jj, f mat.Dense
	jj.Mul(jb.T(), ja)
	f.Mul(&q, &jj)
	// m carries the fitted numbers: the first four anew, the shared ones as they are.
	m := make([]float64, p.n*p.n)
	for r := range 4 {
		for c := range p.n {
			m[r*p.n+c] = -f.At(r, c)
		}
	}
	for r := 4; r < p.n; r++ {
		m[r*p.n+r] = 1
	}
	j := quantity.Joint{Mean: make([]float64, p.n), Cov: p.cov}.Linear(m, nil)
	sd2 := square(float64(l.SD))
	for r := range 4 {
		for c := range 4 {
			j.Cov[r*p.n+c] += sd2 * q.At(r, c)
		}
	}
	if p.known() {
		for k := range p.n {
			j.Cov[atFocal*p.n+k], j.Cov[k*p.n+atFocal] = 0, 0
		}
	}
	s := solved{lens: b.lens, pose: b.pose, at: p.at, cov: j.Cov, n: p.n}
	if !s.sound() {
		return nil, false
	}
	return newPlacing(s, quantity.Ratio(p.scale)), true
}

// linkRows returns the residuals of a link between this camera and another, and their
// derivatives by the other's focal length and turn and by this camera's numbers; all
// in pixels.
func (p *Placing) linkRows(b *view, l Link, forward bool) (jb, ja *mat.Dense, off []float64, ok bool) {
	n := 2 * len(l.Matches)
	if n == 0 {
		return nil, nil, nil, false
	}
	jb, ja = mat.NewDense(n, 4, nil), mat.NewDense(n, p.n, nil)
	off = make([]float64, n)
	for k, m := range l.Matches {
		from, to := m.From, m.To
		if !forward {
			from, to = to, from
		}
		px, db, da, seen := turned(p.lens, p.pose, b.lens, b.pose, from)
		if !seen {
			return nil, nil, nil, false
		}
		for axis, o := range [2]float64{px.U - to.U, px.V - to.V} {
			r := 2*k + axis
			off[r] = o
			jb.Set(r, 0, db.lens[axis][lensFx]*b.lens.Fx+db.lens[axis][lensFy]*b.lens.Fy)
			ja.Set(r, atFocal, da.lens[axis][lensFx]*p.lens.Fx+da.lens[axis][lensFy]*p.lens.Fy)
			for c := range 3 {
				jb.Set(r, 1+c, db.turn[axis][c])
				ja.Set(r, atTurn+c, da.turn[axis][c])
			}
			for c, i := range p.at {
				if i != fixed { // both pictures share it
					ja.Set(r, i, da.lens[axis][c]+db.lens[axis][c])
				}
			}
		}
	}
	return jb, ja, off, true
}

// turned is where what one camera sees at a pixel shows in another that stands at the
// same place, and how that answers to the second camera (db) and to the first (da).
func turned(la optics, pa pose, lb optics, pb pose, px mark.Pixel) (out mark.Pixel, db, da sensitivity, ok bool) {
	s, ok := la.sight(pa, px)
	if !ok {
		return out, db, da, false
	}
	// A point one step along the line of sight; how far does not matter.
	out, ok = lb.project(pose{pb.turn, pa.centre}, pa.centre.plus(s.dir), &db)
	for axis := range 2 {
		by := db.centre[axis].times(-1) // by the point itself
		for k := range lensCount {
			da.lens[axis][k] = by.dot(s.lens[k])
		}
		for k := range 3 {
			da.turn[axis][k] = by.dot(s.turn[k])
		}
		db.centre[axis] = vec{}
	}
	return out, db, da, ok
}

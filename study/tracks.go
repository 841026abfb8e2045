package study

import (
	"context"
	"maps"
	"math"
	"math/rand/v2"
	"slices"
	"sync"

	"mesure/measure/camera"
	"mesure/measure/motion"
	"mesure/quantity"
	"mesure/sport/mark"
	"mesure/sport/piste"
)

// trackName names one point of one fencer in one take.
type trackName struct {
	take string
	who  mark.Side
	what mark.What
}

// sighting is one frame of a track as it was seen.
type sighting struct {
	state string
	at    mark.Pixel
	sd    quantity.Pixels
	sure  float64
}

// trail is a track under work: what was seen, and the movement that it makes.
type trail struct {
	name trackName
	seen map[mark.Frame]sighting
	// frames that were taken as samples, with the samples and whether each is a mark.
	frames  []mark.Frame
	samples []motion.Sample
	marked  []bool
	common  []float64
	// key of all of it.
	key fitKey

	once sync.Once
	path *motion.Path
}

// enough reports whether enough was measured for a movement.
func (x *trail) enough() bool { return len(x.samples) >= leastSamples }

// movement is what the samples make, nil where they are too few. It is large, so it is
// made when something first asks for it, and not kept between readings.
func (x *trail) movement() *motion.Path {
	x.once.Do(func() {
		if x.enough() {
			x.path = smooth(x.samples, x.marked, x.common)
		}
	})
	return x.path
}

// trails are all tracks of a reading.
type trails struct {
	list []*trail
	at   map[trackName]*trail
	// plane of action of each take, and its frames as they are looked through.
	plane    map[string]camera.Plane
	sighters map[view]*camera.Sighter
	kept     *Cameras
}

func (t *trails) of(n trackName) (*trail, bool) {
	if t == nil {
		return nil, false
	}
	x, ok := t.at[n]
	return x, ok
}

// Limits of a track.
const (
	// leastSamples of a movement whose speed is worth stating.
	leastSamples = 5
	// biasDraws of the bias of a peak: its error is then a seventh of its spread.
	biasDraws = 50
)

// seenIn collects what is known of a point in the picture: the marks of the coach, the
// bridges of a following that still hold, and the stretches on which it is hidden.
func seenIn(t *Touch, k mark.Take, n trackName, bridges []Bridge, last mark.Frame) map[mark.Frame]sighting {
	seen := map[mark.Frame]sighting{}
	anchors := anchorsOf(t, k.ID, n.who, n.what, k.To)
	for i := 1; i < len(anchors); i++ {
		// Between two marks from which something was followed, what was not is lost;
		// beyond the first and the last mark nothing was asked for.
		a, b := anchors[i-1].Frame, anchors[i].Frame
		if slices.ContainsFunc(bridges, func(x Bridge) bool {
			return x.Who == n.who && x.What == n.what && (x.From == a && x.To > a || x.From == b && x.To < b)
		}) {
			for f := a + 1; f < b; f++ {
				seen[f] = sighting{state: StateLost}
			}
		}
	}
	for _, b := range bridges {
		if b.Who != n.who || b.What != n.what {
			continue
		}
		for _, s := range b.Steps {
			if s.Lost {
				seen[s.Frame] = sighting{state: StateLost}
				continue
			}
			seen[s.Frame] = sighting{StateFollowed, s.At, quantity.Pixels(s.SD), s.Sure}
		}
	}
	for _, h := range hiddenOf(t, k.ID, n.who, n.what) {
		for f := max(h.From, k.From); f <= min(h.To, last); f++ {
			seen[f] = sighting{state: StateHidden}
		}
	}
	for _, a := range anchors {
		seen[a.Frame] = sighting{StateMarked, a.At, a.SD, 1}
	}
	return seen
}

// readTrails measures every point that was followed.
func readTrails(t *Touch, cams cameras, clocks map[string]clock, r *Reading, o ReadOptions) *trails {
	if o.Following == nil {
		return nil
	}
	all := &trails{at: map[trackName]*trail{}, plane: map[string]camera.Plane{}, sighters: map[view]*camera.Sighter{}, kept: o.Cameras}
	for _, k := range t.Takes {
		got, ok := o.Following.holds(t, k, r.Clips[k.Video])
		if !ok {
			continue
		}
		last := k.To
		if len(got.Cuts) > 0 {
			last = got.Cuts[0] - 1
		}
		bridges := holding(t, k, got, last)
		if len(bridges) == 0 {
			continue
		}
		r.Warnings = append(r.Warnings, got.Warnings...)
		all.plane[k.ID] = planeOfTake(t, k, cams)
		for f := k.From; f <= last; f++ {
			if cam, ok := cams.of(view{k.ID, f}); ok {
				all.sighters[view{k.ID, f}] = cam.Sighter(all.plane[k.ID])
			}
		}
		for _, s := range mark.Sides {
			for _, w := range marked(t, k.ID, s) {
				n := trackName{k.ID, s, w}
				x := &trail{name: n, seen: seenIn(t, k, n, bridges, last)}
				all.list = append(all.list, x)
				all.at[n] = x
			}
		}
	}
	inParallel(len(all.list), func(i int) { all.list[i].measure(t, all.sighters, clocks) })
	return all
}

// holding are the bridges of a followed take whose keys are those of the touch.
func holding(t *Touch, k mark.Take, got FollowedTake, last mark.Frame) []Bridge {
	keys := map[string]bool{}
	for _, w := range wantedBridges(t, k, got.Key, last) {
		keys[w.Key] = true
	}
	var out []Bridge
	for _, b := range got.Bridges {
		if keys[b.Key] {
			out = append(out, b)
		}
	}
	return out
}

// planeOfTake is the plane of action over the frames of a take on which feet are
// marked by hand.
func planeOfTake(t *Touch, k mark.Take, cams cameras) camera.Plane {
	var planes []camera.Plane
	for _, v := range markedViews(t) {
		cam, ok := cams.of(v)
		if !ok || v.take != k.ID {
			continue
		}
		var feet []camera.Sighting
		for _, s := range mark.Sides {
			for _, m := range marksOf(t, v, s) {
				if m.What.IsFoot() {
					off, spread := offPlane(m.What, s, t.Bout.Fencer(s).Hand)
					feet = append(feet, camera.Sighting{At: m.At, SD: sdOr(m.SD), Off: off, OffSD: spread})
				}
			}
		}
		if len(feet) < 2 {
			continue
		}
		if p, err := camera.FitPlane(cam, feet); err == nil {
			planes = append(planes, p)
		}
	}
	return camera.MeanPlane(planes)
}

// measure takes the seen places into metres and smooths them.
func (x *trail) measure(t *Touch, sighters map[view]*camera.Sighter, clocks map[string]clock) {
	off, spread := offPlane(x.name.what, x.name.who, t.Bout.Fencer(x.name.who).Hand)
	for f, s := range x.seen {
		if s.state == StateMarked || s.state == StateFollowed {
			if sighters[view{x.name.take, f}] != nil {
				x.frames = append(x.frames, f)
			}
		}
	}
	slices.Sort(x.frames)
	var frames []mark.Frame
	var offs []([3]float64)
	for _, f := range x.frames {
		s := x.seen[f]
		g, err := sighters[view{x.name.take, f}].Sighted(camera.Sighting{At: s.at, SD: s.sd, Off: off, OffSD: spread})
		if err != nil {
			continue
		}
		shared := make([]float64, 2*len(g.Shared))
		for c, move := range g.Shared {
			shared[c], shared[len(g.Shared)+c] = move[0], move[2]
		}
		x.samples = append(x.samples, motion.Sample{At: clocks[x.name.take].at(f).Mean,
			Where:  quantity.NewJoint([]float64{g.At[0], g.At[2]}, []float64{g.Own[0][0], g.Own[0][2], g.Own[2][0], g.Own[2][2]}),
			Shared: shared})
		x.marked = append(x.marked, s.state == StateMarked)
		frames = append(frames, f)
		offs = append(offs, g.Off)
	}
	x.frames = frames
	if len(frames) < leastSamples {
		return
	}
	// What a point lies beside the plane is the same, nearly, over a take.
	x.common = make([]float64, 4)
	for _, o := range offs {
		for a, i := range [2]int{0, 2} {
			for b, j := range [2]int{0, 2} {
				x.common[2*a+b] += o[i] * o[j] / float64(len(offs))
			}
		}
	}
	x.setKey(clocks[x.name.take])
}

// setKey names everything that follows from the trail.
func (x *trail) setKey(c clock) {
	var b keyBytes
	b.text(x.name.take + x.name.who.String() + string(x.name.what))
	for i, s := range x.samples {
		b.floats(float64(x.frames[i]), float64(s.At))
		b.floats(s.Where.Mean...)
		b.floats(s.Where.Cov...)
		b.floats(s.Shared...)
		b.text(x.seen[x.frames[i]].state)
	}
	b.floats(x.common...)
	b.floats(c.offset, c.slope, c.vs)
	for _, f := range slices.Sorted(maps.Keys(x.seen)) {
		b.floats(float64(f))
		b.text(x.seen[f].state)
	}
	x.key = b.sum()
}

// smooth is the movement that samples make.
func smooth(samples []motion.Sample, marked []bool, common []float64) *motion.Path {
	walked := motion.Walked(samples, marked, motion.WalkShare)
	p, err := motion.Smooth(walked, motion.Options{Jerk: motion.JerkOf(walked), Common: common})
	if err != nil {
		return nil // samples in disorder: two frames at one instant
	}
	return p
}

// tracks states the trails.
func (all *trails) tracks(t *Touch, cams cameras, clocks map[string]clock, r *Reading) {
	if all == nil {
		return
	}
	out := make([]Track, len(all.list))
	inParallel(len(all.list), func(i int) {
		x := all.list[i]
		fresh := func() Track { return x.track(t, cams, clocks, all.plane, r.Seed) }
		if !x.enough() {
			out[i] = fresh()
			return
		}
		b := keyBytes(x.key[:])
		b.text("track")
		b.floats(float64(r.Seed))
		out[i] = move(all.kept, b.sum(), fresh)
	})
	r.Tracks = out
}

// placeOn is a place beside the plane of action.
func placeOn(plane camera.Plane, x, off, z float64) piste.Place {
	return piste.Place{X: x, Y: plane.Across(x) + off, Z: z}
}

func (x *trail) track(t *Touch, cams cameras, clocks map[string]clock, planes map[string]camera.Plane, seed uint64) Track {
	out := Track{Take: x.name.take, Who: x.name.who, What: x.name.what}
	frames := slices.Sorted(maps.Keys(x.seen))
	clock := clocks[x.name.take]
	plane := planes[x.name.take]
	off, _ := offPlane(x.name.what, x.name.who, t.Bout.Fencer(x.name.who).Hand)
	path := x.movement()
	slow := clock.slowness()
	for _, f := range frames {
		s := x.seen[f]
		step := TrackStep{Frame: f, At: clock.at(f).Mean, State: s.state, Px: s.at, SD: s.sd, Sure: s.sure, Smooth: s.at}
		if path != nil {
			at := path.At(step.At)
			step.X, step.VX, step.AX = at.Coordinate(0)
			step.Z, step.VZ, step.AZ = at.Coordinate(1)
			step.VX, step.VZ, step.Speed = widened(step.VX, slow), widened(step.VZ, slow), widened(at.Speed(), slow)
			if cam, ok := cams.of(view{x.name.take, f}); ok {
				place := at.Place().Mean
				if px, ok := cam.Project(placeOn(plane, place[0], float64(off), place[1])); ok {
					step.Smooth = px
				}
			}
		}
		out.Steps = append(out.Steps, step)
	}
	if path == nil {
		return out
	}
	for _, i := range path.Outliers() {
		out.Outliers = append(out.Outliers, x.frames[i])
	}
	peak := path.Peak()
	speed := widened(peak.Speed, slow)
	out.Peak, out.PeakAt = &speed, peak.At
	bias, err := path.PeakBias(biasDraws, rand.NewPCG(seed, uint64(len(x.samples))))
	if err == nil {
		out.PeakBias = &bias
	}
	return out
}

// slowness is the relative doubt of the time factor.
func (c clock) slowness() float64 { return math.Sqrt(c.vs) / c.slope }

// widened adds the relative doubt of the take's time factor to a speed.
func widened(v quantity.Of[quantity.MetresPerSecond], slow float64) quantity.Of[quantity.MetresPerSecond] {
	if slow == 0 {
		return v
	}
	extra := math.Abs(float64(v.Mean)) * slow
	wide := math.Hypot(float64(v.SD), extra)
	if v.SD == 0 {
		return quantity.Normal(v.Mean, quantity.MetresPerSecond(wide))
	}
	by := quantity.MetresPerSecond(wide / float64(v.SD))
	return quantity.Of[quantity.MetresPerSecond]{Mean: v.Mean, SD: v.SD * by, Lo: v.Mean - (v.Mean-v.Lo)*by, Hi: v.Mean + (v.Hi-v.Mean)*by}
}

// inParallel does work for each number below n on all cores.
func inParallel(n int, work func(i int)) {
	_ = eachOf(context.Background(), n, func(i int) error {
		work(i)
		return nil
	})
}

package demo

import (
	"math"

	"mesure/demo/scene"
	"mesure/measure/camera"
	"mesure/quantity"
	"mesure/sport/mark"
	"mesure/sport/piste"
	"mesure/study"
)

// The comparison.
const (
	// gridStep is the spacing of the grid along the piste, in metres.
	gridStep = 0.5
	// oneAfter is how long after the only placed frame the camera is looked at, in
	// seconds of the file, and oneHalf half the length of the stretch.
	oneAfter = 4.0
	oneHalf  = 0.1
	// gapEach is on which frames gaps are compared.
	gapEach = 5
	// missed is the error of what was not found at all, in metres, frames or shares:
	// a number that no file of numbers chokes on and nobody takes for good.
	missed = 100
	// slowHand is the greatest speed, in m/s, of a hand that hardly moves: its
	// peak says nothing.
	slowHand = 1.0
)

// chi95 is the 0.95 quantile of χ² with two degrees of freedom, −2·ln 0.05.
var chi95 = -2 * math.Log(0.05)

// HasLongTake reports whether a take of a touch lasts long enough to ask where the
// camera is four seconds after its only placed frame.
func HasLongTake(touch int) bool {
	for _, s := range scene.Films()[touch].Shots {
		if float64(s.Frames-1)/scene.FrameRate > oneAfter+oneHalf {
			return true
		}
	}
	return false
}

// HasReplay reports whether a touch is shown again in a slow replay.
func HasReplay(touch int) bool {
	for _, s := range scene.Films()[touch].Shots {
		if s.Factor != 1 {
			return true
		}
	}
	return false
}

// Followed compares readings of handfuls of marks with the truth: cameras, points,
// gaps, speeds and the clock of the replay. Where nothing was compared a number is
// 0 and its N says so. It panics for a take that the demo does not have.
func Followed(samples []FollowedSample) FollowedReport {
	films := scene.Films()
	var truths [Count]*Truth
	c := comparison{points: map[mark.What]*tally{}}
	for _, s := range samples {
		if truths[s.Touch] == nil {
			t := truthOf(s.Touch, films[s.Touch])
			truths[s.Touch] = &t
		}
		for i := range truths[s.Touch].Takes {
			c.take(films[s.Touch], &truths[s.Touch].Takes[i], s)
		}
	}
	return c.report()
}

// comparison collects what the report is made of.
type comparison struct {
	camera, one        tally
	frames, unplaced   int
	points             map[mark.What]*tally
	body, tip          tally // in pixels
	followed, seen     int
	lost, lostReported int
	gaps               tally
	bias, raw          []float64
	factor, offset     tally
}

func (c *comparison) take(film *scene.Film, take *TrueTake, s FollowedSample) {
	switch {
	case s.OnePlaced:
		c.onePlaced(take, s.Reading)
		return
	case s.ClockOnly:
		c.clock(take, s.Reading)
		return
	}
	last := len(take.Frames) - 1
	for n := 1; n < last; n++ {
		f := &take.Frames[n]
		c.frames++
		cam, ok := s.Reading.CameraAt(take.ID, f.Frame)
		if !ok {
			c.unplaced++
			continue
		}
		floor(&c.camera, f, cam)
	}
	for i := range s.Reading.Tracks {
		if k := &s.Reading.Tracks[i]; k.Take == take.ID {
			c.track(take, k)
			c.speed(film, take, k)
		}
	}
	for n := 0; n < len(take.Frames); n += gapEach {
		c.gapsOn(&take.Frames[n], take.ID, s.Reading)
	}
}

// onePlaced looks at the camera four seconds after the only placed frame.
func (c *comparison) onePlaced(take *TrueTake, r *study.Reading) {
	for n := range take.Frames {
		if at := float64(n) / scene.FrameRate; math.Abs(at-oneAfter) <= oneHalf {
			if cam, ok := r.CameraAt(take.ID, take.Frames[n].Frame); ok {
				floor(&c.one, &take.Frames[n], cam)
			} else {
				c.one.add(missed, false)
			}
		}
	}
}

// floor compares the floor of one frame: where the camera that was found puts the
// pixel at which the true one shows a place.
func floor(to *tally, f *TrueFrame, cam *camera.Placing) {
	eye := f.Camera.camera()
	for x := -piste.RearLimit; x <= piste.RearLimit; x += gridStep {
		for _, y := range [3]float64{-piste.Width / 2, 0, piste.Width / 2} {
			p := scene.Vec{X: x, Y: y}
			if !eye.Sees(p, 0) {
				continue
			}
			px, _ := eye.Project(p)
			j, err := cam.Floor(px, 0)
			if err != nil {
				to.add(missed, false)
				continue
			}
			dx, dy := j.Mean[0]-x, j.Mean[1]-y
			a, b, d := j.Covariance(0, 0), j.Covariance(0, 1), j.Covariance(1, 1)
			square := (d*dx*dx - 2*b*dx*dy + a*dy*dy) / (a*d - b*b)
			to.add(math.Hypot(dx, dy), square <= chi95)
		}
	}
}

// camera is the true camera as the scene has it.
func (c *TrueCamera) camera() scene.Camera {
	return scene.Camera{At: scene.Vec{X: c.At.X, Y: c.At.Y, Z: c.At.Z}, Pan: c.Pan, Tilt: c.Tilt, Roll: c.Roll, Focal: c.Focal}
}

// track compares one point through one take.
func (c *comparison) track(take *TrueTake, k *study.Track) {
	steps := map[mark.Frame]*study.TrackStep{}
	for i := range k.Steps {
		steps[k.Steps[i].Frame] = &k.Steps[i]
	}
	for n := range take.Frames {
		f := &take.Frames[n]
		body := f.Of(k.Who)
		step, ok := steps[f.Frame]
		state := study.StateLost
		if ok {
			state = step.State
		}
		seen := body.Seen(k.What)
		switch {
		case seen && state != study.StateMarked:
			c.seen++
			if state == study.StateFollowed {
				c.followed++
			}
		case !seen:
			c.lost++
			if state == study.StateLost || state == study.StateHidden {
				c.lostReported++
			}
		}
		if state != study.StateFollowed {
			continue
		}
		real := body.Point(k.What)
		if c.points[k.What] == nil {
			c.points[k.What] = &tally{}
		}
		c.points[k.What].add(math.Hypot(float64(step.X.Mean)-real.X, float64(step.Z.Mean)-real.Z), true)
		px, _ := f.Camera.camera().Project(scene.Vec{X: real.X, Y: real.Y, Z: real.Z})
		to := &c.body
		if k.What == mark.Point {
			to = &c.tip
		}
		to.add(math.Hypot(step.Px.U-px.U, step.Px.V-px.V), true)
	}
}

// speed compares the greatest speed of a guard with the true one over the same
// stretch, in the plane of action.
func (c *comparison) speed(film *scene.Film, take *TrueTake, k *study.Track) {
	if k.What != mark.Guard || k.Peak == nil || len(k.Steps) == 0 {
		return
	}
	at := func(f mark.Frame) float64 { return float64(take.Frames[f].At) }
	from, to := at(k.Steps[0].Frame), at(k.Steps[len(k.Steps)-1].Frame)
	real := peakSpeed(film, k.Who, from, to)
	if real < slowHand {
		return
	}
	stated := float64(k.Peak.Mean)
	c.raw = append(c.raw, stated/real-1)
	if k.PeakBias != nil {
		stated -= float64(k.PeakBias.Mean)
	}
	c.bias = append(c.bias, stated/real-1)
}

// peakSpeed is the greatest true speed of a guard along the piste and upwards.
func peakSpeed(film *scene.Film, s mark.Side, from, to float64) float64 {
	const tick = 0.001
	most := 0.0
	last := film.At(quantity.Seconds(from))
	for t := from + tick; t <= to; t += tick {
		now := film.At(quantity.Seconds(t))
		d := now[s].Guard.Sub(last[s].Guard)
		most = math.Max(most, math.Hypot(d.X, d.Z)/tick)
		last = now
	}
	return most
}

// gapsOn compares the gaps of one frame that rest on followed points.
func (c *comparison) gapsOn(f *TrueFrame, take string, r *study.Reading) {
	in, ok := r.InstantAt(take, f.Frame)
	if !ok || f.Frame%handfulEvery == 0 {
		return
	}
	for _, g := range in.Gaps {
		real := distance(f.Of(g.Of).Point(mark.Point), f.Of(g.Of.Other()).Target(g.Target))
		c.gaps.add(float64(g.Gap.Mean)-real, float64(g.Gap.Lo) <= real && real <= float64(g.Gap.Hi))
	}
}

// clock compares the clock of a replay.
func (c *comparison) clock(take *TrueTake, r *study.Reading) {
	if take.Factor == 1 {
		return
	}
	k, ok := r.Clock(take.ID)
	if !ok {
		c.factor.add(missed, false)
		c.offset.add(missed, false)
		return
	}
	c.factor.add(float64(k.Factor.Mean)/take.Factor-1, true)
	c.offset.add(float64(k.Offset.Mean-take.Start)*scene.FrameRate, true)
}

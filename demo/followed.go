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

// FollowedSample is one reading of a handful of marks with what was followed
// between them.
type FollowedSample struct {
	// Touch is which of the four was read, from 0.
	Touch   int
	Reading *study.Reading
	// OnePlaced says that the piste was placed on the first frame of each take
	// only.
	OnePlaced bool
}

// FollowedReport compares followed readings with the truth.
type FollowedReport struct {
	Camera CameraReport `json:"camera"`
	Points PointsReport `json:"points"`
	Replay ReplayReport `json:"replay"`
}

// CameraReport is how well the camera was followed: how far places of the piste
// come out from where they are, on every frame between two placed ones, over a grid
// of the piste as far as the picture shows it.
type CameraReport struct {
	N              int     `json:"n"`
	MedianAbsError float64 `json:"median_m"`
	P95AbsError    float64 `json:"p95_m"`
	// Coverage95 is the share of places that lie in their 95 % ellipse.
	Coverage95 float64 `json:"coverage95"`
	// Unplaced is the share of frames on which no camera was found.
	Unplaced float64 `json:"unplaced_share"`
	// OneP95 is the 95th percentile four seconds after the only placed frame, over
	// OneN places.
	OneP95 float64 `json:"one_p95_m"`
	OneN   int     `json:"one_n"`
}

// PointsReport is how well points were followed between the marks: the distance of
// the place in the plane of action, x and z, from the true one, on every frame on
// which the point was neither marked nor reported lost.
type PointsReport struct {
	N        int     `json:"n"`
	ToeP95   float64 `json:"toe_p95_m"` // of the front foot
	GuardP95 float64 `json:"guard_p95_m"`
	MaskP95  float64 `json:"mask_p95_m"`
	TipP95   float64 `json:"tip_p95_m"`
	// BodyP95Px and TipP95Px are the errors in the picture alone, of all points but
	// the point of the blade and of that: what is beyond them in metres comes from
	// where a point lies beside the plane of action, and from the camera.
	BodyP95Px float64 `json:"body_p95_px"`
	TipP95Px  float64 `json:"tip_p95_px"`
	// Followed is the share of the frames on which a point can be seen and is not
	// marked where it was followed.
	Followed float64 `json:"followed_share"`
	// LostRecall is the share of the frames on which a point that is marked
	// elsewhere in the take cannot be seen where the reading does not claim to have
	// followed it; LostN is how many there are.
	LostRecall float64 `json:"lost_recall"`
	LostN      int     `json:"lost_n"`
	// GapCoverage95 is the share of the gaps on followed frames whose 95 % interval
	// holds the truth, of GapN; GapMedian and GapP95 are their errors.
	GapCoverage95 float64 `json:"gap_coverage95"`
	GapMedian     float64 `json:"gap_median_m"`
	GapP95        float64 `json:"gap_p95_m"`
	GapN          int     `json:"gap_n"`
	// HandSpeedBias is the mean relative error of the greatest speed of a guard,
	// with the bias that the reading states of it taken off, over SpeedN tracks;
	// HandSpeedRaw is that of the speed as it is stated.
	HandSpeedBias float64 `json:"hand_speed_bias"`
	HandSpeedRaw  float64 `json:"hand_speed_bias_uncorrected"`
	SpeedN        int     `json:"hand_speed_n"`
}

// ReplayReport is how well the clock of the replay was found from moments that the
// live picture shows as well: the worst of N.
type ReplayReport struct {
	N int `json:"n"`
	// FactorError is the relative error of the time factor, OffsetFrames that of
	// the start of the take in frames of the live picture.
	FactorError  float64 `json:"factor_error"`
	OffsetFrames float64 `json:"offset_frames"`
}

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
	if s.OnePlaced {
		c.onePlaced(take, s.Reading)
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
	if take.Factor != 1 {
		c.clock(take, s.Reading)
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
	k, ok := r.Clock(take.ID)
	if !ok {
		c.factor.add(missed, false)
		c.offset.add(missed, false)
		return
	}
	c.factor.add(float64(k.Factor.Mean)/take.Factor-1, true)
	c.offset.add(float64(k.Offset.Mean-take.Start)*scene.FrameRate, true)
}

func (c *comparison) report() FollowedReport {
	of := func(w mark.What) *tally {
		if k := c.points[w]; k != nil {
			return k
		}
		return &tally{}
	}
	n := 0
	for _, k := range c.points {
		n += len(k.off)
	}
	return FollowedReport{
		Camera: CameraReport{
			N: len(c.camera.off), MedianAbsError: c.camera.quantile(0.5), P95AbsError: c.camera.quantile(0.95),
			Coverage95: c.camera.coverage(), Unplaced: share(c.unplaced, c.frames),
			OneP95: c.one.quantile(0.95), OneN: len(c.one.off),
		},
		Points: PointsReport{
			N: n, ToeP95: of(mark.FrontToe).quantile(0.95), GuardP95: of(mark.Guard).quantile(0.95),
			MaskP95: of(mark.Mask).quantile(0.95), TipP95: of(mark.Point).quantile(0.95),
			BodyP95Px: c.body.quantile(0.95), TipP95Px: c.tip.quantile(0.95),
			Followed: share(c.followed, c.seen), LostRecall: share(c.lostReported, c.lost), LostN: c.lost,
			GapCoverage95: c.gaps.coverage(), GapMedian: c.gaps.quantile(0.5), GapP95: c.gaps.quantile(0.95), GapN: len(c.gaps.off),
			HandSpeedBias: average(c.bias), HandSpeedRaw: average(c.raw), SpeedN: len(c.bias),
		},
		Replay: ReplayReport{N: len(c.factor.off), FactorError: c.factor.quantile(1), OffsetFrames: c.offset.quantile(1)},
	}
}

func share(part, whole int) float64 {
	if whole == 0 {
		return 0
	}
	return float64(part) / float64(whole)
}

func average(all []float64) float64 {
	if len(all) == 0 {
		return 0
	}
	sum := 0.0
	for _, x := range all {
		sum += x
	}
	return sum / float64(len(all))
}

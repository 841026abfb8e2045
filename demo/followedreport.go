package demo

import (
	"mesure/sport/mark"
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
	// ClockOnly says that nothing was followed: the moments of another hand tie the
	// clock of the replay.
	ClockOnly bool
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
// live picture shows as well, by N hands.
type ReplayReport struct {
	N int `json:"n"`
	// FactorError is the relative error of the time factor, OffsetFrames that of
	// the start of the take in frames of the live picture: half of the hands are
	// within.
	FactorError  float64 `json:"factor_error"`
	OffsetFrames float64 `json:"offset_frames"`
	// FactorWorst and OffsetWorst are those of the worst hand.
	FactorWorst float64 `json:"factor_error_worst"`
	OffsetWorst float64 `json:"offset_frames_worst"`
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
		Replay: ReplayReport{N: len(c.factor.off),
			FactorError: c.factor.quantile(0.5), OffsetFrames: c.offset.quantile(0.5),
			FactorWorst: c.factor.quantile(1), OffsetWorst: c.offset.quantile(1)},
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

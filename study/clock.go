package study

import (
	"fmt"
	"math"
	"slices"

	"mesure/quantity"
	"mesure/sport/mark"
)

// What a ClockReading rests on.
const (
	ClockDeclared = "declared"     // factor and offset as they were set
	ClockCapture  = "capture-rate" // the factor from the declared capture rate
	ClockTied     = "tied"         // moments that other takes show as well
)

// ClockReading is the clock of one take: a frame shows the instant Offset + τ/Factor
// of the bout, τ its time stamp less that of the frame From of the take.
type ClockReading struct {
	Take string
	// Factor is how many seconds of the file show one of the bout, Offset the
	// instant that the frame From shows.
	Factor quantity.Of[quantity.Ratio]
	Offset quantity.Of[quantity.Seconds]
	// Correlation of the errors of Factor and Offset. A tied clock is surest in the
	// middle of its ties, which this carries.
	Correlation quantity.Ratio
	// From is one of the Clock constants.
	From string
	// Moments are the names of those that tie the clock to others.
	Moments []string
}

// Clock returns the clock of a take: the one that was read, or for a reading
// without clocks the one that is declared.
func (r *Reading) Clock(take string) (ClockReading, bool) {
	if r == nil || r.Touch == nil {
		return ClockReading{}, false
	}
	for _, c := range r.Clocks {
		if c.Take == take {
			return c, true
		}
	}
	k, ok := r.Touch.Take(take)
	if !ok || !clockHolds(k) {
		return ClockReading{}, false
	}
	return declared(k, r.Clips[k.Video].Times), true
}

// clock is the true time of the frames of one take: offset + slope·τ, both with
// their covariance.
type clock struct {
	take          mark.Take
	times         []mark.FileTime
	offset, slope float64
	// variances of offset and slope, and their covariance
	vo, vs, cov float64
}

// clockOf is the clock of a reading of it. The error of the slope 1/k is that of
// the factor to first order: SD(k)/k².
func clockOf(k mark.Take, times []mark.FileTime, c ClockReading) clock {
	f := float64(c.Factor.Mean)
	so, ss := float64(c.Offset.SD), float64(c.Factor.SD)/(f*f)
	return clock{take: k, times: times, offset: float64(c.Offset.Mean), slope: 1 / f,
		vo: so * so, vs: ss * ss, cov: -float64(c.Correlation) * so * ss}
}

// declared is the clock of a take as it was set, without any ties.
func declared(k mark.Take, times []mark.FileTime) ClockReading {
	c := ClockReading{Take: k.ID, From: ClockDeclared,
		Factor: quantity.Normal(quantity.Ratio(k.Slow()), quantity.Ratio(k.FactorSD)),
		Offset: quantity.Normal(quantity.Seconds(k.Offset), quantity.Seconds(k.OffsetSD)),
	}
	if k.CaptureRate > 0 && k.Factor == 0 {
		c.From = ClockCapture
		if rate, ok := fileRate(k, times); ok {
			c.Factor = quantity.Normal(quantity.Ratio(k.CaptureRate/rate), quantity.Ratio(k.FactorSD))
		}
	}
	return c
}

// fileRate is how many frames a second the file shows in the take: one over the
// mean of the intervals within a quarter of their median. The mean, because some
// containers round their time stamps to a millisecond and the median alone would
// be off by up to a percent; near the median, because a dropped frame is not the
// rate. It is false where the take has no two frames.
func fileRate(k mark.Take, times []mark.FileTime) (float64, bool) {
	var all []float64
	for f := max(1, int(k.From)+1); f <= int(k.To) && f < len(times); f++ {
		if d := float64(times[f] - times[f-1]); d > 0 {
			all = append(all, d)
		}
	}
	if len(all) == 0 {
		return 0, false
	}
	slices.Sort(all)
	median := all[len(all)/2]
	sum, n := 0.0, 0
	for _, d := range all {
		if math.Abs(d-median) <= median/4 {
			sum += d
			n++
		}
	}
	return float64(n) / sum, true
}

// elapsed is the file time of a frame from the first of the take.
func (c clock) elapsed(f mark.Frame) float64 { return float64(c.times[f] - c.times[c.take.From]) }

// at is the instant of the bout that a frame shows.
func (c clock) at(f mark.Frame) quantity.Of[quantity.Seconds] {
	tau := c.elapsed(f)
	v := c.vo + 2*tau*c.cov + tau*tau*c.vs
	return quantity.Normal(quantity.Seconds(c.offset+tau*c.slope), quantity.Seconds(math.Sqrt(max(0, v))))
}

// between is the law of an instant that two frames bracket: uniform between
// them, widened by the uncertainty of the take's clock.
func (c clock) between(after, by mark.Frame) quantity.Of[quantity.Seconds] {
	a, b := c.at(after), c.at(by)
	q := quantity.Uniform(a.Mean, b.Mean)
	sd := max(a.SD, b.SD) // of the less certain end
	if sd == 0 {
		return q
	}
	total := quantity.Seconds(math.Hypot(float64(q.SD), float64(sd)))
	half := quantity.Normal(0, total).Hi
	return quantity.Of[quantity.Seconds]{Mean: q.Mean, SD: total, Lo: q.Mean - half, Hi: q.Mean + half}
}

// clockHolds reports whether the numbers of a take's clock are those of one:
// nothing negative that may not be, and nothing that leaves the numbers of a
// computer when it is divided by.
func clockHolds(k mark.Take) bool {
	const most = 1e6 // a replay a million times slower or faster is none
	return k.Slow() > 1/most && k.Slow() < most && k.FactorSD >= 0 && k.FactorSD <= most &&
		math.Abs(float64(k.Offset)) < most*most && k.OffsetSD >= 0 && k.OffsetSD <= most &&
		k.CaptureRate >= 0 && k.CaptureRate < most
}

// checkClocks refuses takes whose clock is none.
func checkClocks(t *Touch) error {
	for i, k := range t.Takes {
		at := fmt.Sprintf("/takes/%d", i)
		if !clockHolds(k) {
			return &Refusal{At: at, What: fmt.Sprintf("the clock of the take %q is none", k.ID), Mend: "give a positive factor, and errors that are not negative"}
		}
		if k.CaptureRate > 0 && k.Factor != 0 {
			return &Refusal{At: at + "/factor", What: fmt.Sprintf("the take %q has a factor and a capture rate, which gives the factor", k.ID), Mend: "keep one of the two"}
		}
	}
	return nil
}

// Codes of the warnings about fields.
const (
	// CodeInterlaced: each frame of the video mixes two instants. Doubt is how far
	// they lie apart, in milliseconds.
	CodeInterlaced = "interlaced"
	// CodeNotInterlaced: the video is read as fields and does not say that it has any.
	CodeNotInterlaced = "not-interlaced"
)

// fieldDoubts doubts videos that are interlaced and read as whole frames, and such
// that are read as fields without saying that they are interlaced.
func fieldDoubts(t *Touch, clips map[string]mark.Clip) (all []Warning) {
	for _, v := range t.Videos {
		c, ok := clips[v.ID]
		switch {
		case !ok || len(c.Times) < 2:
		case c.Interlaced && !c.Fields:
			apart := 500 * float64(c.Times[len(c.Times)-1]-c.Times[0]) / float64(len(c.Times)-1)
			all = append(all, Warning{Code: CodeInterlaced, About: "video " + v.ID, Doubt: apart,
				Text: fmt.Sprintf("the video is interlaced: each frame mixes two instants %.0f ms apart; set \"fields\" of the video before you mark, and it is read as two pictures a frame", apart)})
		case c.Fields && !c.Interlaced:
			all = append(all, Warning{Code: CodeNotInterlaced, About: "video " + v.ID, Doubt: 1,
				Text: "the video is read as fields, and nothing in it says that it is interlaced: where both pictures of a frame show the same instant, take \"fields\" back"})
		}
	}
	return all
}

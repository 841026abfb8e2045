package timing

import (
	"fmt"

	"mesure/quantity"
)

// FitPart is what of a movement a FitSample follows.
type FitPart int

// The parts of a movement: the point is carried by the arm and by the body.
const (
	OfPoint FitPart = iota // the whole, Movement.Travel
	OfArm                  // the arm alone: the hand or the point against the shoulder
	OfBody                 // the body alone: the shoulder, or the hip
	fitParts
)

// String is the word for the part.
func (p FitPart) String() string { return [...]string{"point", "arm", "body"}[p] }

// FitSample is one instant of a movement that was followed.
type FitSample struct {
	// At is the instant on the clock of the samples.
	At quantity.Seconds
	// Travel is the place along the line to the opponent, towards whom it grows,
	// counted from any place that is the same for all samples of its part.
	Travel quantity.Metres
	// SD of Travel, its own to this sample.
	SD quantity.Metres
	Of FitPart
}

// Fitted is a movement fitted to what was followed.
type Fitted struct {
	// Movement is the prior as the samples change it.
	Movement Movement
	// Onset is when the movement starts, on the clock of the samples.
	Onset quantity.Of[quantity.Seconds]
	// Base is where each part was before the movement, on its own scale; only of the
	// parts that have samples.
	Base [fitParts]quantity.Metres
	// Seen is the share of the travel of arm and body that was done at the last sample
	// that shows it: 1 where the movement was seen to its end, 0 where no sample shows it.
	SeenArm, SeenBody quantity.Ratio
	// Before says whether a sample shows each part at rest, before it moves.
	BeforeArm, BeforeBody bool
	// RMS of the residuals of the samples.
	RMS quantity.Metres
	// Unlike is how many standard deviations of the prior the number that is least like it
	// lies from it, of arm, body, their times and the delay.
	Unlike quantity.Ratio
	// Widened is by how much the SDs of the samples had to be widened because the
	// residuals are larger, or go together longer, than their SDs say: 1 where not.
	Widened quantity.Ratio
	Samples int
}

// What a fit needs at the least.
const (
	// FitLeastSamples is the fewest samples that Fit accepts: two more than the
	// numbers of arm, body and onset that may have to follow from them (our choice).
	FitLeastSamples = 8
	// FitLeastTravel is the least travel of the samples that Fit takes for a movement
	// (our choice: twice what a guard sways, and a ninth of an extension).
	FitLeastTravel = quantity.Metres(0.05)
	// FitLeastSigns is how many standard deviations of a sample that travel must be (our
	// choice: beyond what chance does to the farthest of a hundred samples).
	FitLeastSigns = 6
	// FitRestShare is the share of its travel up to which a part counts as at rest (our
	// choice: what is done in the first sixth of its time).
	FitRestShare = quantity.Ratio(0.03)
	// FitPull is beyond how many of its standard deviations a prior is widened (our choice:
	// where one number in twenty lies).
	FitPull = 2
)

// TooLittleError says that the samples do not carry a fit, and what would.
type TooLittleError struct {
	// What there is too little of, with how much there is and how much is needed.
	What string
	Got  float64
	Need float64
	Mend string
}

// Error says what is missing and how to mend it.
func (e *TooLittleError) Error() string {
	return fmt.Sprintf("%s: %.3g where %.3g is needed: %s", e.What, e.Got, e.Need, e.Mend)
}

// Indices of the parameters of a fit; the bases of the parts follow.
const (
	fitArm = iota
	fitArmTime
	fitBody
	fitBodyTime
	fitDelay
	fitOnset
	fitBase       // of OfPoint
	fitParameters = fitBase + int(fitParts)
)

// fitShortest is the shortest duration that a fit tries, in seconds: no movement of an
// arm is as short, and the curve stays defined.
const fitShortest = 0.02

// fitBaseSD is the spread in metres that the place before the movement is taken to have:
// so wide that only the samples tell it.
const fitBaseSD = 10.0

// Fit fits a movement to samples of its point, its arm or its body, by non-linear least
// squares with the prior as further residuals (the maximum a posteriori):
//
//	minimise Σ ((yᵢ − base − s(tᵢ − onset))/SDᵢ)² + Σ ((θⱼ − mean θⱼ)/SD θⱼ)²,
//
// with s that of Movement, or its arm or its body alone, over the lengths, times, delay
// and onset θ and one base for each part. Lengths are metres, times seconds on the clock
// of the samples. What has no spread in the prior is held. The posterior is normal with
// the covariance (JᵀJ)⁻¹ at the minimum.
//
// Followed places are not independent from frame to frame, and no arm follows the curve
// exactly. So the SDs of the samples of each part are widened, and the fit repeated once, by
//
//	√(max(1, χ²/ν) · max(1, (1 + ρ)/(1 − ρ))),
//
// with χ² over ν degrees of freedom and ρ the correlation of neighbouring residuals, plus
// k/n for what the k fitted numbers take of it, where that exceeds what chance makes of it
// in one case of twenty (1.645/√n): the variance of a mean of numbers that go together from
// neighbour to neighbour (Bartlett, J. R. Stat. Soc. 98:536, 1935).
//
// The sum has more than one valley where the movement is far from the prior. So the search
// begins at the prior, at the prior a half slower and a third quicker, and at what the
// samples of arm and body themselves show between a tenth and nine tenths of their travel;
// the lowest of the minima is taken.
//
// A movement may be unlike the usual one. So a prior from which the answer lies further than
// FitPull of its standard deviations is widened until it does not, by reweighting: it then
// pulls the less the further off it is, as a prior with long tails does.
//
// Errors: *TooLittleError for fewer than FitLeastSamples, or a travel that does not stand
// out; *InputError for a sample or a prior that is no number; *quantity.NotConvergedError
// and its kin where the minimum was not found. Nothing handed in is changed.
func Fit(samples []FitSample, prior Movement, onset quantity.Of[quantity.Seconds]) (Fitted, error) {
	f, err := newFit(samples, prior, onset)
	if err != nil {
		return Fitted{}, err
	}
	s, err := f.best(f.starts())
	if s, err = f.settle(s, err); err == nil && f.widen(s.P) {
		s, err = f.solve(s.P)
		s, err = f.settle(s, err)
	}
	if err != nil {
		return Fitted{}, err
	}
	return f.fitted(s), nil
}

// fitRounds is how often the SDs of the prior are widened at most: the second round changes
// them by a few percent, the later ones by less.
const fitRounds = 8

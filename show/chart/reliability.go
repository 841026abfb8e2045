package chart

import (
	"errors"

	"mesure/quantity"
	"mesure/show/draw"
)

// ErrNoReliability says that there is no bin with a count.
var ErrNoReliability = errors.New("there is nothing to compare: no prediction has an outcome")

// Calibration is how predicted chances compare with what came true.
type Calibration struct {
	// Of says what was predicted, in words such as "who lights alone".
	Of string
	// Finding is the title; empty lets the chart say the error of calibration.
	Finding string
	// Source stands below the chart.
	Source string
	Bins   []ReliabilityBin
	// Brier is the mean squared difference of chance and outcome, ECE the expected
	// calibration error: the mean difference of predicted and observed, weighted by count.
	Brier, ECE quantity.Ratio
	// N is how many predictions were compared.
	N int
}

// ReliabilityBin is the predictions of nearly the same chance.
type ReliabilityBin struct {
	// Predicted is the mean of their chances; Observed how often they came true, with
	// its binomial interval (quantity.FromCounts).
	Predicted quantity.Chance
	Observed  quantity.Of[quantity.Chance]
	N         int
}

// Reliability draws predicted chances against what came true.
func Reliability(x Calibration, o Options) (*draw.Drawing, error) {
	n := 0
	for _, b := range x.Bins {
		n += b.N
	}
	if n == 0 {
		return nil, ErrNoReliability
	}
	return leafOf(o.themed(), "How far the chances can be trusted", "", "", []part{space(60)}), nil
}

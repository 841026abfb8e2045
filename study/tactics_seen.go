package study

import (
	"mesure/quantity"
	"mesure/sport/mark"
)

// byEye is the standard deviation of a distance that a coach says without measuring:
// half a shoe's length on each end. Our choice; no source.
const byEye quantity.Metres = 0.15

// GapByEye is a gap in metres that was said by eye and not measured: normal, with a
// standard deviation of 0.15 m.
func GapByEye(m quantity.Metres) quantity.Of[quantity.Metres] { return quantity.Normal(m, byEye) }

// MeasureOf says at which measure a touch that was read began: the gap in metres from
// the nearer of the two points to the other's chest at the instant from which the race
// is run, and its band, one of bout.Measures. The gap is nil and the band empty where
// nothing there leads to a chest.
func MeasureOf(r *Reading) (gap *quantity.Of[quantity.Metres], band string) {
	if r == nil || r.Race == nil {
		return nil, ""
	}
	for _, in := range r.Instants {
		if in.Take != r.Race.Take || in.Frame != r.Race.Frame {
			continue
		}
		for _, g := range in.Gaps {
			if g.Target == mark.Chest && (gap == nil || g.Gap.Mean < gap.Mean) {
				m := g.Gap
				gap, band = &m, g.Band
			}
		}
	}
	return gap, band
}

package picture

import (
	"math"

	"mesure/demo/scene"
	"mesure/sport/mark"
)

// The exposure never rests: the camera's automatic follows the scene slowly and
// takes light away when the lamps come on, and a band of brightness rolls through
// the picture, since the lamps of the hall flicker with the mains and the rows are
// exposed one after the other (own estimates, no source).
const (
	driftDeep  = 0.11 // of the light, to either side
	driftRate  = 0.31 // a second of the file
	unrestDeep = 0.03
	unrestRate = 0.83
	lampDeep   = 0.07
	lampSettle = 0.35 // seconds of the bout
	bandDeep   = 0.025
	bandRate   = 0.9 // a second of the file
	bandHigh   = 1.4 // bands in a picture
)

// gain returns how much of the light one row of one frame takes in.
func gain(film *scene.Film, shot *scene.Shot, f mark.Frame, row int) float32 {
	s := float64(f) / scene.FrameRate
	phase := float64(film.Number) * 1.7
	k := 1 + driftDeep*math.Sin(2*math.Pi*driftRate*s+phase) + unrestDeep*math.Sin(2*math.Pi*unrestRate*s+2*phase)
	if since := float64(shot.At(f) - film.LampsAt); since > 0 {
		k *= 1 - lampDeep*(1-math.Exp(-since/lampSettle))
	}
	return float32(k * (1 + bandDeep*math.Sin(2*math.Pi*(bandRate*s-bandHigh*float64(row)/scene.Height))))
}

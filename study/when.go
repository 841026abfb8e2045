package study

import (
	"mesure/quantity"
	"mesure/sport/mark"
)

// When returns the instant of the bout that a frame of a take shows, in seconds,
// with the doubt of the take's clock: a normal law about Offset + (time stamp −
// time stamp of From)/Factor, both as the reading found them (see Clock). It is false for a take that the touch does not
// have, for one whose video was not read, and for a frame that the video lacks.
func (r *Reading) When(take string, f mark.Frame) (quantity.Of[quantity.Seconds], bool) {
	if r == nil || r.Touch == nil {
		return quantity.Of[quantity.Seconds]{}, false
	}
	k, ok := r.Touch.Take(take)
	if !ok {
		return quantity.Of[quantity.Seconds]{}, false
	}
	clip := r.Clips[k.Video]
	if !clip.Has(f) || !clip.Has(k.From) {
		return quantity.Of[quantity.Seconds]{}, false
	}
	c, ok := r.Clock(take)
	if !ok {
		return quantity.Of[quantity.Seconds]{}, false
	}
	return clockOf(k, clip.Times, c).at(f), true
}

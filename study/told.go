package study

import "slices"

// Told are the instants that a breakdown shows: all of them where nothing was
// followed, since each was then marked for its own sake. Where points were followed,
// most frames with marks are only there to lead from one to the next: then those that
// are a moment of the touch or the start of the race, or all where there is neither.
func (r *Reading) Told() []Instant {
	if len(r.Tracks) == 0 {
		return r.Instants
	}
	some := slices.DeleteFunc(slices.Clone(r.Instants), func(in Instant) bool {
		starts := r.Race != nil && r.Race.Take == in.Take && r.Race.Frame == in.Frame
		return in.Moment == "" && !starts
	})
	if len(some) == 0 {
		return r.Instants
	}
	return some
}

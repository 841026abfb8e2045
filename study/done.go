package study

import (
	"slices"

	"mesure/sport/mark"
)

// How far the work on a touch is.
const (
	DoneNew    = "new"
	DonePlaced = "placed" // points of the piste are set on a frame
	DoneMarked = "marked" // and points of the fencers
	DoneRead   = "read"   // both points are marked on one frame: a race can be run
)

// leastPlaced is how many points and lines place a camera by themselves.
const leastPlaced = 3

// Done says how far the work on a touch is, from what is marked and without
// reading it.
func (t *Touch) Done() string {
	placed := func(v view) bool {
		take, _ := t.Take(v.take)
		return slices.ContainsFunc(t.Placings, func(p Placing) bool {
			return p.Take == v.take && (take.Steady || p.Frame == v.frame) && len(p.Points)+len(p.Lines) >= leastPlaced
		})
	}
	var points [2][]view
	for _, m := range t.Marks {
		if m.What == mark.Point {
			points[m.Who] = append(points[m.Who], view{m.Take, m.Frame})
		}
	}
	for _, v := range points[mark.Left] {
		if slices.Contains(points[mark.Right], v) && placed(v) {
			return DoneRead
		}
	}
	switch {
	case !slices.ContainsFunc(t.Placings, func(p Placing) bool { return len(p.Points)+len(p.Lines) >= leastPlaced }):
		return DoneNew
	case len(t.Marks) == 0:
		return DonePlaced
	}
	return DoneMarked
}

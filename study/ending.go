package study

import (
	"mesure/quantity"
	"mesure/sport/mark"
)

// Ending is the moment with which the phrase ends, and which end it is: "hit", "lamp" or
// "halt", by its name. Of several the hit goes before the lamp and the lamp before the
// halt, then the earlier one. It is false where none is set.
func (r *Reading) Ending() (m mark.Moment, which string, ok bool) {
	rank := map[string]int{"hit": 1, "lamp": 2, "halt": 3}
	var at quantity.Seconds
	for _, x := range r.Moments {
		end, is := endsPhrase(x.Moment)
		if !is {
			continue
		}
		if !ok || rank[end] < rank[which] || rank[end] == rank[which] && x.At.Mean < at {
			m, which, at, ok = x.Moment, end, x.At.Mean, true
		}
	}
	return m, which, ok
}

// Until is how much later a moment of the touch lies than a frame of a take, in seconds of
// the bout; below 0 it lies before. An error that both have from one clock cancels. It is
// false for a moment or a frame that the reading does not have.
func (r *Reading) Until(moment, take string, f mark.Frame) (quantity.Of[quantity.Seconds], bool) {
	k, ok := r.Touch.Take(take)
	if !ok || !r.Clips[k.Video].Has(f) {
		return quantity.Of[quantity.Seconds]{}, false
	}
	for _, m := range r.Moments {
		if m.Moment.ID == moment {
			return r.sinceFrame(m, At{take, f})
		}
	}
	return quantity.Of[quantity.Seconds]{}, false
}

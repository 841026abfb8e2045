package study

import (
	"cmp"
	"math"
	"slices"

	"mesure/measure/motion"
	"mesure/quantity"
	"mesure/sport/mark"
)

// Limits of the advice on marks.
const (
	// nextMarks are told of, the most useful first.
	nextMarks = 5
	// nextTried candidates are smoothed once more with the mark in place.
	nextTried = 12
	// nextLeast is the least drop of a standard deviation worth a click, in metres.
	nextLeast quantity.Metres = 0.01
)

// candidate is a frame on which one more mark might help a track.
type candidate struct {
	of       trackName
	frame    mark.Frame
	from, to mark.Frame // the stretch between the marks around it
	now      float64    // SD of the place there, in metres
}

// nextMarks finds where one more mark would make the tracks surer: in each stretch
// between two marks the frame that is least sure is looked at, the most doubtful are
// smoothed again with a mark of mark.DefaultSD there, and the sum over the stretch of
// what the standard deviations drop by decides. Hidden frames are left alone.
func (all *trails) nextMarks(clocks map[string]clock, r *Reading) {
	if all == nil {
		return
	}
	var list []candidate
	for _, x := range all.list {
		b := keyBytes(x.key[:])
		b.text("candidates")
		if x.enough() {
			list = append(list, move(all.kept, b.sum(), func() []candidate { return x.candidates(clocks[x.name.take]) })...)
		}
	}
	slices.SortStableFunc(list, func(a, b candidate) int { return cmp.Compare(b.now, a.now) })
	list = list[:min(len(list), nextTried)]
	type tried struct {
		NextMark
		gain float64
	}
	out := make([]tried, len(list))
	inParallel(len(list), func(i int) {
		c := list[i]
		n, x := c.of, all.at[c.of]
		b := keyBytes(x.key[:])
		b.text("next")
		b.floats(float64(c.frame))
		with := move(all.kept, b.sum(), func() [2]float64 {
			then, gain := x.with(c, clocks[n.take])
			return [2]float64{then, gain}
		})
		then, gain := with[0], with[1]
		out[i] = tried{NextMark{Take: n.take, Frame: c.frame, Who: n.who, What: n.what, Now: quantity.Metres(c.now), Then: quantity.Metres(then)}, gain}
	})
	slices.SortStableFunc(out, func(a, b tried) int { return cmp.Compare(b.gain, a.gain) })
	for _, n := range out {
		if len(r.NextMarks) < nextMarks && n.Now-n.Then >= nextLeast {
			r.NextMarks = append(r.NextMarks, n.NextMark)
		}
	}
}

// candidates are the least sure frame of each stretch between two marks.
func (x *trail) candidates(c clock) []candidate {
	path := x.movement()
	if path == nil {
		return nil
	}
	var marks []mark.Frame
	for f, s := range x.seen {
		if s.state == StateMarked {
			marks = append(marks, f)
		}
	}
	slices.Sort(marks)
	var out []candidate
	for i := 1; i < len(marks); i++ {
		best := candidate{of: x.name, from: marks[i-1], to: marks[i]}
		for f := marks[i-1] + 1; f < marks[i]; f++ {
			if x.seen[f].state == StateHidden {
				continue
			}
			if sd := x.doubt(path, c.at(f).Mean); sd > best.now {
				best.frame, best.now = f, sd
			}
		}
		if best.now > 0 {
			out = append(out, best)
		}
	}
	return out
}

// doubt is the standard deviation of a place in both directions together, without what
// no mark can mend.
func (x *trail) doubt(p *motion.Path, at quantity.Seconds) float64 {
	j := p.At(at).Place()
	v := j.Covariance(0, 0) + j.Covariance(1, 1) - x.common[0] - x.common[3]
	return math.Sqrt(math.Max(0, v))
}

// with smooths the track with a mark at the candidate and returns the standard
// deviation there, and the sum of what the stretch gains.
func (x *trail) with(c candidate, k clock) (then, gain float64) {
	at := k.at(c.frame).Mean
	i, there := slices.BinarySearch(x.frames, c.frame)
	// The mark is as good as the marks of this track are.
	path, near := x.movement(), slices.Index(x.marked, true)
	if path == nil || near < 0 {
		return c.now, 0
	}
	one := x.samples[near]
	one.At = at
	one.Where = quantity.NewJoint(path.At(at).Place().Mean, one.Where.Cov)
	samples, marked := slices.Clone(x.samples), slices.Clone(x.marked)
	if there {
		one.Shared = samples[i].Shared
		samples[i], marked[i] = one, true
	} else {
		samples, marked = slices.Insert(samples, i, one), slices.Insert(marked, i, true)
	}
	p := smooth(samples, marked, x.common)
	if p == nil {
		return c.now, 0
	}
	for f := c.from + 1; f < c.to; f++ {
		t := k.at(f).Mean
		gain += x.doubt(path, t) - x.doubt(p, t)
	}
	return x.doubt(p, at), gain
}

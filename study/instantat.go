package study

import (
	"cmp"
	"slices"

	"mesure/sport/mark"
)

// fill adds the followed points to the marks of a frame: a reading of that frame then
// rests on them where the coach set none.
func (all *trails) fill(t *Touch, v view) []mark.Mark {
	if all == nil {
		return nil
	}
	var out []mark.Mark
	for _, x := range all.list {
		s, ok := x.seen[v.frame]
		if x.name.take != v.take || !ok || s.state != StateFollowed {
			continue
		}
		out = append(out, mark.Mark{Take: v.take, Frame: v.frame, Who: x.name.who, What: x.name.what, At: s.at, SD: float64(s.sd)})
	}
	slices.SortStableFunc(out, func(a, b mark.Mark) int {
		return cmp.Or(cmp.Compare(a.Who, b.Who), byPoint(a.What, b.What))
	})
	return out
}

// filled is the touch with the followed points added where a moment or a hand mark
// asks for a frame to be measured.
func (all *trails) filled(t *Touch) *Touch {
	if all == nil || len(all.list) == 0 {
		return t
	}
	wanted := map[view]bool{}
	for _, v := range markedViews(t) {
		wanted[v] = true
	}
	for _, m := range t.Moments {
		wanted[view{m.Take, m.By}] = true
	}
	views := make([]view, 0, len(wanted))
	for v := range wanted {
		views = append(views, v)
	}
	slices.SortFunc(views, func(a, b view) int { return cmp.Or(cmp.Compare(a.take, b.take), cmp.Compare(a.frame, b.frame)) })
	out := *t
	out.Marks = slices.Clone(t.Marks)
	for _, v := range views {
		out.Marks = append(out.Marks, all.fill(t, v)...)
	}
	return &out
}

// InstantAt measures any frame of a take that was followed: places of the points that
// were marked or followed there, and the gaps between the fencers. It is false for a
// frame without camera or points.
func (r *Reading) InstantAt(take string, f mark.Frame) (Instant, bool) {
	in, _, ok := r.figureAt(At{take, f})
	return in, ok
}

// figureAt is InstantAt with the places from which it follows.
func (r *Reading) figureAt(at At) (Instant, figure, bool) {
	v := view{at.Take, at.Frame}
	cam, ok := r.cameras.of(v)
	if !ok {
		return Instant{}, figure{}, false
	}
	t := *r.Touch
	t.Marks = append(slices.Clone(r.Touch.Marks), r.trails.fill(r.Touch, v)...)
	fig, err := measure(&t, v, cam)
	if err != nil || len(fig.marks[0])+len(fig.marks[1]) == 0 {
		return Instant{}, figure{}, false
	}
	in := instantOf(fig, &t, v, r.clocks, r.Profiles)
	r.tellFollowed(&in)
	return in, fig, true
}

// tellFollowed says which points of an instant were not marked but followed, and how
// fast what was followed comes nearer.
func (r *Reading) tellFollowed(in *Instant) {
	r.tellClosing(in)
	for _, s := range mark.Sides {
		for i := range in.Bodies[s].Points {
			p := &in.Bodies[s].Points[i]
			if x, ok := r.trails.of(trackName{in.Take, s, p.What}); ok {
				p.Followed = x.seen[in.Frame].state == StateFollowed
			}
		}
	}
}

package study

import (
	"cmp"
	"fmt"
	"slices"

	"mesure/measure/camera"
	"mesure/quantity"
	"mesure/sport/mark"
)

// figure is one instant as it is measured: where each marked point stands in
// the joint vector of places.
type figure struct {
	places quantity.Joint
	index  [2]map[mark.What]int // of the first of its three coordinates
	marks  [2][]mark.Mark       // in the order in which they are printed
	doubts []camera.Warning     // of the plane of action
	plane  camera.Plane
}

// pixel is where a point is marked in the picture; it must be one that is.
func (fig figure) pixel(s mark.Side, w mark.What) mark.Pixel {
	i := slices.IndexFunc(fig.marks[s], func(m mark.Mark) bool { return m.What == w })
	return fig.marks[s][i].At
}

// readInstants measures every frame that is placed and has marks, and returns
// what it measured for the race to go on from.
func readInstants(t *Touch, cams cameras, clocks map[string]clock, r *Reading, o ReadOptions) (map[view]figure, error) {
	figures := map[view]figure{}
	for _, v := range markedViews(t) {
		cam, ok := cams.of(v)
		if !ok {
			r.Warnings = append(r.Warnings, Warning{Code: "frame-not-placed", About: v.String(), Doubt: 1,
				Text: "the marks on this frame were not measured: mark points of the piste on it, or say that the camera of the take stood steady"})
			continue
		}
		fig, err := measure(t, v, cam)
		if err != nil {
			at := fmt.Sprintf("/marks/%d", firstMark(t, v))
			if o.Partial {
				r.Warnings = append(r.Warnings, Warning{Code: CodeMarksRefused, About: v.String(), Doubt: 1, Text: "the marks on this frame were not measured: " + err.Error()})
				continue
			}
			return nil, &Refusal{At: at, What: err.Error(), Because: err}
		}
		figures[v] = fig
		for _, w := range fig.doubts {
			r.Warnings = append(r.Warnings, warningOf(w, v))
		}
		r.Warnings = append(r.Warnings, offImage(t, v, fig, r.Clips)...)
		in := instantOf(fig, t, v, clocks, r.Profiles)
		r.tellFollowed(&in)
		r.Instants = append(r.Instants, in)
	}
	slices.SortStableFunc(r.Instants, func(a, b Instant) int { return cmp.Compare(a.At.Mean, b.At.Mean) })
	return figures, nil
}

// instantOf states what was measured on one frame.
func instantOf(fig figure, t *Touch, v view, clocks map[string]clock, profiles [2]Profile) Instant {
	in := Instant{Take: v.take, Frame: v.frame, At: clocks[v.take].at(v.frame)}
	for _, m := range t.Moments {
		if m.Take == v.take && m.By == v.frame {
			in.Moment = m.ID
			break
		}
	}
	for _, s := range mark.Sides {
		in.Bodies[s] = bodyOf(fig, s, t)
	}
	in.Gaps = gapsOf(fig, in.Bodies, t, profiles)
	return in
}

// CodeMarksRefused is the code of the warning of a partial reading that the marks
// on a frame cannot be measured.
const CodeMarksRefused = "marks-refused"

// CodeOffImage is the code of the warning of a mark that lies outside the
// picture by more than its error allows.
const CodeOffImage = "mark-off-image"

// offImage doubts the marks of one frame that lie outside its picture: no hand
// sets one there, so the number is likely wrong.
func offImage(t *Touch, v view, fig figure, clips map[string]mark.Clip) []Warning {
	take, _ := t.Take(v.take)
	clip := clips[take.Video]
	var doubts []Warning
	for _, s := range mark.Sides {
		for _, m := range fig.marks[s] {
			off := max(-m.At.U, m.At.U-float64(clip.Width-1), -m.At.V, m.At.V-float64(clip.Height-1))
			if off <= float64(camera.OutsideSDs)*float64(sdOr(m.SD)) {
				continue
			}
			doubts = append(doubts, Warning{Code: CodeOffImage, About: fmt.Sprintf("%v, %v %s", v, s, plain(string(m.What))), Doubt: off,
				Text: fmt.Sprintf("the mark lies %.0f px outside the picture of %d × %d pixels: set it again, or take it out", off, clip.Width, clip.Height)})
		}
	}
	return doubts
}

// markedViews lists the frames that have marks, take by take, in order.
func markedViews(t *Touch) []view {
	var all []view
	for _, k := range t.Takes {
		var frames []mark.Frame
		for _, m := range t.Marks {
			if m.Take == k.ID {
				frames = append(frames, m.Frame)
			}
		}
		slices.Sort(frames)
		for _, f := range slices.Compact(frames) {
			all = append(all, view{k.ID, f})
		}
	}
	return all
}

func firstMark(t *Touch, v view) int {
	return slices.IndexFunc(t.Marks, func(m mark.Mark) bool { return m.Take == v.take && m.Frame == v.frame })
}

// measure locates all marks of one frame together, so that what they share (the
// camera, the plane of action) is carried as correlation.
func measure(t *Touch, v view, cam *camera.Placing) (figure, error) {
	return measureOnly(t, v, cam, func(mark.Side, mark.What) bool { return true })
}

// measureOnly locates some of the marks of one frame; the plane of action rests
// on the feet all the same.
func measureOnly(t *Touch, v view, cam *camera.Placing, wanted func(mark.Side, mark.What) bool) (figure, error) {
	fig := figure{}
	var sightings, feet []camera.Sighting
	for _, s := range mark.Sides {
		fig.index[s] = map[mark.What]int{}
		for _, m := range marksOf(t, v, s) {
			off, spread := offPlane(m.What, s, t.Bout.Fencer(s).Hand)
			sight := camera.Sighting{At: m.At, SD: sdOr(m.SD), Off: off, OffSD: spread}
			if m.What.IsFoot() {
				feet = append(feet, sight)
			}
			if !wanted(s, m.What) {
				continue
			}
			fig.marks[s] = append(fig.marks[s], m)
			fig.index[s][m.What] = 3 * len(sightings)
			sightings = append(sightings, sight)
		}
	}
	plane, err := camera.FitPlane(cam, feet)
	if err != nil {
		return fig, err
	}
	fig.doubts, fig.plane = plane.Warnings, plane
	fig.places, err = cam.Locate(plane, sightings)
	return fig, err
}

// marksOf returns the marks of one fencer on one frame: the points of interest
// in their order, then free ones by name. A point that was marked twice counts
// where it was marked last.
func marksOf(t *Touch, v view, s mark.Side) []mark.Mark {
	by := map[mark.What]mark.Mark{}
	for _, m := range t.Marks {
		if m.Take == v.take && m.Frame == v.frame && m.Who == s {
			by[m.What] = m
		}
	}
	all := make([]mark.Mark, 0, len(by))
	for _, m := range by {
		all = append(all, m)
	}
	slices.SortFunc(all, func(a, b mark.Mark) int { return byPoint(a.What, b.What) })
	return all
}

func bodyOf(fig figure, s mark.Side, t *Touch) Body {
	var b Body
	for _, m := range fig.marks[s] {
		i := fig.index[s][m.What]
		p := PointPlace{What: m.What, At: m.At, SD: sdOr(m.SD)}
		for c := range p.Place {
			p.Place[c] = quantity.Part[quantity.Metres](fig.places, i+c)
		}
		b.Points = append(b.Points, p)
	}
	b.ArmLeft = armLeft(fig, s, t.Bout.Fencer(s))
	return b
}

// gapsOf measures from each point to every target of the opponent whose marks
// are there.
func gapsOf(fig figure, bodies [2]Body, t *Touch, profiles [2]Profile) []Gap {
	var all []Gap
	for _, s := range mark.Sides {
		from, ok := fig.index[s][mark.Point]
		if !ok {
			continue
		}
		reach := reachOf(profiles[s], t.Bout.Fencer(s), bodies[s].ArmLeft)
		nearest := -1
		for _, target := range mark.Targets() {
			ends, at, ok := fig.ends(from, s.Other(), target)
			if !ok {
				continue
			}
			g := Gap{Of: s, Target: target, Gap: quantity.DistanceBetween(ends), From: fig.pixel(s, mark.Point), To: at}
			band, chance := reach.Band(g.Gap)
			g.Band, g.Chance = string(band), chance
			all = append(all, g)
			if nearest < 0 || g.Gap.Mean < all[nearest].Gap.Mean {
				nearest = len(all) - 1
			}
		}
		if nearest >= 0 {
			all[nearest].Nearest = true
		}
	}
	return all
}

// ends returns the two ends of a gap as six numbers, the point first, and where
// the target is in the picture. It is false where a mark of the target is missing.
func (fig figure) ends(from int, of mark.Side, target mark.Target) (quantity.Joint, mark.Pixel, bool) {
	n := fig.places.Len()
	rows := make([]float64, 6*n)
	for c := range 3 {
		rows[c*n+from+c] = 1
	}
	var at mark.Pixel
	for _, share := range target.Made() {
		i, ok := fig.index[of][share.Of]
		if !ok {
			return quantity.Joint{}, at, false
		}
		for c := range 3 {
			rows[(3+c)*n+i+c] += share.Weight
		}
		px := fig.pixel(of, share.Of)
		at.U += share.Weight * px.U
		at.V += share.Weight * px.V
	}
	return fig.places.Linear(rows, nil), at, true
}

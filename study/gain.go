package study

import (
	"fmt"
	"math"
	"slices"

	"mesure/measure/camera"
	"mesure/quantity"
	"mesure/sport/mark"
	"mesure/sport/piste"
)

// gainWorthSaying is the share of its standard deviation that a gap must lose for
// more points to be worth marking.
const gainWorthSaying quantity.Ratio = 0.12

// asMany is how many points are proposed at once.
const asMany = 2

// gains says, for each placed frame, which one or two points more, or two marks on
// which line, would narrow the least sure of its nearest gaps the most; where no gap
// is measured, the place of a foot. Nothing is fitted: the camera is taken as sure as it would be with them.
func (a *adviser) gains() []Need {
	var all []Need
	for _, p := range a.r.Placings {
		v := view{p.Take, p.Frame}
		if len(p.Disagrees) > 0 {
			continue // more points do not mend a wrong one
		}
		if n, ok := a.gain(v, a.cams.placed[v], p.Grid); ok {
			all = append(all, n)
		}
	}
	return all
}

func (a *adviser) gain(v view, cam *camera.Placing, grid []GridLine) (Need, bool) {
	of, what, ok := a.doubtOf(v, cam)
	if !ok {
		return Need{}, false
	}
	now, err := of(cam)
	if err != nil || !(now > 0) {
		return Need{}, false
	}
	take, _ := a.t.Take(v.take)
	clip := a.r.Clips[take.Video]
	left := a.free(v, a.known(shownPoints(cam, clip, a.t.Width())))
	points, then := a.bestPoints(cam, left, of, now)
	line, withLine := a.bestLine(cam, grid, of, now)
	n := Need{Step: StepPlace, Take: v.take, Frame: v.frame, Now: now}
	worth := func(then quantity.Metres) bool { return float64(then/now) <= 1-float64(gainWorthSaying) }
	switch {
	case line != "" && worth(withLine) && float64(withLine) < pointsBefore*float64(then):
		n.Points, n.Then = []string{line}, withLine
		n.Text = fmt.Sprintf("Two marks on the %s, well apart, would %s of %s, on frame %d", piste.LineWord(line), gainWords(float64(withLine/now)), what, v.frame)
	case len(points) > 0 && worth(then):
		n.Points, n.Then = points, then
		n.Text = fmt.Sprintf("%s more %s would %s of %s: %s, on frame %d", upper(counted(len(points))), plural("point", len(points)), gainWords(float64(then/now)), what, crossings(points), v.frame)
	default:
		return a.spare(v, cam, left, points)
	}
	return n, true
}

// pointsBefore is the share of what points leave of an error that a line must stay
// below to be named in their place: a crossing is easier to mark than two places of
// a line, and its name says where it is.
const pointsBefore = 0.9

// bestPoints chooses the points that leave the least doubt, one by one.
func (a *adviser) bestPoints(cam *camera.Placing, left []string, of func(*camera.Placing) (quantity.Metres, error), now quantity.Metres) (chosen []string, then quantity.Metres) {
	then = now
	for range asMany {
		best, bestCam, least := "", cam, then
		for _, name := range left {
			on, _ := piste.Named(name, a.t.Width())
			surer, ok := cam.Supposing(on, mark.DefaultSD)
			if !ok || slices.Contains(chosen, name) {
				continue
			}
			if sd, err := of(surer); err == nil && sd < least {
				best, bestCam, least = name, surer, sd
			}
		}
		// The second point must be worth the mark, too.
		if best == "" || len(chosen) > 0 && float64(least/then) > 1-float64(gainWorthSaying)/2 {
			break
		}
		chosen, cam, then = append(chosen, best), bestCam, least
	}
	return chosen, then
}

// bestLine chooses the line of which two marks, well apart, leave the least doubt.
func (a *adviser) bestLine(cam *camera.Placing, grid []GridLine, of func(*camera.Placing) (quantity.Metres, error), now quantity.Metres) (best string, then quantity.Metres) {
	then = now
	for _, line := range grid {
		from, to, ok := piste.LineNamed(line.Name, a.t.Width())
		if !ok || len(a.known([]string{line.Name})) == 0 {
			continue
		}
		shown := line.Points
		surer := cam
		for _, share := range [2]float64{0.1, 0.9} {
			m, n := shown[0], shown[len(shown)-1]
			at := mark.Pixel{U: m.U + share*(n.U-m.U), V: m.V + share*(n.V-m.V)}
			if ok {
				surer, ok = surer.SupposingOn(camera.LineMark{A: from, B: to, At: at})
			}
		}
		if !ok {
			continue
		}
		if sd, err := of(surer); err == nil && sd < then {
			best, then = line.Name, sd
		}
	}
	return best, then
}

// spare proposes a point for a frame that has just as many as it needs, so that a
// wrong one would not show.
func (a *adviser) spare(v view, cam *camera.Placing, left, chosen []string) (Need, bool) {
	if !slices.ContainsFunc(cam.Warnings, func(w camera.Warning) bool { return w.Code == camera.CodeNoSpare }) {
		return Need{}, false
	}
	if len(chosen) == 0 {
		chosen = spread(a.marked(v), left, 1, a.t.Width())
	}
	if len(chosen) == 0 {
		return Need{}, false
	}
	return Need{Step: StepPlace, Take: v.take, Frame: v.frame, Points: chosen[:1],
		Text: fmt.Sprintf("One more point would show whether one of the others is wrong: %s, on frame %d", crossings(chosen[:1]), v.frame)}, true
}

// doubtOf returns what to make surer on a frame, as a standard deviation that
// follows from a camera, and its name.
func (a *adviser) doubtOf(v view, cam *camera.Placing) (func(*camera.Placing) (quantity.Metres, error), string, bool) {
	i := slices.IndexFunc(a.r.Instants, func(in Instant) bool { return in.Take == v.take && in.Frame == v.frame })
	if i >= 0 {
		var worst *Gap
		for k := range a.r.Instants[i].Gaps {
			if g := &a.r.Instants[i].Gaps[k]; g.Nearest && (worst == nil || g.Gap.SD > worst.Gap.SD) {
				worst = g
			}
		}
		if worst != nil {
			return a.gapSD(v, *worst), fmt.Sprintf("the gap from %v's point to the %s", worst.Of, worst.Target.Word()), true
		}
	}
	for _, s := range mark.Sides {
		for _, m := range marksOf(a.t, v, s) {
			if m.What.IsFoot() && m.SD >= 0 {
				return floorSD(m.At, sdOr(m.SD)), fmt.Sprintf("where %v's foot stands", s), true
			}
		}
	}
	return a.middleSD(v, cam)
}

// middleSD is the place of a foot on the middle of the piste or, where the picture
// does not show it, in the middle of what is marked, for a frame that has no marks
// of the fencers yet.
func (a *adviser) middleSD(v view, cam *camera.Placing) (func(*camera.Placing) (quantity.Metres, error), string, bool) {
	take, _ := a.t.Take(v.take)
	clip := a.r.Clips[take.Video]
	px, ok := cam.Project(piste.Place{})
	if ok && px.U >= 0 && px.U < float64(clip.Width) && px.V >= 0 && px.V < float64(clip.Height) {
		return floorSD(px, mark.DefaultSD), "where a foot stands at the centre line", true
	}
	x, n := 0.0, 0
	for _, name := range a.marked(v) {
		if on, ok := piste.Named(name, a.t.Width()); ok {
			x, n = x+on.X, n+1
		}
	}
	if n == 0 {
		return nil, "", false
	}
	px, ok = cam.Project(piste.Place{X: x / float64(n)})
	return floorSD(px, mark.DefaultSD), "where a foot stands in the middle of what is marked", ok
}

// gapSD returns how sure a gap is through a camera.
func (a *adviser) gapSD(v view, g Gap) func(*camera.Placing) (quantity.Metres, error) {
	wanted := func(s mark.Side, w mark.What) bool {
		if s == g.Of {
			return w == mark.Point
		}
		return slices.ContainsFunc(g.Target.Made(), func(m mark.Share) bool { return m.Of == w })
	}
	return func(cam *camera.Placing) (quantity.Metres, error) {
		fig, err := measureOnly(a.t, v, cam, wanted)
		if err != nil {
			return 0, err
		}
		ends, _, ok := fig.ends(fig.index[g.Of][mark.Point], g.Of.Other(), g.Target)
		if !ok {
			return 0, camera.ErrNoFit
		}
		return quantity.DistanceBetween(ends).SD, nil
	}
}

// gapMatter reports whose gap a source of the margin's doubt is, if it is one.
func gapMatter(m Matter, r *Race) (mark.Side, bool) {
	for _, s := range mark.Sides {
		if m.Name == gapName(r, s) {
			return s, true
		}
	}
	return 0, false
}

// gapMend says what would narrow the gap of one side of the race, and where nothing
// is worth the work, why.
func (a *adviser) gapMend(s mark.Side) string {
	race := a.r.Race
	v := view{race.Take, race.Frame}
	g := Gap{Of: s, Target: race.Runs[s].Target}
	cam, ok := a.cams.of(v)
	if !ok {
		return ""
	}
	sd := func(change func(*Touch)) float64 {
		t := *a.t
		t.Marks = slices.Clone(a.t.Marks)
		change(&t)
		other := *a
		other.t = &t
		d, err := other.gapSD(v, g)(cam)
		if err != nil {
			return math.Inf(1)
		}
		return float64(d)
	}
	now := sd(func(*Touch) {})
	loupe := sd(func(t *Touch) {
		for i := range t.Marks {
			t.Marks[i].SD = float64(sdOr(t.Marks[i].SD)) / 2
		}
	})
	most := 1 - float64(gainWorthSaying)
	switch {
	case loupe/now <= most:
		return fmt.Sprintf("marked under the loupe, with half the marking error, %v's point and the opponent's %s would %s", s, g.Target.Word(), gainWords(loupe/now))
	case slices.ContainsFunc(a.needs, func(n Need) bool { return n.Then > 0 && n.Take == v.take && n.Frame == v.frame }):
		return "the points of the piste that are named above would narrow it"
	}
	return "what is left is what one camera cannot see, how far point and target are beside the line of the feet"
}

// floorSD returns how sure the place of a point of the floor is, along and across.
func floorSD(at mark.Pixel, sd quantity.Pixels) func(*camera.Placing) (quantity.Metres, error) {
	return func(cam *camera.Placing) (quantity.Metres, error) {
		j, err := cam.Floor(at, sd)
		if err != nil {
			return 0, err
		}
		return quantity.Metres(math.Hypot(j.SD(0), j.SD(1))), nil
	}
}

// insideBy is how far inside the picture a point must lie, as a share of its
// width, for a hand to mark it.
const insideBy = 0.015

// shownPoints names the points on the edges of the piste that a camera shows.
func shownPoints(cam *camera.Placing, clip mark.Clip, width float64) []string {
	var all []string
	in := insideBy * float64(clip.Width)
	for _, name := range markable() {
		on, _ := piste.Named(name, width)
		px, ok := cam.Project(on)
		if ok && px.U >= in && px.V >= in && px.U <= float64(clip.Width-1)-in && px.V <= float64(clip.Height-1)-in {
			all = append(all, name)
		}
	}
	return all
}

// markable names the points that a picture may show: those on the edges, where
// every line across ends.
func markable() []string {
	return slices.DeleteFunc(piste.Names(), func(name string) bool {
		_, edge, _ := piste.Crossing(name)
		return edge == piste.Axis
	})
}

// free leaves out the points that are marked on the frame already, and those that
// a fencer stands before.
func (a *adviser) free(v view, names []string) []string {
	for _, p := range a.t.Placings {
		if p.Take != v.take || p.Frame != v.frame {
			continue
		}
		names = slices.DeleteFunc(names, func(name string) bool {
			return slices.ContainsFunc(p.Points, func(q PlacedPoint) bool { return q.Name == name })
		})
	}
	cam := a.cams.placed[v]
	return slices.DeleteFunc(names, func(name string) bool {
		on, _ := piste.Named(name, a.t.Width())
		px, _ := cam.Project(on)
		return slices.ContainsFunc(mark.Sides[:], func(s mark.Side) bool { return hides(marksOf(a.t, v, s), px) })
	})
}

// hides reports whether a point of the picture lies inside the box around the marks
// of a fencer's body.
func hides(marks []mark.Mark, px mark.Pixel) bool {
	var lo, hi mark.Pixel
	n := 0
	for _, m := range marks {
		if m.What == mark.Point || m.What == mark.Guard {
			continue // a blade hides little
		}
		if n++; n == 1 {
			lo, hi = m.At, m.At
			continue
		}
		lo.U, hi.U = min(lo.U, m.At.U), max(hi.U, m.At.U)
		lo.V, hi.V = min(lo.V, m.At.V), max(hi.V, m.At.V)
	}
	return n > 1 && px.U >= lo.U && px.U <= hi.U && px.V >= lo.V && px.V <= hi.V
}

package study

import (
	"cmp"
	"errors"
	"fmt"
	"slices"
	"strings"

	"mesure/measure/camera"
	"mesure/quantity"
	"mesure/sport/mark"
	"mesure/sport/piste"
)

// adviser looks at a touch under work and says what it still needs.
type adviser struct {
	t       *Touch
	r       *Reading
	cams    cameras
	figures map[view]figure
	needs   []Need
}

// advise says, step by step, what a touch still needs, the most useful first: what
// is wrong, then what is missing on the way to a race, then what would make it
// surer, the greatest gain first.
func advise(t *Touch, cams cameras, figures map[view]figure, r *Reading) []Need {
	a := adviser{t, r, cams, figures, []Need{}}
	a.wrong()
	a.place()
	a.mark()
	a.moments()
	a.race()
	a.sharpen()
	return a.needs
}

func (a *adviser) add(n Need) { a.needs = append(a.needs, n) }

// wrong names the placing points that do not fit, and the placings that are
// refused for another reason than that points are missing.
func (a *adviser) wrong() {
	for _, p := range a.r.Placings {
		if len(p.Disagrees) == 0 {
			continue
		}
		what, does := "does", "its name and its mark"
		if len(p.Disagrees) > 1 {
			what, does = "do", "their names and marks"
		}
		a.add(Need{Step: StepPlace, Take: p.Take, Frame: p.Frame, Points: p.Disagrees,
			Text: fmt.Sprintf("%s %s not fit the other points: check %s", upper(joinAnd(pointWords(p.Disagrees))), what, does)})
	}
	for _, f := range a.r.Refused {
		if !tooFew(f.Because) {
			a.add(Need{Step: StepPlace, Take: f.Take, Frame: f.Frame, Text: fmt.Sprintf("Frame %d: %v", f.Frame, innermost(f.Because))})
		}
	}
}

// innermost is the error at the end of a chain: what is wrong, without the names of
// all the points that stand before it.
func innermost(err error) error {
	for {
		next := errors.Unwrap(err)
		if next == nil {
			return err
		}
		err = next
	}
}

// tooFew reports whether a placing was refused because points are missing, and not
// because those that are there are wrong.
func tooFew(err error) bool {
	for _, e := range []error{camera.ErrTooFew, camera.ErrRepeated, camera.ErrCollinear, camera.ErrShared, camera.ErrOpen, camera.ErrOpenTurn} {
		if errors.Is(err, e) {
			return true
		}
	}
	return false
}

// place says which points the frames that are not placed still lack: those that
// were begun, and those that have marks of the fencers.
func (a *adviser) place() {
	var views []view
	for _, f := range a.r.Refused {
		if tooFew(f.Because) {
			views = append(views, view{f.Take, f.Frame})
		}
	}
	for _, v := range markedViews(a.t) {
		begun := slices.ContainsFunc(a.r.Refused, func(f RefusedFrame) bool { return f.Take == v.take && f.Frame == v.frame })
		if _, ok := a.cams.of(v); !ok && !begun {
			views = append(views, v)
		}
	}
	if len(views) == 0 && len(a.t.Takes) > 0 && len(a.r.Placings)+len(a.r.Refused) == 0 {
		first := view{a.t.Takes[0].ID, a.t.Takes[0].From}
		if len(a.t.Moments) > 0 {
			first = view{a.t.Moments[0].Take, a.t.Moments[0].By}
		}
		views = []view{first}
	}
	said := map[string]bool{}
	for _, begun := range []bool{true, false} {
		for _, v := range views {
			if (len(a.marked(v)) > 0) != begun || said[v.take] {
				continue
			}
			a.lacking(v)
			said[v.take] = !a.placedIn(v.take) // one frame first; the others will need less
		}
	}
}

// marked names the points that are marked on a frame; a free point has no name.
func (a *adviser) marked(v view) []string {
	var have []string
	for _, p := range a.t.Placings {
		if p.Take == v.take && p.Frame == v.frame {
			for _, q := range p.Points {
				have = append(have, q.Name)
			}
		}
	}
	return have
}

// lineMarks is how many places of lines are marked on a frame.
func (a *adviser) lineMarks(v view) int {
	n := 0
	for _, p := range a.t.Placings {
		if p.Take == v.take && p.Frame == v.frame {
			n += len(p.Lines)
		}
	}
	return n
}

// lacking says which points a frame still lacks. Where another frame of the take
// is placed, two points are enough, and its camera says which may show here.
func (a *adviser) lacking(v view) {
	have := a.marked(v)
	near, clip, shared := a.nearest(v)
	least := camera.MinPoints
	may := around(have)
	if shared {
		least = camera.MinSharedPoints
		may = a.known(shownPoints(near, clip, a.t.Width()))
	}
	// A point tells two things, a mark on a line one.
	lack := max(1, (2*(least-len(have))-a.lineMarks(v)+1)/2)
	points := spread(have, may, lack, a.t.Width())
	text := fmt.Sprintf("Frame %d needs %s", v.frame, counted(lack))
	if len(have)+a.lineMarks(v) > 0 {
		text += " more"
	}
	text += " " + plural("point", lack) + " of the piste to be placed"
	if len(points) > 0 {
		text += ", such as " + crossings(points)
	}
	a.add(Need{Step: StepPlace, Take: v.take, Frame: v.frame, Points: points, Text: text})
}

// known leaves out the points where only the colour of the floor changes, unless
// the touch has marked such a one: not every hall shows them.
func (a *adviser) known(names []string) []string {
	for _, p := range a.t.Placings {
		for _, q := range p.Points {
			if q.Name != "" && !piste.IsPainted(q.Name) {
				return names
			}
		}
	}
	return slices.DeleteFunc(names, func(name string) bool { return !piste.IsPainted(name) })
}

// nearest is the camera of the placed frame of the same take that is nearest.
func (a *adviser) nearest(v view) (*camera.Placing, mark.Clip, bool) {
	var best *camera.Placing
	far := mark.Frame(-1)
	for _, p := range a.r.Placings {
		d := p.Frame - v.frame
		if d < 0 {
			d = -d
		}
		if p.Take == v.take && (far < 0 || d < far) {
			best, far = a.cams.placed[view{p.Take, p.Frame}], d
		}
	}
	take, _ := a.t.Take(v.take)
	return best, a.r.Clips[take.Video], best != nil
}

func (a *adviser) placedIn(take string) bool {
	return slices.ContainsFunc(a.r.Placings, func(p PlacedFrame) bool { return p.Take == take })
}

// mark says which marks are missing for the gap of both fencers on one frame: the
// one that the race is asked from, else the one that lacks the fewest.
func (a *adviser) mark() {
	if len(a.r.Placings) == 0 {
		return
	}
	views := a.placedViews()
	if m, ok := a.t.Moment(a.t.Race.From); ok {
		views = []view{{m.Take, m.By}}
	}
	var best view
	var missing []string
	for i, v := range views {
		lack := a.lacks(v)
		if len(lack) == 0 {
			a.feet(v)
			return
		}
		if i == 0 || len(lack) < len(missing) {
			best, missing = v, lack
		}
	}
	if len(missing) == 0 {
		return
	}
	a.add(Need{Step: StepMark, Take: best.take, Frame: best.frame, Points: missing,
		Text: fmt.Sprintf("Mark %s on frame %d: then both gaps are measured and a race can be run", joinAnd(missing), best.frame)})
}

// placedViews lists the frames that can be measured: the placed ones and, where a
// take stands still, all that have marks.
func (a *adviser) placedViews() []view {
	var all []view
	for _, v := range markedViews(a.t) {
		if _, ok := a.cams.of(v); ok {
			all = append(all, v)
		}
	}
	for _, p := range a.r.Placings {
		if v := (view{p.Take, p.Frame}); !slices.Contains(all, v) {
			all = append(all, v)
		}
	}
	return all
}

// lacks names the marks that the gaps of a frame still lack, the points first.
func (a *adviser) lacks(v view) []string {
	var points, targets []string
	for _, s := range mark.Sides {
		there := map[mark.What]bool{}
		for _, m := range marksOf(a.t, v, s) {
			there[m.What] = true
		}
		if !there[mark.Point] {
			points = append(points, fmt.Sprintf("%v's point", s))
		}
		if !whole(there, a.t.Race.Of(s.Other()).Target) {
			for _, w := range wantedFor(there, a.t.Race.Of(s.Other()).Target) {
				targets = append(targets, fmt.Sprintf("%v's %s", s, w.Word()))
			}
		}
	}
	return append(points, targets...)
}

// whole reports whether the marks of a target are there; any target will do where
// none is asked for.
func whole(there map[mark.What]bool, ask mark.Target) bool {
	all := mark.Targets()
	if ask != "" {
		all = []mark.Target{ask}
	}
	return slices.ContainsFunc(all, func(t mark.Target) bool {
		made := t.Made()
		return len(made) > 0 && !slices.ContainsFunc(made, func(s mark.Share) bool { return !there[s.Of] })
	})
}

// wantedFor names the marks that a target still lacks; the guard, which stands for
// the hand, where none is asked for.
func wantedFor(there map[mark.What]bool, ask mark.Target) []mark.What {
	if ask == "" {
		return []mark.What{mark.Guard}
	}
	var all []mark.What
	for _, s := range ask.Made() {
		if !there[s.Of] {
			all = append(all, s.Of)
		}
	}
	return all
}

// feet asks for the feet of both fencers, on which the plane of action rests.
func (a *adviser) feet(v view) {
	var lack []string
	for _, s := range mark.Sides {
		if !slices.ContainsFunc(marksOf(a.t, v, s), func(m mark.Mark) bool { return m.What.IsFoot() }) {
			lack = append(lack, fmt.Sprintf("%v's %s", s, mark.FrontToe.Word()))
		}
	}
	if len(lack) > 0 {
		a.add(Need{Step: StepMark, Take: v.take, Frame: v.frame, Points: lack,
			Text: fmt.Sprintf("Mark %s on frame %d: the feet show where on the width of the piste the two stand", joinAnd(lack), v.frame)})
	}
}

// moments says which instants the race lacks.
func (a *adviser) moments() {
	for _, s := range mark.Sides {
		if o := a.t.Race.Of(s).Onset; o.Kind == OnsetObserved && o.Moment == "" {
			a.add(Need{Step: StepMoments, Text: fmt.Sprintf("Set the moment at which %v starts, and choose it as the start of the run: without it no race is run", s)})
		}
	}
	if len(a.t.Moments) == 0 && len(a.r.Instants) > 0 {
		in := a.r.Instants[0]
		if a.r.Race != nil {
			in.Take, in.Frame = a.r.Race.Take, a.r.Race.Frame
		}
		a.add(Need{Step: StepMoments, Take: in.Take, Frame: in.Frame,
			Text: fmt.Sprintf("Set a moment, such as the launch, at frame %d: the race then starts from it, and the stave has something to stand on", in.Frame)})
	}
}

// race says what the question of the race lacks.
func (a *adviser) race() {
	if a.r.Race != nil || slices.ContainsFunc(a.needs, func(n Need) bool { return n.Step == StepMark || n.Step == StepMoments }) {
		return
	}
	if i := slices.IndexFunc(a.r.Warnings, func(w Warning) bool { return w.Code == codeNoRace }); i >= 0 && len(a.r.Instants) > 0 {
		a.add(Need{Step: StepRace, Text: upper(strings.TrimPrefix(a.r.Warnings[i].Text, noRacePrefix))})
	}
}

// shareWorthSaying is the share of the margin's doubt from which a source of it is
// worth the work of mending it.
const shareWorthSaying quantity.Ratio = 0.15

// mostGains is how many ways to make a reading surer are named.
const mostGains = 4

// sharpen says what would make the reading surer: points that would narrow the
// cameras, and what the doubt of the race comes from.
func (a *adviser) sharpen() {
	gains := a.gains()
	slices.SortStableFunc(gains, func(x, y Need) int {
		return cmp.Or(cmp.Compare(a.away(x), a.away(y)), cmp.Compare(x.left(), y.left()))
	})
	a.needs = append(a.needs, gains[:min(len(gains), mostGains)]...)
	if a.r.Race == nil {
		return
	}
	for _, m := range a.r.Race.Matters[:min(2, len(a.r.Race.Matters))] {
		if m.Share < shareWorthSaying {
			continue
		}
		mend := m.Mend
		name := m.Name
		if s, ok := gapMatter(m, a.r.Race); ok {
			mend, name = a.gapMend(s), "the "+name
		}
		if slices.ContainsFunc(a.needs, func(n Need) bool { return n.Step == StepRace && strings.HasSuffix(n.Text, mend) }) {
			continue // once is enough
		}
		a.add(Need{Step: StepRace, Take: a.r.Race.Take, Frame: a.r.Race.Frame,
			Text: fmt.Sprintf("%s\u00a0%% of the margin's doubt comes from %s: %s", upper(in100(quantity.Chance(m.Share))), name, mend)})
	}
}

// left is the share of its error that a need would leave.
func (n Need) left() quantity.Ratio {
	if n.Now == 0 {
		return 1
	}
	return quantity.Ratio(n.Then / n.Now)
}

// away is 0 for a need on the frame of the race, else 1.
func (a *adviser) away(n Need) int {
	if r := a.r.Race; r != nil && (n.Take != r.Take || n.Frame != r.Frame) {
		return 1
	}
	return 0
}

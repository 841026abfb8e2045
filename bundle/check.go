package bundle

import (
	"fmt"
	"strconv"
	"strings"

	"mesure/sport/mark"
	"mesure/sport/piste"
	"mesure/study"
)

// names are the names of one kind of thing, with where each stands first.
type names struct {
	what  string // "take"
	lists string // "takes"
	all   []string
	at    map[string]int
}

func newNames(what string) *names {
	return &names{what: what, lists: what + "s", at: map[string]int{}}
}

// add takes a name in, or says that it stands twice.
func (n *names) add(p *problems, pointer, id string, i int) {
	if first, twice := n.at[id]; twice {
		p.add(pointer, "%s is already the name of /%s/%d: give one of the two another name", quote(id), n.lists, first)
		return
	}
	n.at[id] = i
	n.all = append(n.all, id)
}

// find returns the index of a name, or says that there is none.
func (n *names) find(p *problems, pointer, id string) (int, bool) {
	i, ok := n.at[id]
	if !ok && !p.full() {
		p.add(pointer, "there is no %s %s%s", n.what, quote(id), n.known(id))
	}
	return i, ok
}

// known says which name may have been meant, or which there are.
func (n *names) known(id string) string {
	if near := nearest(id, n.all); near != "" {
		return ": did you mean " + strconv.Quote(near) + "?"
	}
	switch {
	case len(n.all) == 0:
		return ": /" + n.lists + " is empty"
	case len(n.all) > 8:
		return fmt.Sprintf(" among the %d %s", len(n.all), n.lists)
	}
	return ": known are " + strings.Join(n.all, ", ")
}

// checkTouch looks at what no single field can show: that names are unique and
// refer to something, and that numbers fit each other.
func checkTouch(f *touchFile, p *problems) {
	videos, takes, moments := newNames("video"), newNames("take"), newNames("moment")
	for i, v := range f.Videos {
		videos.add(p, item("/videos", i)+"/id", v.ID, i)
	}
	for i, k := range f.Takes {
		at := item("/takes", i)
		takes.add(p, at+"/id", k.ID, i)
		videos.find(p, at+"/video", k.Video)
		if k.To < k.From {
			p.add(at+"/to", "the take ends at frame %d, before its first frame %d", k.To, k.From)
		}
		if k.Rate != 0 && k.Factor != 0 {
			p.add(at+"/factor", "the take has a capture_rate, which gives the factor: keep one of the two")
		}
	}
	inside := func(at, take string, frame int, field string) {
		if i, ok := takes.find(p, at+"/take", take); ok {
			insideTake(p, at+"/"+field, f.Takes[i], frame)
		}
	}
	checkPlacings(f, p, inside)
	checkMarks(f, p, inside)
	checkHidden(p, f.Hidden, f.Takes, takes)
	for i, m := range f.Moments {
		at := item("/moments", i)
		moments.add(p, at+"/id", m.ID, i)
		checkBrackets(p, at, m, f.Takes, takes)
	}
	actions := newNames("action")
	for i, a := range f.Actions {
		at := item("/actions", i)
		actions.add(p, at+"/id", a.ID, i)
		if k, ok := takes.find(p, at+"/take", a.Take); ok {
			insideTake(p, at+"/from_frame", f.Takes[k], a.From)
			insideTake(p, at+"/to_frame", f.Takes[k], a.To)
		}
		if a.To < a.From {
			p.add(at+"/to_frame", "the action ends at frame %d, before its first frame %d", a.To, a.From)
		}
	}
	checkNotes(f.Notes, p, actions)
	checkRace(f.Race, p, moments)
	checkDismissed(f.Dismissed, p)
	checkSheet(f.Bout, p)
}

func insideTake(p *problems, pointer string, k takeFile, frame int) {
	if frame < k.From || frame > k.To {
		p.add(pointer, "frame %d lies outside the take %s, which shows frames %d to %d", frame, quote(k.ID), k.From, k.To)
	}
}

func checkPlacings(f *touchFile, p *problems, inside func(at, take string, frame int, field string)) {
	width := piste.Width
	if f.PisteWidth != 0 {
		width = f.PisteWidth
	}
	type place struct {
		take  string
		frame int
	}
	seen := map[place]int{}
	for i, q := range f.Placings {
		at := item("/placings", i)
		inside(at, q.Take, q.Frame, "frame")
		if first, twice := seen[place{q.Take, q.Frame}]; twice {
			p.add(at, "frame %d of the take %s is already placed in /placings/%d: put the points into one placing", q.Frame, quote(q.Take), first)
		}
		seen[place{q.Take, q.Frame}] = i
		checkPoints(q.Points, at+"/points", width, p)
		for k, m := range q.Lines {
			checkLine(p, item(at+"/lines", k)+"/line", m.Line)
		}
	}
}

// checkPoints looks at the points of one placing of the touch file.
func checkPoints(points []pointFile, at string, width float64, p *problems) {
	named := map[string]int{}
	for i, q := range points {
		here := item(at, i)
		checkPoint(p, here, place{q.Name, q.X, q.Y, "x_m", "y_m"}, width)
		if first, twice := named[q.Name]; twice && q.Name != "" {
			p.add(here+"/name", "the point %s is already marked in %s/%d: keep the better mark", quote(q.Name), at, first)
		}
		named[q.Name] = i
	}
}

// place is where a placing point lies: a name, or both coordinates.
type place struct {
	name         string
	x, y         *float64
	xName, yName string // as the file calls them
}

func checkPoint(p *problems, at string, q place, width float64) {
	switch {
	case q.name != "" && (q.x != nil || q.y != nil):
		p.add(at, "this point has a name and a place: keep \"name\", or %q and %q", q.xName, q.yName)
	case q.name != "":
		if _, ok := piste.Named(q.name, width); !ok {
			known := ": a name is a line and an edge, such as left-on-guard-near, centre-axis or right-rear-far"
			if near := nearest(q.name, piste.Names()); near != "" {
				known = ": did you mean " + strconv.Quote(near) + "?"
			}
			p.add(at+"/name", "%s is no point of the piste%s", quote(q.name), known)
		}
	case q.x == nil && q.y == nil:
		p.add(at, "this point has no place: give it \"name\", or %q and %q in metres", q.xName, q.yName)
	case q.x == nil:
		p.add(at, "%q is missing: add it", q.xName)
	case q.y == nil:
		p.add(at, "%q is missing: add it", q.yName)
	}
}

// checkLine looks at the name of a line.
func checkLine(p *problems, at, name string) {
	if _, _, ok := piste.LineNamed(name, piste.Width); ok {
		return
	}
	known := ": known are " + strings.Join(piste.LineNames(), ", ")
	if _, point := piste.Named(name, piste.Width); point {
		known = ": it is a point; write it under \"points\""
	} else if near := nearest(name, piste.LineNames()); near != "" {
		known = ": did you mean " + strconv.Quote(near) + "?"
	}
	p.add(at, "%s is no line of the piste%s", quote(name), known)
}

func checkMarks(f *touchFile, p *problems, inside func(at, take string, frame int, field string)) {
	type thing struct {
		take, who, what string
		frame           int
	}
	known := pointWords()
	seen := map[thing]int{}
	for i, m := range f.Marks {
		at := item("/marks", i)
		inside(at, m.Take, m.Frame, "frame")
		if slip := slipOf(m.What, known); slip != "" {
			p.add(at+"/what", "%s is no point of interest: did you mean %q? A free name must differ by more", quote(m.What), slip)
		}
		t := thing{m.Take, m.Who, m.What, m.Frame}
		if first, twice := seen[t]; twice {
			p.add(at, "the %s of the %s fencer is already marked on this frame in /marks/%d: keep the better mark", m.What, m.Who, first)
			continue
		}
		seen[t] = i
	}
}

// pointWords are the points of interest as the file spells them.
func pointWords() []string {
	var known []string
	for _, w := range mark.Points() {
		known = append(known, string(w))
	}
	return known
}

// slipOf returns the point of interest that a free name is a slip of the pen
// away from, or "".
func slipOf(what string, known []string) (slip string) {
	for _, k := range known {
		switch diff := len(what) - len(k); {
		case what == k:
			return ""
		// A short word is soon one letter away from another.
		case len(what) >= 4 && -1 <= diff && diff <= 1 && apart(what, k) <= 1:
			slip = k
		}
	}
	return slip
}

func checkRace(f *raceAskFile, p *problems, moments *names) {
	if f == nil {
		return
	}
	if f.From != "" {
		moments.find(p, "/race/from", f.From)
	}
	for _, s := range mark.Sides {
		run := f.Left
		if s == mark.Right {
			run = f.Right
		}
		if run == nil || run.Onset == nil {
			continue
		}
		at := "/race/" + s.String() + "/onset"
		o := run.Onset
		switch {
		case o.Kind != study.OnsetObserved && o.Moment != "":
			p.add(at+"/moment", "only an onset of the kind %q has a moment", study.OnsetObserved)
		case o.Moment != "":
			moments.find(p, at+"/moment", o.Moment)
		}
		if o.Kind != study.OnsetReaction && (o.Cue != "" || o.Choices != 0) {
			p.add(at, "only an onset of the kind %q has a cue and choices", study.OnsetReaction)
		}
	}
}

// checkDismissed looks at the notes that are not to be shown: each once, and each with
// a name.
func checkDismissed(notes []string, p *problems) {
	seen := map[string]int{}
	for i, n := range notes {
		at := item("/dismissed", i)
		if n == "" {
			p.add(at, "this note has no name: write the name of one or leave it out")
		} else if first, twice := seen[n]; twice {
			p.add(at, "the note %s is already in %s: keep one of the two", quote(n), item("/dismissed", first))
		}
		seen[n] = i
	}
}

// checkNotes: a note is about one of the actions, and an action has one at most.
func checkNotes(all []phraseNoteFile, p *problems, actions *names) {
	noted := newNames("note")
	for i, n := range all {
		at := item("/notes", i) + "/action"
		if _, ok := actions.find(p, at, n.Action); ok {
			noted.add(p, at, n.Action, i)
		}
	}
}

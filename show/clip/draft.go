package clip

import (
	"errors"
	"fmt"
	"slices"
	"strings"

	"mesure/show/report"
	"mesure/show/script"
	"mesure/study"
)

// Lengths of a draft in seconds (our choice): what is said in all, and the longest line
// that is still said in a clip; what a longer one says stands in the script.
const (
	draftTalk = 54.0
	draftLine = 12.5
	liveLong  = 8.0 // of a take at speed: so much of it about its decisive stretch
)

// errNothing is a caller's mistake.
var errNothing = errors.New("clip: a storyboard needs a reading of a touch and a script")

// Draft makes the storyboard of a script, in the order in which a coach tells a touch:
// once at speed; slowly through what decides; standing where the attack starts, with the
// lines built one by one; beside the other take where there is one; then the plates of
// technique, tactics and timing, each with the line that speaks of it; and the
// take-away. Lines are said by their weight until draftTalk seconds are full; what is
// too long stays in the script. What the reading does not have is left out. Equal
// readings and scripts give equal boards. The error is one for a missing reading or
// script, and a *Trouble for a form that is none.
func Draft(r *study.Reading, s *script.Script, plates []report.Plate, f Form) (Board, error) {
	if r == nil || r.Touch == nil || s == nil {
		return Board{}, errNothing
	}
	if _, err := f.Whole(); err != nil {
		return Board{}, err
	}
	d := &drafter{r: r, s: s, plates: plates, chosen: map[string]bool{}}
	d.choose()
	return Board{Form: f, Shots: append([]Shot{}, d.story()...)}, nil
}

type drafter struct {
	r      *study.Reading
	s      *script.Script
	plates []report.Plate
	chosen map[string]bool // lines that are said
}

// weights are the lines by how much they are wanted, and at most how many of each: the
// claim that decides and before it what the lamps say against it, so that a clip that has
// the one has the other; the measure, what to keep, then the rest. A pattern ends in * where
// the key has more to it.
var weights = []struct {
	pattern string
	most    int
}{
	{script.PartTiming + " race-came", 1}, {script.PartTiming + " race", 1}, {script.PartTechnique + " gap/*", 1}, {script.PartTakeAway + " keep*", 1},
	{script.PartOpening + " which", 1}, {script.PartOpening + " lamps", 1}, {script.PartOpening + " why", 1}, {script.PartTechnique + " parry", 1},
	{script.PartTactics + " story/*", 1}, {script.PartTiming + " started", 1}, {script.PartTiming + " windows-open", 1},
	{script.PartTiming + " launch", 1}, {script.PartTechnique + " lag/*", 1}, {script.PartTechnique + " gap/*", 2},
	{script.PartTactics + " habit-opponent", 1}, {script.PartTactics + " habit*", 1}, {script.PartTakeAway + " *", 1},
	{script.PartTiming + " lights", 1}, {script.PartTechnique + " commit/*", 1}, {script.PartTiming + " *", 2},
	{script.PartTactics + " *", 2}, {script.PartTechnique + " *", 2},
}

func matches(pattern, id string) bool {
	if p, ok := strings.CutSuffix(pattern, "*"); ok {
		return strings.HasPrefix(id, p)
	}
	return pattern == id
}

// choose takes lines by their weight. A line that the coach wrote is said before all.
func (d *drafter) choose() {
	left := draftTalk
	take := func(id string, l script.Line, most float64) bool {
		t := float64(d.s.TimeOf(script.Part{Lines: []script.Line{l}}).Mean) + pause
		if d.chosen[id] || t > most || t > left {
			return false
		}
		if id == script.PartTechnique+" parry" && !l.Edited && d.plateOf([]report.Kind{report.KindSeen}) == "" {
			return false // what a parry would have to be is not what was seen
		}
		if id == d.firstStory() && d.chosen[script.PartOpening+" which"] && !l.Edited {
			return false // it says touch and score once more
		}
		d.chosen[id] = true
		left -= t
		return true
	}
	each := func(fn func(id string, l script.Line)) {
		for _, p := range d.s.Parts {
			for _, l := range p.Lines {
				fn(lineID(p.Kind, l), l)
			}
		}
	}
	each(func(id string, l script.Line) {
		if l.Edited && d.said(id) == "" {
			take(id, l, draftTalk)
		}
	})
	for _, w := range weights {
		n := 0
		each(func(id string, l script.Line) {
			if matches(w.pattern, id) && d.chosen[id] {
				n++
			}
		})
		each(func(id string, l script.Line) {
			if n < w.most && matches(w.pattern, id) && take(id, l, draftLine) {
				n++
			}
		})
	}
	if !d.chosen[script.PartTiming+" race"] {
		delete(d.chosen, script.PartTiming+" race-came") // it speaks of the race
	}
}

// firstStory is the first of several lines of the story; empty where there is one or none.
func (d *drafter) firstStory() string {
	var all []string
	for _, p := range d.s.Parts {
		for _, l := range p.Lines {
			if id := lineID(p.Kind, l); matches(script.PartTactics+" story/*", id) {
				all = append(all, id)
			}
		}
	}
	if len(all) < 2 {
		return ""
	}
	return all[0]
}

func (d *drafter) said(id string) string {
	if d.chosen[id] {
		return id
	}
	return ""
}

// lines are the chosen ones that match, in the order of the script, each once in a board.
func (d *drafter) lines(used map[string]bool, patterns ...string) []string {
	var out []string
	for _, p := range d.s.Parts {
		for _, l := range p.Lines {
			id := lineID(p.Kind, l)
			if !d.chosen[id] || used[id] {
				continue
			}
			if slices.ContainsFunc(patterns, func(w string) bool { return matches(w, id) }) {
				used[id] = true
				out = append(out, id)
			}
		}
	}
	return out
}

// story puts the shots in order.
func (d *drafter) story() []Shot {
	used := map[string]bool{}
	var out []Shot
	add := func(s Shot) {
		s.ID = fmt.Sprintf("shot-%d", len(out)+1)
		out = append(out, s)
	}
	live, slow := d.takes()
	// What the rest explains is asked over the slow pictures: a take at speed is over
	// before it could be read.
	var why []string
	if slow != nil {
		if from, to := d.slowSpan(*slow); to > from {
			why = d.lines(used, script.PartOpening+" why")
		}
	}
	title := func(t string, s Shot) Shot { s.Title = t; return s }

	if live != nil {
		s := Shot{Kind: Live, Take: live.ID, Lines: d.lines(used, script.PartOpening+" *")}
		s.From, s.To = d.liveSpan(*live)
		add(title("The touch", s))
	} else if l := d.lines(used, script.PartOpening+" *"); len(l) > 0 {
		add(title("The touch", Shot{Kind: Plate, Lines: l}))
	}
	if slow != nil {
		from, to := d.slowSpan(*slow)
		if to > from {
			add(title("How it went", Shot{Kind: Slow, Take: slow.ID, From: from, To: to, Speed: d.slowSpeed(*slow, from, to),
				Lines: append(why, d.lines(used, script.PartTiming+" started", script.PartTiming+" launch")...)}))
		}
	}
	if take, at, ok := d.launch(); ok {
		add(title("Technique", Shot{Kind: Build, Take: take, From: at, Lines: d.lines(used, script.PartTechnique+" gap/*", script.PartTechnique+" chest/*", script.PartTechnique+" unbanded/*")}))
	}
	if s, ok := d.beside(live, slow); ok {
		s.Lines = d.lines(used, script.PartTechnique+" lag/*", script.PartTechnique+" commit/*")
		add(s)
	}
	technique := len(out) == 0 || out[len(out)-1].Title != "Technique"
	for i, x := range []struct {
		title    string
		kinds    []report.Kind
		patterns []string
	}{
		{"Technique", []report.Kind{report.KindSeen, report.KindParry}, []string{script.PartTechnique + " parry", script.PartTechnique + " riposte"}},
		{"Technique", []report.Kind{report.KindStand, report.KindStarted, report.KindStave}, []string{script.PartTechnique + " *"}},
		{"Tactics", []report.Kind{report.KindThread, report.KindBout}, []string{script.PartTactics + " story/*", script.PartTactics + " before"}},
		{"Tactics", []report.Kind{report.KindBalance, report.KindPayoff}, []string{script.PartTactics + " payoff"}},
		{"Tactics", []report.Kind{report.KindHabit}, []string{script.PartTactics + " *"}},
		{"Timing", []report.Kind{report.KindStarted}, []string{script.PartTiming + " started", script.PartTiming + " launch", script.PartTiming + " tempi"}},
		{"Timing", []report.Kind{report.KindRace}, []string{script.PartTiming + " race", script.PartTiming + " lights", script.PartTiming + " race-came"}},
		{"Timing", []report.Kind{report.KindWindows, report.KindMap}, []string{script.PartTiming + " *"}},
	} {
		l := d.lines(used, x.patterns...)
		if len(l) == 0 {
			continue
		}
		s := Shot{Kind: Plate, Plate: d.plateOf(x.kinds), Lines: l}
		if !slices.ContainsFunc(out, func(o Shot) bool { return o.Title == x.title }) && (technique || i > 0) {
			s.Title = x.title
		}
		add(s)
	}
	// The take-away stands on the last picture of the phrase.
	if l := d.lines(used, script.PartTakeAway+" *"); len(l) > 0 {
		s := Shot{Kind: Plate, Lines: l}
		if take, at, ok := d.ending(slow); ok {
			s = Shot{Kind: Hold, Take: take, From: at, Layers: []string{}, Lines: l}
		}
		add(title("Take-away", s))
	}
	return out
}

// plateOf is the first plate of the wanted kinds; empty where there is none.
func (d *drafter) plateOf(kinds []report.Kind) string {
	for _, k := range kinds {
		for _, p := range d.plates {
			if p.Kind == k {
				return p.Name()
			}
		}
	}
	return ""
}

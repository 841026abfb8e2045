package clip

import (
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"

	"mesure/quantity"
	"mesure/show/report"
	"mesure/show/script"
	"mesure/sport/mark"
	"mesure/study"
)

// Lengths of a draft in seconds (our choice): what is said in all, and the longest line
// that is still said in a clip; what a longer one says stands in the script.
const (
	draftTalk = 50.0
	draftLine = 12.5
	liveLong  = 8.0 // of a take at speed: so much of it about its decisive stretch
)

// errNothing is a caller's mistake.
var errNothing = errors.New("clip: a storyboard needs a reading of a touch and a script")

// slot is a place in the story where lines can be said, with what is then shown.
type slot struct {
	shot  Shot
	lines []string
	// plates are kinds of plates that can be shown, the best first; empty for a shot of a
	// take.
	plates []report.Kind
	// needs a line to be there at all.
	needsLine bool
}

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
	b := Board{Form: f, Shots: []Shot{}}
	for _, x := range d.story() {
		b.Shots = append(b.Shots, x)
	}
	return b, nil
}

type drafter struct {
	r      *study.Reading
	s      *script.Script
	plates []report.Plate
	chosen map[string]bool // lines that are said
}

// weights are the lines by how much they are wanted, and at most how many of each: the
// claim that decides, the measure, what to keep, then the rest. A pattern ends in * where
// the key has more to it.
var weights = []struct {
	pattern string
	most    int
}{
	{script.PartTiming + " race", 1}, {script.PartTechnique + " gap/*", 1}, {script.PartTakeAway + " keep*", 1},
	{script.PartOpening + " which", 1}, {script.PartOpening + " lamps", 1}, {script.PartTiming + " started", 1}, {script.PartTechnique + " parry", 1},
	{script.PartTactics + " story/*", 1}, {script.PartTiming + " windows-open", 1},
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
				Lines: d.lines(used, script.PartTiming+" started", script.PartTiming+" launch")}))
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
		{"Timing", []report.Kind{report.KindRace}, []string{script.PartTiming + " race", script.PartTiming + " lights"}},
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

// playable says that a take can be shown.
func (d *drafter) playable(k mark.Take) bool {
	c := d.r.Clips[k.Video]
	return timesOf(d.r, k) != nil && c.Width > 1 && c.Height > 1
}

// takes are the one at speed and the one that is shown slowly: the live picture, and that
// which shows what decides with the most frames a second of the bout. Nil where there is
// none.
func (d *drafter) takes() (live, slow *mark.Take) {
	best := 0.0
	for _, k := range d.r.Touch.Takes {
		if !d.playable(k) {
			continue
		}
		if live == nil || live.Slow() > 1 && k.Slow() == 1 {
			live = &k
		}
		if span, ok := decisive(d.r, k.ID); ok && span.to > span.from {
			when := timesOf(d.r, k)
			if fine := float64(len(when)-1) / when[len(when)-1]; fine > best && !math.IsInf(fine, 0) {
				best, slow = fine, &k
			}
		}
	}
	if slow == nil {
		slow = live
	}
	return live, slow
}

// frameAt is the frame of a take nearest to so many seconds of the bout after another.
func (d *drafter) frameAt(k mark.Take, f mark.Frame, after float64) mark.Frame {
	when := timesOf(d.r, k)
	want := when[f-k.From] + after
	best := 0
	for i := range when {
		if math.Abs(when[i]-want) < math.Abs(when[best]-want) {
			best = i
		}
	}
	return k.From + mark.Frame(best)
}

// liveSpan is the whole take, or where that is long what lies about the decisive stretch.
func (d *drafter) liveSpan(k mark.Take) (from, to mark.Frame) {
	when := timesOf(d.r, k)
	if when[len(when)-1] <= liveLong {
		return k.From, k.To
	}
	span, ok := decisive(d.r, k.ID)
	if !ok {
		if in := d.toldOn(k.ID); in != nil {
			span = stretch{*in, *in}
		} else {
			return k.From, d.frameAt(k, k.From, liveLong)
		}
	}
	to = d.frameAt(k, span.to, 1)
	return max(k.From, d.frameAt(k, to, -liveLong)), to
}

// toldOn is the first instant that is told of a take.
func (d *drafter) toldOn(take string) *mark.Frame {
	for _, in := range d.r.Told() {
		if in.Take == take {
			return &in.Frame
		}
	}
	return nil
}

// slowSpan is what decides, with a little before and after it.
func (d *drafter) slowSpan(k mark.Take) (from, to mark.Frame) {
	span, ok := decisive(d.r, k.ID)
	if !ok || span.from == span.to {
		from, to = d.liveSpan(k)
		return max(from, d.frameAt(k, to, -2)), to
	}
	return d.frameAt(k, span.from, -0.15), d.frameAt(k, span.to, 0.2)
}

// slowSpeed is the fastest of the usual ones at which the stretch takes at least
// slowLong seconds.
func (d *drafter) slowSpeed(k mark.Take, from, to mark.Frame) quantity.Ratio {
	const slowLong = 3.0
	when := timesOf(d.r, k)
	t := when[to-k.From] - when[from-k.From]
	for _, v := range []float64{0.5, 0.25} {
		if t/v >= slowLong {
			return quantity.Ratio(v)
		}
	}
	return 0.125
}

// launch is the frame on which the gaps are built: that of the race, else of the timing,
// else the first one that is told and has gaps.
func (d *drafter) launch() (take string, f mark.Frame, ok bool) {
	try := func(t string, at mark.Frame) bool {
		k, known := d.r.Touch.Take(t)
		if !known || !d.playable(k) || at < k.From || at > k.To {
			return false
		}
		take, f = t, at
		return true
	}
	if x := d.r.Race; x != nil && try(x.Take, x.Frame) {
		return take, f, true
	}
	if x := d.r.Timing; x != nil && try(x.At.Take, x.At.Frame) {
		return take, f, true
	}
	for _, in := range d.r.Told() {
		if len(in.Gaps) > 0 && try(in.Take, in.Frame) {
			return take, f, true
		}
	}
	return "", 0, false
}

// ending is the frame of the end of the phrase on the take that is shown slowly, else the
// last frame of that take.
func (d *drafter) ending(slow *mark.Take) (take string, f mark.Frame, ok bool) {
	if slow == nil {
		return "", 0, false
	}
	if m, _, has := d.r.Ending(); has {
		for _, x := range m.Brackets() {
			if x.Take == slow.ID && x.By >= slow.From && x.By <= slow.To {
				return x.Take, x.By, true
			}
		}
	}
	return slow.ID, slow.To, true
}

// beside plays the other take next to the one that is shown slowly, by true time.
func (d *drafter) beside(live, slow *mark.Take) (Shot, bool) {
	if live == nil || slow == nil {
		return Shot{}, false
	}
	var other *mark.Take
	for _, k := range d.r.Touch.Takes {
		if k.ID != slow.ID && d.playable(k) && (other == nil || k.ID == live.ID) {
			other = &k
		}
	}
	span, ok := decisive(d.r, slow.ID)
	if other == nil || !ok || span.from >= span.to {
		return Shot{}, false
	}
	from, to := d.slowSpan(*slow)
	meets := span.to
	at, okA := d.r.When(slow.ID, meets)
	start, okB := d.r.When(other.ID, other.From)
	if !okA || !okB {
		return Shot{}, false
	}
	when := timesOf(d.r, *other)
	after := float64(at.Mean - start.Mean)
	if after < 0 || after > when[len(when)-1] {
		return Shot{}, false // the other take does not show it
	}
	return Shot{Kind: Beside, Take: slow.ID, From: from, To: to, Speed: d.slowSpeed(*slow, from, to),
		Other: &Other{Take: other.ID, At: d.frameAt(*other, other.From, after), Meets: meets}}, true
}

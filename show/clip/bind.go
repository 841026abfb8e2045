package clip

import (
	"fmt"
	"image"
	"math"
	"slices"
	"sync"

	"mesure/quantity"
	"mesure/show/draw"
	"mesure/show/handoff"
	"mesure/show/plate"
	"mesure/show/report"
	"mesure/show/script"
	"mesure/sport/mark"
	"mesure/study"
)

// Times of the clip in seconds (our choice).
const (
	breath    = 0.35 // before the first line of a shot, and after its last
	pause     = 0.30 // between two lines
	leastHold = 2.0
	leastCard = 4.0 // a plate, and a text alone: less cannot be read
	partTime  = 0.7 // from one part of a built overlay to the next
	growTime  = 0.6 // in which a part appears
	builtTime = 1.4 // the whole stands at least so long
	slowSpeed = quantity.Ratio(0.25)
)

// Bounds of what can be asked.
const (
	mostShots   = 200
	mostSeconds = 600 // of one shot
	leastSpeed  = quantity.Ratio(0.01)
	mostSpeed   = quantity.Ratio(4)
)

// said is one line of the script in a shot.
type said struct {
	key      string
	text     string
	from, to float64 // seconds from the start of the shot
}

// bound is a shot that can be shown.
type bound struct {
	Shot
	st    stage // at the size of the form
	first int   // frame of the clip
	count int
	moves int // of them, so many until the last frame of the take is reached
	main  *seen
	other *seen
	plate *report.Plate
	lines []said
	texts []handoff.Screen // from the start of the shot
	label string           // the chapter that it is in
	parts []string         // of a build, in order
	asked [2]mark.Target   // see targets
	once  sync.Once
	names [2]string
	end   string // the moment that the clock counts to
	notes []string
	// needs are what of main and other must be seen, in pixels of their clips.
	needs [2]image.Rectangle
	key   string
	card  drawnCard
}

// drawnCard is the picture of a shot without a take, at the width at which it was drawn last.
type drawnCard struct {
	mu    sync.Mutex
	width int
	layer *layer
}

// layers are those that are seen.
func (b *bound) layers() []string {
	if b.Layers != nil {
		return b.Layers
	}
	switch b.Kind {
	case Slow, Beside:
		return []string{plate.LayerGaps}
	case Hold:
		return []string{plate.LayerMarks, plate.LayerGaps}
	case Build:
		return []string{plate.LayerMarks, plate.LayerGaps, plate.LayerReach}
	}
	return []string{}
}

// moving says whether the shot plays.
func (b *bound) moving() bool { return b.Kind == Live || b.Kind == Slow || b.Kind == Beside }

// binder makes shots of a board.
type binder struct {
	in       Input
	form     Form
	st       stage
	lines    map[string]script.Line
	plates   map[string]*report.Plate
	poses    map[[2]string]*poses
	troubles []Trouble
}

func newBinder(in Input, form Form) *binder {
	b := &binder{in: in, form: form, st: stageOf(form, 0), lines: map[string]script.Line{}, plates: map[string]*report.Plate{}, poses: map[[2]string]*poses{}}
	if in.Script != nil {
		for _, p := range in.Script.Parts {
			for _, l := range p.Lines {
				b.lines[lineID(p.Kind, l)] = l
			}
		}
	}
	for i := range in.Plates {
		b.plates[in.Plates[i].Name()] = &in.Plates[i]
	}
	return b
}

// lineID is how a shot names a line.
func lineID(part string, l script.Line) string { return part + " " + l.Key }

func (b *binder) trouble(id, kind string, out bool, what, mend string) {
	b.troubles = append(b.troubles, Trouble{Shot: id, Kind: kind, What: what, Mend: mend, Out: out})
}

// all binds the shots of the board, without those that cannot be shown.
func (b *binder) all() []*bound {
	var out []*bound
	ids := map[string]bool{}
	label, called := "", script.CalledIn(b.in.Reading, b.in.Script.Names)
	for i, s := range b.in.Board.Shots {
		if i == mostShots {
			b.trouble("", TroubleShot, true, fmt.Sprintf("there are more than %d shots", mostShots), "take some out: the others are left out")
			break
		}
		if s.Title != "" {
			// A title of the coach's may name who is not to be named.
			s.Title = called.Hide(plainLine(s.Title))
			label = b.drawn(s.Title)
		}
		switch {
		case s.ID == "":
			b.trouble("", TroubleShot, true, fmt.Sprintf("shot %d has no ID", i+1), "give it one")
			continue
		case ids[s.ID]:
			b.trouble(s.ID, TroubleShot, true, "there are two shots of this ID", "give one of them another")
			continue
		}
		ids[s.ID] = true
		if x := b.one(s); x != nil {
			x.label = label
			out = append(out, x)
		}
	}
	first := 0
	for _, x := range out {
		x.first = first
		first += x.count
	}
	return out
}

// one binds a shot; nil where it cannot be shown.
func (b *binder) one(s Shot) *bound {
	x := &bound{Shot: s, st: b.st}
	if !b.content(x) || !b.times(x) {
		return nil
	}
	known := plate.OverlayLayers()
	for _, l := range s.Layers {
		if !slices.Contains(known, l) {
			b.trouble(s.ID, TroubleLayer, false, fmt.Sprintf("%q is no layer", l), "take it out, or one of "+joined(known))
		}
	}
	b.finish(x)
	return x
}

// content finds what a shot shows.
func (b *binder) content(x *bound) bool {
	switch x.Kind {
	case Plate:
		if x.Shot.Plate == "" {
			return true // a text alone
		}
		p, ok := b.plates[x.Shot.Plate]
		if !ok || p.Wide == nil {
			b.trouble(x.ID, TroublePlate, true, fmt.Sprintf("there is no plate %q of this touch", x.Shot.Plate), "choose another plate, or take the shot out")
			return false
		}
		x.plate = p
		return true
	case Live, Slow, Beside:
		x.main = b.take(x.ID, "", x.Take, x.From, x.To)
	case Hold, Build:
		x.main = b.take(x.ID, "", x.Take, x.From, x.From)
	default:
		b.trouble(x.ID, TroubleShot, true, fmt.Sprintf("%q is no kind of shot", x.Kind), "choose live, slow, hold, build, beside or plate")
		return false
	}
	if x.main == nil {
		return false
	}
	if x.Kind == Beside {
		return b.beside(x)
	}
	return true
}

// times gives a shot its frames and its lines their time.
func (b *binder) times(x *bound) bool {
	if x.Lasts < 0 || x.Lasts-x.Lasts != 0 || x.Speed-x.Speed != 0 || x.Speed < 0 {
		b.trouble(x.ID, TroubleShot, true, "its time or its speed is no number", "set it anew")
		return false
	}
	if x.Speed == 0 || x.Kind == Live {
		x.Speed = 1
		if x.Kind == Slow || x.Kind == Beside {
			x.Speed = slowSpeed
		}
	}
	if x.Speed < leastSpeed || x.Speed > mostSpeed {
		b.trouble(x.ID, TroubleShot, true, fmt.Sprintf("a speed of %g cannot be shown", float64(x.Speed)), "take one between 0.01 and 4")
		return false
	}
	spoken := b.say(x)
	own := math.Max(leastHold, float64(x.Lasts))
	switch x.Kind {
	case Live, Slow, Beside:
		when := x.main.poses.when
		// The last frame stands as long as a frame of the clip.
		own = (when[x.To-x.main.take.From] - when[x.From-x.main.take.From]) / float64(x.Speed)
		x.moves = int(math.Ceil(own*float64(b.form.Rate)-1e-6)) + 1
	case Build:
		x.parts = b.partsOf(x)
		if x.Lasts == 0 {
			own = math.Max(own, float64(len(x.parts))*partTime+builtTime)
		}
	case Plate:
		if x.Lasts == 0 {
			own = leastCard
		}
	}
	last := math.Max(own, spoken)
	if last > mostSeconds {
		b.trouble(x.ID, TroubleShot, true, fmt.Sprintf("it would last %.0f seconds", last), fmt.Sprintf("make it shorter than %d", mostSeconds))
		return false
	}
	x.count = max(1, x.moves, int(math.Ceil(last*float64(b.form.Rate)-1e-6)))
	return true
}

// say sets the lines of a shot one after the other and returns how long they take.
func (b *binder) say(x *bound) float64 {
	t := breath
	for _, id := range x.Lines {
		l, ok := b.lines[id]
		if !ok {
			b.trouble(x.ID, TroubleLine, false, fmt.Sprintf("the line %q is no longer in the script", id), "choose another line, or take it out")
			continue
		}
		text := l.String()
		d := float64(b.in.Script.TimeOf(script.Part{Lines: []script.Line{l}}).Mean)
		// A coach who speaks faster than can be read is read more slowly.
		d = math.Max(d, float64(len(screensOf(text)))*float64(handoff.ShortestScreen)+0.01)
		x.lines = append(x.lines, said{key: id, text: text, from: t, to: t + d})
		t += d + pause
	}
	if len(x.lines) == 0 {
		return 0
	}
	return t - pause + breath
}

// screensOf are the screens of a text, whatever time they have.
func screensOf(text string) []handoff.Screen {
	s, err := handoff.Screens([]handoff.Cue{{From: 0, To: mostSeconds, Text: text}})
	if err != nil {
		return nil
	}
	return s
}

// finish adds what follows from the rest.
func (b *binder) finish(x *bound) {
	cues := make([]handoff.Cue, len(x.lines))
	words := b.drawn(x.Title)
	for i, l := range x.lines {
		cues[i] = handoff.Cue{From: quantity.Seconds(l.from), To: quantity.Seconds(l.to), Text: b.drawn(l.text)}
		if b.form.Captions == "burnt" {
			words += " " + cues[i].Text
		}
	}
	if lacks := draw.Lacks(words, draw.Sans); len(lacks) > 0 {
		b.trouble(x.ID, TroubleGlyph, false, "the fonts of the pictures lack "+plate.SignsOf(lacks)+" of its words, and “…” stands for them", "write them otherwise; captions and chapters in a file have them all")
	}
	x.texts, _ = handoff.Screens(cues)
	if x.main == nil {
		return
	}
	r := x.main.r
	x.names = b.calling(r).Say
	x.end = endOf(r)
	x.needs[0] = needOf(x.main, x.From)
	if x.other != nil {
		x.needs[1] = needOf(x.other, x.Other.At)
	}
	if r.Touch.Invented {
		x.notes = append(x.notes, "Invented, shows no real person")
	}
}

// drawn is a text as the pictures have it: a name that their fonts lack is what its fencer
// is called instead. The file beside the clip keeps the name.
func (b *binder) drawn(text string) string {
	if call := b.calling(b.in.Reading); len(call.Lacking[0])+len(call.Lacking[1]) > 0 {
		return call.Rename(text)
	}
	return text
}

// endOf is the moment that ends the phrase, by its name; empty where none is set.
func endOf(r *study.Reading) string {
	m, _, ok := r.Ending()
	if !ok {
		return ""
	}
	return m.ID
}

// partsOf are what a build shows, in order.
func (b *binder) partsOf(x *bound) []string {
	t := x.main.poses.on(x.From)
	if t == nil {
		return nil
	}
	return plate.Parts(t, plate.OverlayOptions{Layers: x.layers(), Asked: x.targets()})
}

func joined(words []string) string {
	out := ""
	for i, w := range words {
		if i > 0 {
			out += ", "
		}
		out += w
	}
	return out
}

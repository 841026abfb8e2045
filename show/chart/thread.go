package chart

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"mesure/show/draw"
	"mesure/show/plate"
	"mesure/sport/mark"
	"mesure/study"
)

// Sizes of the thread, in millimetres.
const (
	threadLane   draw.MM = 4.4 // one kind of choice
	threadArcs   draw.MM = 8.5 // above the columns
	threadHead   draw.MM = 4.6 // the number of the touch
	threadMiddle draw.MM = 13  // lamps and score
	threadWhy    draw.MM = 3.8 // one reason
	threadStep   draw.MM = 7   // the least width of a column
	threadLabel  draw.MM = 29  // the words at the left
	threadGap    draw.MM = 4   // between two strips
	threadApart  draw.MM = 1.6 // before the touch asked about
)

// Touches that are drawn at most, so that a relay still is a picture.
const (
	threadMost      = 48
	threadMostPhone = 27
	threadSaid      = 6 // touches that are told below
)

// bearingKinds are the reasons in the order of their rows.
var bearingKinds = []string{study.BearsLesson, study.BearsSameAnswer, study.BearsSameChoice, study.BearsSameMeasure, study.BearsSameScore}

// thread is a picture of a thread in the making.
type thread struct {
	tacticsChart
	touches []study.ThreadTouch
	left    int // how many earlier ones are not drawn
	lanes   [2][]string
	why     []string
	// columns in a strip, and how wide one is.
	columns int
	step    draw.MM
}

// Thread draws the touches before the one asked about, oldest first, as two lines that
// go from choice to choice: the left fencer's lanes above, the right one's below, one
// for each kind of choice that came. A filled shape hit, an open one did not; between
// stand the lamps and the score before the touch. An arc leads from each touch that bears
// on the one asked about, the thicker the more reasons there are, and rows below say
// which. The touch asked about stands apart on brass. What a line of the sheet does not
// say leaves a gap in the line. It returns ErrNoThread where there is no touch and
// panics without tactics.
func Thread(x *study.Tactics, o Options) (*draw.Drawing, error) {
	c := &thread{tacticsChart: tacticsOf(x, o)}
	if len(x.Thread) == 0 {
		return nil, ErrNoThread
	}
	c.set()
	var parts []part
	for from := 0; from < c.slots(); from += c.columns {
		if from > 0 {
			parts = append(parts, space(threadGap))
		}
		parts = append(parts, c.strip(from, min(from+c.columns, c.slots())))
	}
	parts = append(parts, space(1.5), keysPart(c.o, c.keys()))
	if told := c.told(); len(told) > 0 && !c.o.Bare {
		parts = append(parts, headed("What bears on it"))
		parts = append(parts, told...)
	}
	if !c.o.Bare {
		parts = append(parts, c.known()...)
	}
	return leafOf(c.o, c.finding(), c.desc(), c.source(c.sources()...), parts), nil
}

// set chooses what is drawn and how wide.
func (c *thread) set() {
	most := threadMost
	if c.o.Layout == plate.Phone {
		most = threadMostPhone
	}
	room := c.o.inner() - threadLabel - threadApart
	if c.o.Low > 0 { // one strip
		most = max(1, int(float64(room/threadStep)))
		if !c.x.Fenced {
			most = max(1, most-1)
		}
	}
	c.touches = c.x.Thread
	if n := len(c.touches) - most; n > 0 {
		c.touches, c.left = c.touches[n:], n
	}
	for _, s := range mark.Sides {
		var kinds []string
		for _, t := range c.touches {
			kinds = append(kinds, t.Kinds[s])
		}
		c.lanes[s] = kindOrder(kinds)
	}
	for _, why := range bearingKinds {
		if slices.ContainsFunc(c.touches, func(t study.ThreadTouch) bool { return bearsFor(t, why) }) {
			c.why = append(c.why, why)
		}
	}
	c.columns = min(c.slots(), max(1, int(float64(room/threadStep))))
	// Strips of even length look better than a full one and a rest.
	strips := (c.slots() + c.columns - 1) / c.columns
	c.columns = (c.slots() + strips - 1) / strips
	c.step = min(12, room/draw.MM(c.columns))
}

// slots are the columns: the touches and, where it was not fenced, the one to come.
func (c *thread) slots() int {
	if c.x.Fenced {
		return len(c.touches)
	}
	return len(c.touches) + 1
}

// asked says whether a slot is the touch asked about.
func (c *thread) asked(i int) bool {
	if c.x.Fenced {
		return c.touches[i].Number == c.x.At
	}
	return i == len(c.touches)
}

func bearsFor(t study.ThreadTouch, why string) bool {
	return slices.ContainsFunc(t.Bears, func(b study.Bearing) bool { return b.Why == why })
}

// bearing are the touches that bear on the one asked about: lessons first, then by how
// many reasons there are, then the newest first.
func (c *thread) bearing() []study.ThreadTouch {
	var all []study.ThreadTouch
	for _, t := range c.x.Thread {
		if len(t.Bears) > 0 && t.Number != c.x.At {
			all = append(all, t)
		}
	}
	rank := func(t study.ThreadTouch) int {
		n := len(t.Bears)
		if bearsFor(t, study.BearsLesson) {
			n += 100
		}
		if bearsFor(t, study.BearsSameAnswer) {
			n += 10
		}
		return n
	}
	slices.SortStableFunc(all, func(a, b study.ThreadTouch) int {
		if d := rank(b) - rank(a); d != 0 {
			return d
		}
		return b.Number - a.Number
	})
	return all
}

func (c *thread) finding() string {
	at := fmt.Sprintf("touch %d", c.x.At)
	all := c.bearing()
	if len(all) == 0 {
		return fmt.Sprintf("No earlier touch that is written bears on %s", at)
	}
	var lessons, first []int
	whose := map[mark.Side]bool{}
	for i, t := range all {
		for _, b := range t.Bears {
			if b.Why == study.BearsLesson {
				whose[b.Who] = true
			}
		}
		if bearsFor(t, study.BearsLesson) {
			lessons = append(lessons, t.Number)
		}
		if i < 3 {
			first = append(first, t.Number)
		}
	}
	switch {
	case len(lessons) > 0:
		what := "what both chose"
		if len(whose) == 1 {
			what = c.name(c.whose(whose)) + "’s choice"
		}
		if len(lessons) == 1 {
			return fmt.Sprintf("Touch %d is the likeliest lesson behind %s at %s", lessons[0], what, at)
		}
		return fmt.Sprintf("Touches %s are the likeliest lessons behind %s at %s", listNumbers(lessons), what, at)
	case len(all) == 1:
		return fmt.Sprintf("One earlier touch bears on %s: touch %d", at, first[0])
	case len(all) == len(first):
		return fmt.Sprintf("The touches that bear on %s: %s", at, listNumbers(first))
	}
	return fmt.Sprintf("%d earlier touches bear on %s: most of all %s", len(all), at, listNumbers(first))
}

// whose is the one side of which something is said.
func (c *thread) whose(sides map[mark.Side]bool) mark.Side {
	if sides[mark.Left] {
		return mark.Left
	}
	return mark.Right
}

// listNumbers is a list of touches in a sentence, in their order.
func listNumbers(all []int) string {
	all = slices.Sorted(slices.Values(all))
	var words []string
	for _, n := range all {
		words = append(words, strconv.Itoa(n))
	}
	return listWords(words)
}

// listWords is a list in a sentence.
func listWords(all []string) string {
	if len(all) < 2 {
		return strings.Join(all, "")
	}
	return strings.Join(all[:len(all)-1], ", ") + " and " + all[len(all)-1]
}

func (c *thread) sources() []string {
	out := []string{"choices as the sheet or the stave has them"}
	if c.o.Low == 0 && !c.o.Bare && len(c.known()) > 0 {
		out = append(out, "shares from counts, in brackets the interval that holds 95"+nb+"%")
	}
	switch c.left {
	case 0:
	case 1:
		out = append(out, "the first touch is left out")
	default:
		out = append(out, fmt.Sprintf("the first %d touches are left out", c.left))
	}
	return out
}

func (c *thread) desc() string {
	var b strings.Builder
	fmt.Fprintf(&b, "The touches before touch %d of %s against %s, oldest first. ", c.x.At, c.name(mark.Left), c.name(mark.Right))
	for _, t := range c.touches {
		fmt.Fprintf(&b, "Touch %d at %s: %s, %s; %s", t.Number, scoreOf(t.Score), c.chose(t, mark.Left), c.chose(t, mark.Right), plate.OutcomeWords(t.Outcome))
		var why []string
		for _, w := range bearingKinds {
			if bearsFor(t, w) {
				why = append(why, plate.BearingWords(w))
			}
		}
		if len(why) > 0 {
			b.WriteString("; bears by " + listWords(why))
		}
		b.WriteString(". ")
	}
	if !c.x.Fenced {
		fmt.Fprintf(&b, "Touch %d at %s is still to be fenced.", c.x.At, scoreOf(c.x.Score))
	}
	return strings.TrimSpace(b.String())
}

// chose says what one side chose.
func (c *thread) chose(t study.ThreadTouch, s mark.Side) string {
	if t.Kinds[s] == "" {
		return s.String() + " not written"
	}
	return s.String() + " " + choiceWords(t.Kinds[s])
}

// told are the touches that bear most, each in one line, the weightiest first.
func (c *thread) told() []part {
	var parts []part
	all := c.bearing()
	for _, t := range all[:min(threadSaid, len(all))] {
		words := c.say(t.Said.String())
		if words == "" {
			words = plate.Sentences(c.chose(t, mark.Left) + ", " + c.chose(t, mark.Right))
		}
		parts = append(parts, c.tellOne(t, words, c.reasons(t)))
	}
	if n := len(all) - threadSaid; n > 0 {
		more := "One more bears on it."
		if n > 1 {
			more = fmt.Sprintf("%d more bear on it.", n)
		}
		parts = append(parts, said(c.o, more))
	}
	return parts
}

// reasons say why a touch bears on the one asked about.
func (c *thread) reasons(t study.ThreadTouch) string {
	var all []string
	for _, w := range bearingKinds {
		for _, b := range t.Bears {
			if b.Why != w {
				continue
			}
			words := c.say(strings.TrimSuffix(b.Text, "."))
			if words == "" {
				words = plate.BearingWords(w)
				if w == study.BearsSameChoice {
					words += " of " + c.name(b.Who)
				}
			}
			all = append(all, words)
		}
	}
	return plate.Sentences(all...)
}

// known says what each could have known before the touch asked about.
func (c *thread) known() []part {
	if !c.x.Fenced {
		return nil
	}
	var parts []part
	for _, t := range c.x.Thread {
		if t.Number != c.x.At {
			continue
		}
		for _, s := range mark.Sides {
			if k := t.Knew[s]; k != nil {
				parts = append(parts, said(c.o, c.knew(s, t, *k)))
			}
		}
	}
	if len(parts) == 0 {
		return nil
	}
	return append([]part{headed("What each could have known")}, parts...)
}

func (c *thread) knew(s mark.Side, t study.ThreadTouch, k study.Knew) string {
	other, choices := c.name(s.Other()), "choices"
	if k.Seen == 1 {
		choices = "choice"
	}
	if k.TooLittle {
		return fmt.Sprintf("%s had seen %d %s of %s: too little to expect anything.", c.name(s), k.Seen, choices, other)
	}
	words := fmt.Sprintf("%s had seen %d %s of %s, the %s the likeliest at %s.", c.name(s), k.Seen, choices, other, choiceWords(k.Likely), between(k.Share))
	switch came := t.Kinds[s.Other()]; {
	case k.Came:
		words += " It came."
	case came != "" && k.ShareOfCame.IsValid() && k.ShareOfCame.Mean > 0:
		words += fmt.Sprintf(" What came was the %s, at %s.", choiceWords(came), between(k.ShareOfCame))
	}
	return words
}

// tellOne is one touch in words with its sign before it, and its number where the words do
// not begin with it.
func (c *thread) tellOne(t study.ThreadTouch, words, why string) part {
	ty := c.o.Layout.Type()
	column, numbered := draw.MM(14), false
	if strings.HasPrefix(words, fmt.Sprintf("Touch %d", t.Number)) {
		column, numbered = 5, true
	}
	width := c.o.inner() - column
	n, m := len(draw.Wrap(words, draw.Serif, ty.Text, width)), len(draw.Wrap(why, draw.Sans, ty.Fine, width))
	return part{kind: draw.WordsStretch, height: draw.MM(n)*ty.Text*lineShare + draw.MM(m)*ty.Fine*lineShare + 2.2, draw: func(l *leaf, b draw.Box) {
		y := b.Y + ty.Text*0.86
		l.sign(draw.Pt{X: b.X + 1.6, Y: y - ty.Text*draw.CapShare/2}, 2.3, t.Outcome)
		if !numbered {
			l.Text(draw.Text{At: draw.Pt{X: b.X + column - 3, Y: y}, S: strconv.Itoa(t.Number), Font: draw.SansBold, Size: ty.Text, Colour: l.Theme.Ink, Anchor: draw.End})
		}
		last := l.Paragraph(draw.Text{At: draw.Pt{X: b.X + column, Y: y}, S: words, Font: draw.Serif, Size: ty.Text, Colour: l.Theme.Ink}, width, ty.Text*lineShare)
		l.Paragraph(draw.Text{At: draw.Pt{X: b.X + column, Y: last + ty.Fine*lineShare + 0.3}, S: why, Font: draw.Sans, Size: ty.Fine, Colour: l.Theme.Quiet}, width, ty.Fine*lineShare)
	}}
}

package stave

import (
	"slices"
	"strings"

	"mesure/show/draw"
	"mesure/show/plate"
	"mesure/sport/bout"
	"mesure/sport/mark"
)

// noted returns what is noted of an action.
func (f *figure) noted(id string) bout.PhraseNote {
	for _, n := range f.r.Touch.Notes {
		if n.ActionID == id {
			return n
		}
	}
	return bout.PhraseNote{}
}

// detail is what stands small behind the word: the line and the target.
func detail(n bout.PhraseNote) string {
	var all []string
	if n.Line != "" {
		all = append(all, plate.Typeset(n.Line))
	}
	if n.Target != "" {
		all = append(all, plate.Typeset(n.Target.Word()))
	}
	return strings.Join(all, ", ")
}

// inWords is a note in words, for those who cannot see the signs.
func inWords(n bout.PhraseNote) string {
	var all []string
	if d := detail(n); d != "" {
		all = append(all, d)
	}
	for _, p := range [...]struct {
		name  string
		terms []bout.Term
	}{{string(n.Nature), bout.Natures()}, {string(n.Intention), bout.Intentions()}, {string(n.Result), bout.Results()}} {
		if i := slices.IndexFunc(p.terms, func(t bout.Term) bool { return t.Name == p.name }); i >= 0 {
			all = append(all, p.terms[i].Word)
		}
	}
	return strings.Join(all, ", ")
}

// Sizes of the signs, in millimetres.
const (
	signSize  draw.MM = 1.15 // from the middle of a result's sign to its edge
	thinLine  draw.MM = 0.38
	doubleOff draw.MM = 0.95 // of the second head, in heads
)

// bar draws the stretch of an action by what it was meant to be: what is real is a full
// line, a feint is broken, a false action dotted, an invitation open. No sign is told
// from another by its colour.
func bar(d *draw.Group, nature bout.Nature, a, b draw.Pt, hue draw.Colour) {
	if b.X <= a.X {
		return
	}
	switch nature {
	case bout.Feigned:
		d.Stroke(draw.Segment(a, b), draw.Pen{Colour: hue, Width: 0.9, Dash: []draw.MM{2, 1}})
	case bout.False:
		d.Stroke(draw.Segment(a, b), draw.Pen{Colour: hue, Width: 0.9, Dash: []draw.MM{0.05, 1.35}, Cap: draw.RoundCap})
	case bout.Invitation:
		for _, off := range [2]draw.MM{-0.5, 0.5} {
			d.Stroke(draw.Segment(draw.Pt{X: a.X, Y: a.Y + off}, draw.Pt{X: b.X, Y: b.Y + off}), draw.Pen{Colour: hue, Width: 0.25})
		}
	default:
		d.Stroke(draw.Segment(a, b), draw.Pen{Colour: hue, Width: 0.9})
	}
}

// heads draws the head of an action: open where it was not meant to hit, and a second
// one beside it where it was of second intention.
func heads(d *draw.Group, who mark.Side, lean bout.Lean, n bout.PhraseNote, at draw.Pt, hue, ground draw.Colour) {
	open := n.Nature == bout.Feigned || n.Nature == bout.False || n.Nature == bout.Invitation
	one := func(c draw.Pt) {
		d.Fill(head(who, lean, c), ground)
		if open {
			d.Stroke(head(who, lean, c), draw.Pen{Colour: hue, Width: thinLine})
			return
		}
		d.Fill(head(who, lean, c), hue)
	}
	if n.Intention == bout.SecondIntention {
		second := at
		second.X += headSize*doubleOff + 0.35
		one(second)
	}
	one(at)
}

// ending draws how an action ended, at its end; a plain tick where that is not said.
func ending(d *draw.Group, result bout.Result, at draw.Pt, hue, ground draw.Colour) {
	const s = signSize
	pen := draw.Pen{Colour: hue, Width: 0.45}
	x, y := at.X, at.Y
	diamond := func() *draw.Path {
		return new(draw.Path).Move(x-s, y).Line(x, y-s).Line(x+s, y).Line(x, y+s).Close()
	}
	switch result {
	case bout.Arrived:
		d.Fill(diamond(), ground)
		d.Fill(diamond(), hue)
	case bout.OffTarget:
		d.Fill(diamond(), ground)
		d.Stroke(diamond(), draw.Pen{Colour: hue, Width: thinLine})
	case bout.Missed:
		d.Stroke(new(draw.Path).Move(x-0.2, y-s).Line(x+s, y).Line(x-0.2, y+s), pen)
	case bout.FellShort:
		d.Stroke(draw.Segment(draw.Pt{X: x, Y: y - 0.9}, draw.Pt{X: x, Y: y + 0.9}), pen)
		d.Stroke(draw.Segment(draw.Pt{X: x + 0.9, Y: y}, draw.Pt{X: x + 2.7, Y: y}), draw.Pen{Colour: hue, Width: 0.5, Dash: []draw.MM{0.05, 0.85}, Cap: draw.RoundCap})
	case bout.Parried:
		d.Stroke(new(draw.Path).Move(x-s, y-s).Line(x+s, y+s).Move(x-s, y+s).Line(x+s, y-s), pen)
	case bout.Avoided:
		ring := plate.Shape(mark.Right, at, 2*s*0.85)
		d.Fill(ring, ground)
		d.Stroke(ring, draw.Pen{Colour: hue, Width: thinLine})
	case bout.Drew:
		back := new(draw.Path).Move(x+s*0.8, y-s).Line(x-s, y).Line(x+s*0.8, y+s).Close()
		d.Fill(back, ground)
		d.Stroke(back, draw.Pen{Colour: hue, Width: thinLine})
	default:
		d.Stroke(draw.Segment(draw.Pt{X: x, Y: y - 0.9}, draw.Pt{X: x, Y: y + 0.9}), draw.Pen{Colour: hue, Width: 0.5})
	}
}

// sign is one entry of the legend.
type sign struct {
	word string
	note bout.PhraseNote
	row  int
	at   draw.MM // of its sample
}

const (
	sampleWidth draw.MM = 8.2
	signApart   draw.MM = 3.4
)

// signs lists the signs that stand on this stave, in the order of the trade's lists.
func (f *figure) signs() []sign {
	var all []sign
	add := func(word string, n bout.PhraseNote, has func(bout.PhraseNote) bool) {
		if slices.ContainsFunc(f.notes, func(x note) bool { return has(x.noted) }) {
			all = append(all, sign{word: word, note: n})
		}
	}
	for _, t := range bout.Natures() {
		n := bout.Nature(t.Name)
		if n != bout.Real { // the plain bar
			add(t.Word, bout.PhraseNote{Nature: n}, func(x bout.PhraseNote) bool { return x.Nature == n })
		}
	}
	for _, t := range bout.Intentions() {
		if i := bout.Intention(t.Name); i == bout.SecondIntention {
			add(t.Word, bout.PhraseNote{Intention: i}, func(x bout.PhraseNote) bool { return x.Intention == i })
		}
	}
	for _, t := range bout.Results() {
		r := bout.Result(t.Name)
		add(t.Word, bout.PhraseNote{Result: r}, func(x bout.PhraseNote) bool { return x.Result == r })
	}
	return all
}

// keyed settles where the signs of the legend stand between two edges, and returns how many
// rows they take.
func (f *figure) keyed(all []sign, left, right draw.MM) int {
	x, row := left, 0
	for i := range all {
		w := sampleWidth + 0.8 + f.signWord(all[i]).Width()
		if x > left && x+w > right {
			x, row = left, row+1
		}
		all[i].at, all[i].row = x, row
		x += w + signApart
	}
	if len(all) == 0 {
		return 0
	}
	return row + 1
}

func (f *figure) signWord(s sign) draw.Text {
	return draw.Text{S: s.word, Font: draw.Sans, Size: f.ty.Fine, Colour: f.th.Quiet}
}

func (f *figure) signRow() draw.MM { return max(f.ty.Fine*1.45, 2*signSize+0.9) }

// legendGap is the room between the axis and the legend.
const legendGap draw.MM = 1.6

// apart draws the legend of a bare stave on a sheet of its own; nil where there is none.
func (f *figure) apart() *draw.Drawing {
	if !f.o.Bare {
		return nil
	}
	all := f.signs()
	rows := f.keyed(all, 0, f.width)
	if rows == 0 {
		return nil
	}
	d := draw.New(f.width, draw.MM(rows)*f.signRow()+1, "What the signs mean", "")
	d.Ground = f.th.Ground
	f.legend(&d.Group, all, 0.5)
	return d
}

// legend draws the signs below y.
func (f *figure) legend(d *draw.Group, all []sign, y draw.MM) {
	for _, s := range all {
		mid := y + (draw.MM(s.row)+0.5)*f.signRow()
		from, to := draw.Pt{X: s.at + headSize/2 + 0.8, Y: mid}, draw.Pt{X: s.at + sampleWidth - signSize - 0.4, Y: mid}
		if s.note.Result == bout.FellShort {
			to.X -= 1.8 // of the dots behind it
		}
		bar(d, s.note.Nature, from, to, f.th.Quiet)
		if s.note.Result != "" {
			ending(d, s.note.Result, to, f.th.Quiet, f.th.Ground)
		} else {
			heads(d, mark.Left, bout.Forward, s.note, from, f.th.Quiet, f.th.Ground)
		}
		t := f.signWord(s)
		t.At = draw.Pt{X: s.at + sampleWidth + 0.8, Y: mid + f.ty.Fine*draw.CapShare/2}
		d.Text(t)
	}
}

package chart

import (
	"errors"
	"fmt"
	"strings"

	"mesure/quantity"
	"mesure/show/draw"
	"mesure/show/plate"
	"mesure/sport/bout"
	"mesure/sport/mark"
	"mesure/study"
)

// Pictures of tactics that cannot be drawn, and what is missing.
var (
	ErrNoThread  = errors.New("there is no touch in the thread: write at least one on the sheet")
	ErrNoHabit   = errors.New("no choice of this fencer is written: note on the sheet what they chose")
	ErrNoBalance = errors.New("there is no balance: what the choices are worth is not known, or at no share of the opponent's choices the answer tips")
	ErrNoPayoff  = errors.New("what the choices are worth cannot be said: the list of what is missing says why")
)

// tacticsChart is what the pictures of tactics share.
type tacticsChart struct {
	o    Options
	x    *study.Tactics
	call plate.Calling
}

// tacticsOf begins a picture; it panics without tactics.
func tacticsOf(x *study.Tactics, o Options) tacticsChart {
	if x == nil {
		panic("chart: a picture of tactics needs the tactics of a touch")
	}
	return tacticsChart{o.themed(), x, plate.Call(o.naming(), x.Names)}
}

// name is what a side is called.
func (c *tacticsChart) name(s mark.Side) string { return c.call.Say[s] }

// me and them are the two sides as the coach sees them.
func (c *tacticsChart) me() mark.Side   { return c.x.For }
func (c *tacticsChart) them() mark.Side { return c.x.For.Other() }

// say prints a sentence of the study with what the fencers are called.
func (c *tacticsChart) say(s string) string { return plate.Typeset(c.call.Rename(s)) }

// source is the source line of a picture of tactics.
func (c *tacticsChart) source(parts ...string) string {
	event := ""
	if b := c.x.Bout; b != nil && !c.o.anonymous() {
		event = plate.EventName(b.Event)
	}
	at := fmt.Sprintf("before touch %d, at %s", c.x.At, scoreOf(c.x.Score))
	return plate.Sentences(append([]string{event, at}, parts...)...)
}

// headed is the head of a section with a name in it, cut to the sheet.
func (c *tacticsChart) headed(what string) part {
	return headed(trimmed(what, draw.Text{Font: draw.SansBold, Size: c.o.Layout.Type().Label}, c.o.inner()))
}

// drawn says over how many draws, and what ± means.
func (c *tacticsChart) drawn() []string {
	return []string{fmt.Sprintf("%s draws, seed %d", plate.Count(c.x.Draws), c.x.Seed), plate.DoubtNote}
}

// choiceWords is the word for a kind of choice.
func choiceWords(kind string) string { return plate.ChoiceWords(kind) }

// wordOf is one of the words, else that of its kind.
func wordOf(words, kinds []string, i int) string {
	switch {
	case i >= 0 && i < len(words) && words[i] != "":
		return plate.Typeset(words[i])
	case i >= 0 && i < len(kinds):
		return choiceWords(kinds[i])
	}
	return "another choice"
}

// kindOrder lists kinds in the trade's order, own words after them in theirs.
func kindOrder(kinds []string) []string {
	var all []string
	has := map[string]bool{}
	for _, k := range kinds {
		has[k] = true
	}
	for _, k := range bout.ChoiceKinds() {
		if has[k.Name] {
			all, has[k.Name] = append(all, k.Name), false
		}
	}
	for _, k := range kinds {
		if has[k] && k != "" {
			all, has[k] = append(all, k), false
		}
	}
	return all
}

// between prints a chance with the interval that holds 95 %, in short: "41 % [33, 50]".
func between(q quantity.Of[quantity.Chance]) string {
	f := plate.FigureOf(q, plate.InPercent)
	if f.Low == "" || f.High == "" {
		return f.Text
	}
	return fmt.Sprintf("%s"+nb+"%% [%s,"+nb+"%s]", f.Value, f.Low, f.High)
}

// trimmed leaves off the end of a word that is wider than its room.
func trimmed(s string, t draw.Text, width draw.MM) string {
	t.S = s
	if t.Width() <= width {
		return s
	}
	letters := []rune(s)
	for n := len(letters) - 1; n > 0; n-- {
		if t.S = strings.TrimRight(string(letters[:n]), " -") + "…"; t.Width() <= width {
			return t.S
		}
	}
	return "…"
}

// sign draws how a touch ended: the shape of who hit, both halves for a double, a ring
// for nobody.
func (l *leaf) sign(at draw.Pt, size draw.MM, outcome string) {
	th := l.Theme
	switch outcome {
	case "left":
		l.Fill(plate.Shape(mark.Left, at, size), plate.Hue(th, mark.Left))
	case "right":
		l.Fill(plate.Shape(mark.Right, at, size), plate.Hue(th, mark.Right))
	case "double":
		const reach = 0.62
		l.Fill(draw.Box{X: at.X - size*reach, Y: at.Y - size/2, W: size * reach, H: size}.Path(), plate.Hue(th, mark.Left))
		right := l.Clip(draw.Box{X: at.X, Y: at.Y - size, W: size, H: 2 * size}.Path())
		right.Fill(plate.Shape(mark.Right, at, size*1.1), plate.Hue(th, mark.Right))
	default:
		l.Stroke(draw.Circle(at, size*0.42), draw.Pen{Colour: th.Quiet, Width: 0.3})
	}
}

// keysPart is a legend as a part.
func keysPart(o Options, keys []key) part {
	ty := o.Layout.Type()
	n := legendRows(keys, ty, o.inner())
	return part{kind: draw.KeyStretch, height: draw.MM(n)*legendRow + 1, draw: func(l *leaf, b draw.Box) { legendKeys(l.Sheet, keys, b) }}
}

package chart

import (
	"cmp"
	"slices"
	"strconv"

	"mesure/quantity"
	"mesure/show/draw"
	"mesure/show/plate"
)

// ends names the lines at the right edge of the plot, each at its height where that is
// free, else as near to it as its neighbours let it.
func (c *balanceChart) ends(l *leaf, b draw.Box) {
	ty := l.Type
	type label struct {
		k int
		y draw.MM
	}
	var all []label
	for _, k := range c.mine {
		line := c.b.Worth[k]
		all = append(all, label{k, c.y(b, line[len(line)-1].Mean)})
	}
	slices.SortStableFunc(all, func(p, q label) int { return cmp.Compare(p.y, q.y) })
	room := ty.Fine * 1.35
	for i := range all {
		all[i].y = max(all[i].y, b.Y+room/2)
		if i > 0 {
			all[i].y = max(all[i].y, all[i-1].y+room)
		}
	}
	for i, floor := len(all)-1, b.Bottom(); i >= 0; i-- {
		all[i].y = min(all[i].y, floor)
		floor = all[i].y - room
	}
	for _, a := range all {
		line := c.b.Worth[a.k]
		end := draw.Pt{X: b.Right(), Y: c.y(b, line[len(line)-1].Mean)}
		l.Stroke(draw.Segment(end, draw.Pt{X: b.Right() + 2.2, Y: a.y}), draw.Pen{Colour: c.colour(l, a.k).Fade(0.7), Width: 0.2})
		font := draw.Sans
		if c.b.Mine[a.k] == c.p.Reply.Choice {
			font = draw.SansBold
		}
		t := draw.Text{At: draw.Pt{X: b.Right() + 3, Y: a.y + ty.Fine*draw.CapShare/2}, S: c.line(a.k), Font: font, Size: ty.Fine, Colour: c.colour(l, a.k)}
		t.S = trimmed(t.S, t, balanceName-1)
		l.Text(t)
	}
}

// named lists the lines with their pattern, for a sheet too narrow for words at its edge.
func (c *balanceChart) named() part {
	var keys []key
	for _, k := range c.mine {
		word := c.line(k)
		if c.b.Mine[k] == c.p.Reply.Choice {
			word += " (best now)"
		}
		keys = append(keys, key{word, 11, func(sh *plate.Sheet, b draw.Box) {
			l := &leaf{Sheet: sh}
			sh.Stroke(draw.Segment(draw.Pt{X: b.X, Y: b.Y + b.H/2}, draw.Pt{X: b.Right(), Y: b.Y + b.H/2}), c.pen(l, k))
		}})
	}
	return keysPart(c.o, keys)
}

// tips are the crossings with their intervals, on the axis of the plot above: a row each,
// named at its end, on a narrow sheet above it.
func (c *balanceChart) tips() part {
	all := c.crossings()
	if len(all) == 0 {
		return space(0)
	}
	const head draw.MM = 5.2
	row := balanceStep
	if c.o.Layout == plate.Phone {
		row += 4
	}
	return part{kind: draw.KeyStretch, height: head + draw.MM(len(all))*row + 1, draw: func(l *leaf, at draw.Box) {
		b, ty := c.frame(at), l.Type
		l.Text(draw.Text{At: draw.Pt{X: b.X, Y: at.Y + head - 2}, S: "where the answer tips, with the interval that holds 95" + nb + "%", Font: draw.Sans, Size: ty.Fine, Colour: l.Theme.Quiet})
		for i, x := range all {
			y := at.Y + head + draw.MM(i+1)*row - balanceStep/2
			l.Stroke(draw.Segment(draw.Pt{X: b.X, Y: y}, draw.Pt{X: b.Right(), Y: y}), draw.Pen{Colour: l.Theme.Rule.Fade(0.4), Width: 0.12})
			q := x.Share
			for _, e := range [2][2]quantity.Chance{{q.Lo, q.Hi}, {max(q.Lo, q.Mean-q.SD), min(q.Hi, q.Mean+q.SD)}} {
				from, to := balanceX(b, e[0]), balanceX(b, e[1])
				l.Fill(draw.Box{X: from, Y: y - 0.65, W: max(to-from, 0.3), H: 1.3}.Path(), l.Theme.Ink.Fade(0.25))
			}
			diamond(&l.Group, l.Theme, draw.Pt{X: balanceX(b, q.Mean), Y: y}, 1.3)
			t := draw.Text{At: draw.Pt{X: b.Right() + 3, Y: y + ty.Fine*draw.CapShare/2}, S: "to the " + c.my(x.Above), Font: draw.Sans, Size: ty.Fine, Colour: l.Theme.Ink}
			width := balanceName - 1
			if c.o.Layout == plate.Phone {
				t.At, t.S, width = draw.Pt{X: b.X, Y: y - 1.9}, "from the "+c.my(x.Below)+" to the "+c.my(x.Above), b.W
			}
			t.S = trimmed(t.S, t, width)
			l.Text(t)
		}
	}}
}

// path is how the habit moved over the last touches, the newest at the top, on the axis
// of the plot above.
func (c *balanceChart) path() part {
	if len(c.b.Path) == 0 {
		return space(0)
	}
	const head draw.MM = 5.2
	return part{kind: draw.KeyStretch, height: head + draw.MM(len(c.b.Path))*balanceStep + 2.4, draw: func(l *leaf, all draw.Box) {
		b, ty, hue := c.frame(all), l.Type, plate.Hue(l.Theme, c.them())
		t := draw.Text{At: draw.Pt{X: b.X, Y: all.Y + head - 2}, S: "the habit of " + c.name(c.them()) + " after the last touches", Font: draw.Sans, Size: ty.Fine, Colour: l.Theme.Quiet}
		t.S = trimmed(t.S, t, b.W)
		l.Text(t)
		var way []draw.Pt
		for i := range c.b.Path {
			stand := c.b.Path[len(c.b.Path)-1-i]
			y := all.Y + head + (draw.MM(i)+0.5)*balanceStep
			l.Text(draw.Text{At: draw.Pt{X: b.X - 1.4, Y: y + ty.Fine*draw.CapShare/2}, S: standWord(stand.Number), Font: draw.Sans, Size: ty.Fine, Colour: l.Theme.Quiet, Anchor: draw.End})
			l.Stroke(draw.Segment(draw.Pt{X: b.X, Y: y}, draw.Pt{X: b.Right(), Y: y}), draw.Pen{Colour: l.Theme.Rule.Fade(0.4), Width: 0.12})
			if len(stand.Shares) == 0 {
				continue
			}
			q := stand.Shares[0]
			l.Fill(draw.Box{X: balanceX(b, q.Lo), Y: y - 0.7, W: balanceX(b, q.Hi) - balanceX(b, q.Lo), H: 1.4}.Path(), hue.Fade(0.2))
			way = append(way, draw.Pt{X: balanceX(b, q.Mean), Y: y})
		}
		if len(way) > 1 {
			l.Stroke(draw.Polyline(way...), draw.Pen{Colour: hue, Width: 0.3})
		}
		for i, p := range way {
			size := draw.MM(1.5)
			if i == 0 {
				size = 2.3
			}
			l.Fill(plate.Shape(c.them(), p, size), hue)
		}
	}}
}

// standWord is the number of the touch after which a habit stood so.
func standWord(number int) string {
	if number < 1 {
		return "before"
	}
	return strconv.Itoa(number)
}

func (c *balanceChart) keys() []key {
	all := []key{
		{"how often it comes, with its interval", 7, func(sh *plate.Sheet, b draw.Box) {
			hue := plate.Hue(sh.Theme, c.them())
			sh.Fill(b.Path(), hue.Fade(0.13))
			sh.Fill(draw.Box{X: b.X + b.W/4, Y: b.Y, W: b.W / 2, H: b.H}.Path(), hue.Fade(0.13))
			x := b.X + b.W/2
			sh.Stroke(draw.Segment(draw.Pt{X: x, Y: b.Y}, draw.Pt{X: x, Y: b.Bottom()}), draw.Pen{Colour: hue, Width: 0.3, Dash: []draw.MM{0.8, 0.8}})
		}},
	}
	if len(c.crossings()) > 0 {
		all = append(all, key{"worth the same: the answer tips", 7, func(sh *plate.Sheet, b draw.Box) {
			at := draw.Pt{X: b.X + b.W/2, Y: b.Y + b.H/2}
			sh.Fill(draw.Box{X: b.X, Y: at.Y - 0.65, W: b.W, H: 1.3}.Path(), sh.Theme.Ink.Fade(0.35))
			diamond(&sh.Group, sh.Theme, at, 1.3)
		}})
	}
	if c.p.TooLittle {
		all = append(all, key{"too little seen to say", 7, func(sh *plate.Sheet, b draw.Box) {
			sh.Hatch(b.Path(), draw.Hatch{Colour: sh.Theme.Rule.Fade(0.8), Width: 0.18, Gap: 1.6})
		}})
	}
	return all
}

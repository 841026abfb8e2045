package plate

import (
	"math"

	"mesure/show/draw"
	"mesure/sport/mark"
	"mesure/study"
)

func dist(a, b draw.Pt) draw.MM { return draw.MM(math.Hypot(float64(a.X-b.X), float64(a.Y-b.Y))) }

// rowHeight of one gap in the legend: two lines of words beside the number.
func rowHeight(l Layout) draw.MM {
	ty := l.Type()
	return ty.Text*leading + ty.Label*leading + 2.2
}

// legendHeight is the room below the picture: on the wide sheet the sides stand
// beside each other, on the phone below.
func legendHeight(l Layout, main []study.Gap) draw.MM {
	rows := [2]int{}
	for _, g := range main {
		rows[g.Of]++
	}
	n := rows[mark.Left] + rows[mark.Right]
	if l == Wide {
		n = max(rows[mark.Left], rows[mark.Right])
	}
	return draw.MM(n)*rowHeight(l) + 2.6
}

// legend says each prominent gap in words with its number.
func (s Shot) legend(sh *Sheet, main []study.Gap, box draw.Box, o Options) {
	const gutter = 9
	row := [2]int{}
	for _, g := range main {
		at := draw.Box{X: box.X, Y: box.Y + 2.6, W: box.W, H: rowHeight(sh.Layout)}
		if sh.Layout == Wide {
			at.W = (box.W - gutter) / 2
			at.X += draw.MM(g.Of) * (at.W + gutter)
			at.Y += draw.MM(row[g.Of]) * at.H
		} else {
			at.Y += draw.MM(row[mark.Left]+row[mark.Right]) * at.H
		}
		row[g.Of]++
		s.legendRow(sh, g, at, o)
	}
}

func (s Shot) legendRow(sh *Sheet, g study.Gap, at draw.Box, o Options) {
	th, ty := sh.Theme, sh.Type
	base := at.Y + ty.Text*leading
	second := base + ty.Label*leading
	const marker = 2.6
	sh.Fill(Shape(g.Of, draw.Pt{X: at.X + marker/2, Y: base - ty.Text*draw.CapShare/2}, marker), Hue(th, g.Of))
	x := at.X + marker + 1.8
	sh.Text(draw.Text{At: draw.Pt{X: x, Y: base}, S: Name(g.Of) + ", to the " + TargetWords(g.Target), Font: draw.Serif, Size: ty.Text, Colour: th.Ink})
	small := draw.Text{At: draw.Pt{X: x, Y: second}, S: BandWords(g.Band), Font: draw.Sans, Size: ty.Label, Colour: th.Quiet}
	if small.S != "" {
		small.S += ", " + Chance(g.Chance)
	}
	if n := s.call(o).Say[g.Of]; n != Name(g.Of) {
		named := small
		named.S = n + ", " + small.S
		if named.Width() <= at.Right()-x {
			small = named
		}
	}
	sh.Text(small)
	sh.Text(draw.Text{At: draw.Pt{X: at.Right(), Y: base + 0.6}, S: Metres(g.Gap), Font: draw.SansBold, Size: ty.Key, Colour: Hue(th, g.Of), Anchor: draw.End})
}

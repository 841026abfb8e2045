package chart

import (
	"math"
	"testing"

	"mesure/show/draw"
	"mesure/sport/mark"
	"mesure/timing"
)

var sides = [2]mark.Side{mark.Left, mark.Right}

// area of closed lines by Gauss's formula, holes counted negative; up is negative y.
func area(all []line) (a float64) {
	for _, l := range all {
		for i := 1; i < len(l); i++ {
			a += float64(l[i-1].X*l[i].Y-l[i].X*l[i-1].Y) / 2
		}
	}
	return a
}

// turns counts how often the lines go around a point (the winding number).
func turns(all []line, p draw.Pt) (n int) {
	for _, l := range all {
		for i := 1; i < len(l); i++ {
			a, b := l[i-1], l[i]
			side := (b.X-a.X)*(p.Y-a.Y) - (p.X-a.X)*(b.Y-a.Y)
			if a.Y <= p.Y && b.Y > p.Y && side > 0 {
				n++
			} else if a.Y > p.Y && b.Y <= p.Y && side < 0 {
				n--
			}
		}
	}
	return n
}

func gridField(nx, ny int, w, h draw.MM, of func(x, y float64) float64) field {
	f := field{x: make([]draw.MM, nx), y: make([]draw.MM, ny)}
	for i := range f.x {
		f.x[i] = w * draw.MM(i) / draw.MM(nx-1)
	}
	for j := range f.y {
		f.y[j] = h * draw.MM(j) / draw.MM(ny-1)
	}
	for _, x := range f.x {
		for _, y := range f.y {
			f.v = append(f.v, of(float64(x), float64(y)))
		}
	}
	return f
}

// Areas of figures that are known: a disc, a ring with its hole, a half plane up to the
// edge of the grid, all of it, nothing.
func TestOutlinesEncloseTheAreaOfTheFigure(t *testing.T) {
	r := func(x, y float64) float64 { return math.Hypot(x-50, y-40) }
	for name, c := range map[string]struct {
		of   func(x, y float64) float64
		want float64
		n    int
	}{
		"disc":    {func(x, y float64) float64 { return 30 - r(x, y) }, math.Pi * 900, 1},
		"ring":    {func(x, y float64) float64 { return math.Min(30-r(x, y), r(x, y)-12) }, math.Pi * (900 - 144), 2},
		"half":    {func(x, y float64) float64 { return 37 - x }, 37 * 80, 1},
		"all":     {func(x, y float64) float64 { return 1 }, 8000, 1},
		"nothing": {func(x, y float64) float64 { return -1 }, 0, 0},
		// Two opposite quarters, which meet within a cell: apart or joined.
		"apart":          {func(x, y float64) float64 { return (x-50.5)*(y-40.5) - .1 }, 4010, 2},
		"joined":         {func(x, y float64) float64 { return (x-50.5)*(y-40.5) + .1 }, 4010, 1},
		"others, apart":  {func(x, y float64) float64 { return -(x-50.5)*(y-40.5) - .1 }, 3990, 2},
		"others, joined": {func(x, y float64) float64 { return -(x-50.5)*(y-40.5) + .1 }, 3990, 1},
	} {
		all := gridField(101, 81, 100, 80, c.of).closed()
		if len(all) != c.n {
			t.Errorf("%s: %d lines, not %d", name, len(all), c.n)
		}
		if got := math.Abs(area(all)); math.Abs(got-c.want) > .005*c.want+1e-9 {
			t.Errorf("%s: area %.1f, not %.1f", name, got, c.want)
		}
		for _, l := range all {
			if l[0] != l[len(l)-1] {
				t.Errorf("%s: a line is open", name)
			}
		}
	}
}

// A contour that leaves the grid is open, and lies where the field is zero.
func TestLevelRunsWhereTheFieldIsZero(t *testing.T) {
	all := gridField(30, 30, 100, 100, func(x, y float64) float64 { return x + 2*y - 90 }).lines()
	if len(all) != 1 || all[0][0] == all[0][len(all[0])-1] {
		t.Fatalf("%d lines: %v", len(all), all)
	}
	for _, p := range all[0] {
		if v := float64(p.X + 2*p.Y - 90); math.Abs(v) > .03 {
			t.Errorf("%v is off by %v", p, v)
		}
	}
}

// What is left out of a line lies within the tolerance of what is kept.
func TestThinKeepsTheLine(t *testing.T) {
	var pts []draw.Pt
	for i := range 400 {
		x := float64(i) / 4
		pts = append(pts, draw.Pt{X: draw.MM(x), Y: draw.MM(8 * math.Sin(x/7))})
	}
	kept := thin(pts, nil)
	if len(kept) > 80 || kept[0] != pts[0] || kept[len(kept)-1] != pts[len(pts)-1] {
		t.Errorf("%d of %d points", len(kept), len(pts))
	}
	for _, p := range pts {
		near := draw.MM(math.Inf(1))
		for i := 1; i < len(kept); i++ {
			near = min(near, fromSegment(p, kept[i-1], kept[i]))
		}
		if near > thinnest+1e-9 {
			t.Errorf("%v is %v off", p, near)
		}
	}
}

// Every place of the map that is clearly of a zone lies in its outline and in no other:
// the outlines against the zones that the model named.
func TestZonesHoldTheirPlaces(t *testing.T) {
	r := distanceCases(t, true)["touch"]
	m := r.Timing.Map
	c := &distance{m: m, att: mark.Left, def: mark.Right, plot: draw.Box{X: 10, Y: 20, W: 150, H: 90}}
	c.refine()
	index := map[timing.Zone]int{}
	var all [5][]line
	for z, name := range timing.Zones() {
		index[name] = z
		all[z] = c.field(func(p *chances) float64 { return p.ahead(z) }).closed()
	}
	n := [5]int{}
	for i := range m.Grid.Gaps {
		for j := range m.Grid.Leads {
			cell := m.Cell(i, j)
			own := index[cell.Zone]
			if p := chancesOf(cell); p.ahead(own) < .04 || i == 0 || j == 0 || i == m.Grid.Gaps-1 || j == m.Grid.Leads-1 {
				continue
			}
			at := draw.Pt{X: c.x(m.Grid.Gap(i)), Y: c.y(m.Grid.Lead(j))}
			for z := range all {
				if in := turns(all[z], at) != 0; in != (z == own) {
					t.Errorf("gap %d lead %d is of zone %d, and in %d: %v", i, j, own, z, in)
				}
			}
			n[own]++
		}
	}
	for z, k := range n {
		if k == 0 && z != 1 {
			t.Errorf("no place of zone %d was checked: %v", z, n)
		}
	}
}

// The bounds of a stop's arms are its 95 %, to scale.
func TestArmsOfAStopAreToScale(t *testing.T) {
	r := distanceCases(t, false)["touch"]
	c := &distance{m: r.Timing.Map, att: mark.Left, def: mark.Right, plot: draw.Box{X: 0, Y: 0, W: 295, H: 70}}
	c.number()
	s := c.stops[4]
	s.at = draw.Pt{X: c.x(s.Gap.Mean), Y: c.y(s.Lead.Mean)}
	b := c.arms(s, false).Bounds()
	// The default map is 2.95 m by 700 ms: 100 mm a metre, 100 mm a second.
	if math.Abs(float64(b.W)-2*1.96*.04*100) > .01 || math.Abs(float64(b.H)-2*1.96*.02*100) > .01 {
		t.Errorf("arms of %.2f by %.2f mm", b.W, b.H)
	}
}

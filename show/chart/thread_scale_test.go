package chart

import (
	"image"
	"math"
	"slices"
	"strconv"
	"testing"

	"mesure/show/draw"
	"mesure/show/plate"
	"mesure/sport/mark"
)

// picture is a drawing in pixels, in which a test finds again what was drawn.
type picture struct {
	img   *image.RGBA
	scale float64 // millimetres a pixel
}

func pixelsOf(d *draw.Drawing, width int) picture {
	return picture{d.Raster(width), float64(d.W) / float64(width)}
}

func (p picture) is(x, y int, c draw.Colour) bool {
	q := p.img.RGBAAt(x, y)
	return abs(int(q.R)-int(c.R))+abs(int(q.G)-int(c.G))+abs(int(q.B)-int(c.B)) < 14
}

// middle is the middle of all pixels of a colour in a column between two heights.
func (p picture) middle(x, from, to draw.MM, c draw.Colour) (draw.MM, bool) {
	sum, n := 0.0, 0
	for y := int(float64(from) / p.scale); y <= int(float64(to)/p.scale); y++ {
		if p.is(int(float64(x)/p.scale), y, c) {
			sum, n = sum+float64(y)+0.5, n+1
		}
	}
	if n == 0 {
		return 0, false
	}
	return draw.MM(sum / float64(n) * p.scale), true
}

// share is how much of a box has a colour.
func (p picture) share(b draw.Box, c draw.Colour) float64 {
	hit, n := 0, 0
	for y := int(float64(b.Y) / p.scale); y < int(float64(b.Bottom())/p.scale); y++ {
		for x := int(float64(b.X) / p.scale); x < int(float64(b.Right())/p.scale); x++ {
			n++
			if p.is(x, y, c) {
				hit++
			}
		}
	}
	return float64(hit) / math.Max(1, float64(n))
}

// written is the nth line of text of this wording.
func written(t *testing.T, d *draw.Drawing, s string, nth int) draw.Text {
	t.Helper()
	for _, l := range d.Lines() {
		if l.S == s {
			if nth == 0 {
				return l
			}
			nth--
		}
	}
	t.Fatalf("%q is not written", s)
	return draw.Text{}
}

func near(a, b float64, tolerance float64) bool { return math.Abs(a-b) <= tolerance }

// middleOf is the height at which a word stands beside its line.
func middleOf(t draw.Text) draw.MM { return t.At.Y - t.Size*draw.CapShare/2 }

// TestThreadIsTheSheet: in the column of each number, at the height of the word of what
// was chosen, stands a shape, full where that fencer hit and open where not, in both the
// sheet of one strip and that of several. Words and shapes are found in the picture.
func TestThreadIsTheSheet(t *testing.T) {
	x := tacticsAt(t, 15, true)
	for _, l := range plate.Layouts {
		o := Options{Layout: l, Bare: true}.themed()
		d, err := Thread(x, o)
		if err != nil {
			t.Fatal(err)
		}
		p := pixelsOf(d, 1600)
		n := 0
		for _, touch := range x.Thread {
			number := draw.Text{}
			for _, line := range d.Lines() {
				// A score is in the hue of a fencer, a number is not.
				if line.S == strconv.Itoa(touch.Number) && line.Colour != plate.Hue(o.Theme, mark.Left) && line.Colour != plate.Hue(o.Theme, mark.Right) {
					number = line
				}
			}
			for _, s := range mark.Sides {
				y := draw.MM(math.Inf(1))
				name := draw.Text{}
				for _, line := range d.Lines() {
					if line.S == x.NameOf(s) && line.At.Y > number.At.Y && (name.S == "" || line.At.Y < name.At.Y) {
						name = line
					}
				}
				for _, line := range d.Lines() {
					above := line.At.Y < name.At.Y
					if line.S == choiceWords(touch.Kinds[s]) && line.At.Y > number.At.Y && above == (s == mark.Left) {
						y = min(y, middleOf(line))
					}
				}
				inside := p.share(draw.Box{X: number.At.X - 0.5, Y: y - 0.5, W: 1, H: 1}, plate.Hue(o.Theme, s))
				edge := p.share(draw.Box{X: number.At.X - 1.6, Y: y - 1.6, W: 3.2, H: 3.2}, plate.Hue(o.Theme, s))
				hit := touch.Outcome == s.String() || touch.Outcome == "double"
				if hit && inside < 0.95 || !hit && (inside > 0.6 || edge < 0.1) {
					t.Errorf("%v: touch %d, %v: hit is %v, the shape is full by %.2f and there by %.2f", l, touch.Number, s, hit, inside, edge)
				}
				n++
			}
		}
		if n != 2*len(x.Thread) {
			t.Errorf("%d shapes were checked", n)
		}
	}
}

// TestHabitStandsToScale: below the number of each touch the line stands at the share, by
// the axis that is written beside it.
func TestHabitStandsToScale(t *testing.T) {
	x := tacticsAt(t, 15, true)
	h := x.Habits[mark.Right]
	h.Change = nil // its dashes would cover the line
	d, err := Habit(x, mark.Right, Options{Bare: true})
	if err != nil {
		t.Fatal(err)
	}
	p := pixelsOf(d, 1800)
	hue := plate.Hue(draw.Paper(), mark.Right)
	n := 0
	for k := range 4 {
		top, foot := middleOf(written(t, d, "100"+nb+"%", k)), middleOf(written(t, d, "0", k))
		for _, stand := range h.Course[1 : len(h.Course)-2] {
			y, ok := p.middle(written(t, d, strconv.Itoa(stand.Number), 0).At.X, top-0.5, foot+0.2, hue)
			if !ok {
				t.Fatalf("panel %d, touch %d: no line", k, stand.Number)
			}
			if got := float64((foot - y) / (foot - top)); !near(got, float64(stand.Shares[k].Mean), 0.015) {
				t.Errorf("panel %d, touch %d: the line stands at %.3f, the share is %.3f", k, stand.Number, got, stand.Shares[k].Mean)
			}
			n++
		}
	}
	if n == 0 {
		t.Error("nothing was checked")
	}
}

// TestBalanceStandsToScale: above the numbers of the axis the line of the best reply
// stands at its worth by the axis beside it.
func TestBalanceStandsToScale(t *testing.T) {
	x := tacticsAt(t, 15, true)
	b := &x.Payoff.Balances[0]
	x.Payoff.Balance = nil // diamonds would cover the lines
	k := slices.Index(b.Mine, x.Payoff.Reply.Choice)
	if k < 0 {
		t.Fatal("the best reply is not drawn")
	}
	for _, l := range plate.Layouts {
		d, err := Balance(x, 0, Options{Layout: l, Bare: true})
		if err != nil {
			t.Fatal(err)
		}
		p := pixelsOf(d, 1800)
		low, high := written(t, d, "75", 0), written(t, d, "85", 0)
		scale := 0.10 / float64(middleOf(low)-middleOf(high))
		for _, at := range []int{20, 40, 60, 80} {
			label := written(t, d, strconv.Itoa(at), 0)
			if at == 80 { // also a number of the upward axis
				label = written(t, d, "80", 1)
			}
			y, ok := p.middle(label.At.X, middleOf(high)-10, label.At.Y-5, plate.Hue(draw.Paper(), mark.Left))
			if !ok {
				t.Fatalf("%v: no line at %d", l, at)
			}
			got := 0.75 + float64(middleOf(low)-y)*scale
			want := b.Worth[k][at/5].Mean
			if !near(got, float64(want), 0.002) {
				t.Errorf("%v: at %d %% the line stands at %.4f, the worth is %.4f", l, at, got, want)
			}
		}
	}
}

// TestPayoffBarsAreTheChances: the part of a bar in the fencer's full colour is the chance
// that they hit alone, found again below the number of the cell.
func TestPayoffBarsAreTheChances(t *testing.T) {
	x := tacticsAt(t, 15, true)
	d, err := Payoff(x, Options{Bare: true})
	if err != nil {
		t.Fatal(err)
	}
	p := pixelsOf(d, 1800)
	th := draw.Paper()
	n := 0
	for i, mine := range x.Payoff.Mine {
		row := written(t, d, choiceWords(mine), btoi(slices.Contains(x.Payoff.Theirs, mine)))
		for j, theirs := range x.Payoff.Theirs {
			head := written(t, d, choiceWords(theirs), 0)
			// As far from its left edge as it is full; a double is hatched in the same hue.
			y := row.At.Y + 2.9
			full := 0.5 // within the outline; less than that is nothing
			for full < 19.6 && p.share(draw.Box{X: head.At.X - 9.8 + draw.MM(full), Y: y - 0.7, W: 0.2, H: 1.4}, plate.Hue(th, mark.Left)) > 0.9 {
				full += 0.1
			}
			if got, want := full/19.6, float64(x.Payoff.Ends[i][j].Me.Mean); !near(got, want, 0.03) {
				t.Errorf("%s against %s: the bar shows %.3f, the chance is %.3f", mine, theirs, got, want)
			}
			n++
		}
	}
	if n != len(x.Payoff.Mine)*len(x.Payoff.Theirs) {
		t.Errorf("%d bars were checked", n)
	}
}

package plate

import (
	"image"
	"image/color"
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"mesure/quantity"
	"mesure/sport/mark"
	"mesure/study"
)

// moved is the fixture as a movement of three instants by hand, on a picture that was not
// told apart: whole numbers, so that golden files are the same on every machine.
func moved() *Sequence {
	r := invented()
	q := &Sequence{r: r, take: "live", frames: []mark.Frame{42, 46, 51}, photo: pattern(), w: frameW, h: frameH}
	for i := range 3 {
		in := r.Instants[0]
		in.Frame, in.Moment = q.frames[i], []string{"launch", "", "hit"}[i]
		in.At = quantity.Normal(quantity.Seconds(1.66+0.16*float64(i)), 0.01)
		for _, s := range mark.Sides {
			in.Bodies[s].Points = append([]study.PointPlace{}, in.Bodies[s].Points...)
			for j := range in.Bodies[s].Points {
				p := &in.Bodies[s].Points[j]
				p.At = mark.Pixel{U: math.Round(p.At.U) + float64(i)*[2]float64{90, -6}[s], V: math.Round(p.At.V)}
			}
		}
		q.at = append(q.at, study.Tableau{Instant: in, Grid: r.Placings[0].Grid})
		q.turn = append(q.turn, plane{1, 0, 0, 0, 1, 0, 0, 0, 1})
	}
	return q
}

// A plane times its inverse moves nothing, for turns as cameras make them.
func TestPlaneInverse(t *testing.T) {
	rng := rand.New(rand.NewPCG(1, 2))
	for range 50 {
		m := plane{1 + 0.1*rng.NormFloat64(), 0.1 * rng.NormFloat64(), 200 * rng.NormFloat64(), 0.1 * rng.NormFloat64(), 1 + 0.1*rng.NormFloat64(), 90 * rng.NormFloat64(), 1e-5 * rng.NormFloat64(), 1e-5 * rng.NormFloat64(), 1}
		back, ok := m.inverse()
		if !ok {
			t.Fatal("a turn without inverse")
		}
		p := mark.Pixel{U: 700 * rng.Float64(), V: 400 * rng.Float64()}
		for name, q := range map[string]mark.Pixel{"there and back": back.of(m.of(p)), "in one": m.times(back).of(p)} {
			if math.Hypot(q.U-p.U, q.V-p.V) > 1e-6 {
				t.Errorf("%s: %v becomes %v", name, p, q)
			}
		}
	}
	if _, ok := (plane{}).inverse(); ok {
		t.Error("a plane that flattens all has an inverse")
	}
}

// filmed makes the pictures of a movement: a grey hall with stripes, a white fencer who
// stands at these places, and a clock in the corner that changes with every picture. Each
// picture is moved by so much against the last: the camera turned.
func filmed(at []int, pan []int) (*Sequence, []image.Image) {
	const w, h, tall = 320, 180, 80
	q := &Sequence{w: w, h: h}
	var pics []image.Image
	for i, x := range at {
		m := image.NewRGBA(image.Rect(0, 0, w, h))
		for y := range h {
			for u := range w {
				g := uint8(70 + 40*((u-pan[i]+640)/16%2))
				m.SetRGBA(u, y, color.RGBA{g, g, g, 255})
			}
		}
		for y := 60; y < 60+tall; y++ {
			for u := x + pan[i] - 9; u <= x+pan[i]+9; u++ {
				m.SetRGBA(u, y, color.RGBA{250, 250, 250, 255})
			}
		}
		for y := 4; y < 16; y++ {
			for u := 290; u < 312; u++ {
				m.SetRGBA(u, y, color.RGBA{uint8(90 * (i % 3)), 0, 200, 255})
			}
		}
		pics = append(pics, m)
		body := study.Body{}
		px := func(u, v float64) mark.Pixel { return mark.Pixel{U: float64(x+pan[i]) + u, V: v} }
		body.Points = append(body.Points, []study.PointPlace{{What: mark.Shoulder, At: px(0, 65)}, {What: mark.Mask, At: px(0, 62)}, {What: mark.Hip, At: px(0, 100)}, {What: mark.RearHeel, At: px(-4, 138)}, {What: mark.FrontKnee, At: px(4, 120)}, {What: mark.FrontHeel, At: px(4, 138)}}...)
		t := study.Tableau{}
		t.Bodies[mark.Left] = body
		q.at = append(q.at, t)
		q.turn = append(q.turn, plane{1, 0, float64(pan[len(pan)-1] - pan[i]), 0, 1, 0, 0, 0, 1})
	}
	return q, pics
}

// A fencer who moved is seen at each place, the paler the earlier, also where the camera
// turned; the ground stays as the last picture has it, a clock that runs too.
func TestGhostsAreLaidIn(t *testing.T) {
	for name, pan := range map[string][]int{"steady": {0, 0, 0, 0}, "panned": {-24, -16, -8, 0}} {
		q, pics := filmed([]int{60, 110, 160, 230}, pan)
		m, apart := q.laid(pics)
		if !apart {
			t.Fatalf("%s: the fencer was not told from the ground", name)
		}
		last := pics[3].(*image.RGBA)
		at := func(x, y int) int { return int(m.(*image.RGBA).RGBAAt(x, y).G) }
		was := 0
		for i, x := range []int{60, 110, 160, 230} {
			light := 0
			for u := x - 4; u <= x+4; u++ { // over stripes of both kinds
				light += at(u, 100)
			}
			light /= 9
			if light <= 135 || light <= was {
				t.Errorf("%s: place %d is %d bright after %d", name, i, light, was)
			}
			was = light
		}
		if at(230, 100) != 250 {
			t.Errorf("%s: the last picture is not on top: %d", name, at(230, 100))
		}
		for _, p := range []image.Point{{20, 100}, {135, 30}, {290, 150}, {300, 10}, {190, 170}} {
			if m.(*image.RGBA).RGBAAt(p.X, p.Y) != last.RGBAAt(p.X, p.Y) {
				t.Errorf("%s: the ground at %v is %v, the last picture has %v", name, p, m.(*image.RGBA).RGBAAt(p.X, p.Y), last.RGBAAt(p.X, p.Y))
			}
		}
	}
}

// Where the camera turned otherwise than is known, or the pictures are too few, the last
// picture stays as it is, and the words say so.
func TestGhostsThatCannotBeToldApart(t *testing.T) {
	q, pics := filmed([]int{60, 110, 160, 230}, []int{-24, -16, -8, 0})
	for i := range q.turn {
		q.turn[i] = plane{1, 0, 0, 0, 1, 0, 0, 0, 1} // a camera that is said to stand
	}
	if m, apart := q.laid(pics); apart || m != pics[3] {
		t.Error("ghosts of a ground that moves")
	}
	q, pics = filmed([]int{60, 230}, []int{0, 0})
	if _, apart := q.laid(pics); apart {
		t.Error("two pictures tell the ground")
	}
	if s := moved().method(); !strings.Contains(s, "could not be told from the ground") || !strings.Contains(s, "was not followed") {
		t.Errorf("method: %q", s)
	}
}

// Odd pictures break nothing.
func TestOddPicturesOfAMovement(t *testing.T) {
	for _, size := range [][2]int{{1, 1}, {3, 400}, {31, 33}, {64, 36}} {
		q, _ := filmed([]int{60, 110, 160, 230}, []int{0, 0, 0, 0})
		var pics []image.Image
		for range 4 {
			pics = append(pics, image.NewRGBA(image.Rect(5, 5, 5+size[0], 5+size[1])))
		}
		q.laid(pics)
		pics[1] = image.NewRGBA(image.Rect(0, 0, 9, 9))
		q.laid(pics)
		q.at[0].Bodies[0].Points[0].At.U = math.NaN()
		q.turn[1][0] = math.NaN()
		q.laid(pics)
	}
}

// The real reading: left came half a metre, the right stood.
func TestMovementOfAReading(t *testing.T) {
	r := marked(t)
	fs := GhostFrames(r, "live")
	if len(fs) != 2 || fs[0] != 42 || fs[1] != 51 {
		t.Fatalf("frames %v", fs)
	}
	q, err := NewSequence(r, "live", fs, []image.Image{pattern(), pattern()})
	if err != nil {
		t.Fatal(err)
	}
	d := Ghosts(q, Options{})
	if !strings.HasPrefix(d.Title, "From 1 to 2 left’s front foot comes ") {
		t.Errorf("title %q", d.Title)
	}
	if way, ok := r.Moved("live", mark.Left, mark.FrontToe, 42, 51); !ok || !way.Covers(0.5) || !strings.Contains(d.Title, Metres(way)) {
		t.Errorf("the foot came half a metre, the title says %q", d.Title)
	}
	before, drawn := moved(), moved()
	Ghosts(drawn, Options{})
	for i := range before.frames {
		if before.frames[i] != drawn.frames[i] || before.at[i].Bodies[0].Points[3].At != drawn.at[i].Bodies[0].Points[3].At {
			t.Error("drawing changed the movement")
		}
	}
}

package track

import (
	"context"
	"errors"
	"image"
	"image/color"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"mesure/sport/mark"
)

// hall is an invented take: a wide picture (NASA's astronaut, tiled) seen by a camera
// that pans and zooms, with what real pictures do.
type hall struct {
	n      int
	at     func(i int) (u, v, zoom float64) // middle of the view in the wide picture
	after  func(i int, g *image.Gray)
	broken map[int]bool
}

const hallW, hallH = 320, 200

func (h hall) truth(i, j int, p mark.Pixel) mark.Pixel {
	u, v, z := h.at(i)
	a, b, y := h.at(j)
	x, w := u+(p.U-hallW/2)/z, v+(p.V-hallH/2)/z
	return mark.Pixel{U: (x-a)*y + hallW/2, V: (w-b)*y + hallH/2}
}

func (h hall) Gray(f mark.Frame) (*image.Gray, error) {
	i := int(f)
	if h.broken[i] {
		return nil, errors.New("damaged")
	}
	u, v, z := h.at(i)
	g := image.NewGray(image.Rect(0, 0, hallW, hallH))
	for y := range hallH {
		for x := range hallW {
			g.Pix[y*hallW+x] = uint8(wide(u+(float64(x)-hallW/2)/z, v+(float64(y)-hallH/2)/z))
		}
	}
	if h.after != nil {
		h.after(i, g)
	}
	return g, nil
}

// wide is a smooth picture without end that looks different everywhere.
func wide(x, y float64) float64 {
	s := 128.0
	for k, w := range [][4]float64{{.31, .17, 0, 25}, {.13, -.29, 1, 25}, {-.05, .23, 2, 25}, {.41, .37, 3, 12}, {.019, .027, 4, 20}, {.083, -.061, 5, 20}, {.93, .61, 6, 14}} {
		s += w[3] * math.Sin(w[0]*x+w[1]*y+w[2]+0.8*math.Sin(.011*float64(k+1)*(x+2*y)))
	}
	return math.Max(0, math.Min(255, s))
}

func panAcross(i int) (u, v, zoom float64) {
	s := float64(i)
	return 3 * s, 10 * math.Sin(s/9), 1 + 0.1*math.Sin(s/15)
}

func follow(t *testing.T, h hall, o BackgroundOptions) *Background {
	t.Helper()
	b, err := FollowBackground(context.Background(), h, 0, mark.Frame(h.n-1), o)
	if err != nil {
		t.Fatal(err)
	}
	return b
}

// off is the greatest error of a chain of links at frame i, in pixels, over a grid.
func (h hall) off(t *testing.T, b *Background, l BackgroundLink) float64 {
	t.Helper()
	worst := 0.0
	for _, m := range l.Matches {
		want := h.truth(int(l.From), int(l.To), m.From)
		worst = math.Max(worst, math.Hypot(m.To.U-want.U, m.To.V-want.V))
	}
	return worst
}

// The truth is known in closed form: a pan with zoom, noise, a rolling exposure, a
// passer-by and a score box.
func TestBackground(t *testing.T) {
	alone(t)
	noise := rand.New(rand.NewPCG(1, 2))
	box := image.Rect(20, 160, 120, 190)
	h := hall{n: 60, at: panAcross, after: func(i int, g *image.Gray) {
		gain := 1 + 0.15*math.Sin(float64(i)/7)
		for k, v := range g.Pix {
			g.Pix[k] = uint8(math.Max(0, math.Min(255, gain*float64(v)+2*noise.NormFloat64())))
		}
		for y := range 90 { // who passes by
			for x := range 34 {
				if X := x + 260 - 4*i; X >= 0 && X < hallW {
					g.Pix[(y+60)*hallW+X] = uint8(120 + 60*math.Sin(float64(x)/2)*math.Cos(float64(y)/3))
				}
			}
		}
		for y := box.Min.Y; y < box.Max.Y; y++ { // a score box with a clock
			for x := box.Min.X; x < box.Max.X; x++ {
				g.Pix[y*hallW+x] = uint8(40 + 160*((x/5+y/6)%2))
			}
		}
		g.SetGray(110, 170+i%8, color.Gray{255})
	}}
	b := follow(t, h, BackgroundOptions{})
	if len(b.Lost) > 0 || len(b.Cuts) > 0 || b.Still {
		t.Fatalf("lost %v, cuts %v, still %v", b.Lost, b.Cuts, b.Still)
	}
	if len(b.Links) != h.n-1 {
		t.Fatalf("%d links to %d frames", len(b.Links), h.n)
	}
	var offs []float64
	for _, l := range b.Links {
		offs = append(offs, h.off(t, b, l))
		if l.SD <= 0 || len(l.Matches) < LeastMatches {
			t.Errorf("link %d to %d: %d matches ± %v", l.From, l.To, len(l.Matches), l.SD)
		}
	}
	slices.Sort(offs)
	t.Logf("worst match of a link: median %.3f, p95 %.3f, most %.3f px", offs[len(offs)/2], offs[len(offs)*95/100], offs[len(offs)-1])
	if offs[len(offs)/2] > 0.25 || offs[len(offs)*95/100] > 1.2 {
		t.Errorf("links are off by %.3f px (median), %.3f (p95)", offs[len(offs)/2], offs[len(offs)*95/100])
	}
	if len(b.Graphics) == 0 {
		t.Fatal("the score box was not found")
	}
	for _, r := range b.Graphics {
		if !r.Overlaps(box) {
			t.Errorf("a graphic at %v, the box is at %v", r, box)
		}
	}
}

// A cut ends the take; a flash does not.
func TestBackgroundCut(t *testing.T) {
	alone(t)
	h := hall{n: 40, at: func(i int) (float64, float64, float64) {
		if i >= 25 {
			return 5000 + 2*float64(i), 900, 1.6
		}
		return 2 * float64(i), 0, 1
	}, after: func(i int, g *image.Gray) {
		if i == 10 || i == 11 || i == 17 { // photographers
			for k := range g.Pix {
				g.Pix[k] = 250
			}
		}
	}}
	b := follow(t, h, BackgroundOptions{})
	if !slices.Equal(b.Cuts, []mark.Frame{25}) {
		t.Errorf("cuts %v, want one at 25", b.Cuts)
	}
	want := []Run{{10, 11, WhyUnlike}, {17, 17, WhyUnlike}}
	if !slices.Equal(b.Lost, want) {
		t.Errorf("lost %v, want %v", b.Lost, want)
	}
	for _, l := range b.Links {
		if l.To >= 25 {
			t.Errorf("a link to frame %d, after the cut", l.To)
		}
		if off := h.off(t, b, l); off > 0.6 {
			t.Errorf("link %d to %d is off by %.2f px", l.From, l.To, off)
		}
	}
}

// Nothing is invented: flat and black pictures give no link, a still picture no
// movement, a damaged frame is passed over.
func TestBackgroundNothing(t *testing.T) {
	alone(t)
	for _, level := range []uint8{0, 130} {
		h := hall{n: 20, at: panAcross, after: func(_ int, g *image.Gray) {
			for k := range g.Pix {
				g.Pix[k] = level
			}
		}}
		b := follow(t, h, BackgroundOptions{})
		if len(b.Links) > 0 || len(b.Cuts) > 0 || len(b.Lost) != 1 || b.Lost[0] != (Run{0, 19, WhyFlat}) {
			t.Errorf("level %d: %d links, cuts %v, lost %v", level, len(b.Links), b.Cuts, b.Lost)
		}
	}
	still := hall{n: 20, at: func(int) (float64, float64, float64) { return 7, 5, 1 }, broken: map[int]bool{6: true}}
	b := follow(t, still, BackgroundOptions{})
	if !b.Still || len(b.Links) != 18 || !slices.Equal(b.Lost, []Run{{6, 6, WhyDamaged}}) {
		t.Errorf("still %v, %d links, lost %v", b.Still, len(b.Links), b.Lost)
	}
	for _, l := range b.Links {
		for _, m := range l.Matches {
			if math.Hypot(m.To.U-m.From.U, m.To.V-m.From.V) > 1e-3 {
				t.Fatalf("link %d to %d moves %v to %v", l.From, l.To, m.From, m.To)
			}
		}
	}
}

// A film that gives no frame at all is an error, and says which.
func TestBackgroundUnreadable(t *testing.T) {
	h := hall{n: 6, at: panAcross, broken: map[int]bool{0: true, 1: true, 2: true, 3: true, 4: true, 5: true}}
	if _, err := FollowBackground(context.Background(), h, 0, 5, BackgroundOptions{}); err == nil || err.Error() != "damaged" {
		t.Errorf("an unreadable film gives %v", err)
	}
}

// Equal pictures give equal links, also where the work is cut short and done again.
func TestBackgroundAgain(t *testing.T) {
	h := hall{n: 15, at: panAcross}
	a, b := follow(t, h, BackgroundOptions{}), follow(t, h, BackgroundOptions{})
	for i := range a.Links {
		if !slices.Equal(a.Links[i].Matches, b.Links[i].Matches) {
			t.Fatalf("link %d differs", i)
		}
	}
	ctx, cancel := context.WithCancel(context.Background())
	_, err := FollowBackground(ctx, h, 0, 14, BackgroundOptions{Progress: func(share float64) {
		if share > 0.3 {
			cancel()
		}
	}})
	if !errors.Is(err, context.Canceled) {
		t.Errorf("a cancelled run gives %v", err)
	}
}

// Where fencers stand no corner is taken.
func TestBackgroundNear(t *testing.T) {
	alone(t)
	near := image.Rect(100, 40, 220, 160)
	h := hall{n: 6, at: panAcross}
	b := follow(t, h, BackgroundOptions{Near: func(mark.Frame) []image.Rectangle { return []image.Rectangle{near} }})
	for _, l := range b.Links {
		for _, m := range l.Matches {
			if image.Pt(int(m.From.U), int(m.From.V)).In(near) {
				t.Fatalf("link from %v", m.From)
			}
		}
	}
}

// The chain of links says where the background of one frame is on any other, both
// ways; the truth is known in closed form.
func TestGroundOf(t *testing.T) {
	alone(t)
	h := hall{n: 40, at: panAcross}
	ground := GroundOf(follow(t, h, BackgroundOptions{}).Links)
	for _, pair := range [][2]int{{0, 39}, {39, 0}, {7, 21}, {30, 12}, {5, 5}} {
		p := mark.Pixel{U: 170, V: 90}
		got, ok := ground(mark.Frame(pair[0]), mark.Frame(pair[1]), p)
		want := h.truth(pair[0], pair[1], p)
		if off := math.Hypot(got.U-want.U, got.V-want.V); !ok || off > 0.5 {
			t.Errorf("frame %d to %d: %v, want %v (off by %.2f px)", pair[0], pair[1], got, want, off)
		}
	}
	if _, ok := ground(3, 99, mark.Pixel{}); ok {
		t.Error("a frame without a link has a ground")
	}
}

// A score box is known before anything is followed, so that it does not pass for the
// background even where it has most of the corners: here the strongest by far, over a
// smooth hall.
func TestGraphicsBeforehand(t *testing.T) {
	alone(t)
	box := image.Rect(60, 150, 260, 190)
	h := hall{n: 30, at: panAcross, after: func(i int, g *image.Gray) {
		for y := box.Min.Y; y < box.Max.Y; y++ {
			for x := box.Min.X; x < box.Max.X; x++ {
				g.Pix[y*hallW+x] = uint8(30 + 200*((x/4+y/5)%2))
			}
		}
	}}
	b := follow(t, h, BackgroundOptions{})
	for _, l := range b.Links {
		if off := h.off(t, b, l); off > 1.5 {
			t.Errorf("link %d to %d is off by %.2f px", l.From, l.To, off)
		}
	}
	if len(b.Graphics) != 1 || !box.Inset(-16).Eq(box.Inset(-16).Union(b.Graphics[0])) || !b.Graphics[0].Eq(b.Graphics[0].Union(box.Inset(16))) {
		t.Errorf("graphics %v, the box is at %v", b.Graphics, box)
	}
}

// A camera that stands still before people who move has no graphics: what stays is the
// hall, and the hall is what is followed.
func TestStillCameraHasNoGraphics(t *testing.T) {
	alone(t)
	h := hall{n: 30, at: func(int) (float64, float64, float64) { return 40, 0, 1 }, after: func(i int, g *image.Gray) {
		for y := 30; y < 190; y++ { // somebody large, in a loud jacket, to and fro
			for x := range 130 {
				X := x + 90 + int(50*math.Sin(float64(i)/3))
				g.Pix[y*hallW+X] = uint8(30 + 200*((x/4+y/5)%2))
			}
		}
	}}
	b := follow(t, h, BackgroundOptions{})
	if len(b.Graphics) > 0 || len(b.Lost) > 0 {
		t.Errorf("graphics %v, lost %v", b.Graphics, b.Lost)
	}
	for _, l := range b.Links {
		for _, m := range l.Matches {
			if math.Hypot(m.To.U-m.From.U, m.To.V-m.From.V) > 0.3 {
				t.Fatalf("link %d to %d moves %v to %v", l.From, l.To, m.From, m.To)
			}
		}
	}
}

// alone skips what one goroutine does where the tests are run short to find races: it
// would take minutes there and find none.
func alone(t *testing.T) {
	t.Helper()
	if testing.Short() {
		t.Skip("-short: nothing runs side by side here")
	}
}

package study

import (
	"context"
	"errors"
	"image"
	"math"
	"math/rand/v2"
	"reflect"
	"runtime"
	"slices"
	"sync"
	"sync/atomic"
	"testing"

	"mesure/measure/motion"
	"mesure/quantity"
	"mesure/sport/mark"
	"mesure/sport/piste"
)

// painted is footage of an invented hall, painted by hand: a wall and a floor seen by
// a pinhole that pans and zooms (eye), and discs on two fencers' points. Its truth is
// known everywhere. It is apart from package demo, so that neither leans on the other.
type painted struct {
	frames int
	// hide says on which frames the left guard is behind something.
	hide func(f int) bool
	// cut is the frame with which another hall begins; 0 is none.
	cut    int
	opened *atomic.Int32
	drawn  *sync.Map // frames are asked for again and again
}

func paint(frames int) painted {
	return painted{frames: frames, opened: new(atomic.Int32), drawn: new(sync.Map)}
}

const paintW, paintH = 640, 360

func (p painted) Probe(context.Context, string, func(float64)) (mark.Clip, error) {
	c := mark.Clip{Width: paintW, Height: paintH, BitDepth: 8}
	for i := range p.frames {
		c.Times = append(c.Times, mark.FileTime(float64(i)/50))
	}
	return c, nil
}

func (painted) Still(context.Context, string, mark.Clip, mark.Frame) (image.Image, error) {
	return image.NewRGBA(image.Rect(0, 0, paintW, paintH)), nil
}

func (p painted) Unreel(context.Context, string, mark.Clip, mark.Frame, mark.Frame) (Greys, error) {
	p.opened.Add(1)
	return p, nil
}

func (painted) Close() error { return nil }

// eyeAt is the camera of a frame.
func eyeAt(f int) eye {
	s := float64(f)
	return eye{at: [3]float64{0.4, -11, 2.9}, pan: -0.08 + 0.004*s, tilt: 0.17 + 0.01*math.Sin(s/9), focal: 1500 + 4*s}
}

// seeIn is where a place shows in the painted picture, half the size of eye's.
func seeIn(e eye, p [3]float64) mark.Pixel {
	px := e.see(p)
	return mark.Pixel{U: px.U / 2, V: px.V / 2}
}

// The left guard goes to and fro; the right mask moves evenly; feet stand.
func guardAt(f int) [3]float64 {
	s := float64(f) / 50
	return [3]float64{-0.6 + 0.35*math.Sin(5*s), -0.12, 1.2 + 0.1*math.Cos(5*s)}
}

func maskAt(f int) [3]float64 { return [3]float64{1.2 - 0.01*float64(f), 0, 1.6} }

var toes = [2][3]float64{{-0.9, 0, 0.03}, {1.5, 0, 0.03}}

func cloth(x, y float64) float64 {
	s := 118.0
	for k, w := range [][3]float64{{3.1, 1.7, 22}, {1.3, -4.9, 22}, {-2.5, 5.3, 20}, {6.1, 4.7, 10}, {0.9, 0.7, 18}} {
		s += w[2] * math.Sin(w[0]*x+w[1]*y+float64(k)+0.7*math.Sin(0.6*float64(k+1)*(x+2*y)))
	}
	return s
}

func (p painted) Gray(f mark.Frame) (*image.Gray, error) {
	if g, ok := p.drawn.Load(f); ok {
		return g.(*image.Gray), nil
	}
	g := p.draw(int(f))
	p.drawn.Store(f, g)
	return g, nil
}

func (p painted) draw(i int) *image.Gray {
	e := eyeAt(i)
	off := 0.0
	if p.cut > 0 && i >= p.cut {
		off, e.focal = 300, 2300
	}
	noise := rand.New(rand.NewPCG(uint64(i), 8))
	g := image.NewGray(image.Rect(0, 0, paintW, paintH))
	sp, cp, st, ct := math.Sin(e.pan), math.Cos(e.pan), math.Sin(e.tilt), math.Cos(e.tilt)
	for y := range paintH {
		for x := range paintW {
			r, d := (2*float64(x)-640)/e.focal, (2*float64(y)-360)/e.focal
			// Into the world: depth 1 ahead, r to the right, d down; tilt, then pan.
			ahead, up := ct-d*st, -d*ct-st
			dx, dy, dz := r*cp+ahead*sp, ahead*cp-r*sp, up
			t := (4 - e.at[1]) / dy // the wall at y = 4
			a, b := e.at[0]+t*dx, e.at[2]+t*dz
			if b < 0 {
				t = -e.at[2] / dz
				a, b = e.at[0]+t*dx, 40+e.at[1]+t*dy
			}
			g.Pix[y*paintW+x] = uint8(math.Max(0, math.Min(255, cloth(a+off, b)+1.5*noise.NormFloat64())))
		}
	}
	disc := func(at [3]float64, look float64) {
		c := seeIn(eyeAt(i), at)
		for y := int(c.V) - 14; y <= int(c.V)+14; y++ {
			for x := int(c.U) - 14; x <= int(c.U)+14; x++ {
				u, v := float64(x)-c.U, float64(y)-c.V
				if u*u+v*v < 169 && x >= 0 && y >= 0 && x < paintW && y < paintH {
					g.Pix[y*paintW+x] = uint8(150 + 70*math.Sin(0.45*u+look)*math.Cos(0.4*v-look))
				}
			}
		}
	}
	disc(maskAt(i), 1)
	disc(toes[0], 2)
	disc(toes[1], 3)
	if p.hide == nil || !p.hide(i) {
		disc(guardAt(i), 0)
	}
	return g
}

// handful is the painted touch as a coach marks it: the piste on the first and the
// last frame, the points on every tenth.
func handful(frames int, seed uint64) *Touch {
	rng := rand.New(rand.NewPCG(seed, 4))
	jitter := func(p mark.Pixel) mark.Pixel {
		return mark.Pixel{U: p.U + 0.8*rng.NormFloat64(), V: p.V + 0.8*rng.NormFloat64()}
	}
	t := stage(seed, 1).touch
	t.Placings, t.Marks, t.Moments, t.Race = nil, nil, nil, RaceAsk{}
	last := frames - 1
	t.Takes = []mark.Take{{ID: "live", Video: "v", From: 0, To: mark.Frame(last)}}
	for _, f := range []int{0, last} {
		pl := Placing{Take: "live", Frame: mark.Frame(f)}
		for _, name := range piste.Names() {
			on, _ := piste.Named(name, piste.Width)
			at := seeIn(eyeAt(f), [3]float64{on.X, on.Y, 0})
			if on.Y != 0 && at.U > 4 && at.U < paintW-4 && at.V > 4 && at.V < paintH-4 {
				pl.Points = append(pl.Points, PlacedPoint{Name: name, On: on, At: jitter(at), SD: 0.8})
			}
		}
		t.Placings = append(t.Placings, pl)
	}
	for f := 0; f <= last; f += 10 {
		for _, m := range []struct {
			who  mark.Side
			what mark.What
			at   [3]float64
		}{{mark.Left, mark.Guard, guardAt(f)}, {mark.Right, mark.Mask, maskAt(f)}, {mark.Left, mark.FrontToe, toes[0]}, {mark.Right, mark.FrontToe, toes[1]}} {
			t.Marks = append(t.Marks, mark.Mark{Take: "live", Frame: mark.Frame(f), Who: m.who, What: m.what, At: jitter(seeIn(eyeAt(f), m.at)), SD: 0.8})
		}
	}
	return t
}

func followed(t *testing.T, touch *Touch, film painted, o FollowOptions) *Following {
	t.Helper()
	f, err := Follow(context.Background(), touch, film, o)
	if err != nil {
		t.Fatal(err)
	}
	return f
}

func (r *Reading) track(who mark.Side, what mark.What) *Track {
	for i := range r.Tracks {
		if r.Tracks[i].Who == who && r.Tracks[i].What == what {
			return &r.Tracks[i]
		}
	}
	return nil
}

// The truth of the painted hall is known: cameras between the placed frames, places
// and speeds of the points, each within its stated doubt; and a point that is behind
// something is lost.
func TestFollowPaintedHall(t *testing.T) {
	if testing.Short() {
		t.Skip("-short: TestFollowSideBySide runs the same side by side")
	}
	const frames = 51
	behind := func(f int) bool { return f >= 23 && f <= 27 }
	film := paint(frames)
	film.hide = behind
	touch := handful(frames, 3)
	f := followed(t, touch, film, FollowOptions{})
	r, err := Read(context.Background(), touch, film, ReadOptions{Following: f, Grids: "live"})
	if err != nil {
		t.Fatal(err)
	}
	if len(r.Followed) != frames-2 || len(r.Followed[7].Grid) == 0 {
		t.Fatalf("%d frames between the placed ones, want %d", len(r.Followed), frames-2)
	}
	worst := 0.0
	for i := range frames {
		p, ok := r.CameraAt("live", mark.Frame(i))
		if !ok {
			t.Fatalf("frame %d is not placed", i)
		}
		for _, x := range [][2]float64{{-1, 0}, {0.5, 0.6}, {1.2, -0.5}} {
			j, err := p.Floor(seeIn(eyeAt(i), [3]float64{x[0], x[1], 0}), 0)
			if err != nil {
				t.Fatal(err)
			}
			worst = max(worst, math.Hypot(j.Mean[0]-x[0], j.Mean[1]-x[1]))
		}
	}
	t.Logf("the floor is off by %.1f cm at most", 100*worst)
	if worst > 0.06 {
		t.Errorf("the floor is off by %.3f m", worst)
	}
	if len(r.Drifts) != 1 || r.Drifts[0].Frame != frames-1 || r.Drifts[0].Share > 2.5 {
		t.Errorf("drifts %+v", r.Drifts)
	}

	in, all, lost := 0, 0, 0
	for _, s := range r.track(mark.Left, mark.Guard).Steps {
		want := guardAt(int(s.Frame))
		switch {
		case behind(int(s.Frame)):
			if s.State == StateLost {
				lost++
			}
		case s.State == StateFollowed:
			all++
			if s.X.Covers(quantity.Metres(want[0])) && s.Z.Covers(quantity.Metres(want[2])) {
				in++
			}
			if off := math.Hypot(float64(s.X.Mean)-want[0], float64(s.Z.Mean)-want[2]); off > 0.08 {
				t.Errorf("frame %d: the guard is off by %.3f m", s.Frame, off)
			}
		}
	}
	if lost < 5 {
		t.Errorf("%d of 5 frames on which the guard cannot be seen are told", lost)
	}
	if all < 30 || float64(in) < 0.85*float64(all) {
		t.Errorf("%d of %d places of the guard lie within 95 %%", in, all)
	}
	// The speed of (−0.6 + 0.35 sin 5t, 1.2 + 0.1 cos 5t): at most 5·0.35 m/s.
	peak := r.track(mark.Left, mark.Guard).Peak
	if peak == nil || math.Abs(float64(peak.Mean)-1.75) > 0.15 {
		t.Errorf("the guard's greatest speed is %v, want 1.75 m/s", peak)
	}
	for _, s := range r.track(mark.Right, mark.Mask).Steps[10:40] {
		if math.Abs(float64(s.VX.Mean)+0.5) > 4*float64(s.VX.SD) || s.VX.SD > 0.2 {
			t.Errorf("frame %d: the mask moves at %v, want −0.5 m/s", s.Frame, s.VX)
		}
	}
	// The mask goes left at 0.5 m/s, the guard to and fro: how fast the one nears the
	// other is the derivative of their distance, here by a difference of the truth.
	guard, mask := r.trails.at[trackName{"live", mark.Left, mark.Guard}], r.trails.at[trackName{"live", mark.Right, mark.Mask}]
	for _, f := range []int{12, 36} {
		apart := func(s float64) float64 {
			g, m := guardAt(0), maskAt(0)
			g[0], g[2] = -0.6+0.35*math.Sin(5*s), 1.2+0.1*math.Cos(5*s)
			m[0] = 1.2 - 0.5*s
			return math.Hypot(m[0]-g[0], m[2]-g[2])
		}
		const h = 1e-5
		at := float64(f) / 50
		want := (apart(at-h) - apart(at+h)) / (2 * h)
		got, err := motion.ClosingOnMean(guard.movement(), []*motion.Path{mask.movement()}, []float64{1}, quantity.Seconds(at))
		if err != nil || math.Abs(float64(got.Mean)-want) > 4*float64(got.SD) || got.SD > 0.4 {
			t.Errorf("frame %d: guard and mask near each other at %v, want %.3f m/s (%v)", f, got, want, err)
		}
	}
	// Frames that are only marked to lead on are not told of, moments are.
	told := *r
	told.Instants = []Instant{{Take: "live", Frame: 10}, {Take: "live", Frame: 20, Moment: "launch"}}
	if got := told.Told(); len(got) != 1 || got[0].Moment != "launch" {
		t.Errorf("told %+v", got)
	}
	told.Tracks = nil
	if got := told.Told(); len(got) != 2 {
		t.Errorf("where nothing was followed, told %+v", got)
	}
	// A frame between marks can be measured, and says what it rests on.
	instant, ok := r.InstantAt("live", 15)
	if !ok || len(instant.Bodies[mark.Left].Points) != 2 || !instant.Bodies[mark.Left].Points[0].Followed {
		t.Errorf("frame 15: %+v (%v)", instant.Bodies[mark.Left].Points, ok)
	}
}

// Nothing moves that did not: feet that stand have no speed beyond their doubt, and no
// step of a point is longer than its speed and doubt allow.
func TestFollowInventsNoMovement(t *testing.T) {
	if testing.Short() {
		t.Skip("-short: TestFollowSideBySide runs the same side by side")
	}
	const frames = 31
	film := paint(frames)
	touch := handful(frames, 5)
	r, err := Read(context.Background(), touch, film, ReadOptions{Following: followed(t, touch, film, FollowOptions{})})
	if err != nil {
		t.Fatal(err)
	}
	for _, who := range mark.Sides {
		tr := r.track(who, mark.FrontToe)
		for k, s := range tr.Steps {
			if math.Abs(float64(s.VX.Mean)) > 3.5*float64(s.VX.SD)+0.02 {
				t.Errorf("%v foot, frame %d: it stands and moves at %v", who, s.Frame, s.VX)
			}
			if k > 0 {
				b := tr.Steps[k-1]
				if s.At <= b.At {
					t.Fatalf("frame %d is not after frame %d", s.Frame, b.Frame)
				}
				went := math.Abs(float64(s.X.Mean - b.X.Mean))
				most := (math.Abs(float64(b.VX.Mean))+4*float64(b.VX.SD))*float64(s.At-b.At) + 4*float64(s.X.SD)
				if went > most {
					t.Errorf("frame %d: it went %.4f m, %.4f is what its speed allows", s.Frame, went, most)
				}
			}
		}
	}
	for _, p := range r.Proposals {
		if p.Part == PartFrontFoot {
			t.Errorf("a foot that stands %s: %+v", p.Kind, p)
		}
	}
}

// A correction costs the bridges that it touches and no others, and what comes out
// does not depend on the way there.
func TestFollowAgain(t *testing.T) {
	const frames = 31
	film := paint(frames)
	touch := handful(frames, 6)
	first := followed(t, touch, film, FollowOptions{})
	if n := film.opened.Load(); n != 1 {
		t.Fatalf("the take was opened %d times", n)
	}
	same := followed(t, touch, film, FollowOptions{Before: first})
	if film.opened.Load() != 1 || !reflect.DeepEqual(first, same) {
		t.Error("following again without a change is not free")
	}
	better := *touch
	better.Marks = append(slices.Clone(touch.Marks), mark.Mark{Take: "live", Frame: 15, Who: mark.Right, What: mark.Mask, At: seeIn(eyeAt(15), maskAt(15)), SD: 0.8})
	again := followed(t, &better, film, FollowOptions{Before: first})
	fresh := followed(t, &better, film, FollowOptions{})
	if !reflect.DeepEqual(again, fresh) {
		t.Error("what is followed depends on how one came there")
	}
	kept := 0
	for _, b := range again.Takes[0].Bridges {
		if slices.ContainsFunc(first.Takes[0].Bridges, func(o Bridge) bool { return o.Key == b.Key }) {
			kept++
		}
	}
	if n := len(again.Takes[0].Bridges); kept != n-2 {
		t.Errorf("%d of %d bridges are kept, want all but two", kept, n)
	}
	// A reading passes over what no longer holds.
	r, err := Read(context.Background(), &better, film, ReadOptions{Following: first})
	if err != nil {
		t.Fatal(err)
	}
	for _, s := range r.track(mark.Right, mark.Mask).Steps {
		if s.Frame > 10 && s.Frame < 20 && s.State == StateFollowed {
			t.Errorf("frame %d rests on a bridge that the new mark broke", s.Frame)
		}
	}
}

// Points are followed side by side; what comes out is what one processor finds.
func TestFollowSideBySide(t *testing.T) {
	const frames = 9
	touch, film := handful(frames, 6), paint(frames)
	several := followed(t, touch, film, FollowOptions{})
	defer runtime.GOMAXPROCS(runtime.GOMAXPROCS(1))
	if one := followed(t, touch, film, FollowOptions{}); !reflect.DeepEqual(several, one) {
		t.Error("one processor follows in another way")
	}
}

// What the coach says is hidden is not looked for; a cut ends the take; an end of the
// context ends the work; a touch that names what is not there is refused as by Read.
func TestFollowEnds(t *testing.T) {
	if testing.Short() {
		t.Skip("-short: TestFollowSideBySide runs the same side by side")
	}
	const frames = 31
	film := paint(frames)
	film.cut = 22
	touch := handful(frames, 7)
	touch.Placings = touch.Placings[:1]
	touch.Hidden = []mark.Hidden{{Take: "live", Who: mark.Left, What: mark.Guard, From: 3, To: 6}}
	f := followed(t, touch, film, FollowOptions{})
	if !slices.Equal(f.Takes[0].Cuts, []mark.Frame{22}) {
		t.Errorf("cuts %v, want one at 22", f.Takes[0].Cuts)
	}
	for _, b := range f.Takes[0].Bridges {
		if max(b.From, b.To) >= 22 {
			t.Errorf("the %s is followed from frame %d to %d, over the cut", b.What, b.From, b.To)
		}
	}
	r, err := Read(context.Background(), touch, film, ReadOptions{Following: f})
	if err != nil {
		t.Fatal(err)
	}
	if !slices.ContainsFunc(r.Warnings, func(w Warning) bool { return w.Code == CodeCut }) {
		t.Errorf("no warning of the cut: %v", r.Warnings)
	}
	for _, s := range r.track(mark.Left, mark.Guard).Steps {
		if (s.State == StateHidden) != (s.Frame >= 3 && s.Frame <= 6) {
			t.Errorf("frame %d is %s", s.Frame, s.State)
		}
		if s.Frame >= 22 && s.State == StateFollowed {
			t.Errorf("frame %d is followed, beyond the cut", s.Frame)
		}
	}
	ctx, cancel := context.WithCancel(context.Background())
	_, err = Follow(ctx, touch, film, FollowOptions{Progress: func(string, float64) { cancel() }})
	if !errors.Is(err, context.Canceled) {
		t.Errorf("a cancelled run gives %v", err)
	}
	touch.Takes[0].To = 99
	var refusal *Refusal
	if _, err = Follow(context.Background(), touch, film, FollowOptions{}); !errors.As(err, &refusal) {
		t.Errorf("frames that are not there give %v", err)
	}
}

// From one mark alone a point is followed half of the way to where it is hidden, and
// not through it.
func TestUntilHidden(t *testing.T) {
	hidden := []mark.Hidden{{From: 30, To: 40}}
	for _, c := range []struct{ from, until, want mark.Frame }{
		{20, 60, 24}, {20, 22, 22}, {29, 60, 29}, {50, 10, 46}, {50, 48, 48}, {41, 10, 41}, {60, 90, 90}, {20, 5, 5},
	} {
		if got := untilHidden(hidden, c.from, c.until); got != c.want {
			t.Errorf("from %d until %d: %d, want %d", c.from, c.until, got, c.want)
		}
	}
}

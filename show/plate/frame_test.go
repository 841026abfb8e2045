package plate

import (
	"bytes"
	"encoding/xml"
	"errors"
	"fmt"
	"image"
	"io"
	"math"
	"os"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"mesure/quantity"
	"mesure/show/draw"
	"mesure/sport/mark"
	"mesure/sport/piste"
	"mesure/study"
)

// drawnPath is a path of a written SVG with the corners that its data names.
type drawnPath struct {
	pts           [][2]float64
	stroke, width string
	fill          string
}

var pair = regexp.MustCompile(`-?[0-9.]+ -?[0-9.]+`)

// svgOf reads a written SVG back: its paths, and where its picture lies. It knows nothing of
// how it was made; groups that move or scale would be told by a transform, which must not
// be there.
func svgOf(t *testing.T, d *draw.Drawing) (paths []drawnPath, picture draw.Box) {
	t.Helper()
	var b bytes.Buffer
	if err := d.SVG(&b); err != nil {
		t.Fatal(err)
	}
	dec := xml.NewDecoder(&b)
	inDefs := 0
	for {
		tok, err := dec.Token()
		if errors.Is(err, io.EOF) {
			return paths, picture
		}
		if err != nil {
			t.Fatal(err)
		}
		if end, ok := tok.(xml.EndElement); ok && end.Name.Local == "defs" {
			inDefs--
		}
		el, ok := tok.(xml.StartElement)
		if !ok {
			continue
		}
		at := map[string]string{}
		for _, a := range el.Attr {
			at[a.Name.Local] = a.Value
		}
		if el.Name.Local == "defs" {
			inDefs++
		}
		if inDefs > 0 {
			continue
		}
		number := func(name string) draw.MM {
			v, err := strconv.ParseFloat(at[name], 64)
			if err != nil {
				t.Fatal(err)
			}
			return draw.MM(v)
		}
		switch el.Name.Local {
		case "image":
			picture = draw.Box{X: number("x"), Y: number("y"), W: number("width"), H: number("height")}
		case "path":
			p := drawnPath{stroke: at["stroke"], width: at["stroke-width"], fill: at["fill"]}
			for _, s := range pair.FindAllString(at["d"], -1) {
				var q [2]float64
				if _, err := fmt.Sscan(s, &q[0], &q[1]); err != nil {
					t.Fatal(err)
				}
				p.pts = append(p.pts, q)
			}
			paths = append(paths, p)
		}
	}
}

// pixelOf undoes the sheet: the picture of the whole frame, frameW pixels wide, lies in a
// box, and a pixel's own place is its middle.
func pixelOf(box draw.Box, p [2]float64) mark.Pixel {
	k := frameW / float64(box.W)
	return mark.Pixel{U: (p[0]-float64(box.X))*k - 0.5, V: (p[1]-float64(box.Y))*k - 0.5}
}

// The ends of the drawn gap lines, read back from the written SVG, are within half a pixel
// of where the camera shows the places of the reading: the second route goes from metres.
func TestGapLinesEndWhereTheCameraShowsThePlaces(t *testing.T) {
	r := marked(t)
	cam, ok := r.CameraAt("live", 42)
	if !ok {
		t.Fatal("no camera")
	}
	in := r.Instants[0]
	d, err := Frame(Shot{Reading: r, Take: "live", Frame: 42, Image: pattern()}, FrameOptions{})
	if err != nil {
		t.Fatal(err)
	}
	paths, box := svgOf(t, d)
	if box.W != Wide.Width() {
		t.Fatalf("the picture lies at %v", box)
	}
	place := func(s mark.Side, w mark.What) piste.Place {
		for _, p := range in.Bodies[s].Points {
			if p.What == w {
				return piste.Place{X: float64(p.Place[0].Mean), Y: float64(p.Place[1].Mean), Z: float64(p.Place[2].Mean)}
			}
		}
		t.Fatalf("%s has no %s", s, w)
		return piste.Place{}
	}
	checked := 0
	for _, g := range in.Gaps {
		if !g.Nearest {
			continue
		}
		from, ok1 := cam.Project(place(g.Of, mark.Point))
		var at piste.Place
		for _, share := range g.Target.Made() {
			p := place(g.Of.Other(), share.Of)
			at.X, at.Y, at.Z = at.X+share.Weight*p.X, at.Y+share.Weight*p.Y, at.Z+share.Weight*p.Z
		}
		to, ok2 := cam.Project(at)
		if !ok1 || !ok2 {
			t.Fatal("a place is not seen")
		}
		for _, p := range paths {
			if p.stroke != Hue(draw.Stage(), g.Of).CSS() || p.width != "0.7" || len(p.pts) != 2 {
				continue
			}
			for i, want := range [2]mark.Pixel{from, to} {
				got := pixelOf(box, p.pts[i])
				if off := math.Hypot(got.U-want.U, got.V-want.V); off > 0.5 {
					t.Errorf("%s’s gap to the %s: end %d is drawn %.2f px from where the camera shows it", g.Of, g.Target, i, off)
				}
			}
			checked++
		}
	}
	if checked < 2 {
		t.Errorf("%d gap lines were found", checked)
	}
}

// The ends of the drawn reach arcs are where the camera shows the places that lie as far
// from the point as the reach says, 60° below and 30° above the horizontal.
func TestArcsEndWhereTheReachSays(t *testing.T) {
	r := marked(t)
	cam, _ := r.CameraAt("live", 42)
	in := r.Instants[0]
	d, err := Frame(Shot{Reading: r, Take: "live", Frame: 42, Image: pattern()}, FrameOptions{Layers: []string{LayerReach}})
	if err != nil {
		t.Fatal(err)
	}
	paths, box := svgOf(t, d)
	tab, _ := r.TableauAt("live", 42)
	checked := 0
	for _, a := range ArcsShown(&tab) {
		var c [3]float64
		for _, p := range in.Bodies[a.Of].Points {
			if p.What == mark.Point {
				c = [3]float64{float64(p.Place[0].Mean), float64(p.Place[1].Mean), float64(p.Place[2].Mean)}
			}
		}
		end := func(deg float64) mark.Pixel {
			sin, cos := math.Sincos(deg * math.Pi / 180)
			along := float64(a.Reach.Mean) * cos
			if a.Of == mark.Right {
				along = -along
			}
			p, ok := cam.Project(piste.Place{X: c[0] + along, Y: c[1], Z: c[2] + float64(a.Reach.Mean)*sin})
			if !ok {
				t.Fatal("an end is not seen")
			}
			return p
		}
		low, high := end(-study.ArcDown), end(study.ArcUp)
		found := false
		for _, p := range paths {
			if p.stroke != Hue(draw.Stage(), a.Of).CSS() || p.width != "0.45" || len(p.pts) < 10 {
				continue
			}
			got, top := pixelOf(box, p.pts[0]), pixelOf(box, p.pts[len(p.pts)-1])
			// The fencers' plane of action may lean by a little: a pixel.
			if math.Hypot(got.U-low.U, got.V-low.V) < 1 && math.Hypot(top.U-high.U, top.V-high.V) < 1 {
				found = true
			}
		}
		if !found {
			t.Errorf("%s’s %s: no arc is drawn from %v to %v", a.Of, a.Band, low, high)
		}
		checked++
	}
	if checked < 4 {
		t.Errorf("%d arcs were checked", checked)
	}
}

// What is built from nothing to all: nothing, then more, then the same as without building.
func TestPartsAreBuilt(t *testing.T) {
	r := marked(t)
	tab, ok := r.TableauAt("live", 42)
	if !ok {
		t.Fatal("no tableau")
	}
	o := OverlayOptions{Layers: OverlayLayers(), Names: [2]string{"Ida Maren", "Jonas Öberg"}, Steady: true}
	parts := Parts(&tab, o)
	if len(parts) < 10 || parts[0] != "piste" {
		t.Fatalf("parts: %v", parts)
	}
	v := View{Box: draw.Box{W: 180, H: 101.25}, Scale: 180.0 / frameW}
	svg := func(o OverlayOptions) string {
		d := draw.New(180, 102, "overlay", "")
		Overlay(&d.Group, &tab, v, o)
		var b bytes.Buffer
		if err := d.SVG(&b); err != nil {
			t.Fatal(err)
		}
		return b.String()
	}
	whole := svg(o)
	shown := map[string]float64{}
	o.Built = func(part string) float64 { return shown[part] }
	was := svg(o)
	if strings.Contains(was, "<path") {
		t.Error("something is drawn of which nothing is built")
	}
	for _, p := range parts {
		shown[p] = 1
		is := svg(o)
		if len(is) <= len(was) {
			t.Errorf("part %s draws nothing", p)
		}
		was = is
	}
	if was != whole {
		t.Error("all parts together are not the whole")
	}
	// Half of a gap line ends in its middle.
	for _, p := range parts {
		shown[p] = 0
	}
	g := prominent(tab.Gaps, o.Asked)[0]
	shown[gapPart(g)] = 0.5
	d := draw.New(180, 102, "overlay", "")
	Overlay(&d.Group, &tab, v, o)
	paths, _ := svgOf(t, d)
	n := 0
	for _, p := range paths {
		if p.width == "0.7" && len(p.pts) == 2 {
			n++
			got := pixelOf(draw.Box{W: 180, H: 101.25}, p.pts[1])
			if off := math.Hypot(got.U-(g.From.U+g.To.U)/2, got.V-(g.From.V+g.To.V)/2); off > 0.5 {
				t.Errorf("half of the line ends %.2f px from its middle", off)
			}
		}
	}
	if n != 1 {
		t.Errorf("%d lines of half a gap", n)
	}
}

// laidOut is the fixture with arcs, by hand: whole numbers of pixels, so that the golden
// files are the same on every machine.
func laidOut() study.Tableau {
	r := invented()
	t := study.Tableau{Instant: r.Instants[0], Grid: r.Placings[0].Grid, Width: piste.Width}
	for _, s := range mark.Sides {
		tip := bodies[s][mark.Point]
		dir := [2]float64{1, -1}[s]
		for _, b := range []struct {
			band      string
			reach, sd float64
		}{{"short", 0.45, 0.05}, {"medium", 1.2, 0.1}} {
			line := func(radius float64) (px []mark.Pixel) {
				for deg := -60; deg <= 30; deg += 10 {
					sin, cos := math.Sincos(float64(deg) * math.Pi / 180)
					p := seen(tip[0]+dir*radius*cos, 0, tip[1]+radius*sin)
					px = append(px, mark.Pixel{U: math.Round(p.U), V: math.Round(p.V)})
				}
				return px
			}
			a := study.Arc{Of: s, Band: b.band, Source: "lunge of club fencers; 650 ms", Line: line(b.reach)}
			a.Reach = quantity.Normal(quantity.Metres(b.reach), quantity.Metres(b.sd))
			a.Soft = [2]study.Ribbon{{Near: line(b.reach - 2*b.sd), Far: line(b.reach + 2*b.sd)}, {Near: line(b.reach - b.sd), Far: line(b.reach + b.sd)}}
			t.Arcs = append(t.Arcs, a)
		}
	}
	return t
}

// spacePlates are the pictures of this file and of the movement in their layouts.
func spacePlates(t *testing.T, names Naming) map[string]*draw.Drawing {
	t.Helper()
	all := map[string]*draw.Drawing{}
	for _, l := range Layouts {
		for _, th := range []draw.Theme{draw.Stage(), draw.Print()} {
			o := Options{Layout: l, Theme: th, Names: names}
			s := shot(64)
			s.Image = pattern()
			d, err := frameOf(s, laidOut(), FrameOptions{Options: o, Layers: OverlayLayers()})
			if err != nil {
				t.Fatal(err)
			}
			all["frame-"+l.String()+"-"+th.Name] = d
			all["ghosts-"+l.String()+"-"+th.Name] = Ghosts(moved(), o)
		}
	}
	return all
}

func TestSpaceGolden(t *testing.T) {
	all, twice := spacePlates(t, Named), spacePlates(t, Named)
	want := map[string]bool{}
	for name, d := range all {
		var b, again bytes.Buffer
		if err := errors.Join(d.SVG(&b), twice[name].SVG(&again)); err != nil {
			t.Fatal(err)
		}
		if !bytes.Equal(b.Bytes(), again.Bytes()) {
			t.Errorf("%s: drawn twice, it differs", name)
		}
		if strings.HasSuffix(name, "wide-print") || strings.HasSuffix(name, "phone-stage") {
			continue // each layout and each ground once: the others hold nothing that is new
		}
		file := filepath.Join("testdata", "space", name+".svg")
		want[file] = true
		if *update {
			if err := errors.Join(os.MkdirAll(filepath.Dir(file), 0o755), os.WriteFile(file, b.Bytes(), 0o644)); err != nil {
				t.Fatal(err)
			}
		}
		if old, err := os.ReadFile(file); err != nil {
			t.Errorf("a golden file is missing: %v", err)
		} else if !bytes.Equal(old, b.Bytes()) {
			t.Errorf("%s differs from what is drawn now; look at it and run with -update", file)
		}
	}
	kept, err := filepath.Glob("testdata/space/*")
	if err != nil {
		t.Fatal(err)
	}
	for _, f := range kept {
		if !want[f] {
			t.Errorf("%s is a golden file of nothing", f)
		}
	}
}

// No words lie on others or outside the sheet, the title states a finding, the alternative
// text says what is seen, and names can be left out.
func TestSpaceWordsStandFreeAndOnTheSheet(t *testing.T) {
	for _, names := range []Naming{Named, Anonymous} {
		for name, d := range spacePlates(t, names) {
			if !strings.ContainsAny(d.Title, "0123456789") || !strings.Contains(d.Source, "standard deviation") || len(d.Desc) < 60 {
				t.Errorf("%s: title %q, source %q, desc %q", name, d.Title, d.Source, d.Desc)
			}
			lines := d.Lines()
			for i, a := range lines {
				if b := a.Box(); b.X < 1 || b.Right() > d.W-1 || b.Y < 1 || b.Bottom() > d.H {
					t.Errorf("%s: %q stands at %v, outside the sheet", name, a.S, b)
				}
				if names == Anonymous && (strings.Contains(a.S, "Maren") || strings.Contains(a.S, "Harbour")) {
					t.Errorf("%s: %q names somebody", name, a.S)
				}
				for _, o := range lines[i+1:] {
					if a.Box().Meets(o.Box()) {
						t.Errorf("%s: %q lies on %q", name, a.S, o.S)
					}
				}
			}
		}
	}
}

func TestFrameSaysNoMoreThanItsChance(t *testing.T) {
	gap := func(s mark.Side, target mark.Target, band string, chance float64) study.Gap {
		return study.Gap{Of: s, Target: target, Gap: quantity.Normal[quantity.Metres](0.8, 0.05), Band: band, Chance: quantity.Chance(chance), Nearest: true}
	}
	for want, gaps := range map[string][]study.Gap{
		"Both need a lunge to the hand: left 0.80 ± 0.05 m, right 0.80 ± 0.05 m":                                                        {gap(0, mark.Hand, "medium", 0.99), gap(1, mark.Hand, "medium", 0.97)},
		"Both most likely need a lunge to the hand: left 0.80 ± 0.05 m (80 %), right 0.80 ± 0.05 m":                                     {gap(0, mark.Hand, "medium", 0.80), gap(1, mark.Hand, "medium", 0.97)},
		"Both may just reach the hand with the arm alone: left 0.80 ± 0.05 m (51 %), right 0.80 ± 0.05 m":                               {gap(0, mark.Hand, "short", 0.51), gap(1, mark.Hand, "short", 0.97)},
		"Left may need a lunge (51 %): 0.80 ± 0.05 m to the hand; right most likely is out of reach (90 %): 0.80 ± 0.05 m to the chest": {gap(0, mark.Hand, "medium", 0.51), gap(1, mark.Chest, "out", 0.9)},
	} {
		if got := strings.ReplaceAll(frameFinding(gaps), nb, " "); got != want {
			t.Errorf("%q, want %q", got, want)
		}
	}
}

func TestSpaceErrorsHaveNames(t *testing.T) {
	r := marked(t)
	s := Shot{Reading: r, Take: "live", Frame: 7, Image: pattern()}
	if _, err := Frame(s, FrameOptions{}); !errors.Is(err, ErrNotMeasured) {
		t.Errorf("Frame: %v", err)
	}
	// A frame without a camera or out of the take is left out; one alone is no movement.
	pics := []image.Image{pattern(), pattern()}
	for _, frames := range [][]mark.Frame{{42, 7}, {42, 9000}, {42, -1}} {
		if _, err := NewSequence(r, "live", frames, pics); !errors.Is(err, ErrNoGhosts) {
			t.Errorf("%v: %v", frames, err)
		}
	}
	if _, err := NewSequence(r, "none", []mark.Frame{42, 51}, pics); !errors.Is(err, ErrNoGhosts) {
		t.Errorf("a take that is none: %v", err)
	}
	if fs := GhostFrames(invented(), "live"); fs != nil {
		t.Errorf("a reading without cameras: frames %v", fs)
	}
}

package chart

import (
	"encoding/xml"
	"errors"
	"fmt"
	"math"
	"regexp"
	"strings"
	"testing"

	"mesure/quantity"
	"mesure/show/draw"
	"mesure/show/plate"
	"mesure/sport/mark"
	"mesure/sport/piste"
	"mesure/study"
)

// inSpace is the invented instant in space: places as the fixture has them, each with a
// spread along a line of sight that leans.
func inSpace(t testing.TB) (*study.Reading, study.Tableau) {
	t.Helper()
	r := reading(t)
	tab := study.Tableau{Instant: r.Instants[0], Width: piste.Width}
	for _, s := range mark.Sides {
		for i, p := range tab.Bodies[s].Points {
			y := 0.01*float64(i) - 0.05
			place := []float64{float64(p.Place[0].Mean), y, float64(p.Place[2].Mean)}
			lean := 0.1 * place[0]
			tab.Spots[s] = append(tab.Spots[s], study.Spot{What: p.What, Place: quantity.NewJoint(place,
				[]float64{0.0001 + lean*lean*0.01, lean * 0.01, 0, lean * 0.01, 0.01, 0, 0, 0, 0.0004})})
		}
	}
	at := func(s mark.Side, w mark.What) []float64 {
		for _, k := range tab.Spots[s] {
			if k.What == w {
				return k.Place.Mean
			}
		}
		t.Fatalf("%s has no %s", s, w)
		return nil
	}
	for _, w := range mark.Points() {
		tab.Between = append(tab.Between, study.Between{What: w,
			Along: quantity.Normal(quantity.Metres(at(mark.Right, w)[0]-at(mark.Left, w)[0]), 0.02), Up: quantity.Normal(quantity.Metres(at(mark.Left, w)[2]-at(mark.Right, w)[2]), 0.012)})
	}
	for _, g := range tab.Gaps {
		var e study.GapEnds
		for c := range 3 {
			e.From[c] = quantity.Normal(quantity.Metres(at(g.Of, mark.Point)[c]), 0.02)
			for _, share := range g.Target.Made() {
				e.To[c].Mean += quantity.Metres(share.Weight * at(g.Of.Other(), share.Of)[c])
			}
		}
		tab.Ends = append(tab.Ends, e)
	}
	for _, s := range mark.Sides {
		tip := at(s, mark.Point)
		for _, b := range []struct {
			band  string
			reach float64
		}{{"short", 0.45}, {"medium", 1.2}, {"long", 2.1}} {
			a := study.Arc{Of: s, Band: b.band, Reach: quantity.Normal(quantity.Metres(b.reach), 0.08), Line: make([]mark.Pixel, 10)}
			for deg := -60; deg <= 30; deg += 10 {
				sin, cos := math.Sincos(float64(deg) * math.Pi / 180)
				a.Places = append(a.Places, piste.Place{X: tip[0] + [2]float64{1, -1}[s]*b.reach*cos, Y: tip[1], Z: tip[2] + b.reach*sin})
			}
			tab.Arcs = append(tab.Arcs, a)
		}
	}
	return r, tab
}

// outline is a path of a written SVG: the box of the corners that its data names.
type outline struct {
	box                 draw.Box
	stroke, width, fill string
	first, last         draw.Pt
	n                   int
}

func (o outline) mid() draw.Pt { return draw.Pt{X: o.box.X + o.box.W/2, Y: o.box.Y + o.box.H/2} }

var corner = regexp.MustCompile(`(-?[0-9.]+) (-?[0-9.]+)`)

// outlines reads a written SVG back.
func outlines(t *testing.T, d *draw.Drawing) []outline {
	t.Helper()
	var all []outline
	dec := xml.NewDecoder(strings.NewReader(string(svg(t, d))))
	defs := 0
	for {
		tok, err := dec.Token()
		if err != nil {
			return all
		}
		if end, ok := tok.(xml.EndElement); ok && end.Name.Local == "defs" {
			defs--
		}
		el, ok := tok.(xml.StartElement)
		if !ok {
			continue
		}
		if el.Name.Local == "defs" {
			defs++
		}
		if el.Name.Local != "path" || defs > 0 {
			continue
		}
		at := map[string]string{}
		for _, a := range el.Attr {
			at[a.Name.Local] = a.Value
		}
		o := outline{stroke: at["stroke"], width: at["stroke-width"], fill: at["fill"]}
		lo, hi := draw.Pt{X: 1e9, Y: 1e9}, draw.Pt{X: -1e9, Y: -1e9}
		for _, m := range corner.FindAllStringSubmatch(at["d"], -1) {
			var p draw.Pt
			if _, err := fmt.Sscan(m[1], &p.X); err != nil {
				t.Fatal(err)
			}
			if _, err := fmt.Sscan(m[2], &p.Y); err != nil {
				t.Fatal(err)
			}
			if o.n == 0 {
				o.first = p
			}
			o.last = p
			o.n++
			lo, hi = draw.Pt{X: min(lo.X, p.X), Y: min(lo.Y, p.Y)}, draw.Pt{X: max(hi.X, p.X), Y: max(hi.Y, p.Y)}
		}
		o.box = draw.Box{X: lo.X, Y: lo.Y, W: hi.X - lo.X, H: hi.Y - lo.Y}
		all = append(all, o)
	}
}

// tips finds the two points of the blades, which are drawn open.
func tips(t *testing.T, all []outline, th draw.Theme) [2]draw.Pt {
	t.Helper()
	var at [2]draw.Pt
	for _, s := range mark.Sides {
		n := 0
		for _, o := range all {
			if o.stroke == plate.Hue(th, s).CSS() && o.width == "0.5" && o.n >= 4 && o.box.W > 2 && o.box.W < 2.6 && math.Abs(float64(o.box.W-o.box.H)) < 0.01 {
				at[s] = o.mid()
				n++
			}
		}
		if n == 0 {
			t.Fatalf("%s’s point is not drawn", s)
		}
	}
	return at
}

// bar is how long a metre is on the scale bar, which is read from the picture too.
func bar(t *testing.T, all []outline, th draw.Theme) draw.MM {
	t.Helper()
	for _, o := range all {
		if o.stroke == th.Quiet.CSS() && o.width == "0.25" && math.Abs(float64(o.box.H)-1) < 0.01 {
			return o.box.W
		}
	}
	t.Fatal("no scale bar")
	return 0
}

// head is where a mask is.
func head(tab study.Tableau, s mark.Side) []float64 {
	for _, k := range tab.Spots[s] {
		if k.What == mark.Mask {
			return k.Place.Mean
		}
	}
	return []float64{0, 0, 0}
}

// Distances on paper are those of the reading, by the scale bar: to a tenth of a
// millimetre, along and across the piste from above, along and up from the side.
func TestPlanAndSideAreToScale(t *testing.T) {
	r, tab := inSpace(t)
	th := draw.Paper()
	spot := func(s mark.Side) []float64 {
		for _, k := range tab.Spots[s] {
			if k.What == mark.Point {
				return k.Place.Mean
			}
		}
		return nil
	}
	left, right := spot(mark.Left), spot(mark.Right)
	for _, l := range plate.Layouts {
		for name, c := range map[string]struct {
			made func(*study.Reading, study.Tableau, Options) (*draw.Drawing, error)
			up   int // which coordinate runs up the sheet
		}{"plan": {planOf, 1}, "side": {sideOf, 2}} {
			d, err := c.made(r, tab, Options{Layout: l})
			if err != nil {
				t.Fatal(err)
			}
			all := outlines(t, d)
			at, metre := tips(t, all, th), float64(bar(t, all, th))
			if x := math.Abs(float64(at[1].X-at[0].X) - metre*(right[0]-left[0])); x > 0.1 {
				t.Errorf("%s, %s: the points are %.3f mm off along the piste", name, l, x)
			}
			if y := math.Abs(float64(at[0].Y-at[1].Y) - metre*(right[c.up]-left[c.up])); y > 0.1 {
				t.Errorf("%s, %s: the points are %.3f mm off up the sheet", name, l, y)
			}
			// The masks stand further apart, and show a scale that is off by little.
			var heads []draw.Pt
			for _, o := range all {
				if (o.width == "0.4" || o.width == "0.45") && math.Abs(float64(o.box.W-o.box.H)) < 0.01 && float64(o.box.W) > 0.2*metre && float64(o.box.W) < 0.26*metre {
					heads = append(heads, o.mid())
				}
			}
			if apart := head(tab, mark.Right)[0] - head(tab, mark.Left)[0]; len(heads) != 2 || math.Abs(float64(heads[1].X-heads[0].X)-metre*apart) > 0.1 {
				t.Errorf("%s, %s: the masks %v are not %.3f m apart", name, l, heads, apart)
			}
			if metre < 15 {
				t.Errorf("%s, %s: a metre is %.1f mm", name, l, metre)
			}
			// The floor, or the edges of the strip, are where they are.
			if name == "side" {
				floor := draw.MM(0)
				for _, o := range all {
					if o.stroke == th.Quiet.CSS() && o.width == "0.5" && o.n == 2 {
						floor = o.first.Y
					}
				}
				if off := math.Abs(float64(floor-at[0].Y) - metre*left[2]); off > 0.1 {
					t.Errorf("%s: left’s point is %.3f mm off over the floor", l, off)
				}
			} else {
				var edges []draw.MM
				for _, o := range all {
					if o.stroke == th.Quiet.CSS() && o.width == "0.35" && o.n == 2 {
						edges = append(edges, o.first.Y)
					}
				}
				if len(edges) != 2 || math.Abs(math.Abs(float64(edges[1]-edges[0]))-metre*piste.Width) > 0.1 {
					t.Errorf("%s: the strip has its edges at %v", l, edges)
				}
			}
		}
	}
}

// The arcs of the side view lie as far from the point as the reach says.
func TestSideArcsAreToScale(t *testing.T) {
	r, tab := inSpace(t)
	th := draw.Paper()
	d, err := sideOf(r, tab, Options{})
	if err != nil {
		t.Fatal(err)
	}
	all := outlines(t, d)
	at, metre := tips(t, all, th), float64(bar(t, all, th))
	found := 0
	for _, a := range plate.ArcsShown(&tab) {
		for _, o := range all {
			if o.stroke != plate.Hue(th, a.Of).CSS() || o.width != "0.35" || o.n != len(a.Places) {
				continue
			}
			from := math.Hypot(float64(o.first.X-at[a.Of].X), float64(o.first.Y-at[a.Of].Y))
			to := math.Hypot(float64(o.last.X-at[a.Of].X), float64(o.last.Y-at[a.Of].Y))
			if math.Abs(from-metre*float64(a.Reach.Mean)) < 0.1 && math.Abs(to-from) < 0.1 {
				found++
			}
		}
	}
	if found != 4 {
		t.Errorf("%d of 4 arcs are drawn at their reach", found)
	}
}

// spacePictures are plan, side and ladder in their forms.
func spacePictures(t *testing.T, names plate.Naming) map[string]*draw.Drawing {
	t.Helper()
	all := map[string]*draw.Drawing{}
	r, tab := inSpace(t)
	whole := inBout(t)
	bare := *whole
	bare.Tactics = nil
	for _, l := range plate.Layouts {
		for _, th := range []draw.Theme{draw.Paper(), draw.Night(), draw.Print()} {
			o := Options{Layout: l, Theme: th, Names: names}
			for kind, made := range map[string]func() (*draw.Drawing, error){
				"plan":        func() (*draw.Drawing, error) { return planOf(r, tab, o) },
				"side":        func() (*draw.Drawing, error) { return sideOf(r, tab, o) },
				"ladder":      func() (*draw.Drawing, error) { return Ladder(whole, o) },
				"ladder-bare": func() (*draw.Drawing, error) { return Ladder(&bare, o) },
			} {
				d, err := made()
				if err != nil {
					t.Fatal(err)
				}
				all[kind+"-"+l.String()+"-"+th.Name] = d
			}
		}
	}
	return all
}

func TestSpaceGolden(t *testing.T) {
	all, twice := spacePictures(t, plate.Named), spacePictures(t, plate.Named)
	kept := map[string]*draw.Drawing{}
	for name, d := range all {
		if string(svg(t, d)) != string(svg(t, twice[name])) {
			t.Errorf("%s: drawn twice, it differs", name)
		}
		if strings.HasSuffix(name, "-wide-paper") || strings.HasSuffix(name, "-phone-print") {
			kept[name] = d
		}
	}
	held(t, "testdata/space", kept)
}

// Titles state a finding, no words lie on others or outside the sheet, names can be left
// out.
func TestSpaceWordsStandFreeAndOnTheSheet(t *testing.T) {
	for _, names := range []plate.Naming{plate.Named, plate.Anonymous} {
		for name, d := range spacePictures(t, names) {
			if !strings.ContainsAny(d.Title, "0123456789") || len(d.Desc) < 60 || !strings.Contains(d.Source, "invented") {
				t.Errorf("%s: title %q, desc %q, source %q", name, d.Title, d.Desc, d.Source)
			}
			lines := d.Lines()
			for i, a := range lines {
				if b := a.Box(); b.X < 1 || b.Right() > d.W-1 || b.Y < 1 || b.Bottom() > d.H {
					t.Errorf("%s: %q stands at %v, outside the sheet", name, a.S, b)
				}
				if names == plate.Anonymous && (strings.Contains(a.S, "Maren") || strings.Contains(a.S, "Harbour")) {
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

// What cannot be told is said plainly.
func TestSideSaysNoMoreThanItsInterval(t *testing.T) {
	r, tab := inSpace(t)
	for want, up := range map[string]float64{"Left’s point is higher by": 0.05, "Right’s point is higher by": -0.05, "Which point is higher cannot be told": 0.01} {
		for i := range tab.Between {
			if tab.Between[i].What == mark.Point {
				tab.Between[i].Up = quantity.Normal(quantity.Metres(up), 0.012)
			}
		}
		d, err := sideOf(r, tab, Options{})
		if err != nil {
			t.Fatal(err)
		}
		if !strings.HasPrefix(d.Title, want) || strings.Contains(d.Title, "−") {
			t.Errorf("%v m: %q", up, d.Title)
		}
	}
}

func TestSpaceWithLittleOrNothing(t *testing.T) {
	r, tab := inSpace(t)
	if _, err := Plan(r, study.At{Take: "live", Frame: 42}, Options{}); !errors.Is(err, ErrNoPlan) { // the fixture has no camera
		t.Errorf("Plan: %v", err)
	}
	if _, err := Side(r, study.At{Take: "live", Frame: 42}, Options{}); !errors.Is(err, ErrNoPlan) {
		t.Errorf("Side: %v", err)
	}
	// One fencer, one point, no number at all, far apart.
	tab.Spots[mark.Right], tab.Between, tab.Gaps, tab.Ends, tab.Arcs = nil, nil, nil, nil, nil
	tab.Spots[mark.Left] = tab.Spots[mark.Left][:1]
	tab.Spots[mark.Left] = append(tab.Spots[mark.Left], study.Spot{What: mark.Hip, Place: quantity.Joint{Mean: []float64{math.NaN(), 0, 0}, Cov: make([]float64, 9)}})
	for _, made := range []func(*study.Reading, study.Tableau, Options) (*draw.Drawing, error){planOf, sideOf} {
		d, err := made(r, tab, Options{})
		if err != nil {
			t.Fatal(err)
		}
		if s := string(svg(t, d)); strings.Contains(s, "NaN") || strings.Contains(s, "Inf") {
			t.Error("the picture has a number that is none")
		}
	}
}

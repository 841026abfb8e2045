package chart

import (
	"errors"
	"fmt"
	"math"
	"strings"
	"testing"

	"mesure/show/draw"
	"mesure/show/plate"
	"mesure/sport/bout"
	"mesure/sport/mark"
	"mesure/study"
)

// fenced is the reading of a made-up bout of these outcomes: l, r, d and - for nobody.
func fenced(t testing.TB, to int, outcomes string) *study.BoutReading {
	t.Helper()
	b := bout.Bout{Weapon: bout.Epee, Touches: to, Event: "Harbour Cup", Left: bout.Fencer{Name: "Ash"}, Right: bout.Fencer{Name: "Brook"}}
	for _, o := range outcomes {
		b.Sheet = append(b.Sheet, bout.Phrase{Lamps: bout.Lamps{Left: o == 'l' || o == 'd', Right: o == 'r' || o == 'd'}})
	}
	lines, doubts := study.SheetLines(b)
	r, err := study.BoutRead(study.BoutAsk{Bout: b, Lines: lines, Doubts: doubts})
	if err != nil {
		t.Fatal(err)
	}
	return r
}

const pooled = "lrd-lrdlrdl"

// TestBoutChartSaysItsNumbers: every touch stands in the description with the numbers
// of the reading, the score along the axis, a void double by its word.
func TestBoutChartSaysItsNumbers(t *testing.T) {
	r := fenced(t, 6, pooled)
	d, err := Bout(r, Options{})
	if err != nil {
		t.Fatal(err)
	}
	for _, x := range r.Touches {
		want := fmt.Sprintf("Touch %d: ", x.Number)
		if i := strings.Index(d.Desc, want); i < 0 || !strings.Contains(d.Desc[i:], plate.Percent(x.After)+"; "+plate.Percent(x.Before.Importance)) {
			t.Errorf("touch %d is not described: %s", x.Number, d.Desc)
		}
	}
	if heavy := r.Touches[r.Heaviest]; !strings.Contains(d.Title, fmt.Sprintf("Touch %d,", heavy.Number)) || !strings.Contains(d.Title, plate.Percent(heavy.Before.Importance)) {
		t.Errorf("the title is %q", d.Title)
	}
	s := strings.Join(linesOf(d), "\n")
	for _, want := range []string{"Harbour Cup", "Ash hit", "Brook hit", "no hit", "void", "half a count added to each", "void double"} {
		if !strings.Contains(s+d.Desc, want) {
			t.Errorf("%q is not said", want)
		}
	}
	if _, err := Bout(&study.BoutReading{}, Options{}); !errors.Is(err, ErrNoBout) {
		t.Errorf("an empty bout: %v", err)
	}
}

// TestBoutChartStandsToScale: the sign of each touch stands where its chance is, found
// again in the pixels of the picture: the left fencer's square, whose hue is nowhere
// else in the plot.
func TestBoutChartStandsToScale(t *testing.T) {
	r := fenced(t, 5, "llllr")
	o := Options{Bare: true}.themed()
	d, err := Bout(r, o)
	if err != nil {
		t.Fatal(err)
	}
	const width = 1800
	img := d.Raster(width)
	scale := float64(d.W) / width
	c := &boutChart{o: o, r: r}
	b := c.frame(draw.Box{X: o.Layout.Margin(), Y: headHeight + boutNames, W: o.inner(), H: boutPlot})
	hue := plate.Hue(o.Theme, mark.Left)
	for i, x := range r.Touches[:4] {
		at := c.x(b, i)
		sum, n := 0.0, 0
		for py := range int(float64(b.Bottom()+1) / scale) {
			if float64(py)*scale < float64(b.Y)-2 {
				continue
			}
			p := img.RGBAAt(int(float64(at)/scale), py)
			if abs(int(p.R)-int(hue.R))+abs(int(p.G)-int(hue.G))+abs(int(p.B)-int(hue.B)) < 12 {
				sum, n = sum+float64(py)+0.5, n+1
			}
		}
		if n == 0 {
			t.Fatalf("touch %d has no sign", x.Number)
		}
		got := (float64(b.Bottom()) - sum/float64(n)*scale) / float64(b.H)
		if math.Abs(got-float64(x.After.Mean)) > 0.01 {
			t.Errorf("touch %d stands at %.3f, its chance is %.3f", x.Number, got, x.After.Mean)
		}
	}
}

func abs(n int) int { return max(n, -n) }

// TestBoutChartBreaksAtGaps: where touches are missing the line begins anew.
func TestBoutChartBreaksAtGaps(t *testing.T) {
	s, err := study.ReadScoreSheet("touch,left,right\n1,1,0\n2,4,0\n3,4,1\n4,4,2\n", bout.Bout{Touches: 15})
	if err != nil {
		t.Fatal(err)
	}
	r, err := study.BoutRead(study.BoutAsk{Bout: bout.Bout{Touches: 15}, Lines: s.Lines})
	if err != nil {
		t.Fatal(err)
	}
	runs := (&boutChart{r: r}).runs()
	if len(runs) != 2 || len(runs[0]) != 2 || len(runs[1]) != 3 || runs[1][0].win != r.Touches[1].Before.Win {
		t.Errorf("the line runs as %+v", runs)
	}
}

// TestBoutChartHasRoom: nothing is written beyond the sheet or over its neighbour, for
// one touch, a long bout and a relay, on paper and on the phone.
func TestBoutChartHasRoom(t *testing.T) {
	relay := strings.Repeat("lrdlr", 14)
	for name, r := range map[string]*study.BoutReading{"one": fenced(t, 15, "l"), "pool": fenced(t, 6, pooled), "long": fenced(t, 15, strings.Repeat("lr-d", 7)), "relay": fenced(t, 45, relay), "void": fenced(t, 5, strings.Repeat("d", 40)+"l")} {
		for _, layout := range plate.Layouts {
			for _, th := range []draw.Theme{draw.Paper(), draw.Night()} {
				d, err := Bout(r, Options{Layout: layout, Theme: th, HideNames: true})
				if err != nil {
					t.Fatal(err)
				}
				var boxes []draw.Box
				for _, l := range d.Lines() {
					b := l.Box()
					if b.X < 0 || b.Right() > d.W+0.01 || b.Y < 0 || b.Bottom() > d.H {
						t.Errorf("%s, %v: %q runs off the sheet", name, layout, l.S)
					}
					for _, o := range boxes {
						if b.Grow(-0.3).Meets(o.Grow(-0.3)) {
							t.Errorf("%s, %v: %q lies on another line", name, layout, l.S)
						}
					}
					boxes = append(boxes, b)
					if strings.Contains(l.S, "Ash") || strings.Contains(l.S, "Harbour") {
						t.Errorf("a hidden name: %q", l.S)
					}
				}
				if strings.Contains(d.Desc+d.Title, "Ash") {
					t.Errorf("a hidden name in %q", d.Desc)
				}
			}
		}
	}
}

package stave

import (
	"bytes"
	"flag"
	"math"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"mesure/quantity"
	"mesure/show/draw"
	"mesure/show/plate"
	"mesure/sport/bout"
	"mesure/sport/mark"
	"mesure/study"
)

var update = flag.Bool("update", false, "write the golden files anew")

func TestGolden(t *testing.T) {
	want := map[string]bool{}
	for name, s := range staves(t) {
		file := filepath.Join("testdata", name+".svg")
		want[file] = true
		var b bytes.Buffer
		if err := s.Drawing.SVG(&b); err != nil {
			t.Fatal(err)
		}
		if *update {
			if err := os.MkdirAll("testdata", 0o755); err != nil {
				t.Fatal(err)
			}
			if err := os.WriteFile(file, b.Bytes(), 0o644); err != nil {
				t.Fatal(err)
			}
		}
		old, err := os.ReadFile(file)
		if err != nil {
			t.Errorf("a golden file is missing: %v", err)
		} else if !bytes.Equal(old, b.Bytes()) {
			t.Errorf("%s differs from what is drawn now; look at it and run with -update", file)
		}
		if live, err := s.SVG("stave"); err != nil || len(live) > 48<<10 {
			t.Errorf("%s has %d bytes on the desk, %v: too much to be redrawn under the hand", file, len(live), err)
		}
	}
	kept, err := filepath.Glob("testdata/*.svg")
	if err != nil {
		t.Fatal(err)
	}
	for _, f := range kept {
		if !want[f] {
			t.Errorf("%s is a golden file of nothing", f)
		}
	}
}

// MESURE_SPECIMEN names a folder to put the staves in, to be looked at.
func TestSpecimensToLookAt(t *testing.T) {
	dir := os.Getenv("MESURE_SPECIMEN")
	if dir == "" {
		t.Skip("set MESURE_SPECIMEN to a folder to get the staves")
	}
	for name, s := range staves(t) {
		for _, width := range []int{390, 1400} {
			f, err := os.Create(filepath.Join(dir, "stave-"+name+"-"+strconv.Itoa(width)+".png"))
			if err != nil {
				t.Fatal(err)
			}
			if err := s.Drawing.PNG(f, width); err != nil {
				t.Fatal(err)
			}
			f.Close()
		}
	}
}

// Nothing may stand outside the sheet, and no two words on each other.
func TestWordsStandFreeAndOnTheSheet(t *testing.T) {
	n := 0
	for name, s := range staves(t) {
		lines := s.Drawing.Lines()
		for i, a := range lines {
			n++
			b := a.Box()
			if b.X < 0.5 || b.Right() > s.Drawing.W-0.5 || b.Y < 0 || b.Bottom() > s.Drawing.H {
				t.Errorf("%s: %q stands at %v, outside the sheet", name, a.S, b)
			}
			for _, o := range lines[i+1:] {
				if b.Meets(o.Box()) {
					t.Errorf("%s: %q lies on %q", name, a.S, o.S)
				}
			}
		}
	}
	if n == 0 {
		t.Error("no words were checked")
	}
}

// The six lines stand in order: feet outermost, blades innermost, mirrored.
func TestTheLinesAreAMirror(t *testing.T) {
	s := Draw(bare(t), Options{Bare: true})
	want := []Line{{Who: mark.Left, Line: "feet"}, {Who: mark.Left, Line: "hand"}, {Who: mark.Left, Line: "blade"},
		{Who: mark.Right, Line: "blade"}, {Who: mark.Right, Line: "hand"}, {Who: mark.Right, Line: "feet"}}
	if len(s.Lines) != len(want) {
		t.Fatalf("%d lines", len(s.Lines))
	}
	for i, l := range s.Lines {
		if l.Who != want[i].Who || l.Line != want[i].Line {
			t.Errorf("line %d is %v %s", i, l.Who, l.Line)
		}
		if i > 0 && l.Y < s.Lines[i-1].Y+s.Lines[i-1].H-1e-9 {
			t.Errorf("line %d stands on the one before", i)
		}
	}
	if up, down := s.Lines[3].Y-s.Lines[2].Y-s.Lines[2].H, 10.0; float64(up) < down {
		t.Errorf("only %v mm between the blades", up)
	}
	if s.T0 != 0 || math.Abs(float64(s.T1)-2.4) > 1e-9 || len(s.Clocks) != 1 || len(s.Clocks[0].Times) != 121 {
		t.Errorf("from %v to %v, clocks %v", s.T0, s.T1, s.Clocks)
	}
}

// The white space is as high as the measure says, at every measured instant.
func TestTheWhiteSpaceIsToScale(t *testing.T) {
	r := phrase(t)
	f := &figure{o: Options{}, r: r}
	f.reach = reachOf(gauges(r))
	if f.reach != 2 {
		t.Fatalf("the white space holds %v m", f.reach)
	}
	for i, want := range []float64{1.62, 1.22, 0.88, 0.02} {
		g := gauges(r)[i]
		if math.Abs(float64(g.gap.Gap.Mean)-want) > 1e-12 {
			t.Errorf("instant %d: %v, not the smaller of the two, %v", i, g.gap.Gap.Mean, want)
		}
	}
	s := Draw(r, Options{Phrase: true})
	if !strings.HasPrefix(s.Drawing.Title, "The measure closes from 1.62") {
		t.Errorf("finding %q", s.Drawing.Title)
	}
}

// Every measure that has room beside it is printed, with its doubt.
func TestTheMeasuresArePrinted(t *testing.T) {
	for _, o := range []Options{{Phrase: true}, {Bare: true, W: 210, H: 60, From: 0.7, To: 1.9}} {
		said := ""
		for _, l := range Draw(phrase(t), o).Drawing.Lines() {
			said += l.S + "\n"
		}
		for _, g := range gauges(phrase(t)) {
			if !strings.Contains(said, plate.Metres(g.gap.Gap)+"\n") {
				t.Errorf("%+v: %s is not printed", o, plate.Metres(g.gap.Gap))
			}
		}
	}
}

// Without a measure nothing looks like one.
func TestWithoutAMeasureItSaysSo(t *testing.T) {
	s, err := Draw(bare(t), Options{Bare: true}).SVG("stave")
	if err != nil {
		t.Fatal(err)
	}
	if !strings.Contains(s, "not measured yet") || strings.Contains(s, "±") {
		t.Error("an empty stave must say that nothing is measured")
	}
	if !strings.HasPrefix(s, "<svg") || strings.Contains(s, "style=") || strings.Contains(s, "<style") {
		t.Error("the element must do without styles of its own")
	}
}

// Whatever is missing of the inputs, there is a stave.
func TestAnythingMayBeMissing(t *testing.T) {
	nan := quantity.Seconds(math.NaN())
	for name, change := range map[string]func(*study.Reading){
		"no video":      func(r *study.Reading) { r.Clips = nil },
		"no take":       func(r *study.Reading) { r.Touch.Takes = nil },
		"nothing":       func(r *study.Reading) { *r = study.Reading{Touch: &study.Touch{}} },
		"not a number":  func(r *study.Reading) { r.Moments[0].At.Mean = nan; r.Instants[0].At.Mean = nan },
		"no gaps":       func(r *study.Reading) { r.Instants[1].Gaps = nil },
		"strange line":  func(r *study.Reading) { r.Touch.Actions[0].Line = "head" },
		"strange frame": func(r *study.Reading) { r.Touch.Actions[0].To = 9999 },
		"backwards":     func(r *study.Reading) { r.Touch.Actions[0].From, r.Touch.Actions[0].To = 90, 40 },
		"one frame":     func(r *study.Reading) { r.Touch.Takes[0].To = 0 },
		"two at once":   func(r *study.Reading) { r.Instants[1].At = r.Instants[0].At },
		"negative gap":  func(r *study.Reading) { r.Instants[3].Gaps[0].Gap = quantity.Normal[quantity.Metres](-0.1, 0.3) },
	} {
		for _, o := range []Options{{}, {Bare: true}, {Phrase: true}, {From: 1, To: 1.00001}, {From: 50, To: 60}, {From: 1.3, To: 1.35}} {
			r := phrase(t)
			change(r)
			s := Draw(r, o)
			if _, err := s.SVG(""); err != nil {
				t.Errorf("%s, %+v: %v", name, o, err)
			}
			if len(s.Lines) != 6 || !(s.T1 > s.T0) || !(s.X1 > s.X0) {
				t.Errorf("%s, %+v: %v", name, o, s)
			}
		}
	}
}

// The desk lays its handles over the picture: what is written must not move it.
func TestTheDesksLinesStayWhereTheyAre(t *testing.T) {
	empty, full := Draw(bare(t), Options{Bare: true}), Draw(crowded(t), Options{Bare: true})
	if empty.Drawing.H != full.Drawing.H {
		t.Errorf("%v high empty, %v full", empty.Drawing.H, full.Drawing.H)
	}
	for i := range empty.Lines {
		if empty.Lines[i] != full.Lines[i] {
			t.Errorf("line %d: %v, then %v", i, empty.Lines[i], full.Lines[i])
		}
	}
}

// A bare stave fills the room of the desk.
func TestTheDesksRoomIsFilled(t *testing.T) {
	for _, room := range [][2]draw.MM{{210, 53}, {92, 54}, {400, 90}} {
		s := Draw(phrase(t), Options{Bare: true, W: room[0], H: room[1]})
		if s.Drawing.W != room[0] || math.Abs(float64(s.Drawing.H-room[1])) > 1e-9 {
			t.Errorf("%v became %v × %v", room, s.Drawing.W, s.Drawing.H)
		}
	}
	s := Draw(phrase(t), Options{Bare: true, W: 210, H: 10})
	if s.Lines[0].Y < 24*Pixel {
		t.Errorf("the hand has %v mm above the staves", s.Lines[0].Y)
	}
	for _, l := range s.Lines {
		if l.H < 24*Pixel {
			t.Errorf("the hand has %v mm to hit %v %s", l.H, l.Who, l.Line)
		}
	}
}

// Heads lean with the action, and the fencers keep their shapes.
func TestHeadsLean(t *testing.T) {
	for _, who := range mark.Sides {
		wide := func(l bout.Lean) float64 { return float64(head(who, l, draw.Pt{}).Bounds().W) }
		if wide(bout.Forward) <= wide(bout.Level) || math.Abs(wide(bout.Forward)-wide(bout.Back)) > 1e-9 {
			t.Errorf("%v: %v level, %v forward, %v back", who, wide(bout.Level), wide(bout.Forward), wide(bout.Back))
		}
	}
}

func TestTheNamesOfAllMomentsAreSaid(t *testing.T) {
	for _, l := range plate.Layouts {
		r := crowded(t)
		s := Draw(r, Options{Layout: l, Phrase: true})
		all := s.Drawing.Desc
		for _, line := range s.Drawing.Lines() {
			all += "\n" + line.S
		}
		for _, m := range r.Moments {
			if !strings.Contains(all, plate.Typeset(m.Moment.Name)) {
				t.Errorf("%v: %q is nowhere", l, m.Moment.Name)
			}
		}
	}
}

func TestWithoutAReadingItPanics(t *testing.T) {
	defer func() {
		if m, ok := recover().(string); !ok || !strings.HasPrefix(m, "stave: ") {
			t.Errorf("recovered %v", m)
		}
	}()
	Draw(nil, Options{})
}

func BenchmarkStave(b *testing.B) {
	r := crowded(b)
	for b.Loop() {
		s, err := Draw(r, Options{Bare: true}).SVG("stave")
		if err != nil {
			b.Fatal(err)
		}
		b.ReportMetric(float64(len(s)), "B/svg")
	}
}

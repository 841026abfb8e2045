package chart

import (
	"bytes"
	"errors"
	"flag"
	"maps"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"

	"mesure/quantity"
	"mesure/show/draw"
	"mesure/show/plate"
	"mesure/show/specimen"
	"mesure/sport/mark"
	"mesure/study"
)

var update = flag.Bool("update", false, "write the golden files anew")

// reading loads the invented reading that the tests of package plate write.
func reading(t testing.TB) *study.Reading { return specimen.Reading(t) }

// retreating is a race in which the left fencer draws back out of reach.
func retreating(t testing.TB) *study.Reading {
	r := reading(t)
	run := &r.Race.Runs[mark.Right]
	for i := range run.Closing {
		run.Closing[i] = -quantity.Metres(0.4 * math.Min(1, float64(i)/60))
	}
	run.Arrival = quantity.Normal[quantity.Seconds](0.61, 0.05)
	left := &r.Race.Runs[mark.Left]
	left.Arrival = quantity.Of[quantity.Seconds]{Mean: quantity.Seconds(math.NaN())}
	left.Arrives = 0.01
	r.Race.Margin = quantity.Of[quantity.Seconds]{Mean: quantity.Seconds(math.NaN())}
	r.Race.LeftOnly, r.Race.Both = quantity.Exactly[quantity.Chance](0), quantity.Exactly[quantity.Chance](0)
	r.Race.RightOnly, r.Race.Neither = quantity.Normal[quantity.Chance](0.7, 0.01), quantity.Normal[quantity.Chance](0.3, 0.01)
	r.Race.Finding = "Left is out of measure; right arrives in seven draws of ten"
	return r
}

// early is a race in which the right point arrives at once and the left one late.
func early(t testing.TB) *study.Reading {
	r := reading(t)
	left, right := &r.Race.Runs[mark.Left], &r.Race.Runs[mark.Right]
	right.Onset, right.Arrival, right.Arrives = quantity.Exactly[quantity.Seconds](0), quantity.Normal[quantity.Seconds](0.16, 0.06), 1
	left.Arrival = quantity.Normal[quantity.Seconds](0.52, 0.1)
	r.Race.Margin = quantity.Normal[quantity.Seconds](-0.36, 0.12)
	r.Race.Finding = "Right arrives first"
	r.Race.Matters = nil
	return r
}

// wordy is a race with the longest words, and one number that is not known.
func wordy(t testing.TB) *study.Reading {
	r := early(t)
	for s := range r.Race.Runs {
		r.Race.Runs[s].Action, r.Race.Runs[s].Target = "step-lunge", mark.UpperArm
	}
	nan := quantity.Seconds(math.NaN())
	r.Race.Runs[mark.Left].Onset = quantity.Of[quantity.Seconds]{Mean: nan, SD: nan, Lo: nan, Hi: nan}
	r.Race.Runs[mark.Right].Gap.Hi = quantity.Metres(math.Inf(1))
	r.Race.Window.Hi = nan
	return r
}

func charts(t testing.TB) map[string]*draw.Drawing {
	all := map[string]*draw.Drawing{}
	for _, l := range plate.Layouts {
		for _, th := range []draw.Theme{draw.Paper(), draw.Night()} {
			for name, r := range map[string]*study.Reading{"race": reading(t), "retreat": retreating(t), "early": early(t), "wordy": wordy(t)} {
				d, err := Race(r, Options{Layout: l, Theme: th})
				if err != nil {
					t.Fatal(err)
				}
				all[name+"-"+l.String()+"-"+th.Name] = d
			}
			m, err := Motion(falling(t), 0, Options{Layout: l, Theme: th, Bare: l == plate.Phone})
			if err != nil {
				t.Fatal(err)
			}
			all["motion-"+l.String()+"-"+th.Name] = m.Drawing
		}
	}
	return all
}

func svg(t testing.TB, d *draw.Drawing) []byte {
	t.Helper()
	var b bytes.Buffer
	if err := d.SVG(&b); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

// held holds drawings against the golden files of a folder, by their names; a file without
// a drawing fails as well.
func held(t *testing.T, dir string, all map[string]*draw.Drawing) {
	t.Helper()
	want := map[string]bool{}
	for _, name := range slices.Sorted(maps.Keys(all)) {
		file := filepath.Join(dir, name+".svg")
		want[file] = true
		b := svg(t, all[name])
		if *update {
			if err := os.MkdirAll(dir, 0o755); err != nil {
				t.Fatal(err)
			}
			if err := os.WriteFile(file, b, 0o644); err != nil {
				t.Fatal(err)
			}
		}
		old, err := os.ReadFile(file)
		if err != nil {
			t.Errorf("a golden file is missing: %v", err)
		} else if !bytes.Equal(old, b) {
			t.Errorf("%s differs from what is drawn now; look at it and run with -update", file)
		}
	}
	files, err := filepath.Glob(filepath.Join(dir, "*.svg"))
	if err != nil {
		t.Fatal(err)
	}
	for _, f := range files {
		if !want[f] {
			t.Errorf("%s is a golden file of nothing", f)
		}
	}
}

func TestGolden(t *testing.T) { held(t, "testdata", charts(t)) }

// MESURE_SPECIMEN names a folder to put the charts in, to be looked at.
func TestSpecimensToLookAt(t *testing.T) {
	dir := os.Getenv("MESURE_SPECIMEN")
	if dir == "" {
		t.Skip("set MESURE_SPECIMEN to a folder to get the charts")
	}
	for name, d := range charts(t) {
		for _, width := range []int{390, 1400} {
			f, err := os.Create(filepath.Join(dir, name+"-"+strconv.Itoa(width)+".png"))
			if err != nil {
				t.Fatal(err)
			}
			if err := d.PNG(f, width); err != nil {
				t.Fatal(err)
			}
			f.Close()
		}
	}
}

func TestNoRaceIsANamedError(t *testing.T) {
	r := reading(t)
	r.Race = nil
	if _, err := Race(r, Options{}); !errors.Is(err, ErrNoRace) {
		t.Errorf("no race gives %v", err)
	}
}

func TestWithoutAReadingItPanics(t *testing.T) {
	defer func() {
		if m, ok := recover().(string); !ok || !strings.HasPrefix(m, "chart: ") {
			t.Errorf("recovered %v", m)
		}
	}()
	Race(nil, Options{})
}

// Nothing may stand outside the sheet, and no two words on each other.
func TestWordsStandFreeAndOnTheSheet(t *testing.T) {
	n := 0
	for name, d := range charts(t) {
		lines := d.Lines()
		for i, a := range lines {
			n++
			b := a.Box()
			if b.X < 1 || b.Right() > d.W-1 || b.Y < 1 || b.Bottom() > d.H {
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

// What stands on the page beside a bare race is not in it; what only it says is.
func TestABareRaceLeavesTheRestToThePage(t *testing.T) {
	r := reading(t)
	d, err := Race(r, Options{Layout: plate.Phone, Bare: true})
	if err != nil {
		t.Fatal(err)
	}
	whole, _ := Race(r, Options{Layout: plate.Phone})
	if d.H >= whole.H*0.75 {
		t.Errorf("bare %v mm, whole %v mm", d.H, whole.H)
	}
	said := ""
	for _, l := range d.Lines() {
		said += l.S + "\n"
		if l.Box().Bottom() > d.H || l.Box().Y < 0 {
			t.Errorf("%q stands outside", l.S)
		}
	}
	if strings.Contains(said, "What the lamps") || strings.Contains(said, r.Race.Finding) {
		t.Errorf("too much is said:\n%s", said)
	}
	for _, want := range []string{"double window", "metres from the point"} {
		if !strings.Contains(said, want) {
			t.Errorf("%q is missing:\n%s", want, said)
		}
	}
}

func TestTheChartSaysWhatTheRaceFound(t *testing.T) {
	r := reading(t)
	for _, l := range plate.Layouts {
		d, err := Race(r, Options{Layout: l})
		if err != nil {
			t.Fatal(err)
		}
		s := string(svg(t, d))
		for _, want := range []string{"<title>" + r.Race.Finding, plate.Percent(r.Race.LeftOnly), plate.Percent(r.Race.Both), plate.Metres(r.Race.Runs[mark.Left].Gap),
			plate.Milliseconds(r.Race.Runs[mark.Right].Arrival), plate.Milliseconds(r.Race.Window), "red lamp", "seed 7"} {
			if !strings.Contains(s, strings.ReplaceAll(want, "<", "&lt;")) && !strings.Contains(s, want) {
				t.Errorf("%s: the chart does not say %q", l, want)
			}
		}
	}
}

// The number of an arrival must not lie on the mark of its fencer.
func TestNumbersStandClearOfTheStart(t *testing.T) {
	n := 0
	for name, d := range charts(t) {
		for _, l := range d.Lines() {
			if strings.Contains(l.S, "±") && strings.HasSuffix(l.S, nb+"ms") {
				n++
				if x := l.Box().X; x < d.W*0.05+2.6+2 {
					t.Errorf("%s: %q begins at %.1f mm", name, l.S, x)
				}
			}
		}
	}
	if n == 0 {
		t.Error("no number was checked")
	}
}

func TestAfterReadsBetweenTheSteps(t *testing.T) {
	series := []quantity.Metres{0, 1, 3}
	for _, c := range []struct {
		at   quantity.Seconds
		want quantity.Metres
	}{{-1, 0}, {0, 0}, {0.005, 0.5}, {0.010, 1}, {0.015, 2}, {0.020, 3}, {9, 3}} {
		if got := after(series, c.at); math.Abs(float64(got-c.want)) > 1e-12 {
			t.Errorf("after %v s: %v, not %v", c.at, got, c.want)
		}
	}
	if got := after(nil, 1); got != 0 {
		t.Errorf("without a series: %v", got)
	}
}

func TestTheMarginIsSaidFromTheSideThatIsEarlier(t *testing.T) {
	r := reading(t).Race
	r.Margin = quantity.Normal[quantity.Seconds](-0.030, 0.010)
	if got := marginWords(r); !strings.HasPrefix(got, "Right is earlier by 30"+nb+"±"+nb+"10"+nb+"ms") {
		t.Errorf("said %q", got)
	}
	if got := marginWords(r); strings.Contains(got, "both arrive") {
		t.Errorf("%q tells of draws in which one does not arrive, and nothing is known of them", got)
	}
	r.BothArrive = quantity.FromCounts(680, 1000)
	if got := marginWords(r); !strings.Contains(got, "The margin counts only the draws in which both arrive, 68 of 100.") {
		t.Errorf("%q does not say over what the margin is taken", got)
	}
}

func BenchmarkRace(b *testing.B) {
	r := reading(b)
	for b.Loop() {
		if _, err := Race(r, Options{}); err != nil {
			b.Fatal(err)
		}
	}
}

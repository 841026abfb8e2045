package chart

import (
	"maps"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"

	"mesure/show/draw"
	"mesure/show/plate"
)

// technique is every picture of parry, footwork, starts, fit and reliability, in both
// layouts and on both grounds.
func technique(t testing.TB) map[string]*draw.Drawing {
	all := map[string]*draw.Drawing{}
	for _, l := range plate.Layouts {
		for _, th := range []draw.Theme{draw.Paper(), draw.Night()} {
			for _, kind := range techniqueKinds {
				d, err := kind.draw(t, Options{Layout: l, Theme: th})
				if err != nil {
					t.Fatalf("%s: %v", kind.name, err)
				}
				all[kind.name+"-"+l.String()+"-"+th.Name] = d
			}
		}
	}
	return all
}

type techniqueKind struct {
	name string
	draw func(t testing.TB, o Options) (*draw.Drawing, error)
}

var techniqueKinds = []techniqueKind{
	{"parry", func(t testing.TB, o Options) (*draw.Drawing, error) { return Parry(coming(t, parrySeen(t)), o) }},
	{"parry-seen", func(t testing.TB, o Options) (*draw.Drawing, error) { return ParrySeen(parrySeen(t), o) }},
	{"parry-low", func(t testing.TB, o Options) (*draw.Drawing, error) { return Parry(low(t), o) }},
	{"stand", func(t testing.TB, o Options) (*draw.Drawing, error) { return Stand(standing(t), o) }},
	{"stand-running", func(t testing.TB, o Options) (*draw.Drawing, error) { return Stand(running(t), o) }},
	{"stand-alone", func(t testing.TB, o Options) (*draw.Drawing, error) { return Stand(alone(t), o) }},
	{"started", func(t testing.TB, o Options) (*draw.Drawing, error) { return Started(starts(t), o) }},
	{"started-close", func(t testing.TB, o Options) (*draw.Drawing, error) { return Started(startsOf(t, 4, 5), o) }},
	{"fit", func(t testing.TB, o Options) (*draw.Drawing, error) { return Fit(fits(t), 0, o) }},
	{"fit-arm", func(t testing.TB, o Options) (*draw.Drawing, error) { return Fit(fits(t), 1, o) }},
	{"reliability", func(t testing.TB, o Options) (*draw.Drawing, error) { return Reliability(trusted(t), o) }},
	{"parry-aside", func(t testing.TB, o Options) (*draw.Drawing, error) { return Parry(aside(t), o) }},
}

func TestTechniqueGolden(t *testing.T) {
	all := technique(t)
	// Each layout once and each ground once: the other two hold nothing that is new.
	maps.DeleteFunc(all, func(name string, _ *draw.Drawing) bool {
		return !strings.HasSuffix(name, "-wide-paper") && !strings.HasSuffix(name, "-phone-night")
	})
	held(t, filepath.Join("testdata", "technique"), all)
}

// Nothing may stand outside the sheet, and no two words on each other.
func TestTechniqueWordsStandFreeAndOnTheSheet(t *testing.T) {
	n := 0
	all := technique(t)
	for _, kind := range techniqueKinds {
		d, err := kind.draw(t, Options{Layout: plate.Phone, Bare: true})
		if err != nil {
			t.Fatal(err)
		}
		all[kind.name+"-bare"] = d
	}
	for _, name := range slices.Sorted(maps.Keys(all)) {
		d := all[name]
		lines := d.Lines()
		for i, a := range lines {
			n++
			b := a.Box()
			if b.X < 1 || b.Right() > d.W-1 || b.Y < 0 || b.Bottom() > d.H {
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

// MESURE_SPECIMEN names a folder to put the charts in, to be looked at.
func TestTechniqueSpecimensToLookAt(t *testing.T) {
	dir := os.Getenv("MESURE_SPECIMEN")
	if dir == "" {
		t.Skip("set MESURE_SPECIMEN to a folder to get the charts")
	}
	for name, d := range technique(t) {
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

func TestATitleIsTheFirstSentence(t *testing.T) {
	long := strings.Repeat("abcdefgh ", 14)
	for _, c := range [][3]string{
		{"Left is first. Right is late.", "Left is first", "Right is late."},
		{"Right: in 0.5 s", "Right: in 0.5 s", ""},
		{"Far: " + long + "end. Last", "Far", "A" + long[1:] + "end. Last."},
		{"", "", ""},
	} {
		if title, rest := headline(c[0]); title != c[1] || rest != c[2] {
			t.Errorf("%q: %q, then %q", c[0], title, rest)
		}
	}
}

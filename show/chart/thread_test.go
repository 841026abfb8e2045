package chart

import (
	"os"
	"path/filepath"
	"strconv"
	"testing"

	"mesure/show/draw"
	"mesure/show/plate"
	"mesure/sport/mark"
	"mesure/study"
)

// tacticsPictures are the pictures of tactics of some touches, by name.
var tacticsPictures = []struct {
	name string
	at   int
	next bool
	draw func(x *study.Tactics, o Options) (*draw.Drawing, error)
}{
	{"thread", 15, false, Thread},
	{"thread-next", 24, true, Thread},
	{"thread-first", 2, false, Thread},
	{"habit", 15, false, func(x *study.Tactics, o Options) (*draw.Drawing, error) { return Habit(x, mark.Right, o) }},
	{"balance", 15, false, func(x *study.Tactics, o Options) (*draw.Drawing, error) { return Balance(x, 0, o) }},
	{"balance-few", 4, false, func(x *study.Tactics, o Options) (*draw.Drawing, error) { return Balance(x, 0, o) }},
	{"habit-few", 5, false, func(x *study.Tactics, o Options) (*draw.Drawing, error) { return Habit(x, mark.Left, o) }},
}

func tacticsDrawn(t testing.TB) map[string]*draw.Drawing {
	all := map[string]*draw.Drawing{}
	for _, p := range tacticsPictures {
		x := tacticsAt(t, p.at, !p.next)
		for _, l := range plate.Layouts {
			for _, th := range []draw.Theme{draw.Paper(), draw.Night()} {
				d, err := p.draw(x, Options{Layout: l, Theme: th})
				if err != nil {
					t.Fatalf("%s: %v", p.name, err)
				}
				all[p.name+"-"+l.String()+"-"+th.Name] = d
			}
		}
	}
	return all
}

// MESURE_SPECIMEN names a folder to put the pictures in, to be looked at.
func TestTacticsToLookAt(t *testing.T) {
	dir := os.Getenv("MESURE_SPECIMEN")
	if dir == "" {
		t.Skip("set MESURE_SPECIMEN to a folder to get the pictures")
	}
	for name, d := range tacticsDrawn(t) {
		width := 1400
		if d.W < 150 {
			width = 780
		}
		f, err := os.Create(filepath.Join(dir, "tactics-"+name+"-"+strconv.Itoa(width)+".png"))
		if err != nil {
			t.Fatal(err)
		}
		if err := d.PNG(f, width); err != nil {
			t.Fatal(err)
		}
		f.Close()
	}
}

// TestTacticsWordsStandFree: nothing outside the sheet, no two words on each other.
func TestTacticsWordsStandFree(t *testing.T) {
	n := 0
	for name, d := range tacticsDrawn(t) {
		lines := d.Lines()
		for i, a := range lines {
			n++
			b := a.Box()
			if b.X < 1 || b.Right() > d.W-1 || b.Y < 0.5 || b.Bottom() > d.H {
				t.Errorf("%s: %q stands at %v, outside the sheet", name, a.S, b)
			}
			for _, o := range lines[i+1:] {
				if b.Grow(-0.1).Meets(o.Box().Grow(-0.1)) {
					t.Errorf("%s: %q lies on %q", name, a.S, o.S)
				}
			}
		}
	}
	if n == 0 {
		t.Error("no words were checked")
	}
}

package chart

import (
	"encoding/json"
	"errors"
	"fmt"
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
	{"habit-few", 5, false, func(x *study.Tactics, o Options) (*draw.Drawing, error) { return Habit(x, mark.Left, o) }},
	{"balance", 15, false, balanceZero},
	{"balance-few", 4, false, balanceZero},
	{"payoff", 15, false, Payoff},
	{"payoff-few", 4, false, Payoff},
}

func balanceZero(x *study.Tactics, o Options) (*draw.Drawing, error) { return Balance(x, 0, o) }

// tacticsDrawn draws them all in both layouts and on these grounds.
func tacticsDrawn(t testing.TB, changed func(*study.Tactics), grounds ...draw.Theme) map[string]*draw.Drawing {
	all := map[string]*draw.Drawing{}
	for _, p := range tacticsPictures {
		x := tacticsAt(t, p.at, !p.next)
		if changed != nil {
			changed(x)
		}
		for _, l := range plate.Layouts {
			for _, th := range grounds {
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

func TestTacticsGolden(t *testing.T) {
	all := tacticsDrawn(t, nil, draw.Paper(), draw.Night())
	if *update {
		// The other rooms of show read this one.
		b, err := json.MarshalIndent(tacticsAt(t, 15, true), "", " ")
		if err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile("../testdata/tactics.json", append(b, '\n'), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	// Each layout once and each ground once: the other two hold nothing that is new.
	maps.DeleteFunc(all, func(name string, _ *draw.Drawing) bool {
		return !strings.HasSuffix(name, "-wide-paper") && !strings.HasSuffix(name, "-phone-night")
	})
	held(t, filepath.Join("testdata", "tactics"), all)
}

// MESURE_SPECIMEN names a folder to put the pictures in, to be looked at.
func TestTacticsToLookAt(t *testing.T) {
	dir := os.Getenv("MESURE_SPECIMEN")
	if dir == "" {
		t.Skip("set MESURE_SPECIMEN to a folder to get the pictures")
	}
	for name, d := range tacticsDrawn(t, nil, draw.Paper(), draw.Night()) {
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

// wordsFree holds that nothing stands outside the sheet and no two words on each other.
func wordsFree(t *testing.T, name string, d *draw.Drawing) {
	t.Helper()
	lines := d.Lines()
	if len(lines) == 0 {
		t.Errorf("%s: no words were checked", name)
	}
	for i, a := range lines {
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

// TestTacticsWordsStandFree also where words are long, a relay has many touches, nothing
// is written, and nothing bears.
func TestTacticsWordsStandFree(t *testing.T) {
	long := func(all []string) {
		for i := range all {
			all[i] = fmt.Sprintf("an own word of the coach that is long, number %d", i)
		}
	}
	for what, changed := range map[string]func(*study.Tactics){
		"as it is": nil,
		"long words": func(x *study.Tactics) {
			long(x.Payoff.MineWords)
			long(x.Payoff.TheirWords)
			for i := range x.Thread {
				for _, s := range mark.Sides {
					x.Thread[i].Kinds[s] += " and everything the coach wrote besides"
				}
			}
			for _, h := range x.Habits {
				for i := range h.Choices {
					h.Choices[i].Word = fmt.Sprintf("an own word of the coach that is long, number %d", i)
				}
			}
			x.Names = [2]string{"Bartholomäus Freiherr von Schwarzenbrunn", "Wilhelmina-Konstanze Achterberg-Vandermeulen"}
		},
		"relay": func(x *study.Tactics) {
			for n := 0; len(x.Thread) < 90; n++ {
				one := x.Thread[n]
				one.Number, one.Score.Left, one.Score.Right = 100+n, 40, 41
				x.Thread = slices.Insert(x.Thread, len(x.Thread)-1, one)
			}
			for _, h := range x.Habits {
				for n := 0; len(h.Course) < 90; n++ {
					one := h.Course[n]
					one.Number = 100 + n
					h.Course = append(h.Course, one)
				}
			}
		},
		"bare sheet": func(x *study.Tactics) {
			x.Bout = nil
			for i := range x.Thread {
				x.Thread[i].Kinds, x.Thread[i].Bears, x.Thread[i].Said, x.Thread[i].Knew = [2]string{}, nil, nil, [2]*study.Knew{}
			}
			for _, h := range x.Habits {
				h.Course, h.Change = nil, nil
			}
			for i := range x.Payoff.Cells {
				for j := range x.Payoff.Cells[i] {
					x.Payoff.Cells[i][j] = study.PayoffCell{}
				}
			}
			x.Payoff.Balances[0].Path, x.Payoff.Balance = nil, nil
		},
	} {
		for name, d := range tacticsDrawn(t, changed, draw.Paper()) {
			wordsFree(t, what+", "+name, d)
		}
	}
}

// TestTacticsHideNames: with names hidden nothing of the sheet names anybody.
func TestTacticsHideNames(t *testing.T) {
	x := tacticsAt(t, 15, true)
	x.Payoff.Balances[0].Said = study.Sentence{{Text: "Brook makes it at "}, {Text: "28 %", From: "habit"}, {Text: ", and Ash knows."}}
	for _, p := range tacticsPictures {
		d, err := p.draw(x, Options{HideNames: true})
		if err != nil {
			t.Fatal(err)
		}
		all := d.Title + d.Desc + strings.Join(linesOf(d), "\n")
		for _, name := range []string{"Ash", "Brook", "Harbour"} {
			if strings.Contains(all, name) {
				t.Errorf("%s tells %q", p.name, name)
			}
		}
	}
}

// TestTacticsThatAreNotThere are named errors, and no tactics at all is a caller's mistake.
func TestTacticsThatAreNotThere(t *testing.T) {
	x := &study.Tactics{}
	for _, p := range []struct {
		draw func() (*draw.Drawing, error)
		want error
	}{
		{func() (*draw.Drawing, error) { return Thread(x, Options{}) }, ErrNoThread},
		{func() (*draw.Drawing, error) { return Habit(x, mark.Left, Options{}) }, ErrNoHabit},
		{func() (*draw.Drawing, error) { return Balance(x, 0, Options{}) }, ErrNoBalance},
		{func() (*draw.Drawing, error) { return Balance(tacticsAt(t, 15, true), 7, Options{}) }, ErrNoBalance},
		{func() (*draw.Drawing, error) { return Payoff(x, Options{}) }, ErrNoPayoff},
		{func() (*draw.Drawing, error) { return Payoff(&study.Tactics{Payoff: &study.Payoff{}}, Options{}) }, ErrNoPayoff},
	} {
		if d, err := p.draw(); !errors.Is(err, p.want) || d != nil {
			t.Errorf("drawn %v, %v instead of %v", d, err, p.want)
		}
	}
	defer func() {
		if m, ok := recover().(string); !ok || !strings.HasPrefix(m, "chart: ") {
			t.Errorf("recovered %v", m)
		}
	}()
	Thread(nil, Options{})
}

func BenchmarkTacticsPictures(b *testing.B) {
	x := tacticsAt(b, 24, true)
	for b.Loop() {
		for _, p := range tacticsPictures[1:] {
			if p.name == "thread-first" || strings.HasSuffix(p.name, "-few") {
				continue
			}
			if _, err := p.draw(x, Options{}); err != nil {
				b.Fatal(err)
			}
		}
	}
}

// TestFourEndsWithoutColour: in grey each of the four ends of a bar is told from the
// others by its pattern: by how dark it is on average and how far it varies.
func TestFourEndsWithoutColour(t *testing.T) {
	for _, th := range []draw.Theme{draw.Paper(), draw.Night()} {
		c := &payoffChart{tacticsChart: tacticsChart{o: Options{Theme: th}, x: &study.Tactics{}}}
		var looks [][2]float64
		for k := range 4 {
			d := draw.New(20, 4, "t", "d")
			d.Ground = th.Ground
			c.keysEnd(&d.Group, th, k, draw.Box{X: 1, Y: 0.5, W: 18, H: 3})
			img := d.Raster(800)
			var grey []float64
			for y := 40; y < 120; y++ {
				for x := 60; x < 740; x++ {
					q := img.RGBAAt(x, y)
					grey = append(grey, (0.2126*float64(q.R)+0.7152*float64(q.G)+0.0722*float64(q.B))/255)
				}
			}
			q := quantity.Describe(grey)
			looks = append(looks, [2]float64{q.Mean, q.SD})
		}
		for a := range looks {
			for b := range a {
				if math.Hypot(looks[a][0]-looks[b][0], looks[a][1]-looks[b][1]) < 0.08 {
					t.Errorf("%s: ends %d and %d look alike in grey: %v, %v", th.Name, a, b, looks[a], looks[b])
				}
			}
		}
	}
}

// TestTitlesSayNoMoreThanTheIntervals: what cannot be told apart is not named the best.
func TestTitlesSayNoMoreThanTheIntervals(t *testing.T) {
	x := tacticsAt(t, 15, true)
	title := func(f func(*study.Tactics, Options) (*draw.Drawing, error)) string {
		d, err := f(x, Options{})
		if err != nil {
			t.Fatal(err)
		}
		return d.Title
	}
	x.Payoff.Reply.Apart = false
	if s := title(Payoff); !strings.Contains(s, "cannot be told") {
		t.Errorf("not apart: %q", s)
	}
	x.Payoff.Reply.Apart = true
	if s := title(Payoff); !strings.Contains(s, "worth the most") {
		t.Errorf("apart: %q", s)
	}
	x.Payoff.TooLittle = true
	if s := title(Payoff); !strings.Contains(s, "Too little is seen of Brook") {
		t.Errorf("too little: %q", s)
	}
	habit := func(x *study.Tactics, o Options) (*draw.Drawing, error) { return Habit(x, mark.Right, o) }
	h := x.Habits[mark.Right]
	h.Change.Sure = quantity.Exactly[quantity.Chance](0.6)
	if s := title(habit); !strings.Contains(s, "may be as likely") {
		t.Errorf("intervals overlap: %q", s)
	}
	h.Choices[0].Share, h.Choices[1].Share = quantity.Normal[quantity.Chance](0.8, 0.02), quantity.Normal[quantity.Chance](0.1, 0.02)
	if s := title(habit); !strings.Contains(s, "likeliest choice is") {
		t.Errorf("intervals apart: %q", s)
	}
	for i := range x.Payoff.Balance {
		x.Payoff.Balance[i].Share.Lo, x.Payoff.Balance[i].Share.Hi = 0, 1
	}
	if s := title(balanceZero); !strings.Contains(s, "cannot be told yet") {
		t.Errorf("a crossing anywhere: %q", s)
	}
}

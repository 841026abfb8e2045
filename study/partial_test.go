package study

import (
	"context"
	"errors"
	"fmt"
	"reflect"
	"slices"
	"strings"
	"sync"
	"testing"

	"mesure/sport/mark"
	"mesure/sport/piste"
)

func partly(t *testing.T, touch *Touch, c *Cameras) *Reading {
	t.Helper()
	r, err := Read(context.Background(), touch, reel{100}, ReadOptions{Draws: 500, Partial: true, Cameras: c})
	if err != nil {
		t.Fatal(err)
	}
	return r
}

// spoil returns what a coach may have on the desk at one placing, each of which
// the whole reading refuses.
var spoils = map[string]func(p *Placing){
	"nothing":    func(p *Placing) { p.Points = nil },
	"one point":  func(p *Placing) { p.Points = p.Points[:1] },
	"mirrored":   func(p *Placing) { mirror(p.Points) },
	"no numbers": func(p *Placing) { p.Points[0].At.U = 1e9 },
}

func onLine(points []PlacedPoint) []PlacedPoint {
	var near []PlacedPoint
	for _, q := range points {
		if strings.HasSuffix(q.Name, "-near") {
			near = append(near, q)
		}
	}
	return near
}

func mirror(points []PlacedPoint) {
	for i, q := range points {
		if rest, ok := strings.CutPrefix(q.Name, "left"); ok {
			points[i].Name = "right" + rest
		} else if rest, ok := strings.CutPrefix(q.Name, "right"); ok {
			points[i].Name = "left" + rest
		}
	}
}

// TestPartialLeavesOutOneFrame: a placing that is refused costs its own frame and
// no other: the rest is what it would be if that placing were not there.
func TestPartialLeavesOutOneFrame(t *testing.T) {
	for name, spoil := range spoils {
		t.Run(name, func(t *testing.T) {
			s := stage(3, 1)
			s.touch.Placings = slices.Clone(s.touch.Placings)
			p := &s.touch.Placings[2]
			p.Points = slices.Clone(p.Points)
			spoil(p)
			var refusal *Refusal
			if _, err := Read(context.Background(), s.touch, reel{100}, ReadOptions{Draws: 500}); !errors.As(err, &refusal) {
				t.Fatalf("the whole reading is not refused: %v", err)
			}
			r := partly(t, s.touch, nil)
			if len(r.Refused) != 1 || r.Refused[0].Frame != p.Frame || r.Refused[0].At != "/placings/2" || r.Refused[0].Text == "" {
				t.Fatalf("refused: %+v", r.Refused)
			}
			if len(r.Placings) != 4 || len(r.Instants) != 4 || r.Race == nil {
				t.Fatalf("%d placings, %d instants, race %v", len(r.Placings), len(r.Instants), r.Race)
			}
			without := *s.touch
			without.Placings = slices.Delete(slices.Clone(s.touch.Placings), 2, 3)
			want := partly(t, &without, nil)
			if !reflect.DeepEqual(r.Placings, want.Placings) || !reflect.DeepEqual(r.Instants, want.Instants) || !reflect.DeepEqual(r.Race, want.Race) {
				t.Error("the rest is not what it is without that placing")
			}
		})
	}
}

// TestPartialOfAllRefused: nothing can be placed, and each frame says why.
func TestPartialOfAllRefused(t *testing.T) {
	for name, cut := range map[string]func([]PlacedPoint) []PlacedPoint{
		"two points": func(all []PlacedPoint) []PlacedPoint { return all[:2] },
		"on a line":  onLine,
	} {
		s := stage(3, 1)
		for i := range s.touch.Placings {
			s.touch.Placings[i].Points = cut(s.touch.Placings[i].Points)
		}
		r := partly(t, s.touch, nil)
		if len(r.Refused) != 5 || len(r.Placings)+len(r.Instants) != 0 || r.Race != nil {
			t.Errorf("%s: %d refused, %d placed, %d instants", name, len(r.Refused), len(r.Placings), len(r.Instants))
		}
	}
}

// TestPartialOfAWholeTouchIsTheWhole: where nothing is refused the two are one
// reading, but for what is still needed.
func TestPartialOfAWholeTouchIsTheWhole(t *testing.T) {
	s := stage(4, 1)
	whole, err := Read(context.Background(), s.touch, reel{100}, ReadOptions{Draws: 500})
	if err != nil {
		t.Fatal(err)
	}
	r := partly(t, s.touch, nil)
	if whole.Needs != nil || whole.Refused != nil {
		t.Error("a whole reading says what it needs")
	}
	r.Needs = nil
	if !reflect.DeepEqual(r, whole) {
		t.Error("the partial reading differs")
	}
}

// TestARaceThatCannotBeAskedIsLeftOut: its refusal is a warning, and the gaps stay.
func TestARaceThatCannotBeAskedIsLeftOut(t *testing.T) {
	s := stage(4, 1)
	s.touch.Race.Left.Action = "somersault"
	r := partly(t, s.touch, nil)
	if r.Race != nil || len(r.Instants) != 5 || !slices.ContainsFunc(r.Warnings, func(w Warning) bool {
		return w.Code == "no-race" && strings.Contains(w.Text, "somersault")
	}) {
		t.Errorf("race %v, warnings %v", r.Race, r.Warnings)
	}
}

// TestMarksThatCannotBeMeasuredAreLeftOut: one mark in the sky of a camera that
// looks down costs its frame only.
func TestMarksThatCannotBeMeasuredAreLeftOut(t *testing.T) {
	s := stage(4, 1)
	for i := range s.touch.Marks {
		if s.touch.Marks[i].Frame == 10 {
			s.touch.Marks[i].At.U = 1e9
		}
	}
	r := partly(t, s.touch, nil)
	if len(r.Placings) != 5 || len(r.Instants) != 4 || !slices.ContainsFunc(r.Warnings, func(w Warning) bool { return w.Code == CodeMarksRefused }) {
		t.Errorf("%d placings, %d instants, warnings %v", len(r.Placings), len(r.Instants), r.Warnings)
	}
}

// TestKeptCamerasSideBySide: a reading through what was kept is the same to the
// last digit, from many goroutines, also when more takes are asked for than are
// kept.
func TestKeptCamerasSideBySide(t *testing.T) {
	var c Cameras
	var all sync.WaitGroup
	for k := range 4 {
		all.Add(1)
		go func() {
			defer all.Done()
			for seed := range uint64(3) {
				s := stage(seed, 1)
				if k%2 == 1 { // a mark on a fencer moves
					s.touch.Marks[3].At.U += float64(k)
				}
				for range 2 {
					r, err := Read(context.Background(), s.touch, reel{100}, ReadOptions{Draws: 500, Partial: true, Cameras: &c})
					if err != nil {
						t.Error(err)
						return
					}
					want, _ := Read(context.Background(), s.touch, reel{100}, ReadOptions{Draws: 500, Partial: true})
					r.kept = nil // what was kept is no part of what was read
					if !reflect.DeepEqual(r, want) {
						t.Error("kept cameras changed the reading")
					}
				}
			}
		}()
	}
	all.Wait()
	if n := c.fits.order.Len(); n != 3 {
		t.Errorf("%d takes kept, want 3: a mark on a fencer is no input of a camera", n)
	}
	if testing.Short() {
		return // what follows is one after the other
	}
	for seed := range uint64(keptTakes + 5) {
		s := stage(0, 1)
		s.touch.Placings = s.touch.Placings[:1]
		s.touch.Placings[0].Points[0].At.U += float64(seed)
		partly(t, s.touch, &c)
	}
	if n := c.fits.order.Len(); n != keptTakes {
		t.Errorf("%d takes kept, want %d", n, keptTakes)
	}
}

// TestDisagreesNamesThePoint: one mark 40 px off is named by its own name.
func TestDisagreesNamesThePoint(t *testing.T) {
	s := stage(5, 1)
	p := &s.touch.Placings[1]
	p.Points[3].At.V += 40
	r := partly(t, s.touch, nil)
	if got := r.Placings[1].Disagrees; !slices.Equal(got, []string{p.Points[3].Name}) {
		t.Errorf("named %v, want %s", got, p.Points[3].Name)
	}
	if got := r.Placings[0].Disagrees; got != nil {
		t.Errorf("a sound frame names %v", got)
	}
}

// ExampleRead_partial is what a desk asks for.
func ExampleRead_partial() {
	t := &Touch{
		Videos: []Video{{ID: "v", File: "v.mp4"}}, Takes: []mark.Take{{ID: "live", Video: "v", To: 9}},
		Placings: []Placing{{Take: "live", Frame: 3, Points: []PlacedPoint{{Name: "centre-near", On: piste.Place{Y: -0.75}, At: mark.Pixel{U: 640, V: 500}}}}},
	}
	r, err := Read(context.Background(), t, reel{10}, ReadOptions{Partial: true})
	fmt.Println(len(r.Placings), len(r.Refused), err)
	// Output: 0 1 <nil>
}

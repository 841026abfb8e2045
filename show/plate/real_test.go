package plate

import (
	"context"
	"image"
	"testing"

	"mesure/sport/mark"
	"mesure/sport/piste"
	"mesure/study"
)

// hall is footage without a file: the invented hall at 25 frames a second.
type hall struct{}

func (hall) Probe(context.Context, string, func(float64)) (mark.Clip, error) {
	c := mark.Clip{Width: frameW, Height: frameH, BitDepth: 8}
	for i := range 121 {
		c.Times = append(c.Times, mark.FileTime(float64(i)/25))
	}
	return c, nil
}

func (hall) Still(context.Context, string, mark.Clip, mark.Frame) (image.Image, error) {
	return pattern(), nil
}

// marked is the invented touch as a coach would mark it, on two frames of a camera that
// stands steady: the second shows the left fencer half a metre further. All of it is
// computed by the study, from pixels of the pinhole of the fixture.
func marked(t testing.TB) *study.Reading {
	t.Helper()
	touch := *invented().Touch
	touch.Takes = []mark.Take{{ID: "live", Video: "hall", From: 0, To: 120, Steady: true}}
	pl := study.Placing{Take: "live", Frame: 42}
	for _, name := range []string{"left-on-guard-near", "left-on-guard-far", "centre-near", "centre-far", "right-on-guard-near", "right-on-guard-far"} {
		p, ok := piste.Named(name, piste.Width)
		if !ok {
			t.Fatal(name)
		}
		pl.Points = append(pl.Points, study.PlacedPoint{Name: name, At: seen(p.X, p.Y, p.Z), SD: 0.05})
	}
	touch.Placings = []study.Placing{pl}
	for f, on := range map[mark.Frame]float64{42: 0, 51: 0.5} {
		for _, s := range mark.Sides {
			for _, w := range mark.Points() {
				x := bodies[s][w][0]
				if s == mark.Left {
					x += on
				}
				touch.Marks = append(touch.Marks, mark.Mark{Take: "live", Frame: f, Who: s, What: w, At: seen(x, 0, bodies[s][w][1]), SD: 0.5})
			}
		}
	}
	r, err := study.Read(context.Background(), &touch, hall{}, study.ReadOptions{Draws: study.MinDraws})
	if err != nil {
		t.Fatal(err)
	}
	return r
}

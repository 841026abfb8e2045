package report

import (
	"image"
	"image/color"
	"sync"
	"testing"

	"mesure/show/plate"
	"mesure/show/specimen"
	"mesure/sport/mark"
	"mesure/study"
)

// whole is the invented reading with its timing and its tactics.
func whole(t testing.TB) *study.Reading { return specimen.Told(t) }

// hall stands for the decoded frame: a floor, a wall and a stretch of white cloth.
var hall = sync.OnceValue(func() image.Image {
	m := image.NewRGBA(image.Rect(0, 0, 256, 144))
	for y := range 144 {
		for x := range 256 {
			c := color.RGBA{60, 64, 70, 255}
			switch {
			case y > 90:
				c = color.RGBA{120, 100, 78, 255}
			case x > 60 && x < 90 || x > 170 && x < 200:
				c = color.RGBA{235, 232, 225, 255}
			}
			m.SetRGBA(x, y, c)
		}
	}
	return m
})

var everyPlate = sync.OnceValues(func() ([]Plate, error) {
	return PlatesNamed(whole(&testing.T{}), func(string, mark.Frame) (image.Image, error) { return hall(), nil }, plate.Named)
})

func allPlates(t *testing.T) []Plate {
	t.Helper()
	all, err := everyPlate()
	if err != nil {
		t.Fatal(err)
	}
	kinds := map[Kind]bool{}
	for _, p := range all {
		kinds[p.Kind] = true
	}
	if len(kinds) < 14 {
		t.Fatalf("only %d kinds of plates were drawn", len(kinds))
	}
	return all
}

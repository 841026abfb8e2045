package bundle

import (
	"bytes"
	"fmt"
	"io"
	"testing"

	"mesure/sport/mark"
)

// BenchmarkReadTouch reads a touch of 2000 marks.
func BenchmarkReadTouch(b *testing.B) {
	touch, err := ReadTouch(bytes.NewReader(exampleOf(b, "touch")), "f")
	if err != nil {
		b.Fatal(err)
	}
	for i := range 2000 {
		touch.Marks = append(touch.Marks, mark.Mark{
			Take: "replay", Frame: mark.Frame(400 + i%200), Who: mark.Left, What: mark.What(fmt.Sprintf("free%d", i)),
			At: mark.Pixel{U: float64(i) / 3, V: float64(i) / 7}, SD: 1.5,
		})
	}
	var data bytes.Buffer
	if err := WriteTouch(&data, touch); err != nil {
		b.Fatal(err)
	}
	b.SetBytes(int64(data.Len()))
	for b.Loop() {
		if _, err := ReadTouch(bytes.NewReader(data.Bytes()), "f"); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkWriteReading(b *testing.B) {
	r := aReading()
	for b.Loop() {
		if err := WriteReading(io.Discard, r); err != nil {
			b.Fatal(err)
		}
	}
}

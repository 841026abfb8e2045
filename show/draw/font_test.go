package draw

import (
	"bytes"
	"sync"
	"testing"
)

// TestFontsSideBySide: what is read of a font is kept for all; drawings that are made and
// written at the same time are those that are made alone.
func TestFontsSideBySide(t *testing.T) {
	made := func(words string) []byte {
		d := New(80, 20, "words", "words")
		for i, f := range []Font{SerifBold, Sans} {
			d.Text(Text{S: words, At: Pt{2, MM(6 + 8*i)}, Size: 4, Font: f, Colour: Colour{A: 255}})
		}
		var b bytes.Buffer
		if err := d.SVG(&b); err != nil {
			t.Error(err)
		}
		b.Write(d.Raster(120).Pix)
		return b.Bytes()
	}
	words := []string{"Prise de fer, ±4 cm", "Œil, çà et là", "AVATAR To Ty 0123456789", "prime, seconde, tierce"}
	got := make([][]byte, 2*len(words))
	var busy sync.WaitGroup
	for i := range got {
		busy.Go(func() { got[i] = made(words[i%len(words)]) })
	}
	busy.Wait()
	for i, b := range got {
		if !bytes.Equal(b, made(words[i%len(words)])) {
			t.Errorf("%q is drawn in another way beside others", words[i%len(words)])
		}
	}
}

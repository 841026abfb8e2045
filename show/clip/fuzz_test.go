package clip

import (
	"encoding/json"
	"testing"

	"mesure/show/handoff"
	"mesure/show/report"
	"mesure/show/script"
)

// Whatever a storyboard says, a film of it counts its frames and tells its troubles; its
// captions can be written.
func FuzzMake(f *testing.F) {
	whole, err := json.Marshal(wholeBoard())
	if err != nil {
		f.Fatal(err)
	}
	f.Add(whole)
	f.Add([]byte(`{"form":{"shape":"9:16"},"shots":[{"id":"x","kind":"beside","take":"live","from":-3,"to":9,"other":{"take":"again","at":-1,"meets":0}}]}`))
	f.Add([]byte(`{"shots":[{"id":"x","kind":"slow","take":"again","from":28,"to":29,"speed":1e-300,"lasts_s":1e300,"layers":["",""],"lines":["opening lamps"]}]}`))
	f.Add([]byte(`{"shots":[{"id":"a","kind":"build","take":"live","from":9007199254740993},{"id":"a","kind":"plate","title":"\u0000\ud800"}]}`))
	r, err := staged()
	if err != nil {
		f.Fatal(err)
	}
	s, err := script.Draft(r, script.Options{})
	if err != nil {
		f.Fatal(err)
	}
	plates := []report.Plate{card("", report.KindRace)}
	f.Fuzz(func(t *testing.T, text []byte) {
		var b Board
		if json.Unmarshal(text, &b) != nil {
			t.Skip()
		}
		film, err := Make(Input{Reading: r, Script: s, Board: b, Plates: plates})
		if err != nil {
			return
		}
		n := 0
		for _, p := range film.Pieces() {
			if p.Frames < 1 || p.First != n {
				t.Fatalf("%+v", p)
			}
			n += p.Frames
		}
		if n != film.Frames() {
			t.Fatal(n, film.Frames())
		}
		if _, err := handoff.Screens(film.Cues()); err != nil {
			t.Fatal(err)
		}
		for _, x := range film.shots {
			x.pos(0)
			x.pos(x.count - 1)
		}
		film.Cut()
	})
}

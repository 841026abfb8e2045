package clip

import (
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"fmt"
	"hash"
	"io"

	"mesure/study"
)

// pixels counts how the pictures of a clip have changed: pieces that another version
// kept are then not used again.
const pixels = 4

// setKeys gives every shot the hash of all that its pixels follow from: form and shot,
// words and when they stand, names and notes, the inputs of the reading and what was
// followed, the video file, the drawing of its plate, and the program.
func (f *Film) setKeys() {
	digests := map[*study.Reading]string{}
	of := func(r *study.Reading) string {
		if d, ok := digests[r]; ok {
			return d
		}
		h := sha256.New()
		put(h, r.Inputs, r.Version, r.Seed, r.Draws)
		for _, t := range r.Tracks {
			put(h, t.Take, t.Who, t.What, len(t.Steps))
			for _, s := range t.Steps {
				fmt.Fprintf(h, "%d %s %v %v\n", s.Frame, s.State, s.Px, s.SD)
			}
		}
		digests[r] = hex.EncodeToString(h.Sum(nil))
		return digests[r]
	}
	for _, b := range f.shots {
		h := sha256.New()
		shot := b.Shot
		shot.Title = "" // the chapter in force is what is seen
		shot.ID = ""    // nor is what it is called
		shot.Lines = nil
		put(h, pixels, f.in.Program, f.pictured(), shot, b.count, b.moves, b.label, b.names, b.notes)
		if f.form.Captions == "burnt" {
			put(h, b.texts)
		}
		for _, v := range b.views() {
			put(h, of(v.r), v.touch, v.take, v.file, v.clip.Width, v.clip.Height, v.clip.Frames(), v.poses.when)
		}
		if b.plate != nil {
			if err := b.plate.In(plateLayout(f.form.Shape), theme).SVG(h); err != nil {
				panic("clip: " + err.Error()) // a hash takes everything
			}
		}
		b.key = hex.EncodeToString(h.Sum(nil))[:40]
	}
}

// pictured is the form without what no picture follows from.
func (f *Film) pictured() Form {
	form := f.form
	form.Sound = ""
	return form
}

// put writes values to a hash, each apart from the next.
func put(h hash.Hash, values ...any) {
	for _, v := range values {
		if b, err := json.Marshal(v); err == nil {
			h.Write(b)
		} else {
			fmt.Fprintf(h, "%v", v)
		}
		io.WriteString(h, "\n")
	}
}

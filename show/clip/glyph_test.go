package clip

import (
	"strings"
	"testing"

	"mesure/show/script"
)

// Words that the fonts of the pictures lack are told by shot, in the picture "…" stands for
// them; the captions have them. A fencer's name that lacks is what the fencer is called, in
// a title too, and that is told elsewhere.
func TestWordsThatCannotBeDrawnAreTold(t *testing.T) {
	of := func(name, title, words string, captions string) *Film {
		r := *stagedReading(t)
		touch := *r.Touch
		touch.Bout.Left.Name = name
		r.Touch = &touch
		s := &script.Script{Options: script.Options{Level: script.Club, Names: script.Named, Language: "en"}, Parts: []script.Part{{Kind: script.PartOpening,
			Lines: []script.Line{{Key: "own-1", Pieces: []script.Piece{{Text: words}}}}}}}
		f, err := Make(Input{Reading: &r, Script: s, Board: Board{Form: Form{Captions: captions}, Shots: []Shot{{ID: "a", Kind: Hold, Title: title, Take: "live", From: 10, Lines: []string{"opening own-1"}}}}})
		if err != nil {
			t.Fatal(err)
		}
		return f
	}
	for _, c := range []struct{ name, title, words, captions, says string }{
		{"Ada Lindqvist", "Look", "The hand, then the foot: é, ß, Ω, ж.", "burnt", ""},
		{"Ada Lindqvist", "Look", "The hand 手 goes first 🤺.", "burnt", "lack “手🤺” of its words"},
		{"Ada Lindqvist", "Look", "The hand 手 goes first.", "file", ""},
		{"Ada Lindqvist", "手", "The hand.", "file", "lack “手” of its words"},
		{"李明", "李明 goes", "李明 is launched.", "burnt", ""},
	} {
		f := of(c.name, c.title, c.words, c.captions)
		said := ""
		for _, x := range f.Troubles() {
			said += x.Error()
			if x.Out || x.Kind != TroubleGlyph || x.Shot != "a" {
				t.Errorf("%+v", x)
			}
		}
		if (said == "") != (c.says == "") || !strings.Contains(said, c.says) {
			t.Errorf("%q, %q: told %q, want %q", c.title, c.words, said, c.says)
		}
		if cues := f.Cues(); cues[0].Chapter != c.title || cues[len(cues)-1].Text != c.words {
			t.Errorf("the file beside the clip has %+v", cues)
		}
	}
	if f := of("李明", "李明 goes", "李明 is launched.", "burnt"); strings.Contains(f.shots[0].label, "李") || strings.Contains(f.shots[0].texts[0].Lines[0], "李") {
		t.Errorf("the picture is to write %q and %q", f.shots[0].label, f.shots[0].texts[0].Lines)
	}
}

package clip

import (
	"context"
	"errors"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"mesure/show/report"
	"mesure/show/script"
	"mesure/sport/bout"
	"mesure/study"
)

// A storyboard in which everything is wrong is told shot by shot, and what is right is
// shown.
func TestTroubles(t *testing.T) {
	r := stagedReading(t)
	b := Board{Shots: []Shot{
		{ID: "kind", Kind: "fly"}, {ID: "take", Kind: Live, Take: "nowhere"}, {ID: "frame", Kind: Live, Take: "live", From: 3, To: 300},
		{ID: "back", Kind: Live, Take: "live", From: 9, To: 3}, {ID: "plate", Kind: Plate, Plate: "none"}, {Kind: Hold, Take: "live"},
		{ID: "alone", Kind: Beside, Take: "live", From: 1, To: 9}, {ID: "meets", Kind: Beside, Take: "live", From: 1, To: 9, Other: &Other{Take: "again", Meets: 20}},
		{ID: "other", Kind: Beside, Take: "live", From: 1, To: 9, Other: &Other{Touch: "gone", Take: "again", Meets: 2}},
		{ID: "at", Kind: Beside, Take: "live", From: 1, To: 9, Other: &Other{Take: "again", At: 99, Meets: 2}},
		{ID: "fast", Kind: Slow, Take: "live", From: 1, To: 9, Speed: 50}, {ID: "nan", Kind: Hold, Take: "live", Lasts: -1},
		{ID: "long", Kind: Hold, Take: "live", Lasts: 5000},
		{ID: "good", Kind: Hold, Take: "live", From: 10, Lines: []string{"technique gone"}, Layers: []string{"gaps", "glitter"}}, {ID: "good", Kind: Hold, Take: "live"},
	}}
	in := Input{Reading: r, Script: drafted(t, r), Board: b}
	f, err := Make(in)
	if err != nil {
		t.Fatal(err)
	}
	want := map[string]string{"kind": TroubleShot, "take": TroubleTake, "frame": TroubleFrame, "back": TroubleFrame, "plate": TroublePlate, "": TroubleShot,
		"alone": TroubleOther, "meets": TroubleFrame, "other": TroubleOther, "at": TroubleFrame, "fast": TroubleShot, "nan": TroubleShot, "long": TroubleShot}
	got := map[string]string{}
	for _, x := range f.Troubles() {
		if x.Mend == "" || x.What == "" || strings.ContainsAny(x.Error(), "\n") {
			t.Errorf("%+v says too little", x)
		}
		if x.Shot == "good" {
			continue
		}
		got[x.Shot] = x.Kind
		if !x.Out {
			t.Errorf("%+v is shown all the same", x)
		}
	}
	for id, kind := range want {
		if got[id] != kind {
			t.Errorf("shot %q: trouble %q, not %q", id, got[id], kind)
		}
	}
	if p := f.Pieces(); len(p) != 1 || p[0].Shot != "good" {
		t.Errorf("the pieces are %+v", p)
	}
	if n := len(Check(b, r, in.Script, nil, nil)); n != len(f.Troubles()) {
		t.Errorf("Check tells %d troubles, the film %d", n, len(f.Troubles()))
	}
	for _, form := range []Form{{Shape: "4:3"}, {Lines: 300}, {Rate: 7}, {File: "gif"}, {Sound: "loud"}, {Captions: "sung"}} {
		var tr *Trouble
		if _, err := Make(Input{Reading: r, Board: Board{Form: form}}); !errors.As(err, &tr) || tr.Kind != TroubleForm {
			t.Errorf("%+v: %v", form, err)
		}
	}
	empty, err := Make(Input{Reading: r})
	if err != nil {
		t.Fatal(err)
	}
	if err := empty.RenderTo(context.Background(), filepath.Join(t.TempDir(), "x.mp4"), "", &shoot{}, nil); err == nil {
		t.Error("a clip without shots was written")
	}
	if _, err := Make(Input{}); err == nil {
		t.Error("a film without a touch")
	}
}

// A draft can be shown as it stands, is not longer than a minute, says each line once and
// ends with the take-away; without videos, race or tactics the rest still comes.
func TestDraft(t *testing.T) {
	full := invented(t)
	bare := *full
	bare.Race, bare.Timing, bare.Tactics, bare.Instants = nil, nil, nil, nil
	plates := []report.Plate{card("", report.KindRace), card("live", report.KindWindows), card("", report.KindThread)}
	for name, r := range map[string]*study.Reading{"staged": stagedReading(t), "invented": full, "bare": &bare} {
		s := drafted(t, r)
		b, err := Draft(r, s, plates, Form{})
		if err != nil || len(b.Shots) == 0 {
			t.Fatalf("%s: %d shots, %v", name, len(b.Shots), err)
		}
		if x := Check(b, r, s, plates, nil); len(x) > 0 {
			t.Errorf("%s: the draft has troubles: %v", name, x)
		}
		f, err := Make(Input{Reading: r, Script: s, Board: b, Plates: plates})
		if err != nil || f.Lasts() > 70 {
			t.Errorf("%s lasts %v s: %v", name, f.Lasts(), err)
		}
		seen := map[string]bool{}
		for _, x := range b.Shots {
			for _, l := range x.Lines {
				if seen[l] {
					t.Errorf("%s: %q is said twice", name, l)
				}
				seen[l] = true
			}
		}
		if last := b.Shots[len(b.Shots)-1]; name == "invented" && last.Title != "Take-away" {
			t.Errorf("%s ends with %+v", name, last)
		}
		if again, _ := Draft(r, s, plates, Form{}); len(again.Shots) != len(b.Shots) {
			t.Errorf("%s: another draft", name)
		}
	}
	if _, err := Draft(nil, nil, nil, Form{}); err == nil {
		t.Error("a draft of nothing")
	}
	kinds := []string{}
	b, _ := Draft(stagedReading(t), drafted(t, stagedReading(t)), nil, Form{})
	for _, x := range b.Shots {
		kinds = append(kinds, x.Kind)
	}
	if want := []string{Live, Slow, Build}; !slices.Equal(kinds[:3], want) {
		t.Errorf("the shots are %v", kinds)
	}
}

// A board that the coach has not touched is drafted anew, of another only gone lines go.
func TestRefresh(t *testing.T) {
	r := stagedReading(t)
	s := drafted(t, r)
	b, _ := Draft(r, s, nil, Form{Shape: Square})
	less := *s
	less.Parts = slices.Clone(s.Parts)[:1]
	fresh, err := Refresh(b, &less, r, nil)
	if err != nil || fresh.Form.Shape != Square {
		t.Fatal(err)
	}
	b.Edited = true
	b.Shots = slices.Clone(b.Shots)
	b.Shots[0].Speed = 0.5
	before := len(b.Shots)
	kept, err := Refresh(b, &less, r, nil)
	if err != nil || len(kept.Shots) != before || kept.Shots[0].Speed != 0.5 {
		t.Fatalf("%d shots, %v", len(kept.Shots), err)
	}
	for _, x := range Check(kept, r, &less, nil, nil) {
		if x.Kind == TroubleLine {
			t.Errorf("a line is missing: %+v", x)
		}
	}
	if n := len(Check(b, r, &less, nil, nil)); n == 0 {
		t.Error("the board that was handed in was changed, or nothing was missing")
	}
}

// Where the lamps went against the race, a clip that says the race says that in the same
// breath, and asks why over the slow pictures.
func TestWhatTheLampsSayGoesWithTheRace(t *testing.T) {
	r := *invented(t)
	touch := *r.Touch
	touch.Lamps = &bout.Lamps{Right: true} // the race has left first
	r.Touch = &touch
	b, err := Draft(&r, drafted(t, &r), nil, Form{})
	if err != nil {
		t.Fatal(err)
	}
	race, asked := false, ""
	for _, x := range b.Shots {
		i, j := slices.Index(x.Lines, "timing race"), slices.Index(x.Lines, "timing race-came")
		if (i < 0) != (j < 0) || i > j {
			t.Errorf("%s says the race at %d and what came at %d of its lines", x.ID, i, j)
		}
		race = race || i >= 0
		if slices.Contains(x.Lines, "opening why") {
			asked = x.Kind
		}
	}
	if !race || asked == "" {
		t.Errorf("the race is said: %v; why is asked over a shot of kind %q", race, asked)
	}
	staged := stagedReading(t)
	x := drafted(t, staged)
	x.Parts[0].Lines = append(x.Parts[0].Lines, script.Line{Key: "why", Pieces: []script.Piece{{Text: "Why does the right fencer hit?"}}})
	b, err = Draft(staged, x, nil, Form{})
	if err != nil || x.Parts[0].Kind != script.PartOpening {
		t.Fatal(err)
	}
	if at := slices.IndexFunc(b.Shots, func(s Shot) bool { return slices.Contains(s.Lines, "opening why") }); at < 0 || b.Shots[at].Kind != Slow {
		t.Errorf("why is asked over shot %d of %v", at, b.Shots)
	}
}

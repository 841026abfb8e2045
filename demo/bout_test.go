package demo

import (
	"testing"

	"mesure/demo/scene"
	"mesure/sport/bout"
	"mesure/sport/mark"
)

// TestSheetIsABout: every line follows from the one before by the rules of
// counting, the bout ends at 15, and the four films are its touches 6 to 9.
func TestSheetIsABout(t *testing.T) {
	b := Bout()
	var score bout.Score
	for i, p := range b.Sheet {
		if p.Number != i+1 || p.Before != score || !p.Lamps.Left && !p.Lamps.Right || p.Note == "" {
			t.Errorf("line %d: %+v after %+v", i+1, p, score)
		}
		if score.Left == 15 || score.Right == 15 {
			t.Errorf("line %d comes after the end", i+1)
		}
		score = score.Apply(p.Lamps, b.Touches)
	}
	if score != (bout.Score{Left: 15, Right: 12}) {
		t.Errorf("the bout ends %+v", score)
	}
	films := scene.Films()
	if len(films) != Count {
		t.Fatalf("%d films", len(films))
	}
	for i, f := range films {
		p := b.Sheet[f.Number-1]
		if f.Number != films[0].Number+i || p.Before != f.Before || p.Lamps != f.Lamps {
			t.Errorf("film %d: number %d, before %+v, lamps %+v; the sheet says %+v", i, f.Number, f.Before, f.Lamps, p)
		}
	}
}

// TestFencersAreTheirFigures: stature, hand and reach on the sheet are those of
// the figures.
func TestFencersAreTheirFigures(t *testing.T) {
	b := Bout()
	figs := scene.Films()[0].At(0)
	for _, s := range mark.Sides {
		f := b.Fencer(s)
		if f.Stature != figs[s].Build.Stature || f.Reach != float64(figs[s].Build.Reach()) || f.Hand != bout.RightHand {
			t.Errorf("%s: %+v", s, f)
		}
		// The reference figures give shoulder to tip 1.655 m at 1.80 m of stature.
		if want := 0.386*f.Stature + 0.96; f.Reach < want-0.001 || f.Reach > want+0.001 {
			t.Errorf("%s: reach %.3f m, from the table %.3f m", s, f.Reach, want)
		}
	}
}

func TestTouchesAreBare(t *testing.T) {
	all := Touches()
	if len(all) != Count {
		t.Fatalf("%d touches", len(all))
	}
	for i, k := range all {
		if len(k.Marks)+len(k.Placings)+len(k.Moments) != 0 || !k.Invented || len(k.Takes) != len(k.Videos) || k.Lamps == nil {
			t.Errorf("touch %d: %+v", i, k)
		}
		for _, take := range k.Takes {
			if _, ok := k.Video(take.Video); !ok {
				t.Errorf("touch %d: no video for take %q", i, take.ID)
			}
		}
	}
	if last := all[3]; len(last.Takes) != 2 || last.Takes[1].Factor != 4 {
		t.Errorf("the last touch has no replay: %+v", all[3].Takes)
	}
}

func TestSignEntersHashes(t *testing.T) {
	k := Touches()[0]
	m := Manifest{Files: []File{{Name: k.Videos[0].File, SHA256: "abc"}}}
	k.Videos[0].File = "/elsewhere/" + k.Videos[0].File
	m.Sign(&k)
	if k.Videos[0].SHA256 != "abc" {
		t.Errorf("the hash was not entered: %+v", k.Videos)
	}
}

package main

import (
	"context"
	"fmt"
	"reflect"
	"strings"
	"testing"

	"mesure/bundle"
	"mesure/sport/bout"
	"mesure/sport/mark"
	"mesure/store/storetest"
	"mesure/study"
)

// met is a bout of one touch in which both chose.
func met(day, left, right, choice, answer string) *study.BoutSheet {
	return &study.BoutSheet{Bout: bout.Bout{Date: day, Weapon: bout.Epee, Touches: 15, Left: bout.Fencer{Name: left}, Right: bout.Fencer{Name: right},
		Sheet: []bout.Phrase{{ID: "one", Lamps: bout.Lamps{Left: true}, Choices: &bout.Choices{Left: choice, Right: answer}}}}}
}

// pastOf says the past of a bout in short.
func pastOf(t *testing.T, s study.Shelf, id study.ID, b *study.BoutSheet) string {
	t.Helper()
	var all []string
	for _, a := range must[[]study.Act](t)(s.Past(t.Context(), id, b)) {
		all = append(all, fmt.Sprintf("%s %s %s", a.Bout, a.Fencer, a.Choice))
	}
	return strings.Join(all, ", ")
}

// The past of a bout is what both chose in other bouts until then.
func TestPastOfABout(t *testing.T) {
	ctx, s := t.Context(), memoryShelf(t)
	for _, b := range []struct {
		id    study.ID
		sheet *study.BoutSheet
	}{
		{"pool", met("2026-03-07", "Ash", "Brook", "lunge", "parry")},
		{"final", met("2026-03-07", "BROOK", "ash", "beat", "stop hit")},
		{"after", met("2026-03-07", "Ash", "Cedar", "remise", "parry")},
		{"next", met("2026-04-01", "Ash", "Brook", "feint", "parry")},
		{"last", met("2026-01-01", "Cedar", "Brook", "lunge", "flèche")},
		{"undated", met("", "Ash", "Dew", "disengage", "parry")},
		{"nobody", met("2026-01-01", "", "", "lunge", "parry")},
	} {
		must[study.BoutOnShelf](t)(s.AddBout(ctx, b.id, "", b.sheet))
	}
	foil := met("2026-01-01", "Ash", "Brook", "lunge", "parry")
	foil.Bout.Weapon = bout.Foil
	must[study.BoutOnShelf](t)(s.AddBout(ctx, "foil", "", foil))
	for _, c := range []struct {
		id    study.ID
		sheet *study.BoutSheet
		want  string
	}{
		// Of its own day only what was there before it.
		{"final", met("2026-03-07", "BROOK", "ash", "beat", "stop hit"),
			"undated Ash disengage, last Brook flèche, pool Brook parry, pool Ash lunge"},
		{"pool", met("2026-03-07", "Ash", "Brook", "lunge", "parry"), "undated Ash disengage, last Brook flèche"},
		// What is no bout of the library: the day itself is left out.
		{"", met("2026-03-07", "Ash", "Brook", "", ""), "undated Ash disengage, last Brook flèche"},
		// Without a day all others are its past.
		{"undated", met("", "Ash", "Dew", "", ""), "pool Ash lunge, final ash stop hit, after Ash remise, next Ash feint"},
		{"", met("2027-01-01", "", "Cedar", "", ""), "last Cedar lunge, after Cedar parry"},
		{"", met("2027-01-01", " ", "", "", ""), ""},
	} {
		if got := pastOf(t, s, c.id, c.sheet); got != c.want {
			t.Errorf("past of %q:\n%s\nwant\n%s", c.id, got, c.want)
		}
	}
	// The index reads the weapon; a sheet that does not say it is épée.
	b := met("2026-03-08", "Ash", "", "", "")
	b.Bout.Weapon = ""
	if got := pastOf(t, s, "", b); strings.Contains(got, "foil") || got == "" {
		t.Errorf("without a weapon: %s", got)
	}
}

// An ask has the touches of the bout under their lines, with the phrase of each and,
// where its takes are several, the order by their clocks; what does not read is doubted.
func TestTacticsAsk(t *testing.T) {
	ctx := t.Context()
	s := study.Shelf{Library: storetest.Indexed(t, libraryOptions().Acts), Papers: bundle.Papers{}}
	b := met("2026-03-07", "Ash", "Brook", "lunge", "parry")
	b.Videos = []study.Video{{ID: "v", File: "v.mp4", SHA256: strings.Repeat("a", 64)}}
	b.Words = []bout.OwnWord{{Word: "pounce"}}
	must[study.BoutOnShelf](t)(s.AddBout(ctx, "b", "", b))
	must[study.BoutOnShelf](t)(s.AddBout(ctx, "old", "", met("2026-02-01", "Ash", "Brook", "flèche", "")))
	two := &study.Touch{Title: "Touch 1", Line: "one", Videos: b.Videos,
		// The replay, at half speed, begins 50 frames into the file and 0.5 s into the bout.
		Takes: []mark.Take{{ID: "live", Video: "v", From: 0, To: 40}, {ID: "slow", Video: "v", From: 50, To: 99, Factor: 2, Offset: 0.5}},
		Actions: []bout.Action{
			{ID: "late", Who: mark.Left, Line: "blade", Word: "remise", Take: "live", From: 30, To: 35},
			{ID: "early", Who: mark.Left, Line: "blade", Word: "beat", Take: "slow", From: 60, To: 64},
		}}
	must[study.TouchOnShelf](t)(s.AddTouch(ctx, "t", "b", "", two))
	must[study.TouchOnShelf](t)(s.AddTouch(ctx, "loose", "b", "", &study.Touch{Title: "of no line"}))
	must[study.Document](t)(s.Library.Create(ctx, study.Document{ID: "bad", Kind: study.KindTouch, Of: "b", Body: []byte(`{"takes": 7}`)}))

	ask := must[study.TacticsAsk](t)(s.TacticsAsk(ctx, "b"))
	if ask.ID != "b" || ask.Bout.Left.Name != "Ash" || ask.Bout.Sheet[0].After.Left != 1 || len(ask.Words) != 1 {
		t.Errorf("the bout: %+v", ask)
	}
	if len(ask.Past) != 1 || ask.Past[0].Bout != "old" || ask.Past[0].Choice != "flèche" {
		t.Errorf("the past: %+v", ask.Past)
	}
	if len(ask.Doubts) != 1 || ask.Doubts[0].About != "bad" {
		t.Errorf("doubts: %+v", ask.Doubts)
	}
	if len(ask.Seen) != 1 || ask.Seen[0].ID != "t" || ask.Seen[0].Line != "one" || ask.Seen[0].Title != "Touch 1" || ask.Seen[0].Gap != nil {
		t.Fatalf("seen: %+v", ask.Seen)
	}
	order := func(w study.SeenTouch) (all []string) {
		for _, a := range w.Phrase.InOrder(bout.Vocabulary{}, w.When) {
			all = append(all, a.ID)
		}
		return all
	}
	// Two takes and no time stamps: as written.
	if got := order(ask.Seen[0]); !reflect.DeepEqual(got, []string{"late", "early"}) {
		t.Errorf("without time stamps: %v", got)
	}
	// With them: frame 30 of the live take is 1.2 s, frame 60 of the replay
	// 0.5 + 10/25/2 = 0.7 s.
	s.Clips = func(_ context.Context, v study.Video) (mark.Clip, bool) {
		c := mark.Clip{Width: 8, Height: 8}
		for i := range 100 {
			c.Times = append(c.Times, mark.FileTime(float64(i)/25))
		}
		return c, v.SHA256 == b.Videos[0].SHA256
	}
	ask = must[study.TacticsAsk](t)(s.TacticsAsk(ctx, "b"))
	if got := order(ask.Seen[0]); !reflect.DeepEqual(got, []string{"early", "late"}) {
		t.Errorf("with time stamps: %v", got)
	}
	if from, to, known := ask.Seen[0].When(two.Actions[1]); !known || from != 0.7 || to < 0.779 || to > 0.781 {
		t.Errorf("the beat is at %v to %v, %v", from, to, known)
	}
	if _, err := s.TacticsAsk(ctx, "t"); err == nil {
		t.Error("a touch was taken for a bout")
	}
	must[*study.Tactics](t)(study.TacticsOf(ask))
}

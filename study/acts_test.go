package study_test

import (
	"reflect"
	"testing"

	"mesure/sport/bout"
	"mesure/study"
)

// chosen is a line of a sheet on which both choices may be written.
func chosen(id string, left, right bool, l, r string) bout.Phrase {
	return bout.Phrase{ID: id, Lamps: bout.Lamps{Left: left, Right: right}, Choices: &bout.Choices{Left: l, Right: r}, Measure: "medium"}
}

// The acts of a bout, counted by hand: one for each written choice, seen from its
// fencer, words as they are written, with the score before; a void double is a double.
func TestActsOfABout(t *testing.T) {
	b := &study.BoutSheet{Bout: bout.Bout{Date: "2026-03-07", Touches: 5, Start: &bout.Score{Left: 3, Right: 3}, First: 7,
		Left: bout.Fencer{Name: "Ash"}, Right: bout.Fencer{Name: "Brook"},
		Sheet: []bout.Phrase{
			chosen("a", true, false, "lunge", "Parade"),
			{ID: "b", Lamps: bout.Lamps{Right: true}}, // nothing is written
			chosen("c", true, true, "", "my own word"),
			chosen("d", false, false, "remise", ""),
		}}}
	act := func(line string, number int, fencer, opponent, choice, answer string, mine, theirs int, outcome string) study.Act {
		return study.Act{Bout: "x", Day: "2026-03-07", Line: line, Number: number, Fencer: fencer, Opponent: opponent, Weapon: bout.Epee,
			Choice: choice, Answer: answer, Mine: mine, Theirs: theirs, To: 5, Measure: "medium", Outcome: outcome}
	}
	want := []study.Act{
		act("a", 7, "Ash", "Brook", "lunge", "Parade", 3, 3, study.OutcomeHit),
		act("a", 7, "Brook", "Ash", "Parade", "lunge", 3, 3, study.OutcomeAgainst),
		act("c", 9, "Brook", "Ash", "my own word", "", 4, 4, study.OutcomeDouble),
		act("d", 10, "Ash", "Brook", "remise", "", 4, 4, study.OutcomeNothing),
	}
	if got := study.ActsOf("x", b); !reflect.DeepEqual(got, want) {
		t.Errorf("got\n%+v\nwant\n%+v", got, want)
	}
	if b.Bout.Sheet[0].Number != 0 {
		t.Error("the sheet handed in was changed")
	}

	foil := *b
	foil.Bout.Weapon, foil.Bout.Date = bout.Foil, "yesterday"
	foil.Bout.Sheet = []bout.Phrase{chosen("a", true, true, "lunge", "")}
	foil.Bout.Sheet[0].Given = bout.GivenRight
	if got := study.ActsOf("x", &foil); len(got) != 1 || got[0].Outcome != study.OutcomeAgainst || got[0].Weapon != bout.Foil || got[0].Day != "" {
		t.Errorf("two lamps in foil, given right, on no day: %+v", got)
	}
}

// Nobody's choices are nobody's: without a name there are no acts, and none of a line
// on which one name stands on both sides.
func TestActsNeedNames(t *testing.T) {
	b := &study.BoutSheet{Bout: bout.Bout{Touches: 15, Left: bout.Fencer{Name: "Ash"}, Sheet: []bout.Phrase{chosen("a", true, false, "lunge", "parry")}}}
	if got := study.ActsOf("x", b); len(got) != 1 || got[0].Fencer != "Ash" || got[0].Opponent != "" {
		t.Errorf("an opponent without a name: %+v", got)
	}
	b.Bout.Left.Name = " "
	if got := study.ActsOf("x", b); len(got) != 0 {
		t.Errorf("nobody: %+v", got)
	}
	b.Bout.Left.Name, b.Bout.Right.Name = "Zoé", "zoe "
	if got := study.ActsOf("x", b); len(got) != 0 {
		t.Errorf("against themselves: %+v", got)
	}
}

// In a relay a choice belongs to who stood on the piste: the order of fencers and the
// period say it; without a period it is the team's.
func TestActsOfARelay(t *testing.T) {
	b := &study.BoutSheet{Bout: bout.Bout{Touches: 45, Left: bout.Fencer{Name: "Elm"}, Right: bout.Fencer{Name: "Fir"},
		Team:  &bout.Team{Left: []string{"Ash", "Birch"}, Right: []string{"Cedar", "Doyle"}},
		Sheet: []bout.Phrase{chosen("a", true, false, "lunge", ""), chosen("b", true, false, "lunge", ""), chosen("c", true, false, "", "parry")}}}
	b.Bout.Sheet[1].Period, b.Bout.Sheet[2].Period = 1, 2
	got := ""
	for _, a := range study.ActsOf("x", b) {
		got += a.Fencer + " meets " + a.Opponent + "; "
	}
	if want := "Elm meets Fir; Ash meets Cedar; Doyle meets Birch; "; got != want {
		t.Errorf("got %s, want %s", got, want)
	}
}

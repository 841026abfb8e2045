package script

import "testing"

// TestALineOfTheCoachsOwnIsNoStaleClaim: nothing was drafted that it could disagree
// with, so a refresh keeps it and says nothing of it.
func TestALineOfTheCoachsOwnIsNoStaleClaim(t *testing.T) {
	r := told(t)
	s, err := Draft(r, Options{})
	if err != nil {
		t.Fatal(err)
	}
	mine := Line{Key: OwnKey + "1", Pieces: []Piece{{Text: "Watch the front foot."}}, Edited: true}
	s.Parts[0].Lines = append(s.Parts[0].Lines, mine)
	got, stale, err := Refresh(s, r)
	if err != nil || len(stale) != 0 {
		t.Fatalf("%v, %v", stale, err)
	}
	lines := got.Parts[0].Lines
	if last := lines[len(lines)-1]; last.String() != mine.String() || !last.Own() {
		t.Errorf("the last line is %q", last)
	}
}

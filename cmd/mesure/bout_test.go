package main

import (
	"testing"

	"mesure/sport/bout"
	"mesure/study"
)

// TestBoutOfTheLibrary: a bout of the library is read by its name as its sheet is.
func TestBoutOfTheLibrary(t *testing.T) {
	ctx := t.Context()
	b := &bench{terminal: &terminal{columns: 80}, library: t.TempDir() + "/library"}
	lib := must[study.Library](t)(b.openLibrary(ctx))
	k := must[study.BoutOnShelf](t)(shelfOf(lib).AddBout(ctx, "", "make the bout", aBout()))
	if err := lib.Close(); err != nil {
		t.Fatal(err)
	}
	r := must[*boutRead](t)(runBout(ctx, b, boutOptions{Bout: string(k.Document.ID), Left: "Ash", Right: "Brook", Picture: pictureBout, tacticsOptions: tacticsOptions{Weight: usualWeight}}))
	if r.To != 15 || r.Final != (bout.Score{Left: 1, Right: 2}) || len(r.Touches) != 3 || r.Left != "Ash" || r.Event != "Harbour Cup" || r.Rows != nil {
		t.Errorf("%+v", r.BoutReading)
	}
}

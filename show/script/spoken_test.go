package script

import (
	"math"
	"testing"

	"mesure/quantity"
)

// TestNumbersAreCountedAsTheyAreSpoken, against the words written out beside them.
func TestNumbersAreCountedAsTheyAreSpoken(t *testing.T) {
	for text, want := range map[string]int{
		"0":                          1, // nought
		"13":                         1, // thirteen
		"60 ± 16 ms":                 6, // sixty plus or minus sixteen milliseconds
		"0.92 ± 0.05 m":              4 + 3 + 4 + 1,
		"120":                        4,         // one hundred and twenty
		"1110":                       6,         // one thousand one hundred and ten
		"2005":                       4,         // two thousand and five
		"37\u00a0% [12,\u00a065]":    3 + 4 + 1, // thirty seven per-cent from twelve to sixty five
		"−60 to 172\u00a0ms":         2 + 1 + 5 + 1,
		"9–7":                        2,
		"<\u00a01\u00a0%":            4, // less than one per-cent
		"1.5 m/s":                    6,
		"Öberg’s point is there.":    4,
		"":                           0,
		"One lamp: Maren hits again": 5,
	} {
		if got := englishSpoken(text); got != want {
			t.Errorf("%q: %d words, want %d", text, got, want)
		}
	}
}

// TestTheTimeIsWordsOverPace: 140 words take a minute, 125 and 160 a minute its ends; a
// coach who speaks at twice the pace takes half.
func TestTheTimeIsWordsOverPace(t *testing.T) {
	var p Part
	for range 14 {
		p.Lines = append(p.Lines, Line{Pieces: []Piece{{Text: "one two three four five six seven eight nine ten."}}})
	}
	s := &Script{Options: Options{Language: "en"}, Parts: []Part{p}}
	near := func(what string, got, want quantity.Seconds) {
		if math.Abs(float64(got-want)) > 1e-9 {
			t.Errorf("%s: %v, want %v", what, got, want)
		}
	}
	q := s.Time()
	near("mean", q.Mean, 60)
	if q.Lo < 52.5 || q.Lo > 53.5 || q.Hi < 66 || q.Hi > 67.2 { // 140/160 and 140/125 of a minute, less 2½ % at each end
		t.Errorf("ends %v, %v", q.Lo, q.Hi)
	}
	s.PerMinute = 280
	near("twice the pace", s.Time().Mean, 30)
}

package bout

import (
	"testing"

	"mesure/sport/mark"
)

// TestScoreFollowsTheLamps: FIE Technical Rules t.92 (a double counts against
// each) and t.38.1b (in a pool at 4–4 a double is not counted). At 14–14 the
// articles do not say it in words; it is universal practice.
func TestScoreFollowsTheLamps(t *testing.T) {
	left, right, both, none := Lamps{Left: true}, Lamps{Right: true}, Lamps{Left: true, Right: true}, Lamps{}
	for _, c := range []struct {
		name    string
		before  Score
		lamps   Lamps
		touches int
		want    Score
	}{
		{"one lamp", Score{2, 3}, left, 15, Score{3, 3}},
		{"the other lamp", Score{2, 3}, right, 15, Score{2, 4}},
		{"no lamp", Score{2, 3}, none, 15, Score{2, 3}},
		{"double, t.92", Score{2, 3}, both, 15, Score{3, 4}},
		{"double at 4–4 in a pool, t.38.1b", Score{4, 4}, both, 5, Score{4, 4}},
		{"double at 4–4 in direct elimination counts", Score{4, 4}, both, 15, Score{5, 5}},
		{"double at 14–14, practice", Score{14, 14}, both, 15, Score{14, 14}},
		{"double at 14–13 wins, t.40 with t.92", Score{14, 13}, both, 15, Score{15, 14}},
		{"the deciding hit at 14–14", Score{14, 14}, right, 15, Score{14, 15}},
	} {
		if got := c.before.Apply(c.lamps, c.touches); got != c.want {
			t.Errorf("%s: %v, want %v", c.name, got, c.want)
		}
	}
	if s := (Score{4, 7}); s.Of(mark.Left) != 4 || s.Of(mark.Right) != 7 {
		t.Error("the sides of a score are exchanged")
	}
}

// TestApparatus holds the order that everybody in the trade knows: épée has the
// shortest window and foil the longest, and in épée the rules leave 40 to 50 ms
// open (FIE rules of the apparatus).
func TestApparatus(t *testing.T) {
	epee, ok1 := ApparatusOf(Epee)
	foil, ok2 := ApparatusOf(Foil)
	sabre, ok3 := ApparatusOf(Sabre)
	if !ok1 || !ok2 || !ok3 {
		t.Fatal("a weapon has no apparatus")
	}
	if !(epee.WindowMS < sabre.WindowMS && sabre.WindowMS < foil.WindowMS) {
		t.Errorf("windows %v, %v, %v", epee.WindowMS, sabre.WindowMS, foil.WindowMS)
	}
	if epee.WindowMS-epee.ToleranceMS != 40 || epee.WindowMS+epee.ToleranceMS != 50 {
		t.Errorf("épée lights a double within %v ± %v ms, want 40 to 50", epee.WindowMS, epee.ToleranceMS)
	}
	for _, a := range []Apparatus{epee, foil, sabre} {
		if a.ContactMinMS <= 0 || a.ContactMinMS >= a.ContactMaxMS || a.Source == "" {
			t.Errorf("contact %v to %v ms, source %q", a.ContactMinMS, a.ContactMaxMS, a.Source)
		}
	}
	if _, ok := ApparatusOf("rapier"); ok {
		t.Error("a rapier has an apparatus")
	}
}

// TestApparatusOfADay: the sabre of before the season 2016/17 had a shorter blocking
// time, 120 ± 10 ms (circular of a national federation).
func TestApparatusOfADay(t *testing.T) {
	for day, want := range map[string]float64{"2015-05-02": 120, "2016-08-31": 120, "2016-09-01": 170, "2026-01-01": 170, "": 170, "spring": 170} {
		if a, _ := ApparatusOn(Sabre, day); a.WindowMS != want || a.ToleranceMS != 10 || a.Edition == "" {
			t.Errorf("%q: %+v, want %v", day, a, want)
		}
	}
	if a, _ := ApparatusOn(Epee, "2010-01-01"); a.WindowMS != 45 {
		t.Errorf("épée %+v", a)
	}
	if _, ok := ApparatusOn("rapier", ""); ok {
		t.Error("a fourth weapon")
	}
}

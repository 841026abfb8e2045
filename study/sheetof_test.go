package study

import (
	"errors"
	"strings"
	"testing"

	"mesure/sport/bout"
)

// sheetHolds fails unless the bout of a score sheet says what its rows say: the same
// lines in the same order, with the same score after each unless it went down, and every
// line more than that noted as put in and doubted.
func sheetHolds(t *testing.T, s *ScoreSheet, head bout.Bout) {
	t.Helper()
	b, doubts, err := SheetOf(s, head)
	var refused *Refusal
	if err != nil {
		if !errors.As(err, &refused) || len(s.Lines) > 0 {
			t.Fatal(err)
		}
		return
	}
	putIn, falls := 0, false
	for _, d := range doubts {
		falls = falls || d.Code == "score-falls"
		if d.Code == "lines-put-in" {
			putIn += int(d.Doubt)
		}
	}
	i := 0
	for _, p := range b.Bout.Scored().Sheet {
		if p.Note == skippedTouch || p.Note == skippedHits {
			putIn--
			continue
		}
		if i >= len(s.Lines) {
			t.Fatalf("%d lines and more for %d rows", i, len(s.Lines))
		}
		l, n := s.Lines[i], s.Notes[i]
		if p.Clock != l.Clock || p.Period != l.Period || p.Measure != n.Measure || p.Note != n.Note || p.Lamps != l.Hit || (p.Choices != nil) != (l.Choices != [2]string{}) {
			t.Fatalf("line %+v of row %+v, %+v", p, l, n)
		}
		if !falls && p.After != l.After {
			t.Fatalf("the score after line %d is %v, the row has %v", p.Number, p.After, l.After)
		}
		i++
	}
	if i != len(s.Lines) || putIn != 0 {
		t.Fatalf("%d lines of %d rows; %d lines were put in or doubted too many", i, len(s.Lines), putIn)
	}
}

// The rest of a row: what cannot be is left out with a doubt, and the row stands.
func TestScoreSheetColumns(t *testing.T) {
	for cells, want := range map[string]struct {
		measure, clock string
		period         int
		note, doubt    string
	}{
		"medium,2:59,1,good":                {"medium", "2:59", 1, "good", ""},
		"Step and Lunge,0:09.87,3,":         {"long", "0:09.87", 3, "", ""},
		"OUT,45,4,":                         {"out", "45", 4, "", ""}, // 4: the extra minute of a bout to 15
		"far,1:00,2,":                       {"", "1:00", 2, "", `"far" is not a measure`},
		",3:01,2,":                          {"", "", 2, "", `"3:01" cannot be the time left`},
		",1:75,2,":                          {"", "", 2, "", `"1:75" cannot be`},
		",-1:00,2,":                         {"", "", 2, "", "cannot be"},
		",1e1,2,":                           {"", "", 2, "", "cannot be"},
		",soon,2,":                          {"", "", 2, "", "cannot be"},
		",\"0:09,87\",2,":                   {"", "0:09.87", 2, "", ""},
		",,5,":                              {"", "", 0, "", `"5" is no period of a bout to 15 and is left out; write 1 to 3, and 4 for the extra minute`},
		",,0,":                              {"", "", 0, "", "is no period"},
		",,second,":                         {"", "", 0, "", "is no period"},
		",,,a\x07b":                         {"", "", 0, "a b", ""},
		",,," + strings.Repeat("é", 10_001): {"", "", 0, "", "the note has 10001 letters"},
	} {
		s, err := ReadScoreSheet("who,measure,time left,period,note\nleft,"+cells, bout.Bout{Touches: 15})
		if err != nil || len(s.Lines) != 1 || len(s.Notes) != 1 || !s.Rows[0].Taken || len(s.Passed) != 0 {
			t.Errorf("%.40q: %+v, %v", cells, s, err)
			continue
		}
		if l, n := s.Lines[0], s.Notes[0]; l.Clock != want.clock || l.Period != want.period || n.Measure != want.measure || n.Note != want.note {
			t.Errorf("%.40q: clock %q, period %d, %+v", cells, l.Clock, l.Period, n)
		}
		if (len(s.Doubts) == 1) != (want.doubt != "") || want.doubt != "" && (!strings.Contains(s.Doubts[0].Text, want.doubt) || s.Doubts[0].About != "touch 1") {
			t.Errorf("%.40q: doubts %+v", cells, s.Doubts)
		}
	}
	relay, err := ReadScoreSheet("who,relay\nleft,9\nleft,10\n", bout.Bout{Touches: 45})
	if err != nil || relay.Lines[0].Period != 9 || relay.Lines[1].Period != 0 || len(relay.Doubts) != 1 || !strings.Contains(relay.Doubts[0].Text, "no relay of a bout to 45") {
		t.Errorf("a relay: %+v, %v", relay, err)
	}
	long, err := ReadScoreSheet("who,choice_left\nleft,"+strings.Repeat("x", 401)+"\n", bout.Bout{Touches: 5})
	if err != nil || long.Lines[0].Choices[0] != "" || len(long.Doubts) != 1 || long.Doubts[0].Code != "too-long" {
		t.Errorf("a long word: %+v, %v", long, err)
	}
}

// The bout of a sheet has its rows as lines; what the sheet skips is put in so that the
// score comes out, and is doubted.
func TestSheetOf(t *testing.T) {
	for what, c := range map[string]struct {
		text, want string // outcomes of the lines, put-in ones in capitals, and the end
		doubts     []string
	}{
		"whole":             {"touch,who\n1,left\n2,both\n3,none\n", "ldn 2–1", nil},
		"skipped by score":  {"left,right\n1,0\n4,1\n4,2\n", "lLLLRr 4–2", []string{"4 lines are put in before touch 2, which the sheet skips: the hits from 1–0 to 4–1, in an order that nobody wrote"}},
		"skipped by number": {"touch,who\n1,left\n4,right\n", "lNNr 1–1", []string{"2 lines are put in before touch 4, which the sheet skips, without a hit"}},
		"a double between":  {"touch,left,right\n1,1,0\n4,3,2\n5,3,3\n", "lDLRr 3–3", []string{"3 lines are put in before touch 5"}},
		"more than hits":    {"touch,left,right\n1,1,0\n6,3,2\n7,3,3\n", "lLLRRNr 3–3", []string{"5 lines are put in before touch 7, which the sheet skips: the hits from 1–0 to 3–2, in an order that nobody wrote, and 1 line without a hit"}},
		"begins late":       {"touch,who\n7,left\n8,right\n", "lr 1–1", nil},
		"score that falls":  {"left,right\n1,0\n2,0\n3,0\n2,0\n2,1\n", "lllr 3–1", []string{"the score goes down from 3–0 to 2–0 before touch 4; the bout counts on from 3–0"}},
	} {
		head := bout.Bout{Touches: 5, Left: bout.Fencer{Name: "Ash"}}
		s, err := ReadScoreSheet(c.text, head)
		if err != nil {
			t.Fatal(err)
		}
		b, doubts, err := SheetOf(s, head)
		if err != nil {
			t.Errorf("%s: %v", what, err)
			continue
		}
		sheetHolds(t, s, head)
		got := ""
		for _, p := range b.Bout.Sheet {
			o := (BoutLine{Hit: p.Lamps}).outcome()[:1]
			if p.Note != "" {
				o = strings.ToUpper(o)
			}
			got += o
		}
		got += " " + scoreWords(b.Bout.Sheet[len(b.Bout.Sheet)-1].After)
		if got != c.want {
			t.Errorf("%s: %q, want %q", what, got, c.want)
		}
		if len(doubts) != len(c.doubts) {
			t.Errorf("%s: doubts %+v", what, doubts)
			continue
		}
		for i, d := range doubts {
			if !strings.HasPrefix(d.Text, c.doubts[i]) {
				t.Errorf("%s: %s", what, d.Text)
			}
		}
		if b.Bout.Weapon != bout.Epee || b.Bout.Left.Name != "Ash" || b.Bout.Sheet[0].ID == "" || what == "begins late" && (b.Bout.Sheet[0].Number != 7 || b.Bout.Sheet[1].Number != 8) {
			t.Errorf("%s: %+v", what, b.Bout)
		}
	}
}

func TestSheetOfRefuses(t *testing.T) {
	good, err := ReadScoreSheet("who\nleft\n", bout.Bout{Touches: 5})
	if err != nil {
		t.Fatal(err)
	}
	for at, c := range map[string]struct {
		s    *ScoreSheet
		head bout.Bout
	}{
		"/bout":         {good, bout.Bout{Touches: 5, Left: bout.Fencer{Name: "Zoé Ash"}, Right: bout.Fencer{Name: "zoe  ash"}}},
		"/bout/touches": {good, bout.Bout{}},
		"/bout/sheet":   {&ScoreSheet{}, bout.Bout{Touches: 5}},
	} {
		_, _, err := SheetOf(c.s, c.head)
		var r *Refusal
		if !errors.As(err, &r) || r.At != at || r.What == "" || r.Mend == "" {
			t.Errorf("%s: %v", at, err)
		}
	}
	if _, _, err := SheetOf(good, bout.Bout{Touches: 5}); err != nil {
		t.Errorf("two without names: %v", err)
	}
}

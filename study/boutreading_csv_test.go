package study

import (
	"errors"
	"strings"
	"testing"

	"mesure/sport/bout"
)

// outcomesOf writes lines as outcomes and the last score.
func outcomesOf(lines []BoutLine) string {
	var b strings.Builder
	for _, l := range lines {
		b.WriteByte(l.outcome()[0])
	}
	if len(lines) > 0 {
		b.WriteString(" " + scoreWords(lines[len(lines)-1].After))
	}
	return b.String()
}

func TestScoreSheetRows(t *testing.T) {
	for what, c := range map[string]struct {
		text, want string
		// reasons are those of the rows that were not taken, by their line.
		reasons map[int]string
		doubts  []string
	}{
		"who":              {"touch,who\n1,left\n2,Right\n3,both\n4,none\n", "lrdn 2–2", nil, nil},
		"score":            {"touch;left;right\n1;1;0\n2;1;1\n3;2;2\n4;2;2\n", "lrdn 2–2", nil, nil},
		"both":             {"\ufefftouch\twho\tleft\tright\r\n1\tleft\t1\t0\r\n2\tdouble\t2\t1\r\n", "ld 2–1", nil, nil},
		"no numbers":       {"who\nl\nr\n", "lr 1–1", nil, nil},
		"void double":      {"touch,who,left,right\n1,double,1,1\n2,double,2,2\n3,double,3,3\n4,double,4,4\n5,double,4,4\n6,left,5,4", "dddddl 5–4", nil, nil},
		"who and score":    {"touch,who,left,right\n1,left,1,0\n2,left,1,1\n", "l 1–0", map[int]string{3: "it says left, but from 1–0 to 1–1 the right fencer alone has a hit more"}, nil},
		"number twice":     {"touch,who\n1,left\n1,right\n2,right\n", "lr 1–1", map[int]string{3: "touch 1 is already written on line 2"}, nil},
		"backwards":        {"touch,who\n3,left\n2,right\n", "l 1–0", map[int]string{3: "touch 2 stands below touch 3"}, nil},
		"missing":          {"touch,who\n1,left\n4,right\n", "lr 1–1", nil, []string{"2 touches are missing between touch 1 and touch 4; every score"}},
		"unknown who":      {"touch,who\n1,me\n2,left\n", "l 1–0", map[int]string{2: `"me" is not who hit`}, nil},
		"no who":           {"touch,who\n1,\n2,left\n", "l 1–0", map[int]string{2: "it does not say who hit"}, nil},
		"short row":        {"touch,who\n1\n2,left\n", "l 1–0", map[int]string{2: "it does not say who hit"}, nil},
		"half a score":     {"touch,left,right\n1,1,\n1,1,0\n", "l 1–0", map[int]string{2: `"" is not a number of hits`}, nil},
		"beyond":           {"touch,left,right\n1,1,0\n2,60,0\n2,1,1\n", "lr 1–1", map[int]string{3: "60–0 is beyond a bout to 5"}, nil},
		"mistyped score":   {"touch,left,right\n1,1,0\n2,4,0\n3,2,1\n", "ld 2–1", map[int]string{3: "4–0 does not follow from 1–0"}, []string{"1 touch is missing"}},
		"score that jumps": {"touch,left,right\n1,1,0\n2,4,0\n3,4,1\n", "lr 4–1", map[int]string{3: "4–0 does not follow from 1–0"}, []string{"the score jumps from 1–0 to 4–0 on line 3", "1 touch is missing"}},
		"open quote":       {"touch,who\n1,\"left\n2,right\n", "r 0–1", map[int]string{2: "on the same line"}, nil},
		"empty":            {"touch,who\n", "", nil, nil},
	} {
		s, err := ReadScoreSheet(c.text, bout.Bout{Touches: 5})
		if err != nil {
			t.Errorf("%s: %v", what, err)
			continue
		}
		if got := outcomesOf(s.Lines); got != c.want {
			t.Errorf("%s: %q, not %q", what, got, c.want)
		}
		lost := 0
		for _, r := range s.Rows {
			if !r.Taken {
				lost++
				if want := c.reasons[r.Line]; want == "" || !strings.Contains(r.Reason, want) {
					t.Errorf("%s: line %d: %s", what, r.Line, r.Reason)
				}
			}
		}
		if lost != len(c.reasons) || len(s.Rows) != len(s.Lines)+lost {
			t.Errorf("%s: %d rows, %d lines, %d lost", what, len(s.Rows), len(s.Lines), lost)
		}
		if len(s.Doubts) != len(c.doubts) {
			t.Errorf("%s: doubts %+v", what, s.Doubts)
			continue
		}
		for i, d := range s.Doubts {
			if !strings.HasPrefix(d.Text, c.doubts[i]) {
				t.Errorf("%s: %s", what, d.Text)
			}
		}
	}
}

// TestScoreSheetChoices: a word is kept as it was written first, the trade's as the
// trade writes it, and one that nobody knows is doubted once.
func TestScoreSheetChoices(t *testing.T) {
	s, err := ReadScoreSheet("touch,who,choice_left,Choice Right,weather\n1,left,STOP  HIT,Hop in,sun\n2,left,Coup d'arrêt,hop in,\n3,right,,,\n", bout.Bout{Touches: 15})
	if err != nil {
		t.Fatal(err)
	}
	for i, want := range [][2]string{{"stop hit", "Hop in"}, {"stop hit", "Hop in"}, {}} {
		if s.Lines[i].Choices != want {
			t.Errorf("row %d: %q", i+1, s.Lines[i].Choices)
		}
	}
	if len(s.Doubts) != 1 || s.Doubts[0].Code != "unknown-word" || !strings.Contains(s.Doubts[0].Text, "Hop in") {
		t.Errorf("doubts: %+v", s.Doubts)
	}
	if len(s.Passed) != 1 || s.Passed[0] != "weather" {
		t.Errorf("columns not read: %q", s.Passed)
	}
	foil, err := ReadScoreSheet("who\nd\nl\n", bout.Bout{Touches: 15, Weapon: bout.Foil})
	if err != nil || outcomesOf(foil.Lines) != "l 1–0" || foil.Rows[0].Taken {
		t.Errorf("a double in foil: %+v, %v", foil, err)
	}
}

func TestScoreSheetIsNone(t *testing.T) {
	for text, want := range map[string]string{
		"": "empty", "\n \n": "empty", "\xff": "UTF-8", "a,b\n1,2\n": "line 1: it does not say",
		"touch,left\n1,1\n": "needs both", "who,who\nl,l\n": "stands twice", "\"who\n": "line 1",
	} {
		_, err := ReadScoreSheet(text, bout.Bout{Touches: 15})
		var bad *SheetError
		if !errors.As(err, &bad) || !strings.Contains(bad.Text, want) || bad.Mend == "" {
			t.Errorf("%q: %v", text, err)
		}
	}
}

// FuzzScoreSheet: whatever the file, every line that is not empty is a row, each is
// taken or has its reason, scores go on by at most one a side, and what was taken
// reads or is refused in words.
func FuzzScoreSheet(f *testing.F) {
	f.Add("touch,who\n1,left\n2,d\n")
	f.Add("touch;left;right;choice_left\n1;1;0;lunge\n2;4;0;\n3;4;1;x\n")
	f.Add("who\n\"l\nr\n\n-\n")
	f.Add("left,right\n4,4\n5,4\n5,5\n")
	f.Add("touch,left,right,measure,clock,period,note\n1,1,0,long,2:59,1,\x07a\n4,2,2,far,9:99,8,b\n9,2,2,,,,\n")
	f.Add("left,right\n3,0\n2,0\n2,1\n")
	f.Fuzz(func(t *testing.T, text string) {
		head := bout.Bout{Weapon: bout.Epee, Touches: 5}
		s, err := ReadScoreSheet(text, head)
		if err != nil {
			return
		}
		filled := -1 // the line of names
		for _, l := range strings.FieldsFunc(strings.TrimPrefix(text, "\ufeff"), func(r rune) bool { return r == '\n' || r == '\r' }) {
			if strings.Trim(l, " \t;,") != "" {
				filled++
			}
		}
		if filled != len(s.Rows) {
			t.Fatalf("%d lines, %d rows", filled, len(s.Rows))
		}
		taken := 0
		for _, r := range s.Rows {
			if r.Taken {
				taken++
			}
			if r.Taken == (r.Reason != "") {
				t.Fatalf("row %+v", r)
			}
		}
		if taken != len(s.Lines) {
			t.Fatalf("%d taken, %d lines", taken, len(s.Lines))
		}
		last := 0
		for _, l := range s.Lines {
			a, b := l.After.Left-l.Before.Left, l.After.Right-l.Before.Right
			if a < 0 || a > 1 || b < 0 || b > 1 || l.Number <= last {
				t.Fatalf("line %+v after touch %d", l, last)
			}
			last = l.Number
		}
		sheetHolds(t, s, head)
		if len(s.Lines) > 40 { // the reading is tested elsewhere; here it must only not fall over
			return
		}
		r, err := BoutRead(BoutAsk{Bout: head, Lines: s.Lines, Doubts: s.Doubts})
		var refused *Refusal
		if err != nil && !errors.As(err, &refused) {
			t.Fatal(err)
		}
		if err == nil && (len(r.Said) == 0 || !r.Start.Win.IsValid()) {
			t.Fatalf("%+v", r)
		}
	})
}

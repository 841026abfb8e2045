package web

import (
	"net/http"
	"strings"
	"testing"

	"mesure/sport/bout"
)

// head is what a score sheet does not say.
func head(left, right string) object {
	return object{"weapon": "epee", "touches": 5, "date": "2026-03-07", "left": object{"name": left}, "right": object{"name": right}}
}

// A score sheet is looked at and then added: every row of it has its fate, nothing is
// written before, and what was shown is what is kept.
func TestAScoreSheetIsLookedAtAndAdded(t *testing.T) {
	b := newBench(t)
	const text = "touch,who,choice_left,clock,weather\n1,left,Coup d'arrêt,2:40,sun\n2,me,,,\n4,double,hop in,9:99,\n"
	p := must[SheetPreview](b, http.MethodPost, "/api/sheets", object{"text": text, "bout": head("Ash", "Brook")})
	if p.Trouble != "" || p.Taken != 2 || len(p.Rows) != 3 || len(p.Passed) != 1 || p.Passed[0] != "weather" {
		t.Fatalf("the preview: %+v", p)
	}
	one, bad, four := p.Rows[0], p.Rows[1], p.Rows[2]
	if !one.Taken || one.Line != 2 || one.Touch.Number != 1 || one.Touch.After != (bout.Score{Left: 1}) || one.Touch.Choices.Left != "stop hit" || len(one.Touch.Doubts) != 0 {
		t.Errorf("the first row: %+v %+v", one, one.Touch)
	}
	if bad.Taken || bad.Touch != nil || bad.Text != "2,me,,," || !strings.Contains(bad.Reason, `"me" is not who hit`) {
		t.Errorf("the second row: %+v", bad)
	}
	all := strings.Join(four.Touch.Doubts, "\n")
	for _, want := range []string{"2 touches are missing", `"hop in" is not a word`, `"9:99" cannot be the time left`, "2 lines are put in before touch 4"} {
		if !strings.Contains(all, want) {
			t.Errorf("the doubts of the last row lack %s:\n%s", want, all)
		}
	}
	if len(p.Doubts) != 4 || p.Sheet == nil || len(p.Sheet.Bout.Sheet) != 4 || p.Already != "" {
		t.Errorf("the bout: %+v, %+v", p.Doubts, p.Sheet)
	}
	if s := must[Salle](b, http.MethodGet, "/api/salle", nil); len(s.Bouts) != 0 {
		t.Fatalf("looking wrote %+v", s.Bouts)
	}
	made := must[BoutPaper](b, http.MethodPost, "/api/bouts", object{"sheet": p.Sheet})
	if n := len(made.Sheet.Bout.Sheet); n != 4 || made.Sheet.Bout.Sheet[3].After != (bout.Score{Left: 2, Right: 1}) || made.Sheet.Bout.Sheet[0].Clock != "2:40" || made.Sheet.Bout.Date != "2026-03-07" {
		t.Errorf("the bout that was made: %+v", made.Sheet.Bout)
	}
	for look, want := range map[bool]string{true: string(made.Stamp.ID), false: ""} {
		p := must[SheetPreview](b, http.MethodPost, "/api/sheets", object{"text": text, "bout": head("Ash", "Brook"), "look": look})
		if string(p.Already) != want {
			t.Errorf("looking %v for the same bout: %q, want %q", look, p.Already, want)
		}
	}
	if p := must[SheetPreview](b, http.MethodPost, "/api/sheets", object{"text": text, "bout": head("Ash", "Cedar"), "look": true}); p.Already != "" {
		t.Errorf("a bout of others is %q", p.Already)
	}
}

// What can be no bout is said, with how to mend it, and never as a failure: the sheet is
// still being written.
func TestAScoreSheetThatIsNone(t *testing.T) {
	b := newBench(t)
	for _, c := range []struct {
		text, left, right, want string
		rows                    int
	}{
		{"", "Ash", "Brook", "the file is empty", 0},
		{"dear coach\n", "Ash", "Brook", "line 1: it does not say which column", 0},
		{"who\n", "Ash", "Brook", "no row of the score sheet could be taken", 0},
		{"who\nme\n", "Ash", "Brook", "no row of the score sheet could be taken", 1},
		{"who\nleft\n", "Ash", " ASH", "stands on both sides", 1},
	} {
		p := must[SheetPreview](b, http.MethodPost, "/api/sheets", object{"text": c.text, "bout": head(c.left, c.right)})
		if !strings.Contains(p.Trouble, c.want) || p.Mend == "" || p.Sheet != nil || len(p.Rows) != c.rows {
			t.Errorf("%q of %s and %s: %+v", c.text, c.left, c.right, p)
		}
	}
	if w := b.ask(http.MethodPost, "/api/sheets", object{"text": strings.Repeat("x", sheetLimit+1), "bout": head("", "")}); w.Code != http.StatusUnprocessableEntity {
		t.Errorf("a sheet without end: %d", w.Code)
	}
}

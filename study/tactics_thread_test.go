package study

import (
	"fmt"
	"reflect"
	"slices"
	"strings"
	"testing"

	"mesure/sport/bout"
	"mesure/sport/mark"
)

// wheel is an invented bout that goes round the tactical wheel of the trade: who hits,
// what each chose, at which measure.
var wheel = [][4]string{
	{"L", "step and lunge", "parry", "medium"},
	{"R", "attack", "quarte", "medium"},
	{"R", "attack", "quarte", "medium"},
	{"L", "compound attack", "quarte", "medium"},
	{"D", "attack", "attack", "short"},
	{"R", "compound attack", "stop hit", "long"},
	{"L", "counter-time", "stop hit", "medium"},
	{"-", "", "step back", ""},
	{"L", "counter-time", "stop hit", "medium"},
}

// boutOf writes an invented bout to 15 between two invented fencers.
func boutOf(lines [][4]string) bout.Bout {
	b := bout.Bout{Weapon: bout.Epee, Touches: 15, Left: bout.Fencer{Name: "Ilse Brandor"}, Right: bout.Fencer{Name: "Kim Vesper"}}
	for i, l := range lines {
		p := bout.Phrase{ID: fmt.Sprintf("l%d", i+1), Lamps: bout.Lamps{Left: l[0] == "L" || l[0] == "D", Right: l[0] == "R" || l[0] == "D"}, Measure: l[3]}
		if l[1]+l[2] != "" {
			p.Choices = &bout.Choices{Left: l[1], Right: l[2]}
		}
		b.Sheet = append(b.Sheet, p)
	}
	return b.Scored()
}

// tacticsOf asks, with few draws: the tests are of the words.
func tacticsOf(t testing.TB, ask TacticsAsk) *Tactics {
	t.Helper()
	ask.Draws = 60
	out, err := TacticsOf(ask)
	if err != nil {
		t.Fatal(err)
	}
	return out
}

// The lines are told by hand from the sheet of wheel.
func TestThreadOfTheWheel(t *testing.T) {
	got := toldOf(t, TacticsAsk{Bout: boutOf(wheel), At: 9})
	want := []struct{ said, changed string }{
		{"Touch 1, 0–0: Vesper looks for the parry against the straight attack, but Brandor hits.", "/"},
		{"Touch 2, 1–0: Vesper parries the straight attack for the second time and hits.", "same/same"},
		{"Touch 3, 1–1: Vesper parries the straight attack for the third time and hits.", "same/same"},
		{"Touch 4, 1–2: Vesper looks for the parry against the feint and attack, but Brandor hits.", "changed/same"},
		{"Touch 5, 2–2: both attack straight; both hit.", "back/changed"},
		{"Touch 6, 3–3: Vesper counter-attacks into the feint and attack and hits.", "back/changed"},
		{"Touch 7, 3–4: Vesper counter-attacks into counter-time, but Brandor hits.", "changed/same"},
		{"Touch 8, 4–4: Vesper steps out of distance, and nobody hits.", "/changed"},
		{"Touch 9, 4–4: Vesper counter-attacks into counter-time for the second time, but Brandor hits.", "same/back"},
	}
	if len(got.Thread) != len(want) {
		t.Fatalf("%d touches in the thread, want %d", len(got.Thread), len(want))
	}
	for i, w := range want {
		h := got.Thread[i]
		if s := h.Said.String(); s != w.said {
			t.Errorf("touch %d is told\n%s\nwant\n%s", i+1, s, w.said)
		}
		if c := h.Changed[0] + "/" + h.Changed[1]; c != w.changed {
			t.Errorf("touch %d: changed %s, want %s", i+1, c, w.changed)
		}
	}
	// Why they bear on touch 9: counter-time against the stop hit, at 4–4 and at lunging
	// measure. Vesper's last change before it is from the step back, which was not hit:
	// no lesson; Brandor's is from the feint that was hit at touch 6. Brandor's counter-time hit at touch 7 and comes again.
	for i, w := range []string{
		"same-measure same-score", "same-measure", "same-measure same-score", "same-measure", "same-score",
		"lesson:left same-choice:right same-score", "lesson:left same-answer same-measure", "same-score", "",
	} {
		var all []string
		for _, b := range got.Thread[i].Bears {
			s := b.Why
			if s == BearsLesson || s == BearsSameChoice {
				s += ":" + b.Who.String()
			}
			all = append(all, s)
		}
		if s := strings.Join(all, " "); s != w {
			t.Errorf("touch %d bears by %q, want %q", i+1, s, w)
		}
	}
	if got.Lacks[slices.IndexFunc(got.Lacks, func(l Lack) bool { return l.Part == PartThread })].Why != "at 1 touch before this one the choice of one or both is not written" {
		t.Errorf("lacks are %+v", got.Lacks)
	}
}

// A change follows the touch at which the choice was hit.
func TestThreadLesson(t *testing.T) {
	got := toldOf(t, TacticsAsk{Bout: boutOf(wheel), At: 4})
	b := got.Thread[2].Bears
	if len(b) == 0 || b[0].Why != BearsLesson || b[0].Who != mark.Left || b[0].Text != "The straight attack is hit here, and Brandor changes the next time." {
		t.Errorf("touch 3 bears on touch 4 by %+v", b)
	}
	// The parry of touches 2 and 3 hit and comes again at 4: the later one is the lesson.
	if len(b) < 2 || b[1].Why != BearsLesson || b[1].Who != mark.Right || b[1].Text != "The parry and riposte hits here, and Vesper brings it again." {
		t.Errorf("touch 3 bears on touch 4 by %+v", b)
	}
	for _, b := range got.Thread[1].Bears {
		if b.Why == BearsLesson {
			t.Errorf("touch 2 bears by %+v", b)
		}
	}
}

// Nothing looks ahead: what comes later changes no word of the thread and the story of
// an earlier touch.
func TestThreadLooksBackAlone(t *testing.T) {
	for at := 1; at <= len(wheel); at++ {
		of := toldOf
		if at == 7 { // with the payoffs, and all that was said of them
			of = tacticsOf
		}
		full, short := of(t, TacticsAsk{Bout: boutOf(wheel), At: at}), of(t, TacticsAsk{Bout: boutOf(wheel[:at]), At: at})
		if !reflect.DeepEqual(full.Thread, short.Thread) {
			t.Errorf("the thread of touch %d is not that of the bout that ends there", at)
		}
		if a, b := storyText(full), storyText(short); a != b {
			t.Errorf("the story of touch %d is\n%s\nwhere the bout ends there it is\n%s", at, a, b)
		}
	}
}

// A word of nobody that comes later is no possible choice yet.
func TestHabitLooksBackAlone(t *testing.T) {
	b := boutOf(wheel)
	last := &b.Sheet[len(b.Sheet)-1]
	last.Choices = &bout.Choices{Left: "hop in", Right: "hop in"}
	const at = 7
	full, short := tacticsOf(t, TacticsAsk{Bout: b, At: at}), tacticsOf(t, TacticsAsk{Bout: boutOf(wheel[:at]), At: at})
	for _, x := range []*Tactics{full, short} { // the picture alone goes on
		x.Habits[0].Course, x.Habits[1].Course = nil, nil
	}
	if !reflect.DeepEqual(full.Thread, short.Thread) || !reflect.DeepEqual(full.Habits, short.Habits) {
		t.Error("a word that comes later changes what was known before")
	}
}

func storyText(x *Tactics) string {
	var all []string
	for _, s := range x.Story {
		all = append(all, s.String())
	}
	return strings.Join(all, "\n")
}

// mirrored is the same bout with the sides exchanged.
func mirrored(b bout.Bout) bout.Bout {
	b.Left, b.Right = b.Right, b.Left
	b.Sheet = slices.Clone(b.Sheet)
	for i := range b.Sheet {
		p := &b.Sheet[i]
		p.Lamps.Left, p.Lamps.Right = p.Lamps.Right, p.Lamps.Left
		if p.Choices != nil {
			p.Choices = &bout.Choices{Left: p.Choices.Right, Right: p.Choices.Left}
		}
	}
	return b.Scored()
}

// Who stands on which side changes nothing but the order of a score.
func TestStoryMirrored(t *testing.T) {
	turned := func(s string) string {
		var all []string
		for _, w := range strings.SplitAfter(s, " ") {
			bare := strings.TrimRight(w, " .,:;")
			if l, r, ok := strings.Cut(bare, "–"); ok {
				w = r + "–" + l + strings.TrimPrefix(w, bare)
			}
			all = append(all, w)
		}
		return strings.Join(all, "")
	}
	b := boutOf(wheel)
	for at := 1; at <= len(wheel)+1; at++ {
		for _, s := range mark.Sides {
			of := toldOf
			if at == 7 && s == mark.Right {
				of = tacticsOf
			}
			one, two := of(t, TacticsAsk{Bout: b, At: at, For: s}), of(t, TacticsAsk{Bout: mirrored(b), At: at, For: s.Other()})
			if a, c := storyText(one), storyText(two); a != turned(c) {
				t.Errorf("touch %d for the %v:\n%s\nmirrored:\n%s", at, s, a, turned(c))
			}
			for i := range one.Thread {
				if a, c := one.Thread[i].Said.String(), turned(two.Thread[i].Said.String()); a != c {
					t.Errorf("thread for the %v: %q, mirrored %q", s, a, c)
				}
			}
		}
	}
}

// A phrase that was taken apart gives the choice that the sheet does not write, its
// sentence and its document.
func TestThreadFromTheStave(t *testing.T) {
	b := boutOf([][4]string{{"R", "attack", "", "medium"}, {"L", "attack", "parry", "medium"}})
	seen := SeenTouch{ID: "doc-1", Line: "l1", Phrase: bout.WrittenPhrase{Weapon: bout.Epee, Actions: []bout.Action{
		{ID: "a", Who: mark.Left, Line: "blade", Word: "straight thrust", Take: "live", From: 1, To: 5}, {ID: "b", Who: mark.Right, Line: "blade", Word: "quarte", Take: "live", From: 3, To: 8}}}}
	got := toldOf(t, TacticsAsk{Bout: b, At: 2, Seen: []SeenTouch{seen}})
	h := got.Thread[0]
	if h.Touch != "doc-1" || h.ChoiceFrom != [2]string{"sheet", "stave"} || h.Kinds[mark.Right] != bout.ChoiceParry || !strings.Contains(h.Sentence, "Kim Vesper") {
		t.Errorf("the thread has %+v", h)
	}
	i := slices.IndexFunc(got.Sources, func(s Source) bool { return s.ID == "touch-1" })
	if i < 0 || got.Sources[i].Reading != "doc-1" {
		t.Errorf("sources are %+v", got.Sources)
	}
}

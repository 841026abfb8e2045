package web

import (
	"context"
	"fmt"
	"net/http"
	"net/url"
	"reflect"
	"slices"
	"strings"
	"sync/atomic"
	"testing"

	"mesure/study"
)

// chosen is a sheet to 15 of six touches on which both choices are written: left attacks
// straight and is parried until it feints.
func chosen() object {
	pairs := [][2]string{{"attack", "parry"}, {"attack", "parry"}, {"feint-attack", "parry"}, {"attack", "counter"}, {"attack", "parry"}, {"feint-attack", "parry"}}
	sheet := []object{}
	for i, p := range pairs {
		left := p[0] == "feint-attack"
		sheet = append(sheet, object{
			"id": fmt.Sprintf("line-%d", i+1), "number": 0, "before": object{"left": 0, "right": 0}, "after": object{"left": 0, "right": 0},
			"lamps": object{"left": left, "right": !left}, "choices": object{"left": p[0], "right": p[1]}, "measure": "medium",
		})
	}
	return object{
		"bout":   object{"event": "Club night", "weapon": "epee", "touches": 15, "left": object{"name": "A. Norden"}, "right": object{"name": "B. Quill"}, "sheet": sheet},
		"videos": []object{},
	}
}

// onThread puts that bout on a bench and returns the address of its tactics.
func onThread(t testing.TB) (*bench, BoutPaper, string) {
	b := newBench(t)
	p := must[BoutPaper](b, http.MethodPost, "/api/bouts", object{"sheet": chosen()})
	return b, p, fmt.Sprintf("/api/bouts/%s/tactics", p.Stamp.ID)
}

// few asks with few draws, so that the tests are quick.
func few(path string, more ...string) string {
	q := url.Values{"draws": {"60"}}
	for i := 0; i+1 < len(more); i += 2 {
		q.Add(more[i], more[i+1])
	}
	return path + "?" + q.Encode()
}

func TestTacticsOfATouch(t *testing.T) {
	b, _, path := onThread(t)
	all := []string{"at", "5"}
	for _, name := range []TacticsPicture{picThread, picHabitLeft, picHabitRight, picBalance, picPayoff, picBout} {
		all = append(all, "pictures", string(name))
	}
	got := must[TacticsAnswer](b, http.MethodGet, few(path, all...), nil)
	x := got.Tactics
	if x.At != 5 || !x.Fenced || x.For.String() != "left" || x.Score.Left != 1 || x.Score.Right != 3 {
		t.Fatalf("touch %d at %+v for %v, fenced %v", x.At, x.Score, x.For, x.Fenced)
	}
	if len(x.Thread) != 5 || len(x.Habits) != 2 || len(x.Story) == 0 || x.Payoff == nil || len(got.Kinds) == 0 {
		t.Fatalf("%d touches, %d habits, %d sentences, payoff %v, %d kinds", len(x.Thread), len(x.Habits), len(x.Story), x.Payoff, len(got.Kinds))
	}
	for _, name := range []TacticsPicture{picThread, picHabitLeft, picHabitRight, picPayoff, picBout} {
		if !strings.HasPrefix(got.Pictures[string(name)], "<svg") {
			t.Errorf("no picture %q", name)
		}
	}
	if n := len(x.Payoff.Balances); n > 0 && !strings.HasPrefix(got.Pictures[fmt.Sprintf("balance-%d", n-1)], "<svg") {
		t.Errorf("%d balances without a picture", n)
	}
	// Every number in a sentence can be gone after.
	named := map[string]bool{}
	for _, s := range x.Sources {
		named[s.ID] = true
		for _, n := range s.Touches {
			if n < 1 || n > 6 {
				t.Errorf("source %q names touch %d", s.ID, n)
			}
		}
	}
	sentences := slices.Concat(x.Story, x.Next)
	for _, l := range x.Thread {
		sentences = append(sentences, l.Said)
	}
	numbers := 0
	for _, s := range sentences {
		for _, p := range s {
			if p.From == "" {
				continue
			}
			numbers++
			if !named[p.From] {
				t.Errorf("%q comes from %q, which is no source", p.Text, p.From)
			}
		}
	}
	if numbers == 0 {
		t.Error("no number leads anywhere")
	}
	// The touch to come, where none is named, and the other coach.
	next := must[TacticsAnswer](b, http.MethodGet, few(path, "for", "right"), nil)
	if y := next.Tactics; y.Fenced || y.At != 7 || y.For.String() != "right" || len(next.Pictures) != 0 {
		t.Errorf("without a number: touch %d, fenced %v, for %v, %d pictures", y.At, y.Fenced, y.For, len(next.Pictures))
	}
}

// TestTacticsFollowTheLibrary: answers that are kept are those of the sheet as it is.
func TestTacticsFollowTheLibrary(t *testing.T) {
	b, p, path := onThread(t)
	first := must[TacticsAnswer](b, http.MethodGet, few(path, "at", "6"), nil)
	if again := must[TacticsAnswer](b, http.MethodGet, few(path, "at", "6"), nil); !reflect.DeepEqual(again, first) {
		t.Error("asked again, the answer differs")
	}
	if n := len(b.threads.answers); n != 1 {
		t.Errorf("%d answers kept of one question asked twice", n)
	}
	// Another weight is another answer, with the same bout, which is not read anew.
	must[TacticsAnswer](b, http.MethodGet, few(path, "at", "6", "weight", "0.9"), nil)
	if a := b.threads.answers; len(a) != 2 || a[0].t.Bout == nil || a[0].t.Bout != a[1].t.Bout {
		t.Error("the whole bout was read anew for another weight")
	}
	sheet := chosen()
	sheet["bout"].(object)["sheet"].([]object)[4]["choices"] = object{"left": "counter-time", "right": "parry"}
	must[BoutPaper](b, http.MethodPut, "/api/bouts/"+string(p.Stamp.ID), save(p.Stamp.Revision, "correct line 5", sheet))
	now := must[TacticsAnswer](b, http.MethodGet, few(path, "at", "6"), nil)
	if got := now.Tactics.Thread[4].Sides[0].Kind; got != "counter-time" {
		t.Errorf("after the sheet was corrected touch 5 is still %q", got)
	}
	if reflect.DeepEqual(now.Tactics.Habits, first.Tactics.Habits) {
		t.Error("the habits are those of the old sheet")
	}
	for i := range threadsKept + 3 {
		b.threads.keep(oneThread{99, "bout", fmt.Sprint(i), &study.Tactics{At: i}})
	}
	if n := len(b.threads.answers); n != threadsKept || b.threads.answer(99, "2") != nil || b.threads.answer(98, "9") != nil || b.threads.answer(99, "9").At != 9 {
		t.Errorf("%d answers kept, want the last %d, each for its turn", n, threadsKept)
	}
}

func TestTacticsAsWhatIsSupposed(t *testing.T) {
	b, _, path := onThread(t)
	ask := func(more ...string) *TacticsAnswer {
		a := must[TacticsAnswer](b, http.MethodGet, few(path, append([]string{"at", "6"}, more...)...), nil)
		return &a
	}
	usual := ask().Tactics.Payoff
	if counts := ask("weight", "0").Tactics.Payoff; counts.Weight.Value == usual.Weight.Value || reflect.DeepEqual(counts.Grid, usual.Grid) {
		t.Error("the weight changes nothing")
	}
	if near := ask("gap", "0.4").Tactics.Payoff; near.GapFrom != "asked" || near.Gap.Value != "0.40" && near.Gap.Value != "0.4" {
		t.Errorf("a measure that was said: %+v from %q", near.Gap, near.GapFrom)
	}
	own := ask("mine", "attack", "mine", "the trap", "theirs", "parry", "theirs", "counter").Tactics.Payoff
	if len(own.Mine) != 2 || own.Mine[1].Kind != "the trap" || len(own.Theirs) != 2 {
		t.Errorf("choices that were named: %+v against %+v", own.Mine, own.Theirs)
	}
	late := ask("clock", "8", "priority", "right").Tactics
	if reflect.DeepEqual(late.Payoff.After, usual.After) {
		t.Error("eight seconds and the priority change nothing")
	}
}

func TestTacticsAreRefusedInWords(t *testing.T) {
	b, p, path := onThread(t)
	for _, c := range []struct {
		path   string
		status int
		want   string
	}{
		{"/api/bouts/none/tactics", http.StatusNotFound, "not in the library"},
		{few(path, "weight", "2"), http.StatusUnprocessableEntity, "form that Mesure reads"},
		{few(path, "for", "middle"), http.StatusUnprocessableEntity, "form that Mesure reads"},
		{few(path, "gap", "99"), http.StatusUnprocessableEntity, "form that Mesure reads"},
		{few(path, "pictures", "portrait"), http.StatusUnprocessableEntity, "form that Mesure reads"},
		{few(path, "mine", "attack", "mine", "attack"), http.StatusUnprocessableEntity, "attack"},
	} {
		w := b.ask(http.MethodGet, c.path, nil)
		if w.Code != c.status || !strings.Contains(w.Body.String(), c.want) {
			t.Errorf("%s: %d %s, want %d and %q", c.path, w.Code, w.Body, c.status, c.want)
		}
	}
	// Who fences themselves is told so.
	sheet := chosen()
	sheet["bout"].(object)["right"] = object{"name": "A. Norden"}
	must[BoutPaper](b, http.MethodPut, "/api/bouts/"+string(p.Stamp.ID), save(p.Stamp.Revision, "the same twice", sheet))
	if w := b.ask(http.MethodGet, few(path, "at", "3"), nil); w.Code != http.StatusUnprocessableEntity || !strings.Contains(w.Body.String(), "both sides") {
		t.Errorf("a fencer against themselves: %d %s", w.Code, w.Body)
	}
}

// TestTacticsOfAnEmptySheet says what is lacking and fails at nothing.
func TestTacticsOfAnEmptySheet(t *testing.T) {
	b := newBench(t)
	sheet := chosen()
	sheet["bout"].(object)["sheet"] = []object{}
	p := must[BoutPaper](b, http.MethodPost, "/api/bouts", object{"sheet": sheet})
	got := must[TacticsAnswer](b, http.MethodGet, few(fmt.Sprintf("/api/bouts/%s/tactics", p.Stamp.ID), "pictures", "thread", "pictures", "bout", "pictures", "payoff"), nil)
	if x := got.Tactics; x.At != 1 || x.Fenced || len(x.Lacks) == 0 {
		t.Errorf("touch %d, fenced %v, lacks %v", x.At, x.Fenced, x.Lacks)
	}
	if got.Pictures["bout"] != "" || got.Pictures["thread"] != "" {
		t.Error("a picture of nothing")
	}
}

// TestTacticsAtTheMeasureThatWasRead: a touch that was taken apart gives its measure, and
// is read once for each of its states.
func TestTacticsAtTheMeasureThatWasRead(t *testing.T) {
	b, path, touch := onBench(t)
	id := study.ID(strings.Split(path, "/")[3])
	var reads atomic.Int32
	read := b.read
	b.read = func(ctx context.Context, t *study.Touch, f study.Footage, o study.ReadOptions) (*study.Reading, error) {
		reads.Add(1)
		return read(ctx, t, f, o)
	}
	paper := must[TouchPaper](b, http.MethodGet, "/api/touches/"+string(id), nil)
	at := fmt.Sprintf("/api/bouts/%s/tactics", paper.Bout)
	if x := must[TacticsAnswer](b, http.MethodGet, few(at, "at", "1"), nil).Tactics; x.Thread[0].Measure != "" || reads.Load() != 0 {
		t.Errorf("nothing is marked: measure %q after %d readings", x.Thread[0].Measure, reads.Load())
	}
	must[TouchPaper](b, http.MethodPut, "/api/touches/"+string(id), object{"base": paper.Stamp.Revision, "gesture": "mark", "touch": touch})
	for _, weight := range []string{"0.5", "0.6", "0.7"} {
		x := must[TacticsAnswer](b, http.MethodGet, few(at, "at", "1", "weight", weight), nil).Tactics
		if x.Thread[0].Measure == "" || x.Payoff == nil || x.Payoff.GapFrom != "measured" {
			t.Fatalf("measure %q, payoff there %v", x.Thread[0].Measure, x.Payoff != nil)
		}
	}
	if n := reads.Load(); n != 2 {
		t.Errorf("%d readings for three questions, want 2: its measure, and its fencers", n)
	}
}

// TestTheThreadHasAPage: an address that is typed or kept leads to the desk.
func TestTheThreadHasAPage(t *testing.T) {
	b := newBench(t)
	for path, want := range map[string]int{"/bout/x/thread": http.StatusOK, "/bout/x/thread/9": http.StatusOK, "/bout/x/thread/9/9": http.StatusNotFound} {
		if w := b.ask(http.MethodGet, path, nil); w.Code != want || !strings.Contains(w.Body.String(), "desk") {
			t.Errorf("%s: %d, want %d and the desk", path, w.Code, want)
		}
	}
}

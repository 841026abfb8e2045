package web

import (
	"net/http"
	"net/url"
	"slices"
	"testing"
	"time"

	"mesure/sport/bout"
	"mesure/sport/mark"
	"mesure/study"
)

// The words that the browser is offered are those of the vocabulary, in its order: the
// second route is bout.Vocabulary itself.
func TestWordsOnTheWire(t *testing.T) {
	b := newBench(t)
	find := func(query string) FoundWords { return must[FoundWords](b, http.MethodGet, "/api/words?"+query, nil) }
	for _, c := range []struct{ typed, line string }{{"ri", "blade"}, {"fl", "feet"}, {"Au", ""}, {"pa", "blade"}, {"ca", ""}, {"", "hand"}} {
		want := bout.Vocabulary{Weapon: bout.Epee}.Find(c.typed, c.line)
		got := find("typed=" + url.QueryEscape(c.typed) + "&line=" + c.line)
		if len(got.Words) != min(len(want), foundMost) {
			t.Fatalf("%q: %d words of %d", c.typed, len(got.Words), len(want))
		}
		for i, w := range got.Words {
			if w.Word != want[i].Word.Name || w.About == "" || w.Source == "" {
				t.Errorf("%q: word %d is %+v, not %s", c.typed, i, w, want[i].Word.Name)
			}
		}
	}
	if got := find("typed=arr&line=blade").Words[0]; got.Word != "stop hit" || got.French != "coup d'arrêt" || got.Article != "t.12.1" {
		t.Errorf("arr finds %+v", got)
	}
	if !find("typed=Riposte").Exact || find("typed=ripost").Exact {
		t.Error("only the whole word is exact")
	}
	if got := find("choice=true&typed=qu").Words; len(got) == 0 || got[0].Word != "quarte" || got[0].Counts != "parry and riposte" {
		t.Errorf("a choice: %+v", got)
	}
	if w := b.ask(http.MethodGet, "/api/words?bout=nowhere&typed=ri", nil); w.Code != http.StatusNotFound {
		t.Errorf("a bout that is not there: %d", w.Code)
	}
	// What is typed is answered at once: the bound is the one of the house, 20 ms.
	start := time.Now()
	const times = 20
	for range times {
		find("typed=co&line=blade")
	}
	if each := time.Since(start) / times; each > 20*time.Millisecond {
		t.Errorf("an answer takes %v", each)
	}
}

// A word of nobody becomes the coach's own, is found at once, and what is written often
// comes first.
func TestAWordOfOnesOwn(t *testing.T) {
	b := newBench(t)
	up := b.uploaded("a.mp4", "video one")
	at := "/api/bouts/" + string(up.Bout)
	b.ask(http.MethodPut, at, save(1, "lines", lines(up.Media.SHA256, "one")))
	find := func(typed string) []string {
		var all []string
		for _, w := range must[FoundWords](b, http.MethodGet, "/api/words?line=blade&bout="+string(up.Bout)+"&typed="+url.QueryEscape(typed), nil).Words {
			all = append(all, w.Word)
		}
		return all
	}
	if got := find("gate"); len(got) != 0 {
		t.Fatalf("gate is %v", got)
	}
	own := object{"word": object{"word": "gate", "kind": "parry", "about": "Shuts the line."}}
	if got := must[FoundWords](b, http.MethodPost, at+"/words", own); !got.Exact || !got.Words[0].Own || got.Words[0].About != "Shuts the line." {
		t.Errorf("kept: %+v", got)
	}
	if got := find("ga"); !slices.Contains(got, "gate") {
		t.Errorf("ga finds %v", got)
	}
	p := must[BoutPaper](b, http.MethodGet, at, nil)
	if len(p.Sheet.Words) != 1 || p.Stamp.Gesture != "keep a word of one's own" || !p.Stamp.CanUndo {
		t.Errorf("the bout has %+v, %+v", p.Sheet.Words, p.Stamp)
	}
	if w := b.ask(http.MethodPost, at+"/words", object{"word": object{"word": "Dégagement"}}); w.Code != http.StatusUnprocessableEntity {
		t.Errorf("a word of the trade is kept as an own one: %d %s", w.Code, w.Body)
	}

	touch := must[TouchPaper](b, http.MethodPost, at+"/lines/one/touch", nil)
	if got := find("re"); got[0] == "redoublement" {
		t.Fatalf("re finds %v first", got)
	}
	w := touch.Touch
	for i := range 3 {
		w.Actions = append(w.Actions, bout.Action{ID: string(rune('a' + i)), Line: "blade", Word: "Redoublement", Take: "live", From: 1, To: mark.Frame(2 + i)})
	}
	must[TouchPaper](b, http.MethodPut, "/api/touches/"+string(touch.Stamp.ID), object{"base": touch.Stamp.Revision, "gesture": "write", "touch": w})
	if got := find("re"); got[0] != "redoublement" {
		t.Errorf("written three times, and re finds %v", got)
	}
}

// The phrase as the desk is told it, beside the same calls of the sport (second route),
// and what it would do to the sheet.
func TestThePhraseOnTheWire(t *testing.T) {
	touch := &study.Touch{
		Bout:   bout.Bout{Weapon: bout.Epee, Left: bout.Fencer{Name: "A. Norden"}, Right: bout.Fencer{Name: "B. Quill"}, Sheet: []bout.Phrase{{ID: "one", Choices: &bout.Choices{Left: "Angriff"}}}},
		Line:   "one",
		Words:  []bout.OwnWord{{Word: "gate", Kind: bout.KindParry}},
		Videos: []study.Video{{ID: "v"}}, Takes: []mark.Take{{ID: "live", Video: "v", From: 0, To: 4}},
		Actions: []bout.Action{
			{ID: "a", Who: mark.Left, Line: "blade", Word: "attack", Take: "live", From: 0, To: 2},
			{ID: "b", Who: mark.Right, Line: "blade", Word: "gate", Take: "live", From: 1, To: 2},
			{ID: "c", Who: mark.Left, Line: "blade", Word: "riposte", Take: "live", From: 3, To: 4},
			{ID: "d", Who: mark.Right, Line: "hand", Word: "wiggle", Take: "live", From: 3, To: 4},
		},
	}
	r := &study.Reading{Touch: touch, Clips: map[string]mark.Clip{"v": {Times: []mark.FileTime{0, 0.04, 0.08, 0.12, 0.16}}}}
	got := phraseOf(r)
	p := touch.Written()
	if want := p.Sentence(touch.Vocabulary(), nil, "A. Norden", "B. Quill"); got.Sentence != want || !got.Written {
		t.Errorf("%q, not %q", got.Sentence, want)
	}
	want := p.Warnings(touch.Vocabulary(), nil)
	if len(got.Warnings) != len(want) || !slices.ContainsFunc(got.Warnings, func(d PhraseDoubt) bool { return d.Action == "c" && d.Article == "t.9.1" }) {
		t.Errorf("%+v, not %+v", got.Warnings, want)
	}
	if len(got.Unknown) != 1 || got.Unknown[0] != (UnknownWord{"wiggle", "hand"}) {
		t.Errorf("unknown: %+v", got.Unknown)
	}
	if got.Left.Name != bout.ChoiceAttack || got.Right.Name != bout.ChoiceParry {
		t.Errorf("choices %v and %v", got.Left, got.Right)
	}
	// "Angriff" is the attack in another language; the right side has nothing yet.
	if s := got.Sheet; s == nil || len(s.Differs) != 0 || !slices.Equal(s.Fills, []string{"right"}) {
		t.Errorf("the sheet: %+v", got.Sheet)
	}
	touch.Bout.Sheet[0].Choices = &bout.Choices{Left: "counter-time"}
	if s := phraseOf(r).Sheet; !slices.Equal(s.Differs, []string{"left"}) {
		t.Errorf("the sheet says otherwise: %+v", s)
	}
}

// Taking over writes the line, as one step that the bout can undo, and leaves what it is
// not told.
func TestTakeOverToTheSheet(t *testing.T) {
	b := newBench(t)
	up := b.uploaded("a.mp4", "video one")
	at := "/api/bouts/" + string(up.Bout)
	b.ask(http.MethodPut, at, save(1, "lines", lines(up.Media.SHA256, "one", "two")))
	touch := must[TouchPaper](b, http.MethodPost, at+"/lines/two/touch", nil)
	path := "/api/touches/" + string(touch.Stamp.ID) + "/sheet"
	got := must[TouchPaper](b, http.MethodPost, path, object{"left": "straight attack", "measure": "medium"})
	line := got.Touch.Bout.Sheet[1]
	if line.Choices == nil || *line.Choices != (bout.Choices{Left: "straight attack"}) || line.Measure != "medium" || got.Touch.Bout.Sheet[0].Choices != nil {
		t.Errorf("the line: %+v", line)
	}
	must[TouchPaper](b, http.MethodPost, path, object{"right": "wriggle"})
	p := must[BoutPaper](b, http.MethodGet, at, nil)
	if c := *p.Sheet.Bout.Sheet[1].Choices; c != (bout.Choices{Left: "straight attack", Right: "wriggle"}) || p.Sheet.Bout.Sheet[1].Measure != "medium" {
		t.Errorf("after the second: %+v", p.Sheet.Bout.Sheet[1])
	}
	if !slices.Equal(p.Unknown, []string{"wriggle"}) {
		t.Errorf("unknown: %v", p.Unknown)
	}
	base := p.Stamp.Revision
	must[TouchPaper](b, http.MethodPost, path, object{"left": "straight attack"})
	if p = must[BoutPaper](b, http.MethodGet, at, nil); p.Stamp.Revision != base {
		t.Error("what the sheet says already is a step")
	}
	p = must[BoutPaper](b, http.MethodPost, at+"/undo", object{"base": p.Stamp.Revision})
	if c := *p.Sheet.Bout.Sheet[1].Choices; c.Right != "" {
		t.Errorf("undone: %+v", c)
	}
	if w := b.ask(http.MethodPost, path, object{"measure": "far"}); w.Code != http.StatusUnprocessableEntity {
		t.Errorf("a measure that is none: %d", w.Code)
	}
}

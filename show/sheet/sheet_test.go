package sheet

import (
	"bytes"
	"errors"
	"html"
	"maps"
	"regexp"
	"slices"
	"strings"
	"testing"

	"mesure/show/plate"
	"mesure/show/report"
	"mesure/show/script"
	"mesure/sport/mark"
	"mesure/study"
)

// shown is what a reader of an HTML sheet reads: without style and pictures.
func shown(page string) string {
	page = regexp.MustCompile(`(?s)<style>.*?</style>|<svg.*?</svg>`).ReplaceAllString(page, "")
	page = regexp.MustCompile(`<[^>]*>`).ReplaceAllString(page, "\n")
	page = strings.NewReplacer("\u00a0", " ").Replace(html.UnescapeString(page))
	return page
}

// joined is shown with its sentences whole.
func joined(page string) string {
	page = regexp.MustCompile(`</?(?:span|bdi|b)\b[^>]*>`).ReplaceAllString(page, "")
	return shown(page)
}

func html1(t testing.TB, r *study.Reading, o Options, ps ...report.Plate) string {
	t.Helper()
	var b bytes.Buffer
	if err := WriteHTML(&b, r, nil, ps, o); err != nil {
		t.Fatal(err)
	}
	return b.String()
}

var (
	measured = regexp.MustCompile(`[−<>]?\d+(?:\.\d+)? ± \d+(?:\.\d+)?(?: ?(?:ms|cm|m/s|m\b|s\b|%|°))?`)
	shares   = regexp.MustCompile(`[<>]? ?\d+ % \[\d+, \d+\]`)
)

// TestEveryNumberIsAFact: each number with its doubt, on every level, is one that package
// script has printed of the reading, or the time of a frame or a cue as package plate
// prints it.
func TestEveryNumberIsAFact(t *testing.T) {
	r := told(t)
	known := map[string]bool{}
	add := func(s string) { known[strings.ReplaceAll(s, "\u00a0", " ")] = true }
	all, err := script.Facts(r, script.Options{})
	if err != nil {
		t.Fatal(err)
	}
	for _, f := range all {
		add(f.Text)
	}
	for _, in := range r.Instants {
		add(plate.Seconds(in.At))
	}
	add(plate.Milliseconds(r.Timing.Windows.Cue.At))
	for _, l := range levels {
		text := shown(html1(t, r, Options{Level: l, Lesson: true}))
		found := append(measured.FindAllString(text, -1), shares.FindAllString(text, -1)...)
		for _, n := range found {
			if !known[strings.TrimSpace(n)] {
				t.Errorf("%s: %q is no fact of the reading", l, n)
			}
		}
		if len(found) < 40 {
			t.Errorf("%s: %d numbers only", l, len(found))
		}
	}
}

// numbersOf reads the table of numbers, and the key numbers, by what they are.
func numbersOf(page string) (table, keys map[string]string) {
	table, keys = map[string]string{}, map[string]string{}
	plain := regexp.MustCompile(`<[^>]*>`)
	for _, m := range regexp.MustCompile(`<th scope="row"[^>]*>(.*?)</th><td[^>]* class="n">(.*?)</td>`).FindAllStringSubmatch(page, -1) {
		table[plain.ReplaceAllString(m[1], "")] = plain.ReplaceAllString(m[2], "")
	}
	for _, m := range regexp.MustCompile(`<dl class="keys">(?s:(.*?))</dl>`).FindAllStringSubmatch(page, -1) {
		for _, k := range regexp.MustCompile(`<dt>(.*?)</dt><dd>(.*?)</dd>`).FindAllStringSubmatch(m[1], -1) {
			keys[plain.ReplaceAllString(k[1], "")] = plain.ReplaceAllString(k[2], "")
		}
	}
	return table, keys
}

// TestALevelChangesWordsAndNotNumbers.
func TestALevelChangesWordsAndNotNumbers(t *testing.T) {
	pages := map[script.Level]string{}
	for _, l := range levels {
		pages[l] = html1(t, told(t), Options{Level: l, Lesson: true})
	}
	deep, keys := numbersOf(pages[script.Competitor])
	for _, l := range levels {
		table, k := numbersOf(pages[l])
		if !maps.Equal(k, keys) || len(k) < 6 {
			t.Errorf("%s: other numbers carry its parts: %v, not %v", l, k, keys)
		}
		for what, n := range table {
			if d, ok := deep[what]; ok && !slices.ContainsFunc(strings.Split(n, "; "), func(one string) bool { return strings.Contains(d, one) }) {
				t.Errorf("%s: %s is %s, and for competitors %s", l, what, n, d)
			}
		}
		if len(table) < 10 {
			t.Errorf("%s: a table of %d numbers", l, len(table))
		}
	}
	if a, b := shown(pages[script.Beginner]), shown(pages[script.Club]); a == b || !strings.Contains(a, "without blades") {
		t.Error("a beginner reads the same words as a club fencer")
	}
}

// TestAnAnonymousSheetHasNoName, in its words and in its PDF's title.
func TestAnAnonymousSheetHasNoName(t *testing.T) {
	r := told(t)
	r.Touch.Note = "Maren asked for this one"
	r.Warnings = append(r.Warnings, study.Warning{About: "Öberg’s hand", Text: "the hand of Jonas Öberg is hidden"})
	page := shown(html1(t, r, Options{Names: script.Anonymous, Lesson: true, Level: script.Competitor}))
	named := shown(html1(t, r, Options{Lesson: true, Level: script.Competitor}))
	for _, n := range []string{"Ida", "Maren", "Jonas", "Öberg", "Phare", "Quais", "Harbour", "Ash", "Brook", "The extension into the preparation"} {
		if strings.Contains(page, n) {
			t.Errorf("the sheet without names has %q", n)
		}
		if n != "Jonas" && !strings.Contains(named, n) {
			t.Errorf("the sheet with names lacks %q, so this test shows nothing", n)
		}
	}
	var b bytes.Buffer
	if err := WritePDF(&b, r, nil, nil, Options{Names: script.Anonymous, Lesson: true}); err != nil {
		t.Fatal(err)
	}
	if bytes.Contains(b.Bytes(), []byte("extension into the preparation")) || bytes.Contains(b.Bytes(), utf16("Maren")) {
		t.Error("the title of the PDF has a name")
	}
}

func utf16(s string) []byte {
	var b strings.Builder
	for _, r := range s {
		b.WriteString(strings.ToUpper("00" + string("0123456789abcdef"[r>>4]) + string("0123456789abcdef"[r&15])))
	}
	return []byte(b.String())
}

// TestWhatIsMissingIsNamed: a reading without a race, a timing or tactics still gives a
// sheet, which says what it cannot tell and what would mend it.
func TestWhatIsMissingIsNamed(t *testing.T) {
	cases := map[string]struct {
		change func(*study.Reading)
		want   []string
		not    []string
	}{
		"no race":    {func(r *study.Reading) { r.Race, r.Timing.Race = nil, nil }, []string{"no race could be run"}, []string{"arrives first"}},
		"no timing":  {func(r *study.Reading) { r.Timing = nil }, []string{"no instant of this touch could be timed"}, []string{"still in time for"}},
		"no tactics": {func(r *study.Reading) { r.Tactics = nil }, []string{"the touch is not on the sheet of a bout"}, []string{"Tactics"}},
		"nothing": {func(r *study.Reading) { *r = study.Reading{Touch: &study.Touch{}, Version: "1"} },
			[]string{"Nothing of this touch could be measured yet", "no race could be run", "no instant of this touch", "not on the sheet of a bout", "No drill follows", "Full regulation kit and mask"}, []string{"questions"}},
	}
	for name, c := range cases {
		r := told(t)
		c.change(r)
		text := joined(html1(t, r, Options{Lesson: true}))
		for _, w := range append(c.want, "What this sheet cannot tell", "How it was measured") {
			if !strings.Contains(text, w) {
				t.Errorf("%s: the sheet lacks %q", name, w)
			}
		}
		for _, w := range append(c.not, "{", "}", "%!", "..", "( )", "()") {
			if strings.Contains(text, w) {
				t.Errorf("%s: the sheet has %q", name, w)
			}
		}
		var b bytes.Buffer
		if err := WritePDF(&b, r, nil, nil, Options{Lesson: true}); err != nil || b.Len() == 0 {
			t.Errorf("%s: no PDF: %v", name, err)
		}
	}
}

// TestTheLessonGivesNothingAwayBeforeTheQuestions: what to watch for and the questions
// come first, with three answers behind a fold; a sheet that is no lesson has neither.
func TestTheLessonGivesNothingAwayBeforeTheQuestions(t *testing.T) {
	page := html1(t, told(t), Options{Lesson: true})
	ids := regexp.MustCompile(`<section[^>]*aria-labelledby="h-([a-z-]+)"`).FindAllStringSubmatch(page, -1)
	var order []string
	for _, m := range ids {
		order = append(order, m[1])
	}
	want := []string{"watch", "questions", "finding", "opening", "technique", "tactics", "timing", "take-away", "drills", "answers", "numbers", "missing", "doubts", "measured", "cautions"}
	if !slices.Equal(order, want) {
		t.Errorf("the sections are %v", order)
	}
	before := page[:strings.Index(page, `id="h-finding"`)]
	folded := regexp.MustCompile(`(?s)<details>.*?</details>`)
	if n := len(folded.FindAllString(before, -1)); n != 3 {
		t.Errorf("%d answers behind a fold", n)
	}
	open := shown(folded.ReplaceAllString(before, ""))
	for _, n := range append(measured.FindAllString(open, -1), shares.FindAllString(open, -1)...) {
		if !strings.HasSuffix(n, " s") { // when to look
			t.Errorf("%q stands before the questions are answered", n)
		}
	}
	if s := html1(t, told(t), Options{}); strings.Contains(s, `"h-drills"`) || strings.Contains(s, "<details") || !strings.Contains(s, "mask") {
		t.Error("a sheet that is no lesson has drills or questions, or no cautions")
	}
}

// TestTheScriptIsTheCoachs: words that were edited stand as they are, a part that was left
// out is not in the sheet, and what no longer agrees is told.
func TestTheScriptIsTheCoachs(t *testing.T) {
	r := told(t)
	s, err := script.Draft(r, script.Options{Level: script.Competitor})
	if err != nil {
		t.Fatal(err)
	}
	s.Parts = slices.DeleteFunc(s.Parts, func(p script.Part) bool { return p.Kind == script.PartTactics })
	i := slices.IndexFunc(s.Parts, func(p script.Part) bool { return p.Kind == script.PartTiming })
	l := &s.Parts[i].Lines[0]
	l.Edit("Look at Maren: the start is hers.")
	l.Claim = "open" // what was found when the words were written
	before := s.Parts[i].Lines[0].String()
	var b bytes.Buffer
	if err := WriteHTML(&b, r, s, nil, Options{}); err != nil {
		t.Fatal(err)
	}
	text := joined(b.String())
	if !strings.Contains(text, "the start is hers") || strings.Contains(text, "\nTactics\n") || !strings.Contains(text, "for competitors") {
		t.Error("the coach’s script was changed")
	}
	if !strings.Contains(text, "no longer says what is found") {
		t.Error("the sheet does not tell what no longer agrees")
	}
	if s.Parts[i].Lines[0].String() != before {
		t.Error("the script handed in was changed")
	}
	b.Reset()
	if err := WriteHTML(&b, r, s, nil, Options{Names: script.Anonymous}); err != nil {
		t.Fatal(err)
	}
	if text := joined(b.String()); strings.Contains(text, "Maren") || !strings.Contains(text, "Look at Left: the start is hers") {
		t.Error("a name in the coach’s words is not hidden")
	}
}

// TestOptionsThatAreNoneAreRefused, with what would mend it, and nothing is written.
func TestOptionsThatAreNoneAreRefused(t *testing.T) {
	for name, o := range map[string]Options{"level": {Level: "master"}, "names": {Names: "loud"}, "paper": {Paper: "a5"}} {
		var b bytes.Buffer
		err := WritePDF(&b, told(t), nil, nil, o)
		var no *script.Refusal
		if !errors.As(err, &no) || no.At != name || b.Len() > 0 {
			t.Errorf("%s: the error is %v, with %d bytes", name, err, b.Len())
		}
	}
	if err := WriteHTML(&bytes.Buffer{}, &study.Reading{}, nil, nil, Options{}); err == nil {
		t.Error("a reading without a touch gives a sheet")
	}
}

// TestNothingHandedInIsChanged and equal input gives equal bytes.
func TestEqualInputGivesEqualBytes(t *testing.T) {
	r := told(t)
	first, again := html1(t, r, Options{Lesson: true}), html1(t, told(t), Options{Lesson: true})
	if first != again || html1(t, r, Options{Lesson: true}) != first {
		t.Error("the sheet differs from run to run")
	}
	var a, b bytes.Buffer
	for _, w := range []*bytes.Buffer{&a, &b} {
		if err := WritePDF(w, r, nil, nil, Options{Lesson: true}); err != nil {
			t.Fatal(err)
		}
	}
	if !bytes.Equal(a.Bytes(), b.Bytes()) {
		t.Error("the PDF differs from run to run")
	}
}

var _ = mark.Left

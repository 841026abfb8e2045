package report

import (
	"bytes"
	"regexp"
	"strings"
	"testing"

	"mesure/show/plate"
	"mesure/show/specimen"
	"mesure/study"
)

// tactical is the invented reading with the tactics that the tests of package chart write.
func tactical(t testing.TB) *study.Reading {
	r := reading(t)
	r.Tactics = specimen.Tactics(t)
	return r
}

// writtenTactics is a report with the plates of its tactics alone.
func writtenTactics(t testing.TB, r *study.Reading, o Options) string {
	t.Helper()
	ps, err := drawAll(tacticsJobs(r, o.naming()))
	if err != nil {
		t.Fatal(err)
	}
	var b bytes.Buffer
	if err := Write(&b, r, o, ps...); err != nil {
		t.Fatal(err)
	}
	return b.String()
}

// TestTheReportTellsTheTactics: the story with its notes, every picture, what to do, what
// is not known, and where each number comes from.
func TestTheReportTellsTheTactics(t *testing.T) {
	r := tactical(t)
	s := writtenTactics(t, r, Options{})
	x := r.Tactics
	for _, want := range []string{"The tactics</h2>", "Before touch 15, at 9–7, as Ash’s coach sees it", "and Ash began to feint.", "Brook’s counter-attack stood at",
		`<a href="#source-1"`, `<li id="source-1"><b>How often Brook makes the counter-attack.</b>`, `<li id="source-2">`, "Touches 1, 9–11; 3 in an earlier bout with Brook of 2025-04-12.",
		"Assumed before: half a count for each choice. Methods, “7.3”.", "What to do at this touch", "Draw the counter-attack and take the blade", "The habit, left.</b> Too little is seen of Ash at this score. Note what both chose in earlier bouts."} {
		if !strings.Contains(s, want) {
			t.Errorf("the report lacks %q", want)
		}
	}
	if strings.Contains(s, "Nobody names this") {
		t.Error("a source that no sentence names is listed")
	}
	for _, kind := range []string{"thread", "habit", "balance", "payoff", "bout"} {
		n := 1
		if kind == "habit" {
			n = 2
		}
		if got := strings.Count(s, `<figure class="pic `+kind+`">`); got != n {
			t.Errorf("%d pictures of %s, not %d", got, kind, n)
		}
	}
	// Of two numbers of a sentence that come from the same the last has the note.
	twice := (&footnotes{x: x, say: plate.Typeset, at: map[string]int{}}).sentence(study.Sentence{{Text: "1", From: "score"}, {Text: " and "}, {Text: "2", From: "score"}})
	if !strings.HasPrefix(string(twice), "1 and <span") || strings.Count(string(twice), "<sup>") != 1 {
		t.Errorf("two numbers of one source: %s", twice)
	}
	// Every note that is pointed at is there once.
	for _, m := range regexp.MustCompile(`href="#(source-\d+)"`).FindAllStringSubmatch(s, -1) {
		if n := strings.Count(s, `id="`+m[1]+`"`); n != 1 {
			t.Errorf("%s stands %d times", m[1], n)
		}
	}
	if re := regexp.MustCompile(`<th(?: class="[^"]*")?>|<table>\s*<thead>|<p>\s*</p>|\(\)|\.\.<|<no value>|%!`); re.MatchString(s) {
		t.Errorf("the page has %q", re.FindString(s))
	}
	if !strings.Contains(s, plate.Percent(x.Payoff.Reply.Worth)) {
		t.Error("the worth of the reply is not said")
	}
}

// TestAReportWithoutTacticsSaysNothingOfThem, and one with hidden names names nobody.
func TestAReportWithoutTacticsSaysNothingOfThem(t *testing.T) {
	if s := writtenTactics(t, reading(t), Options{}); strings.Contains(s, "h-tactics\">") {
		t.Error("tactics are told that are not there")
	}
	r := tactical(t)
	s := writtenTactics(t, r, Options{HideNames: true})
	_, s, _ = strings.Cut(s, "</style>") // fonts are letters too
	for _, name := range []string{"Ash", "Brook", "Harbour", "Ida Maren"} {
		if strings.Contains(s, name) {
			t.Errorf("%q is told", name)
		}
	}
	if !strings.Contains(s, "Right’s counter-attack stood at") {
		t.Error("the story is gone")
	}
}

// TestTacticsInPartAreToldInPart: what the sheet does not carry has no heading.
func TestTacticsInPartAreToldInPart(t *testing.T) {
	r := tactical(t)
	r.Tactics = &study.Tactics{At: 1, Lacks: []study.Lack{{Part: study.PartThread, Both: true, Why: "no touch is written", Mend: "write one"}}}
	s := writtenTactics(t, r, Options{})
	if !strings.Contains(s, "The thread.</b> No touch is written. Write one.") {
		t.Error("what is lacking is not said")
	}
	for _, no := range []string{"The habits</h3>", "What each choice was worth</h3>", "The bout around it", "Where the numbers come from", "What to do at this touch"} {
		if strings.Contains(s, no) {
			t.Errorf("the report has %q", no)
		}
	}
}

// TestWordsOfTheTacticsCannotBreakThePage: names and notes are the coach's.
func TestWordsOfTheTacticsCannotBreakThePage(t *testing.T) {
	r := tactical(t)
	r.Tactics.Story = []study.Sentence{{{Text: `<script>alert(1)</script>`}, {Text: `"><b>`, From: "score"}}}
	r.Tactics.Sources[1].Title = `<i>worth</i>`
	s := writtenTactics(t, r, Options{})
	if strings.Contains(s, "<script>alert") || strings.Contains(s, `"><b><sup`) || strings.Contains(s, "<i>worth") {
		t.Error("words of the coach are taken for HTML")
	}
}

// TestTheReportStaysSmall: the pictures of tactics are written with their words as text.
func TestTheReportStaysSmall(t *testing.T) {
	r := tactical(t)
	ps, err := drawAll(tacticsJobs(r, plate.Named))
	if err != nil {
		t.Fatal(err)
	}
	n := 0
	for _, p := range ps {
		pic, err := pictures(p)
		if err != nil {
			t.Fatal(err)
		}
		n += len(pic)
	}
	if n > 900_000 || len(ps) != 6 {
		t.Errorf("%d pictures make the report %d kB larger", len(ps), n/1000)
	}
}

func TestRunsOfNumbers(t *testing.T) {
	for want, all := range map[string][]int{"": nil, "3": {3}, "3, 4": {3, 4}, "3–5": {3, 4, 5}, "1, 3–5, 8": {1, 3, 4, 5, 8}} {
		if got := runs(all); got != want {
			t.Errorf("%v is %q, not %q", all, got, want)
		}
	}
}

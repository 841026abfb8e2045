package report

import (
	"regexp"
	"strings"
	"testing"

	"mesure/show/plate"
	"mesure/study"
	"mesure/timing"
)

// TestTheReportTellsTheTiming: every answer with its chance, the parry, the bodies, the
// start, the notes that stand, what is lacking, and both profiles.
func TestTheReportTellsTheTiming(t *testing.T) {
	r := timed(t)
	s := written(t, r, Options{})
	x := r.Timing
	want := []string{"The timing", plate.Milliseconds(x.Windows.Cue.At), plate.Milliseconds(x.Windows.Ready), plate.Typeset(x.AttackerWhy), plate.Degrees(x.Parry.Observed.Judged.Made), "Seen: larger than needed</b>, in ", plate.Percent(x.Parry.Riposte.Result.Direct.RiposteOnly),
		plate.Typeset(x.Commits[0].Finding), plate.Typeset(x.Notes[0].Text), `href="#frame-live-0042"`, `id="frame-live-0042"`,
		"What this does not know", "The rear toe of right was not followed", "no second intention", "figures</h2>", "fitted to the movement; before: 230", "stated by the coach"}
	for _, w := range x.Windows.Each {
		want = append(want, plate.Percent(w.InTime))
	}
	for _, w := range want {
		if !strings.Contains(s, w) {
			t.Errorf("the report lacks %q", w)
		}
	}
	if strings.Contains(s, plate.Typeset(x.Notes[1].Text)) {
		t.Error("a note that the coach dismissed is told")
	}
	if n := strings.Count(s, `<figure class="pic `); n != 4+6+1 {
		t.Errorf("%d figures: race, stave, gaps, placing; windows, map, parry, the riposte after it, stand, started; fit", n)
	}
	for name, re := range map[string]string{"a header without scope": `<th(?: class="[^"]*")?>`, "a table without caption": `<table>\s*<thead>`, "an empty sentence": `<p>\s*</p>|\(\)|\.\.<| \. `} {
		if m := regexp.MustCompile(re).FindString(s); m != "" {
			t.Errorf("%s: %s", name, m)
		}
	}
}

// TestPlatesOfATimingHaveNamesOfTheirOwn, so that one file does not take the place of
// another.
func TestPlatesOfATimingHaveNamesOfTheirOwn(t *testing.T) {
	ps, err := Plates(timed(t), grey, false)
	if err != nil {
		t.Fatal(err)
	}
	names := map[string]bool{}
	for _, p := range ps {
		if names[p.Name()] {
			t.Errorf("two plates are called %s", p.Name())
		}
		names[p.Name()] = true
		if p.Wide == nil || p.Phone == nil {
			t.Errorf("%s lacks a form", p.Name())
		}
	}
	for _, want := range []string{"windows-live-0042", "map-live-0042", "parry-live-0042", "stand-live-0042", "started-live-0042", "fit-left-1"} {
		if !names[want] {
			t.Errorf("no plate is called %s: %v", want, names)
		}
	}
}

// TestATimingInPartIsToldInPart: a part that the marks do not carry has no heading.
func TestATimingInPartIsToldInPart(t *testing.T) {
	r := timed(t)
	r.Timing.Parry, r.Timing.Map, r.Timing.Started, r.Timing.Commits, r.Timing.Notes = nil, nil, nil, [2]*study.Commit{}, nil
	r.Profiles = [2]study.Profile{}
	s := written(t, r, Options{})
	for _, no := range []string{"The parry</h3>", "Distance and lead", "Who started", "What each body", "Notes on the technique", "figures</h2>", "<no value>", "%!"} {
		if strings.Contains(s, no) {
			t.Errorf("the report has %q", no)
		}
	}
	if !strings.Contains(s, "What could still be answered") {
		t.Error("the answers are gone")
	}
	r.Timing.Windows = nil
	if s := written(t, r, Options{}); strings.Contains(s, "The timing</h2>") {
		t.Error("a timing without anything is told")
	}
}

// TestWordsOfTheTimingCannotBreakThePage: notes and reasons come from names that the
// coach wrote.
func TestWordsOfTheTimingCannotBreakThePage(t *testing.T) {
	r := timed(t)
	bad := `</p><script>x</script>`
	r.Timing.Notes[0].Text, r.Timing.AttackerWhy, r.Timing.Lacks[0].Why, r.Profiles[0].Figures[0].Source = bad, bad, bad, bad
	r.Timing.Map.Path[0].Name, r.Timing.Windows.Each[0].Asks = bad, bad
	r.Timing.Windows.Deciding = timing.Answer(bad)
	if s := written(t, r, Options{}); strings.Contains(s, "<script") {
		t.Error("the page has a script")
	}
}

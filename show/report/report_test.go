package report

import (
	"bytes"
	"errors"
	"image"
	"image/color"
	_ "image/png"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"mesure/show/plate"
	"mesure/show/specimen"
	"mesure/sport/mark"
	"mesure/study"
)

// reading loads the invented reading that the tests of package plate write.
func reading(t testing.TB) *study.Reading { return specimen.Reading(t) }

// timed is the invented reading with the timing that the tests of package summary
// write.
func timed(t testing.TB) *study.Reading { return specimen.Timed(t) }

// grey stands for the decoded frame.
func grey(string, mark.Frame) (image.Image, error) {
	m := image.NewRGBA(image.Rect(0, 0, 128, 72))
	for i := range m.Pix {
		m.Pix[i] = 120
	}
	m.Set(3, 3, color.White)
	return m, nil
}

func written(t testing.TB, r *study.Reading, o Options) string {
	t.Helper()
	ps, err := Plates(r, grey, o.HideNames)
	if err != nil {
		t.Fatal(err)
	}
	var b bytes.Buffer
	if err := Write(&b, r, o, ps...); err != nil {
		t.Fatal(err)
	}
	return b.String()
}

func TestTheReportSaysEverything(t *testing.T) {
	r := reading(t)
	s := written(t, r, Options{Program: "Mesure 0"})
	want := []string{"<html lang=\"en\">", "The extension into the preparation", "Ida Maren", "Jonas Öberg", "Touch 8, at 4–3", "red lamp: left scores",
		r.Race.Finding, plate.Percent(r.Race.Both), r.Inputs, "20\u00a0000", r.Warnings[0].Text, "not medical advice", "regulation kit", "Invented", "Written by Mesure 0"}
	for _, in := range r.Instants {
		for _, g := range in.Gaps {
			want = append(want, plate.Metres(g.Gap))
		}
	}
	for _, m := range r.Moments {
		want = append(want, plate.Seconds(m.At))
	}
	for _, w := range want {
		if !strings.Contains(s, w) {
			t.Errorf("the report lacks %q", w)
		}
	}
	if strings.Contains(s, "..<") {
		t.Error("a sentence ends with two full stops")
	}
	if len(want) < 20 {
		t.Error("too little was checked")
	}
}

func TestTheReportNeedsNothingOutsideItself(t *testing.T) {
	s := written(t, reading(t), Options{})
	outside := regexp.MustCompile(`(?:src|href|url)\s*[=(]\s*["']?(?:https?:|//|[a-z]+\.)|@import|<script|<link`)
	if m := outside.FindString(s); m != "" {
		t.Errorf("the report refers to something outside: %q", m)
	}
	for _, id := range regexp.MustCompile(`xlink:href="#([^"]+)"`).FindAllStringSubmatch(s, -1) {
		if !strings.Contains(s, `id="`+id[1]+`"`) {
			t.Fatalf("nothing in the page is called %q", id[1])
		}
	}
}

func TestTheReportCanBeReadAloud(t *testing.T) {
	s := written(t, reading(t), Options{})
	for name, re := range map[string]string{
		"a picture without words": `<svg [^>]*role="img"(?:[^>]*aria-label="")?[^>]*aria-label=""`,
		"a header without scope":  `<th(?: class="[^"]*")?>`,
		"a table without caption": `<table>\s*<thead>`,
	} {
		if m := regexp.MustCompile(re).FindString(s); m != "" {
			t.Errorf("%s: %s", name, m)
		}
	}
	if n := strings.Count(s, "<h1"); n != 1 {
		t.Errorf("the page has %d main headings", n)
	}
	if n := strings.Count(s, `role="img"`); n != 12 {
		t.Errorf("%d pictures, not 4 of the race, 4 of the stave, 2 of the gaps and 2 of the placing", n)
	}
}

func TestEqualReadingsGiveEqualReports(t *testing.T) {
	a := written(t, reading(t), Options{})
	for range 5 {
		if written(t, reading(t), Options{}) != a {
			t.Fatal("the report differs from run to run")
		}
	}
}

func TestNamesCanBeLeftOut(t *testing.T) {
	s := written(t, reading(t), Options{HideNames: true})
	for _, n := range []string{"Ida Maren", "Öberg", "Salle du Phare", "Harbour Hall", "quarter-final"} {
		if strings.Contains(s, n) {
			t.Errorf("the report without names has %q", n)
		}
	}
}

func TestWordsOfTheTouchCannotBreakThePage(t *testing.T) {
	r := reading(t)
	r.Touch.Title = `</title><script>alert("1")</script>`
	r.Touch.Bout.Event = `<img src=x onerror=alert(1)>`
	r.Race.Finding = `"><svg onload=alert(1)>`
	r.Warnings[0].Text = `</style>&<b>`
	s := written(t, r, Options{})
	for _, bad := range []string{"<script", "<img", "<svg onload", "</style>&<b>"} {
		if strings.Contains(s, bad) {
			t.Errorf("the page has %q", bad)
		}
	}
}

func TestALittleReadingGivesALittleReport(t *testing.T) {
	r := &study.Reading{Touch: &study.Touch{}, Version: "1"}
	s := written(t, r, Options{})
	for _, no := range []string{"The race", "The distances", "The moments", "<no value>", "%!"} {
		if strings.Contains(s, no) {
			t.Errorf("the report of nothing has %q", no)
		}
	}
	if !strings.Contains(s, "How it was measured") {
		t.Error("the report does not say how it was measured")
	}
}

func TestAMissingPictureIsNamed(t *testing.T) {
	gone := errors.New("the video is gone")
	_, err := Plates(reading(t), func(string, mark.Frame) (image.Image, error) { return nil, gone }, false)
	if !errors.Is(err, gone) || !strings.Contains(err.Error(), "frame 42 of take live") {
		t.Errorf("the error is %v", err)
	}
	if _, err := Plates(reading(t), func(string, mark.Frame) (image.Image, error) { return nil, nil }, false); err == nil {
		t.Error("no picture and no error gives no error")
	}
}

func TestNamesOfPlatesAreSafeForFiles(t *testing.T) {
	for take, want := range map[string]string{"live": "gaps-live-0007", "../../é a": "gaps---------a-0007"} {
		if got := (Plate{Kind: KindGaps, Take: take, Frame: 7}).Name(); got != want {
			t.Errorf("%q is called %q", take, got)
		}
	}
}

// MESURE_SPECIMEN names a folder to put the report in, to be looked at.
func TestSpecimenToLookAt(t *testing.T) {
	dir := os.Getenv("MESURE_SPECIMEN")
	if dir == "" {
		t.Skip("set MESURE_SPECIMEN to a folder to get the report")
	}
	r, stills := timed(t), Stills(grey)
	if f, err := os.Open(filepath.Join(dir, "scene.png")); err == nil { // written by the test of package plate
		defer f.Close()
		m, _, err := image.Decode(f)
		if err != nil {
			t.Fatal(err)
		}
		stills = func(string, mark.Frame) (image.Image, error) { return m, nil }
	}
	ps, err := Plates(r, stills, false)
	if err != nil {
		t.Fatal(err)
	}
	var b bytes.Buffer
	if err := Write(&b, r, Options{Program: "Mesure"}, ps...); err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(filepath.Join(dir, "report.html"), b.Bytes(), 0o644); err != nil {
		t.Fatal(err)
	}
}

func BenchmarkWrite(b *testing.B) {
	r := reading(b)
	for b.Loop() {
		written(b, r, Options{})
	}
}

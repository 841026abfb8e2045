package handoff

import (
	"bytes"
	"errors"
	"flag"
	"math"
	"os"
	"strings"
	"testing"
	"unicode"

	"mesure/quantity"
)

var update = flag.Bool("update", false, "write the golden files anew")

// golden compares with a file of testdata; look at the difference after -update.
func golden(t *testing.T, name string, got []byte) {
	t.Helper()
	file := "testdata/" + name
	if *update {
		if err := os.WriteFile(file, got, 0o644); err != nil {
			t.Fatal(err)
		}
	}
	want, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	if !bytes.Equal(got, want) {
		t.Errorf("%s is out of date; got:\n%s", file, got)
	}
}

// names are what users call people: every direction and script, joined emoji, long.
var names = []string{
	"Ana Kováč", "Ève-Lise d’Ormoy", "Юлия Ветрова", "Νίκη Αλεξίου", "نور الهادي", "נועה לב־ארי", "山田みどり", "김하늘",
	"अनन्या ठाकुर", "สมหญิง ใจดี", "ኣበበ", "👩‍👧‍👦 Team 🇨🇭🇫🇷", "a\u200fb", "<b>&amp; --> x", "=1+1", "\x00\x1b[31m\xff\ufeff",
	strings.Repeat("Anastasiya ", 27) + "end", strings.Repeat("é", 300), strings.Repeat("界", 300),
}

// example is the golden one: a chapter, a number that must hold, a pause, a long text.
var example = []Cue{
	{0, 3.2, "Left goes from a long measure & never gets there.", "Technique"},
	{3.2, 3.4, "", ""},
	{3.4, 12, "The gap from the point to the hand is 0.42 ± 0.06 m when the attack starts. A lunge of this length needs 0.31 s; right has 0.18 s left to answer, which is enough.", ""},
	{12, 12.2, "Too far.", "Timing"},
	{30, 45, "Look again: <slowly>.", ""},
}

func written(t *testing.T, cues []Cue) string {
	t.Helper()
	var a, b bytes.Buffer
	if err := WriteVTT(&a, cues); err != nil {
		t.Fatal(err)
	}
	if err := WriteVTT(&b, cues); err != nil || a.String() != b.String() {
		t.Fatal("written twice, the bytes differ")
	}
	return a.String()
}

// readable holds the reader's cues against what WriteVTT promises.
func readable(t *testing.T, text string) []readCue {
	t.Helper()
	cues, faults := readVTT(text)
	if len(faults) > 0 {
		t.Fatalf("faults %v in\n%s", faults, text)
	}
	for i, c := range cues {
		if d := c.to - c.from; d < 833 || d > 7000 {
			t.Errorf("cue %d stands for %d ms", i, d)
		}
		if i > 0 && c.from < cues[i-1].to {
			t.Errorf("cue %d overlaps the one before", i)
		}
		lines := strings.Split(c.text, "\n")
		if len(lines) > 2 {
			t.Errorf("cue %d has %d lines", i, len(lines))
		}
		for _, l := range lines {
			l = unescape(t, l)
			if n := width(l); n > 37 || n == 0 {
				t.Errorf("a line of %d letters: %q", n, l)
			}
		}
	}
	return cues
}

// unescape reads the references of section 4.2.2 and finds raw signs, which the syntax
// forbids.
func unescape(t *testing.T, s string) string {
	t.Helper()
	bare := strings.NewReplacer("&amp;", "", "&lt;", "", "&gt;", "").Replace(s)
	if strings.ContainsAny(bare, "&<>") {
		t.Errorf("a raw sign in %q", s)
	}
	return strings.NewReplacer("&amp;", "&", "&lt;", "<", "&gt;", ">").Replace(s)
}

func letters(s string) string {
	return strings.Map(func(r rune) rune {
		if unicode.IsSpace(r) {
			return -1
		}
		return r
	}, s)
}

func TestCaptions(t *testing.T) {
	text := written(t, example)
	cues := readable(t, text)
	golden(t, "captions.vtt", []byte(text))
	all := ""
	for _, c := range cues {
		all += letters(unescape(t, c.text))
	}
	want := ""
	for _, c := range example {
		want += letters(c.Text)
	}
	if all != want {
		t.Errorf("the words are not those handed in:\n%s\n%s", all, want)
	}
	if !strings.Contains(text, "0.42\u00a0±\u00a00.06\u00a0m") {
		t.Error("a number is torn from its doubt")
	}
	if cues[0].from != 0 || cues[0].to != 3200 {
		t.Errorf("the first cue stands %d to %d", cues[0].from, cues[0].to)
	}
	last := cues[len(cues)-1]
	if last.from != 30000 || last.to != 37000 {
		t.Errorf("the last stands from %d to %d; 7 s are the most", last.from, last.to)
	}
	var b bytes.Buffer
	if err := WriteChapters(&b, example, 45); err != nil {
		t.Fatal(err)
	}
	chapters, faults := readVTT(b.String())
	if len(faults) > 0 || len(chapters) != 2 || chapters[0] != (readCue{"1", 0, 12000, "Technique"}) || chapters[1] != (readCue{"2", 12000, 45000, "Timing"}) {
		t.Errorf("chapters %v, faults %v", chapters, faults)
	}
}

// TestTimeIsSharedByReadingLength does the sharing by hand: 37 and 74 letters in 9 s
// are 3 s and 6 s.
func TestTimeIsSharedByReadingLength(t *testing.T) {
	a, b := strings.Repeat("a", 36)+".", strings.Repeat("b", 37)
	s := share(0, 9000, [][]string{{a}, {b, b}})
	if s[0].to != 3000 || s[1].from != 3000 || s[1].to != 9000 {
		t.Errorf("%+v", s)
	}
	// One letter would get 53 ms of 2 s: it gets the least, the other the rest.
	s = share(0, 2000, [][]string{{"a"}, {b}})
	if s[0].to != 834 || s[1].to != 2000 {
		t.Errorf("%+v", s)
	}
}

func TestScreensEndWhereSentencesDo(t *testing.T) {
	got := layOut("Left waits for the hand. Right goes to the body, and the point arrives before the blade can close.")
	if len(got) != 2 || !strings.HasSuffix(got[0][len(got[0])-1], "hand.") {
		t.Errorf("%q", got)
	}
}

// TestLinesAreEven: 8 words of 5 letters are 47 letters with their spaces, which makes
// two lines of four words each.
func TestLinesAreEven(t *testing.T) {
	got := layOut(strings.TrimSpace(strings.Repeat("abcde ", 8)))
	if len(got) != 1 || len(got[0]) != 2 || got[0][0] != got[0][1] {
		t.Errorf("%q", got)
	}
}

// TestLetters has sequences that Unicode's annex 29 gives as examples of one letter.
func TestLetters(t *testing.T) {
	for s, n := range map[string]int{"a\u0308": 1, "👩\u200d👧\u200d👦": 1, "🇨🇭🇫🇷": 2, "🇨": 1, "👍🏽x": 2, "abc": 3, "": 0, "क\u094d": 1, "👶🏿\u0308\u200d👶🏿": 1} {
		if got := width(s); got != n {
			t.Errorf("%q has %d letters, want %d", s, got, n)
		}
	}
}

func TestNamesInCaptions(t *testing.T) {
	for _, n := range names {
		cues := readable(t, written(t, []Cue{{0, 60, n + " touches " + n, n}}))
		if len(cues) == 0 && letters(oneLine(n)) != "" {
			t.Errorf("%q is not written", n)
		}
		var b bytes.Buffer
		if err := WriteChapters(&b, []Cue{{0, 60, "", n}}, 60); err != nil {
			t.Error(err)
		}
		if got, faults := readVTT(b.String()); len(faults) > 0 || (len(got) == 1 && unescape(t, got[0].text) != oneLine(n)) {
			t.Errorf("the chapter %q reads %v, %v", n, got, faults)
		}
	}
}

func TestBadCues(t *testing.T) {
	nan, inf := quantity.Seconds(math.NaN()), quantity.Seconds(math.Inf(1))
	ok := Cue{0, 1, "One.", ""}
	for _, c := range []struct {
		cues []Cue
		at   int
		why  string
	}{
		{[]Cue{ok, {2, 1, "x", ""}}, 1, "ends at"},
		{[]Cue{{2, 2, "x", ""}}, 0, "a millisecond later"},
		{[]Cue{{-1, 1, "x", ""}}, 0, "before the clip"},
		{[]Cue{ok, {1, 2, "x", ""}, {nan, 1, "x", ""}}, 2, "not a number"},
		{[]Cue{{0, inf, "x", ""}}, 0, "not a number"},
		{[]Cue{{0, 360001, "x", ""}}, 0, "100 hours"},
		{[]Cue{ok, {0.5, 2, "x", ""}}, 1, "before cue 1 ends"},
		{[]Cue{{0, 0.5, "Too many words for half a second.", ""}, {0.6, 3, "x", ""}}, 0, "fewer words"},
	} {
		var b bytes.Buffer
		err := WriteVTT(&b, c.cues)
		var e *Error
		if !errors.As(err, &e) || e.Index != c.at || !strings.Contains(err.Error(), c.why) || strings.Contains(err.Error(), "\n") {
			t.Errorf("%v: %v", c.cues, err)
		}
		if b.Len() > 0 {
			t.Errorf("%v: half a file was written", c.cues)
		}
	}
	for _, end := range []quantity.Seconds{0, nan, inf, -1} {
		if err := WriteChapters(&bytes.Buffer{}, []Cue{{1, 2, "", "One"}}, end); err == nil {
			t.Errorf("chapters that end at %v are written", end)
		}
	}
	if err := WriteChapters(&bytes.Buffer{}, []Cue{{1, 2, "", "One"}, {2, 3, "", "Two"}}, 9); err != nil {
		t.Error(err)
	}
	if got := written(t, nil); got != "WEBVTT\n" {
		t.Errorf("no cues write %q", got)
	}
}

func FuzzCaption(f *testing.F) {
	for _, n := range names {
		f.Add(n, 1.0, 9.0)
	}
	f.Add("a --> b\n\nNOTE x", 0.0, 0.1)
	f.Fuzz(func(t *testing.T, text string, from, to float64) {
		if len(text) > 2000 {
			return
		}
		var b bytes.Buffer
		err := WriteVTT(&b, []Cue{{quantity.Seconds(from), quantity.Seconds(to), text, text}, {quantity.Seconds(to), quantity.Seconds(to) + 500, text, ""}})
		var e *Error
		if err != nil {
			if !errors.As(err, &e) || b.Len() > 0 {
				t.Fatalf("%v with %d bytes", err, b.Len())
			}
			return
		}
		said := ""
		for _, c := range readable(t, b.String()) {
			said += letters(unescape(t, c.text))
		}
		if want := letters(oneLine(text)); said != want+want {
			t.Fatalf("%q reads %q", text, said)
		}
	})
}

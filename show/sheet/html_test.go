package sheet

import (
	"encoding/xml"
	"regexp"
	"strings"
	"testing"

	"mesure/show/report"
)

// TestThePageCanBeReadAloudAndOffline: one main heading and no level left out, landmarks,
// every part named by a heading that is there, tables with scope, figures with captions
// and words, no id twice, nothing from outside and no script.
func TestThePageCanBeReadAloudAndOffline(t *testing.T) {
	page := html1(t, told(t), Options{Lesson: true, Program: "Mesure"}, chartPlate(report.KindRace, "The race finds this"), chartPlate(report.KindThread, "The thread finds this"))
	if m := regexp.MustCompile(`(?:src|href|url)\s*[=(]\s*["']?(?:https?:|//|[a-z]+\.)|@import|<script|<link`).FindString(page); m != "" {
		t.Errorf("the sheet refers to something outside: %q", m)
	}
	last := 0
	for i, m := range regexp.MustCompile(`<h([1-6])`).FindAllStringSubmatch(page, -1) {
		n := int(m[1][0] - '0')
		if n > last+1 || i > 0 && n == 1 {
			t.Errorf("heading %d: level %d follows level %d", i+1, n, last)
		}
		last = n
	}
	ids := map[string]int{}
	for _, m := range regexp.MustCompile(` id="([^"]+)"`).FindAllStringSubmatch(page, -1) {
		ids[m[1]]++
	}
	for id, n := range ids {
		if n > 1 && strings.HasPrefix(id, "h-") || n > 1 && strings.HasPrefix(id, "drill") {
			t.Errorf("%d elements are called %s", n, id)
		}
	}
	for _, m := range regexp.MustCompile(`aria-labelledby="([^"]+)"`).FindAllStringSubmatch(page, -1) {
		if ids[m[1]] != 1 {
			t.Errorf("no heading is called %s", m[1])
		}
	}
	for name, n := range map[string]int{"<header>": 1, "<main>": 1, "<footer>": 1, `<table role="table">`: 1, "<caption>": 1, "<figure>": 2, "<figcaption>": 2, "<details>": 3, `<article class="drill"`: 5} {
		if got := strings.Count(page, name); got != n {
			t.Errorf("%d times %s, not %d", got, name, n)
		}
	}
	for name, re := range map[string]string{"a header without scope": `<th(?: class="[^"]*")?>`, "a picture without words": `aria-label=""`, "an empty sentence": `<(?:p|li|dd|dt|td|h2|h3)[^>]*>\s*</`} {
		if m := regexp.MustCompile(re).FindString(page); m != "" {
			t.Errorf("%s: %s", name, m)
		}
	}
	if n := strings.Count(page, `role="img"`); n != 2*2 {
		t.Errorf("%d pictures with words, not two plates for the screen and for paper", n)
	}
	// The page is well formed: a reader of XML comes to its end, but for meta, which HTML
	// leaves open.
	d := xml.NewDecoder(strings.NewReader(regexp.MustCompile(`(<meta[^>]*)>`).ReplaceAllString(page, "$1/>")))
	for {
		if _, err := d.Token(); err != nil {
			if err.Error() != "EOF" {
				t.Errorf("the page is not well formed: %v", err)
			}
			break
		}
	}
}

// TestWordsOfTheTouchCannotBreakThePage.
func TestWordsOfTheTouchCannotBreakThePage(t *testing.T) {
	r := told(t)
	bad := `</title></p><script>alert("1")</script><b>`
	r.Touch.Title, r.Touch.Note, r.Touch.Bout.Event, r.Touch.Bout.Left.Name, r.Touch.Bout.Left.Club = bad, bad, bad, bad+" "+bad, bad
	r.Warnings[0].Text, r.Timing.Lacks[0].Why, r.Timing.Notes[0].Text = bad, bad, bad
	r.Tactics.Habits[1].Choices[0].Kind = bad
	page := html1(t, r, Options{Lesson: true, Program: bad})
	if strings.Contains(page, "<script") || strings.Contains(page, `"1"`) {
		t.Error("words of the coach are taken for HTML")
	}
}

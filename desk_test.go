// The house rules of the desk in the browser, which no compiler of ours sees:
// they are read from its source.
package mesure_test

import (
	"io/fs"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
)

// deskLongest keeps a file of the desk readable in one sitting.
const deskLongest = 400

// deskSources returns the source of the desk by path; what is generated is left out.
func deskSources(t *testing.T) map[string]string {
	t.Helper()
	files := map[string]string{}
	err := filepath.WalkDir("web/ui/src", func(path string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() || strings.HasSuffix(path, ".d.ts") {
			return err
		}
		src, err := os.ReadFile(path)
		files[filepath.ToSlash(path)] = string(src)
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	if len(files) < 20 {
		t.Fatalf("only %d files found: the walk is broken", len(files))
	}
	return files
}

func TestDeskFilesCanBeReadInOneSitting(t *testing.T) {
	for path, src := range deskSources(t) {
		if n := strings.Count(src, "\n"); n > deskLongest {
			t.Errorf("%s has %d lines, more than %d: split it by idea", path, n, deskLongest)
		}
	}
}

// TestDeskWordsStandInTheCatalogue: a text between tags, or one that only a screen
// reader hears, comes from src/words, so that another language can follow.
func TestDeskWordsStandInTheCatalogue(t *testing.T) {
	parts := regexp.MustCompile(`(?s)<script.*?</script>|<style.*?</style>|<!--.*?-->`)
	heard := regexp.MustCompile(`\s(?:title|aria-label|placeholder|alt|label)="([^"{]*[A-Za-z]{2}[^"{]*)"`)
	seen := 0
	for path, src := range deskSources(t) {
		if !strings.HasSuffix(path, ".svelte") {
			continue
		}
		markup := parts.ReplaceAllString(src, "")
		for _, m := range heard.FindAllStringSubmatch(markup, -1) {
			t.Errorf("%s: %q stands in the page: put it into src/words", path, m[1])
		}
		for _, text := range textsOf(markup) {
			t.Errorf("%s: %q stands in the page: put it into src/words", path, text)
		}
		seen++
	}
	if seen < 5 {
		t.Fatalf("only %d components found", seen)
	}
}

// textsOf returns the words of a component's markup that stand outside of tags and
// of expressions in braces.
func textsOf(markup string) []string {
	var out []string
	var text strings.Builder
	flush := func() {
		// A unit such as "px" may stand by itself; a word of three letters may not.
		if s := strings.TrimSpace(text.String()); regexp.MustCompile(`[A-Za-z]{3}`).MatchString(s) {
			out = append(out, s)
		}
		text.Reset()
	}
	braces, tag, quote := 0, false, byte(0)
	for i := 0; i < len(markup); i++ {
		c := markup[i]
		switch {
		case quote != 0: // in a string of an expression, or a quoted attribute
			if c == '\\' && braces > 0 {
				i++
			} else if c == quote {
				quote = 0
			}
		case braces > 0:
			switch c {
			case '{':
				braces++
			case '}':
				braces--
			case '"', '\'', '`':
				quote = c
			}
		case c == '{':
			braces++
		case tag:
			if c == '>' {
				tag = false
			}
		case c == '<':
			flush()
			tag = true
		default:
			text.WriteByte(c)
		}
	}
	flush()
	return out
}

func TestTextsOfMarkup(t *testing.T) {
	got := textsOf(`<p class="a > b">{words.x}</p><b onclick={() => { go("<a>") }}>Hello there</b> px {#if a}<i>{'}'}</i>{/if}`)
	if len(got) != 1 || got[0] != "Hello there" {
		t.Errorf("got %q", got)
	}
}

// TestDeskKeepsToThePolicy: the server forbids styles and scripts that stand in the
// page, so none may be written there.
func TestDeskKeepsToThePolicy(t *testing.T) {
	inline := regexp.MustCompile(`<[a-z][^>]*\sstyle="|\seval\(|new Function\(`)
	for path, src := range deskSources(t) {
		if m := inline.FindString(src); m != "" {
			t.Errorf("%s: %q is against the content security policy of the server", path, m)
		}
	}
}

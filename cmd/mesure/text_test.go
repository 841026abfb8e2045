package main

import (
	"io"
	"strings"
	"testing"
)

func TestTablesAlignAndBreak(t *testing.T) {
	var out strings.Builder
	term := &terminal{out: &out, columns: 40}
	rows := term.table("name", ">gap", "~what would help")
	rows.row("hand", "1.42\u00a0±\u00a00.06\u00a0m", "mark the hand again under the loupe")
	rows.row("épaule", "2 m")
	rows.write(&out)
	want := `  name              gap  what would help
  hand    1.42 ± 0.06 m  mark the hand
                         again under the
                         loupe
  épaule            2 m
`
	if got := out.String(); got != want {
		t.Errorf("got\n%s\nwant\n%s", got, want)
	}
	for _, line := range strings.Split(out.String(), "\n") {
		if n := len([]rune(line)); n > 41 {
			t.Errorf("%d columns: %q", n, line)
		}
	}
	out.Reset()
	term.table("nothing").write(&out)
	if out.Len() > 0 {
		t.Errorf("an empty table prints %q", out.String())
	}
}

func TestColourIsNeverTheOnlyCarrier(t *testing.T) {
	var plainText, coloured strings.Builder
	for _, c := range []struct {
		out    *strings.Builder
		colour bool
	}{{&plainText, false}, {&coloured, true}} {
		b := &bench{terminal: &terminal{out: c.out, columns: 80, colour: c.colour}}
		b.first("The race")
		rows := b.table("lamps", "chance")
		rows.row("left only", "62 %")
		rows.write(c.out)
	}
	bare := coloured.String()
	for _, code := range []string{"\x1b[1m", "\x1b[2m", "\x1b[0m"} {
		bare = strings.ReplaceAll(bare, code, "")
	}
	if bare != plainText.String() || bare == coloured.String() {
		t.Errorf("got %q and %q", plainText.String(), coloured.String())
	}
}

func TestProgressRedrawsOnATerminalOnly(t *testing.T) {
	for _, live := range []bool{true, false} {
		var log strings.Builder
		p := (&terminal{err: &log, out: io.Discard, columns: 80, live: live}).start("reading")
		for i := range 101 {
			p.set(float64(i) / 100)
		}
		p.set(0.5) // going back shows nothing
		p.end()
		p.set(1) // nor does anything after the end
		got := log.String()
		if live != strings.Contains(got, "\r") {
			t.Errorf("live %v: %q", live, got)
		}
		if live && !strings.HasSuffix(got, "100 %\x1b[K\r\x1b[K") {
			t.Errorf("the bar does not go away: %q", got)
		}
		if !live && got != "reading\n" {
			t.Errorf("plain lines: %q", got)
		}
	}
}

func TestALongLabelKeepsToOneLine(t *testing.T) {
	p := &progress{t: &terminal{columns: 50}, label: strings.Repeat("long ", 20)}
	if n := len([]rune(p.line(42))); n >= 50 {
		t.Errorf("%d columns", n)
	}
}

func TestOutputErrorsAreRemembered(t *testing.T) {
	out := &remembering{w: failing{}}
	term := &terminal{out: out}
	if term.unwritten() != nil {
		t.Error("an error before anything was written")
	}
	_, _ = io.WriteString(term.out, "x")
	_, _ = io.WriteString(term.out, "y")
	if err := term.unwritten(); err == nil || err.Error() != "standard output: closed pipe" {
		t.Errorf("got %v", err)
	}
}

type failing struct{}

func (failing) Write([]byte) (int, error) { return 0, errClosed }

var errClosed = &fault{text: "closed pipe"}

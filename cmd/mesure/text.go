package main

import (
	"fmt"
	"strings"
	"unicode/utf8"

	"mesure/study"
)

// first starts a text result, title each further part of it.
func (b *bench) first(s string) { fmt.Fprintln(b.out, b.styled(bold, s)) }

func (b *bench) title(s string) {
	fmt.Fprintln(b.out)
	b.first(s)
}

// note ends a part with a line of small print.
func (b *bench) note(s string) {
	fmt.Fprintln(b.out)
	b.wrapped(b.out, "", s)
}

// warnings prints every doubt that goes with a result, each with what it is
// about; nothing where there is none.
func (b *bench) warnings(all []study.Warning) {
	if len(all) == 0 {
		return
	}
	b.title("Doubts")
	for _, w := range all {
		b.bullet("! ", about(w)+w.Text)
	}
}

func about(w study.Warning) string {
	if w.About == "" || strings.HasPrefix(w.Text, w.About) {
		return ""
	}
	return w.About + ": "
}

// bullet prints a paragraph whose first line starts with a sign.
func (b *bench) bullet(sign, text string) {
	var s strings.Builder
	b.wrapped(&s, strings.Repeat(" ", 2+utf8.RuneCountInString(sign)), text)
	fmt.Fprint(b.out, "  "+sign+strings.TrimLeft(s.String(), " "))
}

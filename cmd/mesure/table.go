package main

import (
	"fmt"
	"io"
	"strings"
	"unicode/utf8"
)

// table prints rows in aligned columns. A heading that starts with ">" sets its
// column to the right; a heading that is empty is a column without one.
type table struct {
	t     *terminal
	heads []string
	rows  [][]string
	// indent stands before every row.
	indent string
}

// columnGap stands between two columns.
const columnGap = "  "

func (t *terminal) table(heads ...string) *table {
	return &table{t: t, heads: heads, indent: "  "}
}

// row adds a row; missing cells at its end are empty.
func (b *table) row(cells ...string) {
	for i, c := range cells {
		cells[i] = strings.ReplaceAll(c, noBreak, " ")
	}
	b.rows = append(b.rows, cells)
}

// noBreak is the space that keeps a number with its unit. A terminal gets a
// plain one, so that what is copied from it can be searched.
const noBreak = "\u00a0"

// write prints the table, with its headings faint. Nothing is printed where
// there are no rows.
func (b *table) write(w io.Writer) {
	if len(b.rows) == 0 {
		return
	}
	width := make([]int, len(b.heads))
	right := make([]bool, len(b.heads))
	titles := make([]string, len(b.heads))
	named := false
	for i, h := range b.heads {
		titles[i], right[i] = strings.CutPrefix(h, ">")
		width[i] = utf8.RuneCountInString(titles[i])
		named = named || titles[i] != ""
	}
	for _, r := range b.rows {
		for i, c := range r {
			width[i] = max(width[i], utf8.RuneCountInString(c))
		}
	}
	line := func(cells []string) string {
		var s strings.Builder
		for i := range b.heads {
			c := ""
			if i < len(cells) {
				c = cells[i]
			}
			pad := strings.Repeat(" ", width[i]-utf8.RuneCountInString(c))
			if i > 0 {
				s.WriteString(columnGap)
			}
			if right[i] {
				s.WriteString(pad + c)
			} else {
				s.WriteString(c + pad)
			}
		}
		return b.indent + strings.TrimRight(s.String(), " ")
	}
	if named {
		fmt.Fprintln(w, b.t.styled(faint, line(titles)))
	}
	for _, r := range b.rows {
		fmt.Fprintln(w, line(r))
	}
}

// wrapped prints text in lines of the terminal's width, each after indent.
func (t *terminal) wrapped(w io.Writer, indent, text string) {
	room := max(t.columns-utf8.RuneCountInString(indent), 20)
	line := ""
	blank := func(r rune) bool { return r == ' ' || r == '\n' || r == '\t' }
	for _, word := range strings.FieldsFunc(text, blank) {
		word = strings.ReplaceAll(word, noBreak, " ")
		if line != "" && utf8.RuneCountInString(line)+1+utf8.RuneCountInString(word) > room {
			fmt.Fprintln(w, indent+line)
			line = ""
		}
		if line != "" {
			line += " "
		}
		line += word
	}
	if line != "" {
		fmt.Fprintln(w, indent+line)
	}
}

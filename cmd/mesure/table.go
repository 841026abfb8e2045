package main

import (
	"fmt"
	"io"
	"strings"
	"unicode/utf8"
)

// table prints rows in aligned columns. A heading that starts with ">" sets its
// column to the right, one that starts with "~" lets its column break into lines
// where the terminal is too narrow. A heading may be empty.
type table struct {
	t       *terminal
	columns []column
	rows    [][]string
}

type column struct {
	head          string
	right, breaks bool
	width         int
}

// Room around columns, and the least that is left to one that breaks.
const (
	tableIndent = "  "
	columnGap   = "  "
	leastWidth  = 16
)

func (t *terminal) table(heads ...string) *table {
	b := &table{t: t}
	for _, h := range heads {
		c := column{head: strings.TrimLeft(h, ">~")}
		c.right, c.breaks = strings.HasPrefix(h, ">"), strings.HasPrefix(h, "~")
		b.columns = append(b.columns, c)
	}
	return b
}

// row adds a row; missing cells at its end are empty.
func (b *table) row(cells ...string) {
	all := make([]string, len(b.columns))
	for i, c := range cells {
		all[i] = strings.ReplaceAll(c, noBreak, " ")
	}
	b.rows = append(b.rows, all)
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
	b.measure()
	heads := make([]string, len(b.columns))
	for i, c := range b.columns {
		heads[i] = c.head
	}
	if line := b.line(heads); strings.TrimSpace(line) != "" {
		fmt.Fprintln(w, b.t.styled(faint, line))
	}
	for _, r := range b.rows {
		for _, line := range b.broken(r) {
			fmt.Fprintln(w, b.line(line))
		}
	}
}

// measure sets the widths: as wide as the widest cell, but the columns that may
// break share what the terminal leaves them.
func (b *table) measure() {
	total, breaking := utf8.RuneCountInString(tableIndent), 0
	for i := range b.columns {
		c := &b.columns[i]
		c.width = utf8.RuneCountInString(c.head)
		for _, r := range b.rows {
			c.width = max(c.width, utf8.RuneCountInString(r[i]))
		}
		total += c.width
		if i > 0 {
			total += utf8.RuneCountInString(columnGap)
		}
		if c.breaks {
			breaking++
		}
	}
	for i := range b.columns {
		c := &b.columns[i]
		if over := total - b.t.columns; c.breaks && over > 0 {
			share := (over + breaking - 1) / breaking
			narrow := max(c.width-share, min(c.width, leastWidth))
			total -= c.width - narrow
			c.width = narrow
		}
		if c.breaks {
			breaking--
		}
	}
}

// broken spreads a row over as many lines as its longest cell needs.
func (b *table) broken(row []string) [][]string {
	var lines [][]string
	for i, c := range b.columns {
		parts := []string{row[i]}
		if c.breaks {
			parts = broken(row[i], c.width)
		}
		for n, p := range parts {
			if n == len(lines) {
				lines = append(lines, make([]string, len(b.columns)))
			}
			lines[n][i] = p
		}
	}
	return lines
}

// line sets the cells of one line side by side.
func (b *table) line(cells []string) string {
	var s strings.Builder
	s.WriteString(tableIndent)
	for i, c := range b.columns {
		if i > 0 {
			s.WriteString(columnGap)
		}
		pad := strings.Repeat(" ", max(0, c.width-utf8.RuneCountInString(cells[i])))
		if c.right {
			s.WriteString(pad + cells[i])
		} else {
			s.WriteString(cells[i] + pad)
		}
	}
	return strings.TrimRight(s.String(), " ")
}

// broken breaks text between words into lines of at most this width; a longer
// word has a line of its own. There is always one line.
func broken(text string, width int) []string {
	var lines []string
	line := ""
	blank := func(r rune) bool { return r == ' ' || r == '\n' || r == '\t' }
	for _, word := range strings.FieldsFunc(text, blank) {
		word = strings.ReplaceAll(word, noBreak, " ")
		if line != "" && utf8.RuneCountInString(line)+1+utf8.RuneCountInString(word) > width {
			lines = append(lines, line)
			line = ""
		}
		if line != "" {
			line += " "
		}
		line += word
	}
	return append(lines, line)
}

// wrapped prints text in lines of the terminal's width, each after indent.
func (t *terminal) wrapped(w io.Writer, indent, text string) {
	for _, line := range broken(text, max(t.columns-utf8.RuneCountInString(indent), leastWidth)) {
		fmt.Fprintln(w, indent+line)
	}
}

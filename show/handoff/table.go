package handoff

import (
	"encoding/csv"
	"encoding/json"
	"fmt"
	"io"
	"path"
	"strconv"
	"strings"
)

// A column of a table, and what its schema says of it.
type column struct {
	name, title, kind string
	required          bool
	about             string
}

// writeTable writes a byte order mark, the titles and the cells.
func writeTable(w io.Writer, columns []column, rows [][]string) error {
	if _, err := io.WriteString(w, "\ufeff"); err != nil {
		return err
	}
	c := csv.NewWriter(w)
	c.UseCRLF = true
	var titles []string
	for _, col := range columns {
		titles = append(titles, col.title)
	}
	if err := c.Write(titles); err != nil {
		return err
	}
	return c.WriteAll(rows)
}

// decimal writes a number so that it reads back the same; a negative zero is zero.
func decimal(v float64) string { return strconv.FormatFloat(v+0, 'g', -1, 64) }

// cell guards words against being computed.
func cell(s string) string {
	s = oneLine(s)
	if formula(s) {
		return "'" + s
	}
	return s
}

// formula reports whether a spreadsheet might compute a cell: it starts with one of the
// signs, or with apostrophes and then one, so that a guard can always be told from the
// user's own apostrophe. Unseen marks of direction before a sign do not hide it.
func formula(s string) bool {
	s = strings.TrimLeftFunc(s, func(r rune) bool { return r == '\'' || unseen(r) || breaks(r) || r == '\u00a0' || r == '\u202f' })
	return s != "" && strings.ContainsRune("=+-@＝＋－＠", []rune(s)[0])
}

// writeSchema writes the metadata of a table; see WriteNumbersSchema.
func writeSchema(w io.Writer, table, title, about string, columns []column) error {
	if table == "" || table != path.Base(table) || strings.ContainsAny(table, `\:%?#`) || oneLine(table) != table {
		return fmt.Errorf("the table cannot be named %q; give a plain file name such as numbers.csv", table)
	}
	cols := []any{}
	for _, c := range columns {
		cols = append(cols, entry{"name": c.name, "titles": []any{c.title}, "datatype": c.kind, "required": c.required, "dc:description": c.about})
	}
	e := json.NewEncoder(w)
	e.SetIndent("", "  ")
	e.SetEscapeHTML(false)
	return e.Encode(entry{
		"@context":       []any{"http://www.w3.org/ns/csvw", entry{"@language": "en"}},
		"url":            table,
		"dc:title":       title,
		"dc:description": about + " A cell of words that starts with an apostrophe before = + - or @ has it as a guard against being computed.",
		"dialect": entry{"encoding": "utf-8", "delimiter": ",", "quoteChar": "\"", "doubleQuote": true,
			"lineTerminators": []any{"\r\n"}, "header": true, "headerRowCount": 1},
		"tableSchema": entry{"columns": cols},
	})
}

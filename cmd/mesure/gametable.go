package main

import (
	"bytes"
	"encoding/csv"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"strconv"
	"strings"
	"unicode/utf8"
)

// payoffTable is a table as it stands in a file.
type payoffTable struct {
	Rows, Columns []string
	Payoff        [][]float64
	// named is whether the names are the file's own.
	named bool
}

// tableFault is what is wrong with a payoff file, and how to mend it.
func tableFault(hint, format string, args ...any) error {
	return &fault{text: fmt.Sprintf(format, args...), hint: hint}
}

// tableForm is the hint of a file that is no payoff table at all.
const tableForm = `A payoff table is JSON such as [[0.3, 0.7], [0.6, 0.2]], or CSV with a row for each of my choices.`

// readTable reads a payoff table as JSON or CSV. Whether its numbers make a game
// is for the game to say.
func readTable(body []byte) (*payoffTable, error) {
	if !utf8.Valid(body) {
		return nil, tableFault("Save it as UTF-8.", "it is not text in UTF-8")
	}
	text := clean(string(body))
	if text == "" {
		return nil, tableFault(tableForm, "the file is empty")
	}
	var t *payoffTable
	var err error
	if text[0] == '[' || text[0] == '{' {
		t, err = tableFromJSON(text)
	} else {
		t, err = tableFromCSV(text)
	}
	if err != nil {
		return nil, err
	}
	width := 0
	if len(t.Payoff) > 0 {
		width = len(t.Payoff[0])
	}
	if t.Rows == nil {
		t.Rows = numbered("row", len(t.Payoff))
	}
	if t.Columns == nil {
		t.Columns = numbered("column", width)
	}
	if len(t.Rows) != len(t.Payoff) || len(t.Columns) != width {
		return nil, tableFault("Give every row and every column one name, or none at all.", "there are %d rows with %d names and %d columns with %d names",
			len(t.Payoff), len(t.Rows), width, len(t.Columns))
	}
	return t, nil
}

func tableFromJSON(text string) (*payoffTable, error) {
	var file struct {
		Rows    []string     `json:"rows"`
		Columns []string     `json:"columns"`
		Payoff  [][]*float64 `json:"payoff"`
	}
	d := json.NewDecoder(bytes.NewReader([]byte(text)))
	d.DisallowUnknownFields()
	var err error
	if text[0] == '[' {
		err = d.Decode(&file.Payoff)
	} else {
		err = d.Decode(&file)
	}
	var spelt *json.SyntaxError
	var kind *json.UnmarshalTypeError
	switch {
	case errors.As(err, &spelt):
		return nil, tableFault(tableForm, "line %d: the JSON breaks off or is misspelt", lineOf(text, spelt.Offset))
	case errors.Is(err, io.ErrUnexpectedEOF):
		return nil, tableFault(tableForm, "line %d: the JSON breaks off", lineOf(text, int64(len(text))))
	case errors.As(err, &kind) && kind.Type.Kind().String() == "float64" && strings.HasPrefix(kind.Value, "number"):
		return nil, tableFault("Choose a larger unit for the payoffs.", "line %d: a number is too large", lineOf(text, kind.Offset))
	case errors.As(err, &kind):
		return nil, tableFault(tableForm, "line %d: %s stands where it does not belong", lineOf(text, kind.Offset), article(kind.Value))
	case err != nil:
		return nil, tableFault(`An object has "payoff" and, for the names, "rows" and "columns".`, "%s", strings.TrimPrefix(err.Error(), "json: "))
	}
	if _, err := d.Token(); err != io.EOF {
		return nil, tableFault("Remove it.", "line %d: something follows the end of the table", lineOf(text, d.InputOffset()))
	}
	t := &payoffTable{Rows: file.Rows, Columns: file.Columns, named: file.Rows != nil && file.Columns != nil, Payoff: make([][]float64, len(file.Payoff))}
	for i, row := range file.Payoff {
		t.Payoff[i] = make([]float64, len(row))
		for j, v := range row {
			if v == nil {
				return nil, tableFault("Give every row one number for each choice of the opponent.", "row %d, column %d: null is not a number", i+1, j+1)
			}
			t.Payoff[i][j] = *v
		}
	}
	return t, nil
}

func article(kind string) string {
	switch kind {
	case "string":
		return "a text"
	case "array":
		return "a list"
	case "object":
		return "an object"
	case "bool":
		return "true or false"
	}
	return "a " + kind
}

func lineOf(text string, offset int64) int {
	return 1 + strings.Count(text[:min(max(0, int(offset)), len(text))], "\n")
}

func tableFromCSV(text string) (*payoffTable, error) {
	first, _, _ := strings.Cut(text, "\n")
	r := csv.NewReader(strings.NewReader(text))
	r.FieldsPerRecord, r.TrimLeadingSpace = -1, true
	decimalComma := false
	switch {
	case strings.Contains(first, ";"):
		r.Comma, decimalComma = ';', true
	case strings.Contains(first, "\t"):
		r.Comma = '\t'
	}
	var cells [][]string
	var lines []int
	for {
		row, err := r.Read()
		if err == io.EOF {
			break
		}
		var bad *csv.ParseError
		if errors.As(err, &bad) {
			return nil, tableFault("A cell with a quote begins and ends with one.", "line %d: %v", bad.Line, bad.Err)
		} else if err != nil {
			return nil, err
		}
		line, _ := r.FieldPos(0)
		cells, lines = append(cells, row), append(lines, line)
	}
	if len(cells) == 0 {
		return nil, tableFault(tableForm, "the file is empty")
	}
	number := func(s string) (float64, bool) {
		s = strings.TrimSpace(strings.ReplaceAll(s, "−", "-"))
		if decimalComma {
			s = strings.Replace(s, ",", ".", 1)
		}
		v, err := strconv.ParseFloat(s, 64)
		return v, err == nil
	}
	// A first line is one of names if no cell after its corner is a number, a first
	// column if no cell under the corner is.
	heads := len(cells) > 1 && none(cells[0][min(1, len(cells[0])-1):], number)
	body := cells
	if heads {
		body = cells[1:]
	}
	var left []string
	for _, row := range body {
		left = append(left, row[0])
	}
	names := none(left, number) && len(body[0]) > 1
	t := &payoffTable{named: heads && names}
	if heads {
		t.Columns = cells[0]
		if names {
			t.Columns = cells[0][1:]
		}
	}
	for i, row := range body {
		if names {
			t.Rows, row = append(t.Rows, row[0]), row[1:]
		}
		values := make([]float64, len(row))
		for j, s := range row {
			v, ok := number(s)
			if !ok {
				return nil, tableFault("Write every payoff as a number, such as 0.35.", "line %d, payoff %d: %q is not a number", lines[i+len(cells)-len(body)], j+1, s)
			}
			values[j] = v
		}
		t.Payoff = append(t.Payoff, values)
	}
	return t, nil
}

func none(cells []string, number func(string) (float64, bool)) bool {
	for _, s := range cells {
		if _, is := number(s); is {
			return false
		}
	}
	return len(cells) > 0
}

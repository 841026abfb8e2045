package handoff

import (
	"bytes"
	_ "embed"
	"encoding/json"
	"io"

	"mesure/sport/mark"
)

// The format of the numbers as JSON, as the file states it.
const (
	NumbersFormat  = "mesure-numbers"
	NumbersVersion = 1
)

//go:embed numbers.schema.json
var numbersSchema []byte

// numberJSON is a Number as JSON has it: what has no frame leaves take and frame out.
type numberJSON struct {
	Name   string      `json:"name"`
	Value  float64     `json:"value"`
	SD     float64     `json:"sd"`
	Lo     float64     `json:"lo"`
	Hi     float64     `json:"hi"`
	Unit   string      `json:"unit"`
	Source string      `json:"source"`
	Take   string      `json:"take,omitempty"`
	Frame  *mark.Frame `json:"frame,omitempty"`
}

// WriteNumbersJSON writes the rows of WriteNumbers as JSON, for a program: value, sd, lo
// and hi are in the unit of their row. It refuses what WriteNumbers refuses.
func WriteNumbersJSON(w io.Writer, rows []Number) error {
	if err := checkNumbers(rows); err != nil {
		return err
	}
	file := struct {
		Format  string       `json:"format"`
		Version int          `json:"version"`
		Numbers []numberJSON `json:"numbers"`
	}{NumbersFormat, NumbersVersion, make([]numberJSON, len(rows))}
	for i, n := range rows {
		j := numberJSON{oneLine(n.Name), n.Value, n.SD, n.Lo, n.Hi, n.Unit, oneLine(n.Source), oneLine(n.Take), nil}
		if j.Take != "" {
			j.Frame = &rows[i].Frame
		}
		file.Numbers[i] = j
	}
	var b bytes.Buffer
	e := json.NewEncoder(&b)
	e.SetEscapeHTML(false)
	e.SetIndent("", "  ")
	if err := e.Encode(file); err != nil {
		return err
	}
	_, err := w.Write(b.Bytes())
	return err
}

// WriteNumbersJSONSchema writes what describes the file of WriteNumbersJSON: a JSON
// Schema (draft 2020-12).
func WriteNumbersJSONSchema(w io.Writer) error {
	_, err := w.Write(numbersSchema)
	return err
}

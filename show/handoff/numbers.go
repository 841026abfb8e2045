package handoff

import (
	"fmt"
	"io"
	"math"
	"strconv"

	"mesure/quantity"
	"mesure/sport/mark"
)

// Number is one row of the table: a number with its doubt, its unit and where it comes
// from.
type Number struct {
	// Name says what it is: "gap of left to the hand".
	Name string
	// Value is the mean, SD its standard deviation, Lo and Hi the bounds of the interval
	// that holds 95 %; all four in Unit. An exact number has SD 0 and three equal ones.
	Value, SD, Lo, Hi float64
	// Unit is the symbol, "1" for a pure number or a chance between 0 and 1.
	Unit string
	// Source says how it was found, in words or as a section of the methods.
	Source string
	// Take and Frame are where it was measured; Take empty for a number of no frame, and
	// Frame then does not count. Frames count from 0.
	Take  string
	Frame mark.Frame
}

// NumberOf is the row of a quantity, in the unit of its type; Take and Frame are left
// for the caller.
func NumberOf[U quantity.Unit](name string, q quantity.Of[U], source string) Number {
	return Number{Name: name, Value: float64(q.Mean), SD: float64(q.SD), Lo: float64(q.Lo), Hi: float64(q.Hi),
		Unit: unitOf(q.Mean), Source: source}
}

// unitOf is the symbol of a unit of package quantity (SI, and px); "1" for pure numbers.
func unitOf(u any) string {
	switch u.(type) {
	case quantity.Metres:
		return "m"
	case quantity.Seconds:
		return "s"
	case quantity.Pixels:
		return "px"
	case quantity.Radians:
		return "rad"
	case quantity.MetresPerSecond:
		return "m/s"
	case quantity.MetresPerSecondSquared:
		return "m/s²"
	case quantity.Chance, quantity.Ratio:
		return "1"
	}
	panic(fmt.Sprintf("handoff: no unit is known for %T", u))
}

// numberColumns are those of the table of numbers.
var numberColumns = []column{
	{"name", "name", "string", true, "What the number is."},
	{"value", "value [unit]", "double", true, "The mean, in the unit that the row names."},
	{"sd", "sd [unit]", "double", true, "The standard deviation, in the same unit; 0 for an exact number."},
	{"lo95", "lo95 [unit]", "double", true, "The lower bound of the interval that holds 95 %, in the same unit."},
	{"hi95", "hi95 [unit]", "double", true, "The upper bound of the interval that holds 95 %, in the same unit."},
	{"unit", "unit", "string", true, "The symbol of the unit; 1 for a pure number and for a chance between 0 and 1."},
	{"source", "source", "string", false, "How the number was found."},
	{"take", "take", "string", false, "The take it was measured in; empty for a number of no frame."},
	{"frame", "frame [from 0]", "nonNegativeInteger", false, "The frame it was measured in, counted from 0; empty for a number of no frame."},
}

// WriteNumbers writes the numbers as CSV (RFC 4180: commas, CRLF, quotes doubled, one
// line of header; UTF-8), a row each in the order handed in. The header has the unit of
// each column: [unit] is the one that the row names. Numbers are the shortest decimals
// that read back as the same float64, with a point.
//
// A byte order mark goes first, for spreadsheets that take a file without one for
// Latin-1. A cell of words that a spreadsheet would compute (one that starts with = + -
// @ or their wide forms, also after apostrophes) gets an apostrophe before it; taking
// one away from every cell that starts so gives the words back. Numbers are never
// guarded: a minus before digits is a number.
//
// It refuses, with an *Error, a row without a name or a unit, with a number that is not
// finite, a negative standard deviation, an interval that ends before it starts, or a
// frame below 0 in a take.
func WriteNumbers(w io.Writer, rows []Number) error {
	if err := checkNumbers(rows); err != nil {
		return err
	}
	var cells [][]string
	for _, r := range rows {
		frame := ""
		take := oneLine(r.Take)
		if take != "" {
			frame = strconv.Itoa(int(r.Frame))
		}
		cells = append(cells, []string{cell(r.Name), decimal(r.Value), decimal(r.SD), decimal(r.Lo), decimal(r.Hi),
			cell(r.Unit), cell(r.Source), cell(take), frame})
	}
	return writeTable(w, numberColumns, cells)
}

func checkNumbers(rows []Number) error {
	for i, r := range rows {
		if why := r.wrong(); why != "" {
			return &Error{"number", i, oneLine(r.Name), why}
		}
	}
	return nil
}

// wrong says why a row cannot be written; empty where it can.
func (r Number) wrong() string {
	for _, v := range []struct {
		name string
		of   float64
	}{{"value", r.Value}, {"standard deviation", r.SD}, {"lower bound", r.Lo}, {"upper bound", r.Hi}} {
		if math.IsNaN(v.of) || math.IsInf(v.of, 0) {
			return fmt.Sprintf("its %s is not a finite number; leave the row out where it is not known", v.name)
		}
	}
	switch {
	case oneLine(r.Name) == "":
		return "has no name; say what the number is"
	case oneLine(r.Unit) == "":
		return `has no unit; write "1" for a pure number`
	case r.SD < 0:
		return fmt.Sprintf("its standard deviation is %v; it cannot be negative", r.SD)
	case r.Hi < r.Lo:
		return fmt.Sprintf("its interval ends at %v and starts at %v; give the lower bound first", r.Hi, r.Lo)
	case oneLine(r.Take) != "" && r.Frame < 0:
		return fmt.Sprintf("is of frame %d; frames count from 0", r.Frame)
	}
	return ""
}

// WriteNumbersSchema writes what describes the table of numbers beside it; see
// WriteShotsSchema for the other.
//
// It is metadata by the W3C Recommendation "Metadata Vocabulary for Tabular Data" of
// 17 December 2015 (CSV on the Web), for a table of this file name in the same folder.
// Readers look for it under the name of the table with "-metadata.json" put to it
// ("Model for Tabular Data", 5.3). A name that is no plain file name is refused.
func WriteNumbersSchema(w io.Writer, table string) error {
	return writeSchema(w, table, "Numbers of a touch",
		"One number a row, with its standard deviation, its interval of 95 % and its unit.", numberColumns)
}

package handoff

import (
	"bytes"
	"encoding/csv"
	"encoding/json"
	"errors"
	"math"
	"strconv"
	"strings"
	"testing"

	"mesure/quantity"
	"mesure/sport/mark"
)

var someNumbers = []Number{
	at(NumberOf("gap of left to the hand", quantity.Normal[quantity.Metres](0.42, 0.06), "methods: gap"), "live", 42),
	NumberOf("chance that left arrives first", quantity.Of[quantity.Chance]{Mean: 0.71, SD: 0.05, Lo: 0.6, Hi: 0.8}, "methods: race"),
	NumberOf("margin", quantity.Normal[quantity.Seconds](-0.03, 0.011), `race, "unhindered", left`),
	NumberOf("touches", quantity.Exactly[quantity.Ratio](7), ""),
	{Name: "=HYPERLINK(\"x\")", Value: -1e-300, SD: 5e-324, Lo: -math.MaxFloat64, Hi: 1.0 / 3, Unit: "-x", Source: "'=1", Take: "@replay"},
}

func at(n Number, take string, frame int) Number { n.Take, n.Frame = take, mark.Frame(frame); return n }

// readTable reads the table as a program of another hand does and takes off the guard.
func readTable(t *testing.T, rows []Number) (string, [][]string) {
	t.Helper()
	var a, b bytes.Buffer
	if err := WriteNumbers(&a, rows); err != nil {
		t.Fatal(err)
	}
	if err := WriteNumbers(&b, rows); err != nil || a.String() != b.String() {
		t.Fatal("written twice, the bytes differ")
	}
	text, marked := strings.CutPrefix(a.String(), "\xef\xbb\xbf")
	if !marked || strings.Count(text, "\r\n") != len(rows)+1 || strings.Count(text, "\n") != len(rows)+1 {
		t.Errorf("not one CRLF a row after a byte order mark: %q", a.String())
	}
	r := csv.NewReader(strings.NewReader(text))
	r.FieldsPerRecord = 9
	all, err := r.ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	for i, row := range all {
		for j, c := range row {
			isNumber := j >= 1 && j <= 4 && i > 0
			if c != "" && !isNumber && strings.ContainsRune("=+-@\t\r＝＋－＠", []rune(c)[0]) {
				t.Errorf("a spreadsheet would compute %q", c)
			}
			if bare, guarded := strings.CutPrefix(c, "'"); guarded && formula(bare) {
				row[j] = bare
			}
		}
	}
	return a.String(), all
}

func TestNumbersReadBack(t *testing.T) {
	text, all := readTable(t, someNumbers)
	golden(t, "numbers.csv", []byte(text))
	for i, n := range someNumbers {
		row := all[i+1]
		for j, v := range []float64{n.Value, n.SD, n.Lo, n.Hi} {
			if got, err := strconv.ParseFloat(row[j+1], 64); err != nil || got != v {
				t.Errorf("row %d: %v reads %q", i, v, row[j+1])
			}
		}
		if row[0] != n.Name || row[5] != n.Unit || row[6] != n.Source || row[7] != n.Take {
			t.Errorf("row %d reads %q", i, row)
		}
	}
	if all[1][5] != "m" || all[1][8] != "42" || all[2][5] != "1" || all[2][8] != "" || all[3][5] != "s" {
		t.Errorf("units and frames read %q", all)
	}
	// A sign behind an unseen mark of direction, a space that holds or an apostrophe.
	for _, hidden := range []string{"\u200e=1", "\u00a0+1", "''-1", "＝1"} {
		if got := cell(hidden); got != "'"+hidden {
			t.Errorf("%q is guarded as %q", hidden, got)
		}
	}
	if got := cell("'t Zand"); got != "'t Zand" {
		t.Errorf("a name is written %q", got)
	}
	if got := decimal(math.Copysign(0, -1)); got != "0" {
		t.Errorf("a negative zero is %s", got)
	}
	if _, all := readTable(t, nil); len(all) != 1 {
		t.Errorf("no numbers are %q", all)
	}
}

// TestUnits: every unit of the numbers has a symbol of the SI brochure, or px, or 1.
func TestUnits(t *testing.T) {
	for got, want := range map[string]string{
		unitOf(quantity.Metres(0)): "m", unitOf(quantity.Seconds(0)): "s", unitOf(quantity.Pixels(0)): "px", unitOf(quantity.Radians(0)): "rad",
		unitOf(quantity.MetresPerSecond(0)): "m/s", unitOf(quantity.MetresPerSecondSquared(0)): "m/s²", unitOf(quantity.Ratio(0)): "1",
	} {
		if got != want {
			t.Errorf("%q, want %q", got, want)
		}
	}
}

// TestSchemaIsOfTheTable holds the metadata against what the Recommendation asks for
// (section 5) and against the table.
func TestSchemaIsOfTheTable(t *testing.T) {
	var b bytes.Buffer
	if err := WriteNumbersSchema(&b, "numbers.csv"); err != nil {
		t.Fatal(err)
	}
	golden(t, "numbers.csv-metadata.json", b.Bytes())
	var m struct {
		Context []any `json:"@context"`
		URL     string
		Table   struct {
			Columns []struct {
				Name, Datatype string
				Titles         []string
				Required       bool
			}
		} `json:"tableSchema"`
	}
	if err := json.Unmarshal(b.Bytes(), &m); err != nil {
		t.Fatal(err)
	}
	if m.Context[0] != "http://www.w3.org/ns/csvw" || m.URL != "numbers.csv" {
		t.Errorf("%+v", m)
	}
	_, all := readTable(t, someNumbers)
	if len(m.Table.Columns) != len(all[0]) {
		t.Fatalf("%d columns in the schema, %d in the table", len(m.Table.Columns), len(all[0]))
	}
	seen := map[string]bool{}
	for j, c := range m.Table.Columns {
		if c.Titles[0] != all[0][j] || seen[c.Name] || strings.ContainsAny(c.Name, " []") {
			t.Errorf("column %d is %+v, its head %q", j, c, all[0][j])
		}
		seen[c.Name] = true
		for _, row := range all[1:] {
			cell := row[j]
			if cell == "" {
				if c.Required {
					t.Errorf("%s is required and empty in %q", c.Name, row)
				}
				continue
			}
			switch c.Datatype {
			case "double":
				if _, err := strconv.ParseFloat(cell, 64); err != nil {
					t.Errorf("%s: %v", c.Name, err)
				}
			case "nonNegativeInteger":
				if _, err := strconv.ParseUint(cell, 10, 64); err != nil {
					t.Errorf("%s: %v", c.Name, err)
				}
			case "string":
			default:
				t.Errorf("%s is a %q", c.Name, c.Datatype)
			}
		}
	}
	for _, bad := range []string{"", "a/b.csv", `a\b.csv`, "http:x", "a?b", "a\nb"} {
		if err := WriteNumbersSchema(&bytes.Buffer{}, bad); err == nil {
			t.Errorf("a table may be named %q", bad)
		}
	}
}

func TestBadNumbers(t *testing.T) {
	ok := Number{Name: "n", Unit: "m", Hi: 1}
	for _, c := range []struct {
		edit func(*Number)
		why  string
	}{
		{func(n *Number) { n.Value = math.NaN() }, "its value is not"},
		{func(n *Number) { n.SD = math.Inf(1) }, "its standard deviation is not"},
		{func(n *Number) { n.Lo = math.Inf(-1) }, "its lower bound"},
		{func(n *Number) { n.Hi = math.NaN() }, "its upper bound"},
		{func(n *Number) { n.SD = -1 }, "cannot be negative"},
		{func(n *Number) { n.Hi = -1 }, "lower bound first"},
		{func(n *Number) { n.Name = " \n" }, "no name"},
		{func(n *Number) { n.Unit = "" }, "no unit"},
		{func(n *Number) { n.Take, n.Frame = "live", -1 }, "count from 0"},
	} {
		bad := ok
		c.edit(&bad)
		var b bytes.Buffer
		err := WriteNumbers(&b, []Number{ok, bad})
		var e *Error
		if !errors.As(err, &e) || e.Index != 1 || !strings.Contains(err.Error(), c.why) || b.Len() > 0 {
			t.Errorf("%q: %v", c.why, err)
		}
	}
}

func FuzzCell(f *testing.F) {
	for _, n := range names {
		f.Add(n)
	}
	for _, s := range []string{"=1", "'=1", "''+", "'t", " @x", "\t-1", "\u200e=1", "a,\"b\"\r\nc", "'\u200e'＝", "\ufeff=1"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		want := oneLine(s)
		_, all := readTable(t, []Number{{Name: "n" + s, Unit: "m", Source: s, Take: s}})
		if got := all[1]; got[6] != want || got[7] != want || got[0] != oneLine("n"+s) {
			t.Fatalf("%q reads %q", s, got)
		}
	})
}

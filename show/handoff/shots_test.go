package handoff

import (
	"bytes"
	"encoding/csv"
	"encoding/json"
	"math"
	"strconv"
	"strings"
	"testing"
)

func readShots(t *testing.T, cut Cut) (string, [][]string) {
	t.Helper()
	var b bytes.Buffer
	if err := WriteShots(&b, cut); err != nil {
		t.Fatal(err)
	}
	r := csv.NewReader(strings.NewReader(strings.TrimPrefix(b.String(), "\ufeff")))
	r.FieldsPerRecord = len(shotColumns)
	all, err := r.ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	return b.String(), all
}

// TestShotsAgreeWithTheTimeline adds the durations of the track up, as an editor does,
// and holds every row against it.
func TestShotsAgreeWithTheTimeline(t *testing.T) {
	text, all := readShots(t, cutOf)
	golden(t, "shots.csv", []byte(text))
	_, tl := readBack(t, cutOf)
	number := func(s string) float64 {
		v, err := strconv.ParseFloat(s, 64)
		if err != nil {
			t.Error(err)
		}
		return v
	}
	row, at := 1, 0.0
	for i, item := range tl.Tracks.Children[0].Children {
		r := all[row]
		if r[0] == "marker" || r[1] != strconv.Itoa(i+1) || r[2] != item.Name ||
			math.Abs(number(r[3])-at) > 1e-6 || math.Abs(number(r[4])-item.Range.Duration.seconds()) > 1e-6 {
			t.Errorf("shot %d starts at %v: %q", i+1, at, r)
		}
		row++
		for _, m := range item.Markers {
			r := all[row]
			// The timeline rounds a marker to a tick of its file, here 1/30 s at most.
			want := at + m.Range.Start.seconds() - item.Range.Start.seconds()
			if r[0] != "marker" || r[2] != m.Name || r[12] != m.Comment || math.Abs(number(r[3])-want) > 0.5/29 ||
				number(r[9]) != m.Metadata.Mesure.At || r[7] != strconv.Itoa(m.Metadata.Mesure.Frame) {
				t.Errorf("the marker %+v is %q", m, r)
			}
			row++
		}
		at += item.Range.Duration.seconds()
	}
	if row != len(all) {
		t.Errorf("%d rows, want %d", len(all), row)
	}
	// By hand: 60 frames of 30000/1001 are 2.002 s, the pause 0.5 s.
	if all[1][4] != "2.002" || all[4][0] != "pause" || all[5][3] != "2.502" || all[5][11] != "0.25" || all[7][0] != "hold" || all[7][11] != "0" {
		t.Errorf("%q", all)
	}
}

func TestShotsHaveASchema(t *testing.T) {
	var b bytes.Buffer
	if err := WriteShotsSchema(&b, "shots.csv"); err != nil {
		t.Fatal(err)
	}
	var m struct {
		Table struct {
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
	_, all := readShots(t, cutOf)
	for j, c := range m.Table.Columns {
		if c.Titles[0] != all[0][j] {
			t.Errorf("column %d is %+v, its head %q", j, c, all[0][j])
		}
		for _, row := range all[1:] {
			_, notFloat := strconv.ParseFloat(row[j], 64)
			_, notCount := strconv.ParseUint(row[j], 10, 64)
			if (row[j] == "" && c.Required) || (row[j] != "" && (c.Datatype == "double" && notFloat != nil || c.Datatype == "nonNegativeInteger" && notCount != nil)) {
				t.Errorf("%s: %q in %q", c.Name, row[j], row)
			}
		}
	}
	if len(m.Table.Columns) != len(all[0]) {
		t.Errorf("%d columns in the schema, %d in the table", len(m.Table.Columns), len(all[0]))
	}
	if err := WriteShots(&b, Cut{Shots: []Shot{{Media: "gone"}}}); err == nil {
		t.Error("a shot of no file is written")
	}
	for _, n := range names {
		_, all := readShots(t, Cut{Shots: []Shot{{Name: n, Take: n, Hold: 1}}})
		if got := all[1][2]; got != cell(n) {
			t.Errorf("%q reads %q", n, got)
		}
	}
}

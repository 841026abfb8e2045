package main

import (
	"strings"
	"testing"

	"mesure/tactics/game"
)

// FuzzReadTable: whatever stands in a file, the table that comes of it has a name
// for each row and column or is refused in one line, with a hint.
func FuzzReadTable(f *testing.F) {
	for _, s := range []string{"1,2\n3,4", ";a;b\nx;0,5;1\n", "a\n1", "[[1]]", `{"rows":["a"],"columns":["b"],"payoff":[[2]]}`,
		"\ufeff1\t2", "\"", "[[1],[2,3]]", "[null]", "{}", "1,,2", "a,b\nc", ";\n;", "[[1e999]]", "0x1p-2,inf", "[[1]]]"} {
		f.Add([]byte(s))
	}
	f.Fuzz(func(t *testing.T, body []byte) {
		table, err := readTable(body)
		if err != nil {
			if table != nil || err.Error() == "" || hintOf(err) == "" {
				t.Errorf("%q: %v", body, err)
			}
			return
		}
		if len(table.Rows) != len(table.Payoff) || len(table.Payoff) > 0 && len(table.Columns) != len(table.Payoff[0]) {
			t.Errorf("%q: %+v", body, table)
		}
		if len(body) > 200 {
			return
		}
		if _, err := game.Solve(table.Payoff); err != nil && (game.Check(table.Payoff) == nil || strings.Contains(err.Error(), "\n")) {
			t.Errorf("%q: %v", body, err)
		}
	})
}

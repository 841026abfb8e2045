package main

import (
	"errors"
	"fmt"
	"math"
	"os"
	"strconv"
	"strings"

	"github.com/spf13/cobra"

	"mesure/tactics/game"
)

func newGameCommand(b *bench) *cobra.Command {
	return &cobra.Command{
		Use:   "game FILE",
		Short: "Solve a payoff table: its value, and how often to make each choice",
		Long: `Solve a payoff table: my choices against the opponent's, each number what I get,
such as the chance to win. The result is the value, one best mix for each side,
and the gap between what the two mixes vouch for: nought but for rounding.

FILE is JSON or CSV. As JSON a list of rows, or an object with "payoff" and the
names of "rows" and "columns". As CSV a row for each of my choices; the first
line may name the opponent's choices and the first column mine. With semicolons
between the cells, numbers may have a decimal comma.

` + exitHelp(badFile, refused),
		Example: `  mesure game table.csv
  mesure game table.json --json`,
		Args: arguments("FILE"),
		RunE: func(cmd *cobra.Command, args []string) error {
			t, s, err := runGame(args[0])
			if err != nil {
				return err
			}
			return b.show(s, func() { b.printGame(t, s) })
		},
	}
}

// maxTable is the greatest size of a payoff file: the largest table in long hand.
const maxTable = 1 << 20

func runGame(path string) (*payoffTable, *game.Solution, error) {
	info, err := os.Stat(path)
	switch {
	case err != nil:
		return nil, nil, &fault{code: badFile, where: path, err: err}
	case info.IsDir():
		return nil, nil, &fault{code: badFile, where: path, text: "is a folder, not a file", hint: "Name a payoff table as JSON or CSV."}
	case info.Size() > maxTable:
		return nil, nil, &fault{code: badFile, where: path, text: fmt.Sprintf("is larger than a table of %d choices a side", game.MaxChoices), hint: "Name a payoff table as JSON or CSV."}
	}
	body, err := os.ReadFile(path)
	if err != nil {
		return nil, nil, &fault{code: badFile, where: path, err: err}
	}
	t, err := readTable(body)
	if err != nil {
		return nil, nil, &fault{code: badFile, where: path, err: err}
	}
	s, err := game.Solve(t.Payoff)
	var bad *game.BadTable
	switch {
	case errors.As(err, &bad):
		return nil, nil, &fault{code: badFile, where: path, err: t.placed(bad)}
	case err != nil:
		return nil, nil, &fault{code: refused, where: path, err: err, hint: "Round the payoffs to fewer digits."}
	}
	return t, &s, nil
}

func (b *bench) printGame(t *payoffTable, s *game.Solution) {
	// As many digits as tell the payoffs apart, four at least of the largest.
	lo, hi := math.Inf(1), math.Inf(-1)
	for _, row := range t.Payoff {
		for _, v := range row {
			lo, hi = min(lo, v), max(hi, v)
		}
	}
	digits := 4
	if size := max(math.Abs(lo), math.Abs(hi), hi-lo); size > 0 {
		digits = min(12, max(0, 3-int(math.Floor(math.Log10(size)))))
	}
	b.first("Value " + strconv.FormatFloat(s.Value, 'f', digits, 64))
	b.mixed("My choices", t.Rows, s.Row)
	b.mixed("The opponent's choices", t.Columns, s.Column)
	b.note(gameWords(t, s) + " Payoffs are taken as exact; other mixes may be as good. Gap between the two guarantees: " + strconv.FormatFloat(s.Gap, 'g', 2, 64) + ".")
}

// mixed prints the choices of one side with their shares.
func (b *bench) mixed(title string, names []string, mix []float64) {
	b.title(title)
	t := b.table("", ">share")
	for i, v := range mix {
		cell := fmt.Sprintf("%.1f"+noBreak+"%%", 100*v)
		if v == 0 {
			cell = "never"
		}
		t.row(names[i], cell)
	}
	t.write(b.out)
}

func gameWords(t *payoffTable, s *game.Solution) string {
	row, column := sole(s.Row), sole(s.Column)
	switch {
	case row >= 0 && column >= 0:
		return fmt.Sprintf("One choice each is best: %s against %s. Neither side gains by leaving it.", t.Rows[row], t.Columns[column])
	case row >= 0:
		return fmt.Sprintf("%s vouches for the value whatever the opponent does.", t.Rows[row])
	}
	return "Mixed so, my choices bring the value or more whatever the opponent does, and the opponent's let me have no more whatever I do."
}

// sole returns the choice that is always made, or −1.
func sole(mix []float64) int {
	for i, v := range mix {
		if v == 1 {
			return i
		}
	}
	return -1
}

// numbered names choices that have no name of their own.
func numbered(word string, n int) []string {
	names := make([]string, n)
	for i := range names {
		names[i] = fmt.Sprintf("%s %d", word, i+1)
	}
	return names
}

// placed names a row or column by the words of the table, where it has some.
func (t *payoffTable) placed(bad *game.BadTable) error {
	if !t.named || bad.Row < 1 {
		return bad
	}
	where := "row " + strconv.Quote(t.Rows[bad.Row-1])
	if bad.Column > 0 && bad.Column <= len(t.Columns) {
		where += ", column " + strconv.Quote(t.Columns[bad.Column-1])
	}
	return &fault{where: where, text: bad.Text, hint: bad.Mend}
}

// clean takes a byte-order mark and what surrounds a text away.
func clean(s string) string { return strings.TrimSpace(strings.TrimPrefix(s, "\ufeff")) }

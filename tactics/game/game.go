// Package game solves zero-sum matrix games: what my choices are worth against
// the opponent's, how to mix them, what best meets a habit, and at which habit
// the answer tips.
//
// Most callers need Solve for one payoff table, SolveOver for draws of one that
// is not exactly known, BestReply against a habit and BalancePoints for where it
// tips.
//
// A payoff table has a row for each of my choices and a column for each of the
// opponent's. Each number is what I get, in any unit, such as the chance to win
// the bout; the opponent wants it low. A mix has one share for each choice; the
// shares add up to one. Nothing here changes its arguments.
package game

import (
	"fmt"
	"math"
)

// Limits of what is accepted, and of what is called solved.
const (
	// MaxChoices is the greatest number of choices of a side: far more than a fencer
	// has, and a table that is solved within seconds.
	MaxChoices = 60
	// MaxPayoff is the greatest size of a payoff: beyond it differences that matter
	// would be lost to rounding.
	MaxPayoff = 1e9
	// GapTolerance is by how much the two guarantees may differ, as a share of the
	// greatest difference between payoffs, for a game to be called solved. The
	// simplex method leaves about 1e-14.
	GapTolerance = 1e-9
	// MixTolerance is by how much the shares of a mix may miss one, for those that
	// were typed with a few decimals.
	MixTolerance = 1e-6
	// Same is the share of the greatest difference between payoffs below which two
	// choices are worth the same: rounding.
	Same = 1e-9
)

// BadTable is what is wrong with a payoff table or a mix, and how to mend it.
// Row and Column count from 1; 0 means the table as a whole.
type BadTable struct {
	Row, Column int
	Text, Mend  string
}

// Error says where and what.
func (b *BadTable) Error() string {
	switch {
	case b.Row > 0 && b.Column > 0:
		return fmt.Sprintf("row %d, column %d: %s", b.Row, b.Column, b.Text)
	case b.Row > 0:
		return fmt.Sprintf("row %d: %s", b.Row, b.Text)
	}
	return b.Text
}

// Hint says how to mend it.
func (b *BadTable) Hint() string { return b.Mend }

// Unsolved is a game whose two guarantees could not be brought together; Gap is
// how far apart they stayed, in the unit of the payoffs. The solution that goes
// with it is valid as two guarantees.
type Unsolved struct{ Gap float64 }

// Error says how far apart the guarantees are.
func (u *Unsolved) Error() string {
	return fmt.Sprintf("the game is not solved: the guarantees of the two sides differ by %.3g", u.Gap)
}

// Check returns a *BadTable where a payoff table is empty, too large, ragged, or
// holds what is not a number.
func Check(a [][]float64) error {
	const oneEach = "Give every row one number for each choice of the opponent."
	if len(a) == 0 || len(a[0]) == 0 {
		return &BadTable{0, 0, "the table is empty", "It needs a row for each of my choices and a column for each of the opponent's."}
	}
	if len(a) > MaxChoices || len(a[0]) > MaxChoices {
		return &BadTable{0, 0, fmt.Sprintf("the table has %d rows and %d columns, more than %d", len(a), len(a[0]), MaxChoices), "Leave out choices that are never made."}
	}
	for i, row := range a {
		if len(row) != len(a[0]) {
			return &BadTable{i + 1, 0, fmt.Sprintf("payoffs: %d, in the first row: %d", len(row), len(a[0])), oneEach}
		}
		for j, v := range row {
			switch {
			case math.IsNaN(v) || math.IsInf(v, 0):
				return &BadTable{i + 1, j + 1, fmt.Sprintf("%g is not a number", v), oneEach}
			case math.Abs(v) > MaxPayoff:
				return &BadTable{i + 1, j + 1, fmt.Sprintf("%g is beyond %g", v, float64(MaxPayoff)), "Choose a larger unit for the payoffs."}
			}
		}
	}
	return nil
}

// CheckMix returns a *BadTable where a mix does not have this many shares, has
// one below nought, or does not add up to one.
func CheckMix(mix []float64, choices int) error {
	if len(mix) != choices {
		return &BadTable{0, 0, fmt.Sprintf("the mix has %d shares for %d choices", len(mix), choices), "Give one share for each choice."}
	}
	sum := 0.0
	for _, v := range mix {
		if !(v >= 0) {
			return &BadTable{0, 0, fmt.Sprintf("%g is not a share", v), "Shares lie between 0 and 1."}
		}
		sum += v
	}
	if !(math.Abs(sum-1) <= MixTolerance) {
		return &BadTable{0, 0, fmt.Sprintf("the shares add up to %g", sum), "They must add up to 1."}
	}
	return nil
}

// Solution is the value of a game and one best mix for each side. There may be
// others that are as good: compare guarantees, never mixes.
type Solution struct {
	// Value lies midway between the two guarantees.
	Value float64 `json:"value"`
	// Row is my mix: whatever the opponent does, I get Value − Gap/2 or more.
	Row []float64 `json:"row"`
	// Column is the opponent's: whatever I do, I get Value + Gap/2 or less.
	Column []float64 `json:"column"`
	// Gap is max_i (Ay)_i − min_j (xA)_j, nought but for rounding (minimax theorem,
	// von Neumann 1928). It is computed from the mixes and the payoffs alone, so it
	// vouches for the solution whatever way it was found.
	Gap float64 `json:"gap"`
}

// Solve returns the value of a game and one best mix for each side:
//
//	v = max_x min_j (xᵀA)_j = min_y max_i (Ay)_i
//
// by the linear program "maximise Σz with Bz ≤ 1, z ≥ 0" on the payoffs scaled to
// B in [1, 2]: the opponent's mix is z/Σz, mine are the shadow prices over their
// sum. Both inequalities are then verified on the payoffs as they were given.
// Errors are *BadTable, and *Unsolved together with guarantees that hold.
//
// Source: Dantzig 1951; Ferguson, Game Theory, part II, section 4 (recalled).
func Solve(a [][]float64) (Solution, error) {
	if err := Check(a); err != nil {
		return Solution{}, err
	}
	m, n := len(a), len(a[0])
	lo, hi := span(a)
	if lo == hi {
		return verified(a, even(m), even(n), 0)
	}
	scaled := func(i, j int) float64 { return 1 + (a[i][j]-lo)/(hi-lo) }
	for _, solve := range []func(int, int, func(i, j int) float64) ([]float64, []float64, bool){mixes, wideMixes} {
		if x, y, ended := solve(m, n, scaled); ended {
			if s, err := verified(a, x, y, hi-lo); err == nil {
				return s, nil
			}
		}
	}
	return verified(a, even(m), even(n), hi-lo) // guarantees that hold, if poor ones
}

// verified states a solution by its guarantees.
func verified(a [][]float64, x, y []float64, spread float64) (Solution, error) {
	least, most := math.Inf(1), math.Inf(-1)
	for j := range y {
		v := 0.0
		for i := range x {
			v += float64(x[i] * a[i][j])
		}
		least = min(least, v)
	}
	for _, v := range Worth(a, y) {
		most = max(most, v)
	}
	s := Solution{Value: least + (most-least)/2, Row: x, Column: y, Gap: max(0, most-least)}
	if spread > 0 && s.Gap > GapTolerance*spread {
		return s, &Unsolved{s.Gap}
	}
	return s, nil
}

func even(n int) []float64 {
	mix := make([]float64, n)
	for i := range mix {
		mix[i] = 1 / float64(n)
	}
	return mix
}

// span returns the least and the greatest payoff.
func span(a [][]float64) (lo, hi float64) {
	lo, hi = math.Inf(1), math.Inf(-1)
	for _, row := range a {
		for _, v := range row {
			lo, hi = min(lo, v), max(hi, v)
		}
	}
	return lo, hi
}

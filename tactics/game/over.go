package game

import "mesure/quantity"

// Over is a game whose payoffs are known only by draws.
type Over struct {
	Value quantity.Of[quantity.Ratio] `json:"value"`
	// Row and Column are the shares of the mixes. Where several mixes are as good,
	// which one is found may change from draw to draw: a wide share is then no sign
	// that little is known.
	Row    []quantity.Of[quantity.Chance] `json:"row"`
	Column []quantity.Of[quantity.Chance] `json:"column"`
	// Gap is the greatest of the draws.
	Gap float64 `json:"gap"`
}

// SolveOver solves every draw of a payoff table and returns mean, standard
// deviation and the central 95 % of value and mixes, in the unit of the payoffs.
// Errors are those of Solve, of the first draw that has one; tables of different
// sizes are a *BadTable. It panics if there are no draws.
func SolveOver(draws [][][]float64) (Over, error) {
	if len(draws) == 0 {
		panic("game: no draws")
	}
	values := make([]quantity.Ratio, len(draws))
	var rows, columns [][]quantity.Chance
	var o Over
	for d, a := range draws {
		if d > 0 && (len(a) != len(draws[0]) || len(a) > 0 && len(a[0]) != len(draws[0][0])) {
			return Over{}, &BadTable{0, 0, "the draws of the table differ in size", "Draw the same choices each time."}
		}
		s, err := Solve(a)
		if err != nil {
			return Over{}, err
		}
		if d == 0 {
			rows, columns = series(len(s.Row), len(draws)), series(len(s.Column), len(draws))
		}
		values[d] = quantity.Ratio(s.Value)
		for i, v := range s.Row {
			rows[i][d] = quantity.Chance(v)
		}
		for j, v := range s.Column {
			columns[j][d] = quantity.Chance(v)
		}
		o.Gap = max(o.Gap, s.Gap)
	}
	o.Value = quantity.FromDraws(values)
	for _, r := range rows {
		o.Row = append(o.Row, quantity.FromDraws(r))
	}
	for _, c := range columns {
		o.Column = append(o.Column, quantity.FromDraws(c))
	}
	return o, nil
}

func series(n, draws int) [][]quantity.Chance {
	all := make([][]quantity.Chance, n)
	for i := range all {
		all[i] = make([]quantity.Chance, draws)
	}
	return all
}

// Comparison is how two of my choices stand over draws.
type Comparison struct {
	// Difference is the worth of the first less that of the second, in the unit of
	// the payoffs.
	Difference quantity.Of[quantity.Ratio]
	// First is the share of draws in which the first is worth more, equals halved.
	First quantity.Of[quantity.Chance]
	// Apart is whether the central 95 % of the difference leave 0 out: where it is
	// false, the two cannot be told apart.
	Apart bool
}

// Compare holds two of my choices against each other over draws of the payoffs
// and of the opponent's habit, one habit for each table or one for all. It panics
// on other numbers of habits and on choices that are not in the table.
func Compare(draws [][][]float64, habits [][]float64, first, second int) Comparison {
	if len(draws) == 0 || len(habits) != len(draws) && len(habits) != 1 {
		panic("game: one habit for each draw, or one for all")
	}
	diff := make([]quantity.Ratio, len(draws))
	twice := 0
	for d, a := range draws {
		w := Worth(a, habits[d%len(habits)])
		diff[d] = quantity.Ratio(w[first] - w[second])
		switch {
		case diff[d] > 0:
			twice += 2
		case diff[d] == 0:
			twice++
		}
	}
	c := Comparison{Difference: quantity.FromDraws(diff), First: quantity.FromCounts(twice/2, len(draws))}
	c.Apart = !c.Difference.Covers(0)
	return c
}

package payoff

import (
	"math/rand/v2"

	"mesure/quantity"
)

// nothing is the place of that end among the four.
const nothing = 3

// drawn is a situation drawn many times, and its exact means.
type drawn struct {
	// tables are the payoffs less how the bout stands: draw, mine, theirs. What is not
	// known of the standing is the same for every choice; and where little hangs on the
	// phrase, its numbers keep their digits.
	tables [][][]float64
	habits [][]float64 // draw, theirs
	shares [][][4][]float64
	values [4][]float64

	mean       [][]float64 // of tables
	habit      []float64
	meanShares [][][4]float64
	meanValues [4]float64
}

func draw(s Situation, draws int, src rand.Source) *drawn {
	m, n := len(s.Mine), len(s.Theirs)
	t := &drawn{habit: s.Habit.Mix(), habits: s.Habit.Draws(draws, src)}
	for d := range draws {
		for o, v := range s.Values[d%len(s.Values)].list() {
			t.values[o] = append(t.values[o], v)
			if d == 0 {
				t.meanValues[o] = v // and what the others differ from it: exact where none does
			}
			t.meanValues[o] += (v - t.values[o][0]) / float64(draws)
		}
		a := make([][]float64, m)
		for i := range a {
			a[i] = make([]float64, n)
		}
		t.tables = append(t.tables, a)
	}
	for i := range m {
		t.shares = append(t.shares, make([][4][]float64, n))
		t.meanShares = append(t.meanShares, make([][4]float64, n))
		t.mean = append(t.mean, make([]float64, n))
		for j := range n {
			l := s.Cells[i][j].blend(float64(s.Weight))
			t.meanShares[i][j] = l.expected()
			for o, p := range t.meanShares[i][j] {
				t.mean[i][j] += float64(p * (t.meanValues[o] - t.meanValues[nothing]))
				t.shares[i][j][o] = make([]float64, draws)
			}
			for d := range draws {
				for o, p := range l.draw(d, src) {
					t.shares[i][j][o][d] = p
					t.tables[d][i][j] += float64(p * (t.values[o][d] - t.values[nothing][d]))
				}
			}
		}
	}
	return t
}

func (t *drawn) series() []quantity.Ratio { return make([]quantity.Ratio, len(t.tables)) }

// cell returns one payoff.
func (t *drawn) cell(i, j int) quantity.Of[quantity.Chance] {
	v := make([]float64, len(t.tables))
	for d, a := range t.tables {
		v[d] = a[i][j]
	}
	return t.worth(t.mean[i][j], v)
}

// worth returns a payoff or what comes of some, by its mean and its draws: the standing
// is put back.
func (t *drawn) worth(mean float64, draws []float64) quantity.Of[quantity.Chance] {
	all := make([]float64, len(draws))
	for d, v := range draws {
		all[d] = v + t.meanValues[nothing]
	}
	return chances(mean+t.meanValues[nothing], all)
}

func (t *drawn) table() [][]quantity.Of[quantity.Chance] {
	all := make([][]quantity.Of[quantity.Chance], len(t.mean))
	for i := range all {
		for j := range t.habit {
			all[i] = append(all[i], t.cell(i, j))
		}
	}
	return all
}

func (t *drawn) ends() [][]Ends {
	all := make([][]Ends, len(t.mean))
	for i := range all {
		for j := range t.habit {
			all[i] = append(all[i], endsOf(t.meanShares[i][j], t.shares[i][j]))
		}
	}
	return all
}

// against returns how a phrase ends if I make a choice and the opponent follows
// the habit.
func (t *drawn) against(i int) Ends {
	var mean [4]float64
	var all [4][]float64
	for o := range all {
		all[o] = make([]float64, len(t.tables))
		for j, y := range t.habit {
			mean[o] += float64(y * t.meanShares[i][j][o])
			for d, p := range t.shares[i][j][o] {
				all[o][d] += float64(p * t.habits[d][j])
			}
		}
	}
	return endsOf(mean, all)
}

func (t *drawn) after() Ends { return endsOf(t.meanValues, t.values) }

// stakes returns what the ends change.
func (t *drawn) stakes() Stakes {
	between := func(a, b int) quantity.Of[quantity.Ratio] {
		v := t.series()
		for d := range v {
			v[d] = quantity.Ratio(t.values[a][d] - t.values[b][d])
		}
		return about(t.meanValues[a]-t.meanValues[b], quantity.FromDraws(v))
	}
	return Stakes{Hit: between(0, nothing), Cost: between(nothing, 2), Double: between(1, nothing)}
}

func endsOf(mean [4]float64, draws [4][]float64) Ends {
	return Ends{chances(mean[0], draws[0]), chances(mean[1], draws[1]), chances(mean[2], draws[2]), chances(mean[3], draws[3])}
}

// chances returns a chance by its exact mean and its draws.
func chances(mean float64, draws []float64) quantity.Of[quantity.Chance] {
	all := make([]quantity.Chance, len(draws))
	for d, v := range draws {
		all[d] = quantity.Chance(v)
	}
	q := about(mean, quantity.FromDraws(all))
	q.Lo, q.Hi = max(0, q.Lo), min(1, q.Hi) // against a standing that is not known, see drawn
	return q
}

// about puts the exact mean in the place of that of the draws. Where a law leans
// so much that its interval leaves the mean out, the interval is drawn out to it.
func about[U quantity.Unit](mean float64, q quantity.Of[U]) quantity.Of[U] {
	q.Mean = U(mean)
	q.Lo, q.Hi = min(q.Lo, q.Mean), max(q.Hi, q.Mean)
	return q
}

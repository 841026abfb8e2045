package payoff

import (
	"errors"
	"math/rand/v2"
	"slices"

	"mesure/quantity"
	"mesure/tactics/game"
)

// Ends is how one meeting of two choices ends.
type Ends struct {
	Me       quantity.Of[quantity.Chance] `json:"me"`
	Double   quantity.Of[quantity.Chance] `json:"double"`
	Opponent quantity.Of[quantity.Chance] `json:"opponent"`
	Nothing  quantity.Of[quantity.Chance] `json:"nothing"`
}

// Stakes are what the ends of the phrase change in the chance to win: by how much a
// single hit of mine raises it, one of the opponent lowers it, and what a double does.
type Stakes struct {
	Hit    quantity.Of[quantity.Ratio] `json:"hit"`
	Cost   quantity.Of[quantity.Ratio] `json:"cost"`
	Double quantity.Of[quantity.Ratio] `json:"double"`
}

// Standing is how one choice of mine stands against the opponent's habit.
type Standing struct {
	// Worth is the chance to win the bout if I make it now.
	Worth quantity.Of[quantity.Chance] `json:"worth"`
	// Best is the share of draws in which no other is worth more.
	Best quantity.Of[quantity.Chance] `json:"best"`
	// Alike is whether it cannot be told apart from the best reply: the central
	// 95 % of the difference hold 0.
	Alike bool `json:"alike"`
	// Worst is the choice of the opponent that meets it best, and Least what that
	// leaves me.
	Worst int                          `json:"worst"`
	Least quantity.Of[quantity.Chance] `json:"least"`
}

// Reply is the choice that is worth the most against the opponent's habit, and the
// opponent's reply to it. There it stops: what comes after that is guesswork.
type Reply struct {
	Choice int                          `json:"choice"`
	Worth  quantity.Of[quantity.Chance] `json:"worth"`
	// Second is the next best choice, Ahead by how much it is behind.
	Second int                         `json:"second"`
	Ahead  quantity.Of[quantity.Ratio] `json:"ahead"`
	// Apart is whether the central 95 % of Ahead leave 0 out.
	Apart bool `json:"apart"`
	// Edge is what it is worth above my mix of the game, against the habit.
	Edge quantity.Of[quantity.Ratio] `json:"edge"`
	// Regret is what is lost by not knowing payoffs and habit better: the worth of
	// what is best in a draw less its own, never below 0.
	Regret quantity.Of[quantity.Ratio] `json:"regret"`
	// Exposed is how far it falls behind my mix of the game if the opponent has seen
	// through it: max_j (xᵀA)_j − a_rj.
	Exposed quantity.Of[quantity.Ratio] `json:"exposed"`
	// Counter is the opponent's best answer to it, Left what that leaves me.
	Counter int                          `json:"counter"`
	Left    quantity.Of[quantity.Chance] `json:"left"`
}

// Play is the mix to fence with: my mix of the game, leaning to the best reply as
// far as the stake allows.
type Play struct {
	// Even is my mix of the game on the mean payoffs: it asks for no knowledge of the
	// opponent.
	Even []quantity.Chance `json:"even"`
	// Floor is what Even is worth whatever the opponent does, on the mean payoffs.
	Floor quantity.Of[quantity.Chance] `json:"floor"`
	// Lean is how far the mix leans to the best reply: (1−lean)·even + lean·reply,
	// with lean = min(1, stake / upper end of Exposed), and 0 where too little was
	// seen of the opponent.
	Lean quantity.Chance `json:"lean"`
	// Mix is the result.
	Mix []quantity.Chance `json:"mix"`
	// Worth is what Mix is worth against the habit.
	Worth quantity.Of[quantity.Chance] `json:"worth"`
	// Regret is by how much Mix does worse than Even at the most, whatever the
	// opponent does: lean·Exposed, below 0 where it cannot do worse.
	Regret quantity.Of[quantity.Ratio] `json:"regret"`
}

// Advice is all that is said of one touch about to be fenced. Numbers of choices
// count from 0.
type Advice struct {
	Mine   []string `json:"mine"`
	Theirs []string `json:"theirs"`
	Draws  int      `json:"draws"`
	// Weight is that of the model against the counts, as it was given.
	Weight quantity.Chance `json:"weight"`
	// Ends and Table have a row for each of my choices: how a phrase ends, and what
	// that is worth as a chance to win the bout. Means are exact, the rest is of the
	// draws.
	Ends  [][]Ends                         `json:"ends"`
	Table [][]quantity.Of[quantity.Chance] `json:"table"`
	// After is what the bout is worth after each end; Nothing leaves it as it stands.
	After Ends `json:"after"`
	// Stakes are what the ends change.
	Stakes Stakes `json:"stakes"`
	// Game is the game solved draw by draw.
	Game game.Over `json:"game"`
	// Habit is the opponent's, TooLittle whether less was seen of it than anything can
	// be said from.
	Habit     []quantity.Of[quantity.Chance] `json:"habit"`
	TooLittle bool                           `json:"too_little"`
	Standings []Standing                     `json:"standings"`
	Reply     Reply                          `json:"reply"`
	Play      Play                           `json:"play"`
	// Balance are the shares of the opponent's choices at which the answer tips.
	Balance []Balance `json:"balance"`
	// Courses are what my choices are worth over the share of each of the opponent's that
	// decide.
	Courses []Course `json:"-"`
	// Drivers are the numbers that the answer hangs on, the weightiest first.
	Drivers []Driver `json:"drivers"`
	// Expected is what the opponent will likely expect of me; nil where nothing is
	// known of what was shown.
	Expected *Expected `json:"expected"`
	// Next are the best three choices, the best first.
	Next []Next `json:"next"`
}

// Advise says what to do in a situation, over draws of the payoffs and of the
// habit: Draws of them unless there is a reason. In each draw
//
//	a_ij = Σ_end P_ij(end)·W(end)
//
// with P the blend of model and counts and W the values of the score, so that
// every payoff lies between the least and the greatest value. How the bout stands,
// W(nothing), is not known either where there are draws of the values; but it moves all
// choices alike. So spreads and intervals of payoffs and worths are those of
// a_ij − W(nothing), about the mean: After alone tells what is not known of the
// standing. Errors are *BadInput and those of game.Solve.
func Advise(s Situation, draws int, src rand.Source) (Advice, error) {
	if err := s.Check(); err != nil {
		return Advice{}, err
	}
	if draws < 2 {
		return Advice{}, &BadInput{"draws", 0, 0, "fewer than two draws tell no spread", "Ask for some hundreds."}
	}
	t := draw(s, draws, src)
	over, err := game.SolveOver(t.tables)
	if err != nil {
		return Advice{}, err
	}
	standing := quantity.Ratio(t.meanValues[nothing])
	over.Value.Mean, over.Value.Lo, over.Value.Hi = over.Value.Mean+standing, over.Value.Lo+standing, over.Value.Hi+standing
	even, err := game.Solve(t.mean)
	if unsolved := (*game.Unsolved)(nil); err != nil && !errors.As(err, &unsolved) {
		return Advice{}, err // an unsolved game still has guarantees that hold
	}
	a := Advice{
		Mine: slices.Clone(s.Mine), Theirs: slices.Clone(s.Theirs), Draws: draws, Weight: s.Weight,
		Ends: t.ends(), Table: t.table(), After: t.after(), Stakes: t.stakes(), Game: over,
		Habit: s.Habit.All(), TooLittle: s.Habit.TooLittle(),
	}
	a.Reply, a.Standings = t.reply(even.Row)
	a.Play = t.play(even, a.Reply, s.stake(), a.TooLittle)
	a.Balance = t.balance(a.Habit)
	a.Courses = t.courses(a)
	a.Drivers = t.drivers(a.Reply)
	a.Expected = t.expected(s)
	a.Next = t.next(a)
	return a, nil
}

// reply finds the best reply on the means and says how it stands in the draws.
func (t *drawn) reply(even []float64) (Reply, []Standing) {
	worth := game.Worth(t.mean, t.habit)
	order := ranked(worth)
	r := Reply{Choice: order[0], Second: order[1]}
	all := make([]Standing, len(worth))
	own, best := make([][]float64, len(worth)), make([]int, len(worth))
	for i := range own {
		own[i] = make([]float64, len(t.tables))
	}
	regret, edge, exposed := t.series(), t.series(), t.series()
	for d, a := range t.tables {
		w := game.Worth(a, t.habits[d])
		top, mixed := slices.Max(w), 0.0
		for i, v := range w {
			own[i][d] = v
			mixed += float64(even[i] * v)
			if v == top {
				best[i]++
			}
		}
		regret[d] = quantity.Ratio(top - w[r.Choice])
		edge[d] = quantity.Ratio(w[r.Choice] - mixed)
		exposed[d] = quantity.Ratio(behind(a, even, r.Choice))
	}
	evenWorth := 0.0
	for i, v := range worth {
		evenWorth += float64(even[i] * v)
	}
	for i := range all {
		column := ranked(t.mean[i])
		all[i] = Standing{
			Worth: t.worth(worth[i], own[i]), Best: quantity.FromCounts(best[i], len(t.tables)),
			Worst: column[len(column)-1],
			Alike: i == r.Choice || !game.Compare(t.tables, t.habits, r.Choice, i).Apart,
		}
		all[i].Least = t.cell(i, all[i].Worst)
	}
	c := game.Compare(t.tables, t.habits, r.Choice, r.Second)
	r.Worth, r.Apart, r.Ahead = all[r.Choice].Worth, c.Apart, about(worth[r.Choice]-worth[r.Second], c.Difference)
	r.Edge = about(worth[r.Choice]-evenWorth, quantity.FromDraws(edge))
	r.Regret = quantity.FromDraws(regret)
	r.Exposed = about(behind(t.mean, even, r.Choice), quantity.FromDraws(exposed))
	r.Counter, r.Left = all[r.Choice].Worst, all[r.Choice].Least
	return r, all
}

// behind returns how far a choice falls behind a mix at the most.
func behind(a [][]float64, mix []float64, choice int) float64 {
	w := game.Against(a, mix)
	most := w[0] - a[choice][0]
	for j, v := range w {
		most = max(most, v-a[choice][j])
	}
	return most
}

// play leans the mix of the game to the best reply as far as the stake allows.
func (t *drawn) play(even game.Solution, r Reply, stake float64, tooLittle bool) Play {
	lean := 1.0
	if exposed := float64(max(r.Exposed.Hi, r.Exposed.Mean)); exposed > stake {
		lean = stake / exposed
	}
	if tooLittle {
		lean = 0
	}
	p := Play{Lean: quantity.Chance(lean)}
	mix := make([]float64, len(even.Row))
	for i, v := range even.Row {
		mix[i] = float64((1 - lean) * v)
		if i == r.Choice {
			mix[i] += lean
		}
		p.Even, p.Mix = append(p.Even, quantity.Chance(v)), append(p.Mix, quantity.Chance(mix[i]))
	}
	least, worth := make([]float64, len(t.tables)), make([]float64, len(t.tables))
	for d, a := range t.tables {
		least[d] = slices.Min(game.Against(a, even.Row))
		for j, v := range game.Against(a, mix) {
			worth[d] += float64(v * t.habits[d][j])
		}
	}
	mean := 0.0
	for j, v := range game.Against(t.mean, mix) {
		mean += float64(v * t.habit[j])
	}
	p.Floor = t.worth(slices.Min(game.Against(t.mean, even.Row)), least)
	p.Worth = t.worth(mean, worth)
	l := quantity.Ratio(lean)
	p.Regret = quantity.Of[quantity.Ratio]{Mean: l * r.Exposed.Mean, SD: l * r.Exposed.SD, Lo: l * r.Exposed.Lo, Hi: l * r.Exposed.Hi}
	return p
}

// ranked returns the places of values from the greatest to the least; of equals
// the first comes first.
func ranked(v []float64) []int {
	order := make([]int, len(v))
	for i := range order {
		order[i] = i
	}
	slices.SortStableFunc(order, func(p, q int) int {
		switch {
		case v[p] > v[q]:
			return -1
		case v[p] < v[q]:
			return 1
		}
		return 0
	})
	return order
}

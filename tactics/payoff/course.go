package payoff

import (
	"slices"

	"mesure/quantity"
	"mesure/tactics/game"
)

// Courses are computed at this many shares, ends included, for at most MostCourses
// choices of the opponent.
const (
	// CourseSteps is how many steps of a course there are, five points of a hundred each.
	CourseSteps = 20
	// MostCourses is for how many choices of the opponent there is one.
	MostCourses = 3
)

// Course is what my choices are worth over the share of one choice of the opponent, the
// others keeping their proportions.
type Course struct {
	// Choice is the opponent's, Mine those of mine that are best somewhere, in the order
	// in which they are on the mean payoffs.
	Choice int
	Mine   []int
	// Shares of Choice from 0 to 1, Worth of each of Mine at each: as in Standing, the
	// doubt about how the bout stands is not in it.
	Shares []quantity.Chance
	Worth  [][]quantity.Of[quantity.Chance]
	// Tips are those of Advice.Balance that lie on it.
	Tips []Balance
}

// courses are those of the choices that decide: where the answer tips nearest to the
// habit, and others where it is open on which side the habit lies; where it tips nowhere,
// that of the choice that is likeliest.
func (t *drawn) courses(a Advice) []Course {
	var choices []int
	for _, b := range a.Balance {
		open := b.Past.Mean > 0.025 && b.Past.Mean < 0.975
		if len(choices) < MostCourses && !slices.Contains(choices, b.Choice) && (open || len(choices) == 0) {
			choices = append(choices, b.Choice)
		}
	}
	if len(choices) == 0 {
		choices = ranked(t.habit)[:1]
	}
	var all []Course
	for _, k := range choices {
		c := Course{Choice: k}
		for _, b := range a.Balance {
			if b.Choice == k {
				c.Tips = append(c.Tips, b)
			}
		}
		for s := range CourseSteps + 1 {
			c.Shares = append(c.Shares, quantity.Chance(float64(s)/CourseSteps))
		}
		c.Mine = t.bestSomewhere(k)
		for _, i := range c.Mine {
			c.Worth = append(c.Worth, t.over(i, k))
		}
		all = append(all, c)
	}
	return all
}

// bestSomewhere are my choices that are worth the most at some share of one of the
// opponent's, on the mean payoffs: the first at 0, then the one that takes over at each
// balance point.
func (t *drawn) bestSomewhere(k int) []int {
	at := make([]float64, len(t.mean))
	for i := range at {
		at[i] = t.besides(t.mean, t.habit, i, k)
	}
	best := ranked(at)[:1:1]
	for _, b := range game.BalancePoints(t.mean, t.habit, k) {
		if b.Best && !slices.Contains(best, b.Above) {
			best = append(best, b.Above)
		}
	}
	return best
}

// besides is what a choice of mine is worth where the opponent never makes choice k.
func (t *drawn) besides(a [][]float64, habit []float64, i, k int) float64 {
	sum, rest := 0.0, 0.0
	for j, y := range habit {
		if j != k {
			sum += float64(y * a[i][j])
			rest += y
		}
	}
	if rest == 0 {
		return sum
	}
	return sum / rest
}

// over is what one choice of mine is worth over the share of one of the opponent's.
func (t *drawn) over(i, k int) []quantity.Of[quantity.Chance] {
	without := make([]float64, len(t.tables))
	for d, a := range t.tables {
		without[d] = t.besides(a, t.habits[d], i, k)
	}
	mean0, mean1 := t.besides(t.mean, t.habit, i, k), t.mean[i][k]
	var all []quantity.Of[quantity.Chance]
	v := make([]float64, len(t.tables))
	for s := range CourseSteps + 1 {
		share := float64(s) / CourseSteps
		for d, a := range t.tables {
			v[d] = float64(share*a[i][k]) + float64((1-share)*without[d])
		}
		all = append(all, t.worth(float64(share*mean1)+float64((1-share)*mean0), v))
	}
	return all
}

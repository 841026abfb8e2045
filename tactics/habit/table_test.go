package habit

import (
	"flag"
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"mesure/quantity"
)

var update = flag.Bool("update", false, "write the tables of doc/habits.md anew")

// A simulated bout: so many phrases, the habit changes before the one with this number
// from 0.
const (
	phrases  = 29
	changeAt = 14
)

// lookedAt are the numbers of choices after which the laws are held against the truth:
// the last three before the change, then 1, 2, 3, 4, 6, 8, 11 and 15 after it.
var lookedAt = []int{5, 10, 14, 15, 16, 17, 18, 20, 22, 25, 29}

type fencers struct {
	name string
	draw func(r *rand.Rand) (before, after []float64)
}

var simulated = []fencers{
	{"any habit: both drawn from Dirichlet(½), four choices", func(r *rand.Rand) ([]float64, []float64) {
		d := Habit{Prior: []float64{.5, .5, .5, .5}, Seen: make([]float64, 4)}.Draws(2, r)
		return d[0], d[1]
	}},
	{"from 25 to 75 %, two choices", func(*rand.Rand) ([]float64, []float64) { return []float64{.25, .75}, []float64{.75, .25} }},
	{"a favourite gives way: 45, 25, 15, 10, 5 % of seven choices, then 15, 25, 45, 10, 5 %", func(*rand.Rand) ([]float64, []float64) {
		return []float64{.45, .25, .15, .10, .05, 0, 0}, []float64{.15, .25, .45, .10, .05, 0, 0}
	}},
	{"another choice altogether: 70, 20, 10 % of seven choices, then 10, 20, 70 %", func(*rand.Rand) ([]float64, []float64) {
		return []float64{.70, .20, .10, 0, 0, 0, 0}, []float64{.10, .20, .70, 0, 0, 0, 0}
	}},
	{"nearly even: 25, 20, 15, 15, 10, 10, 5 %, then the other way round", func(*rand.Rand) ([]float64, []float64) {
		return []float64{.25, .20, .15, .15, .10, .10, .05}, []float64{.05, .10, .10, .15, .15, .20, .25}
	}},
}

var laws = []struct {
	name string
	of   func(k int, c Changing, seen []int) (Habit, error)
}{
	{"no forgetting", func(k int, _ Changing, seen []int) (Habit, error) {
		return Estimate(k, nil, Source{Choices: seen, Weight: 1})
	}},
	{"fading", func(k int, _ Changing, seen []int) (Habit, error) {
		return Estimate(k, Even(k), Source{Choices: seen, Weight: 1, HalfLife: HalfLife})
	}},
	{"changes", func(_ int, c Changing, seen []int) (Habit, error) { return c.Habit(len(seen), nil, nil), nil }},
	{"changes, next touch", func(_ int, c Changing, seen []int) (Habit, error) { return c.Next(len(seen), nil, nil), nil }},
}

func chooses(r *rand.Rand, mix []float64) int {
	u := r.Float64()
	for k, p := range mix {
		if u < p {
			return k
		}
		u -= p
	}
	return 0 // rounding of a mix that adds up to one
}

// covered returns, for each law and each place looked at, how often the 95 % interval of
// a choice held its chance in the habit of the last choice, that of the choice which is
// the likeliest in that habit, and how wide the intervals were.
func covered(t *testing.T, f fencers, bouts int, at []int) (share, top, width [][]float64) {
	t.Helper()
	share, top, width = make([][]float64, len(laws)), make([][]float64, len(laws)), make([][]float64, len(laws))
	for l := range laws {
		share[l], top[l], width[l] = make([]float64, len(at)), make([]float64, len(at)), make([]float64, len(at))
	}
	r := rand.New(rand.NewPCG(29, 14))
	for range bouts {
		before, after := f.draw(r)
		k := len(before)
		var seen []int
		for i := range phrases {
			mix := before
			if i >= changeAt {
				mix = after
			}
			seen = append(seen, chooses(r, mix))
		}
		c := changeOf(t, Sequence{Choices: k, Seen: seen, Prior: Even(k)})
		for j, n := range at {
			truth := before
			if n > changeAt {
				truth = after
			}
			for l, law := range laws {
				h, err := law.of(k, c, seen[:n])
				if err != nil {
					t.Fatal(err)
				}
				for i, q := range h.All() {
					if q.Covers(quantity.Chance(truth[i])) {
						share[l][j] += 1 / float64(k*bouts)
						if truth[i] == slices.Max(truth) {
							top[l][j] += 1 / float64(bouts)
						}
					}
					width[l][j] += float64(q.Hi-q.Lo) / float64(k*bouts)
				}
			}
		}
	}
	return share, top, width
}

// announced returns how often a change was spoken of after so many choices, and how
// often the range then held the true place; no change at all where steady.
func announced(t *testing.T, f fencers, bouts int, at []int, steady bool) (said, held []float64) {
	t.Helper()
	said, held = make([]float64, len(at)), make([]float64, len(at))
	r := rand.New(rand.NewPCG(14, 29))
	for range bouts {
		before, after := f.draw(r)
		if steady {
			after = before
		}
		var seen []int
		for i := range phrases {
			mix := before
			if i >= changeAt {
				mix = after
			}
			seen = append(seen, chooses(r, mix))
		}
		for j, n := range at {
			c := changeOf(t, Sequence{Choices: len(before), Seen: seen[:n], Prior: Even(len(before))})
			if c.Any() < ChangeLevel {
				continue
			}
			if last, ok := c.Last(); ok {
				said[j] += 1 / float64(bouts)
				if last.From <= changeAt && changeAt <= last.To {
					held[j] += 1 / float64(bouts)
				}
			}
		}
	}
	for j := range held {
		if said[j] > 0 {
			held[j] /= said[j]
		}
	}
	return said, held
}

const habitsPage = "../../doc/habits.md"

const habitsHead = `# Habits against simulated fencers

Written by ` + "`go test ./tactics/habit -run Table -update -timeout 1h`" + `; the test holds a part of it, with fewer bouts.

A fencer of %d phrases chooses by one habit in the first %d and by another from then on. How often does the 95 %% interval of a choice hold its true chance, before and after? Counted over %d bouts. The first number is that of all choices of a fencer alike, the second that of the one which the fencer makes most often by then; in brackets how wide the interval is on average, in points of a hundred.

- *No forgetting*: all choices of the bout alike.
- *Fading*: a choice counts half after every %d further ones.
- *Changes*: the habit may have begun with any choice, each beginning weighed by how well it explains the choices (product partition, one change in %d choices on average). This is the law of the page.
- *Changes, next touch*: the same, with the chance that the habit changes at just the touch that comes.

Before the change fading and changes keep their word but for the first choices of one who mixes nearly evenly, plain counts nearly. Just after it none does: a single choice of a new habit can be one of the old habit. The law of changes is the nearest to its word at every place after the change. Over all choices it is back at 94 %% or more with the sixth new choice. The choice that the new habit makes most often and the old one seldom is the hardest: its interval holds the truth in 79 to 91 %% of bouts after four new choices, in 84 to 94 %% after six, in 90 to 98 %% after fifteen, where fading has 71 to 94 %% and plain counts as little as 1 %%. So for half a dozen touches after a change the page is surer than it ought to be, and says so.

It pays with intervals that are wider while nothing changes: by a tenth to a third than those of fading, by an eighth to a half than those of plain counts. With the chance of a change at the very next touch it would be at its word one or two choices sooner; but one in 24 is more than the 2.5 %% that an interval leaves out below, so the interval of a habit would reach down to nearly nothing however long it has lasted. That chance is said in words instead.

`

const announcedHead = `## A change that is spoken of

A change is spoken of from a chance of %g on. How often that is after so many choices, and how often the range that is given for its place then holds the true one. In the bouts without a change it is a false alarm. A great change is spoken of in one bout of two by the end, a smaller one seldom: that nothing is said does not mean that nothing changed. False alarms are rare but for one who mixes seven choices nearly evenly, where they come in one bout of seven; and there, as for a small change, the place is held in some six cases of ten only.

| fencer | %s |
|---|%s
`

// TestTable: with -update, the whole page; else that the page states what fewer bouts
// show at three places, within four standard errors of a share over so few bouts and
// half a percent of rounding.
func TestTable(t *testing.T) {
	if !*update {
		page, err := os.ReadFile(habitsPage)
		if err != nil {
			t.Fatal(err)
		}
		const bouts = 60
		at := []int{14, 15, 18, 25}
		cell := regexp.MustCompile(`^ ([0-9]+)/([0-9]+) \[`)
		n := 0
		for _, f := range simulated[:2] {
			_, part, ok := strings.Cut(string(page), "## "+strings.ToUpper(f.name[:1])+f.name[1:]+"\n")
			if !ok {
				t.Fatalf("%s says nothing of %s", habitsPage, f.name)
			}
			share, top, _ := covered(t, f, bouts, at)
			for l, law := range laws {
				_, row, ok := strings.Cut(part, "| "+law.name+" |")
				if !ok {
					t.Fatalf("%s has no row %s", habitsPage, law.name)
				}
				cells := strings.Split(strings.SplitN(row, "\n", 2)[0], "|")
				for j, p := range at {
					for i, q := range lookedAt {
						if q != p {
							continue
						}
						m := cell.FindStringSubmatch(cells[i])
						if m == nil {
							t.Fatalf("%q is no cell", cells[i])
						}
						for i, got := range []float64{share[l][j], top[l][j]} {
							said, _ := strconv.ParseFloat(m[1+i], 64)
							said /= 100
							if room := 4*math.Sqrt(max(.02, said*(1-said))/bouts) + .005; math.Abs(said-got) > room {
								t.Errorf("%s, %s after %d choices: covered %.3f, the page says %.2f", f.name, law.name, p, got, said)
							}
						}
						n++
					}
				}
			}
		}
		if n != 2*len(laws)*len(at) {
			t.Fatalf("%d cells", n)
		}
		return
	}
	const bouts = 5000
	var b strings.Builder
	fmt.Fprintf(&b, habitsHead, phrases, changeAt, bouts, HalfLife, ChangeEvery)
	for _, f := range simulated {
		share, top, width := covered(t, f, bouts, lookedAt)
		fmt.Fprintf(&b, "## %s\n\n| choices seen |", strings.ToUpper(f.name[:1])+f.name[1:])
		for _, n := range lookedAt {
			if n <= changeAt {
				fmt.Fprintf(&b, " %d |", n)
			} else {
				fmt.Fprintf(&b, " %d new |", n-changeAt)
			}
		}
		b.WriteString("\n|---|" + strings.Repeat("---:|", len(lookedAt)) + "\n")
		for l, law := range laws {
			fmt.Fprintf(&b, "| %s |", law.name)
			for j := range lookedAt {
				fmt.Fprintf(&b, " %.0f/%.0f [%.0f] |", 100*share[l][j], 100*top[l][j], 100*width[l][j])
			}
			b.WriteString("\n")
		}
		b.WriteString("\n")
	}
	at := []int{14, 17, 20, 23, 29}
	var names []string
	for _, n := range at {
		if n > changeAt {
			names = append(names, fmt.Sprintf("%d new", n-changeAt))
		} else {
			names = append(names, fmt.Sprintf("%d", n))
		}
	}
	fmt.Fprintf(&b, announcedHead, float64(ChangeLevel), strings.Join(names, " | "), strings.Repeat("---:|", len(at)))
	for _, steady := range []bool{true, false} {
		for _, f := range simulated {
			said, held := announced(t, f, bouts/5, at, steady)
			fmt.Fprintf(&b, "| %s%s |", map[bool]string{true: "no change; ", false: ""}[steady], f.name)
			for j, n := range at {
				if steady || n <= changeAt {
					fmt.Fprintf(&b, " %.0f %% |", 100*said[j])
				} else {
					fmt.Fprintf(&b, " %.0f %%, held %.0f %% |", 100*said[j], 100*held[j])
				}
			}
			b.WriteString("\n")
		}
	}
	if err := os.WriteFile(habitsPage, []byte(b.String()), 0o644); err != nil {
		t.Fatal(err)
	}
}

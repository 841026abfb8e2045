package study

import (
	"fmt"
	"slices"
	"strings"

	"mesure/quantity"
	"mesure/sport/mark"
	"mesure/tactics/habit"
)

// somethingElse stands beside a choice that alone was seen: a habit is one among
// two choices at least.
const somethingElse = "something else"

// BoutHabit is what one fencer chose in this bout.
type BoutHabit struct {
	Who mark.Side `json:"who"`
	// Seen is how many choices are written, Weight what they weigh with the older
	// ones fading (habit.HalfLife).
	Seen   int     `json:"seen"`
	Weight float64 `json:"weight"`
	// TooLittle is true where nothing can be said yet: see habit.LeastSeen.
	TooLittle bool         `json:"too_little"`
	Choices   []BoutChoice `json:"choices"`
	// Order is whether choices repeat or alternate more than chance has it.
	Order BoutOrder `json:"order"`
}

// BoutChoice is one choice of a habit.
type BoutChoice struct {
	Word string `json:"word"`
	Seen int    `json:"seen"`
	// Share is how likely it comes next.
	Share quantity.Of[quantity.Chance] `json:"share"`
}

// BoutOrder holds the repeats of a sequence against every order of the same choices.
type BoutOrder struct {
	Repeats  int            `json:"repeats"`
	Expected quantity.Ratio `json:"expected"`
	// SoMany and SoFew are the chances of at least and at most so many repeats.
	SoMany quantity.Chance `json:"so_many"`
	SoFew  quantity.Chance `json:"so_few"`
	// Says is "repeats", "alternates" or empty.
	Says string `json:"says,omitempty"`
}

// habits estimates what each side chose, where choices are written.
func (r *BoutReading) habits(lines []BoutLine) error {
	for _, s := range mark.Sides {
		var words []string
		for _, l := range lines {
			if w := l.Choices[s]; w != "" {
				words = append(words, w)
			}
		}
		if len(words) == 0 {
			continue
		}
		h, err := habitOf(s, words)
		if err != nil {
			return err
		}
		r.Habits = append(r.Habits, h)
	}
	return nil
}

// habitOf estimates one side's habit from its choices, the oldest first.
func habitOf(s mark.Side, words []string) (BoutHabit, error) {
	count := map[string]int{}
	var kinds []string
	for _, w := range words {
		if count[w] == 0 {
			kinds = append(kinds, w)
		}
		count[w]++
	}
	slices.SortFunc(kinds, func(a, b string) int {
		if count[a] != count[b] {
			return count[b] - count[a]
		}
		return strings.Compare(a, b)
	})
	if len(kinds) == 1 {
		kinds = append(kinds, somethingElse)
	}
	seen := make([]int, len(words))
	for i, w := range words {
		seen[i] = slices.Index(kinds, w)
	}
	refused := func(err error) error {
		return &Refusal{At: "/choices/" + s.String(), What: err.Error(), Mend: "Write the same action with the same word.", Because: err}
	}
	law, err := habit.Estimate(len(kinds), nil, habit.Source{Choices: seen, Weight: habit.ThisBout, HalfLife: habit.HalfLife})
	if err != nil {
		return BoutHabit{}, refused(err)
	}
	order, err := habit.OrderOf(len(kinds), seen)
	if err != nil {
		return BoutHabit{}, refused(err)
	}
	h := BoutHabit{Who: s, Seen: len(words), Weight: law.Weight(), TooLittle: law.TooLittle(),
		Order: BoutOrder{Repeats: order.Repeats, Expected: order.Expected, SoMany: order.SoMany, SoFew: order.SoFew}}
	switch {
	case h.TooLittle:
	case order.Repeating():
		h.Order.Says = "repeats"
	case order.Alternating():
		h.Order.Says = "alternates"
	}
	for i, k := range kinds {
		h.Choices = append(h.Choices, BoutChoice{Word: k, Seen: count[k], Share: law.Of(i)})
	}
	return h, nil
}

// words says a habit in one or two sentences.
func (h BoutHabit) words(name string) string {
	if h.TooLittle {
		return fmt.Sprintf("Too little is seen of %s to speak of a habit: %s, and older ones weigh less.", name, countOf(h.Seen, "choice", "choices"))
	}
	c := h.Choices[0]
	for _, o := range h.Choices[1:] { // the likeliest next, not the most frequent over all
		if o.Share.Mean > c.Share.Mean {
			c = o
		}
	}
	s := fmt.Sprintf("%s most likely chooses %s next: %s.", name, c.Word, shareWords(c.Share))
	switch h.Order.Says {
	case "repeats":
		s += fmt.Sprintf(" %s repeats a choice more than chance has it: %d times, %.1f expected.", name, h.Order.Repeats, float64(h.Order.Expected))
	case "alternates":
		s += fmt.Sprintf(" %s changes more than chance has it: %s, %.1f expected.", name, countOf(h.Order.Repeats, "repeat", "repeats"), float64(h.Order.Expected))
	}
	return s
}

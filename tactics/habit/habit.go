// Package habit says how likely a fencer is to make each choice, from the choices
// that were seen, recent ones weighing more, and always with an interval.
//
// Most callers need ChangeOf and its Habit, which finds by itself since when the habit
// is the one it is, then Of for the chance of a choice with its interval, TooLittle
// before anything is said, and Order for whether the choices come in bunches or by
// turns. Estimate pools what several bouts say and fades with age; Counts tell whether
// a choice hangs on the situation; Prediction is what the next few may be.
//
// Choices are numbers from 0; what they stand for is the caller's. Sequences run
// from the oldest to the newest. Nothing here changes its arguments.
package habit

import (
	"fmt"
	"math"
)

// Settings, and what is accepted.
const (
	// PriorCount is what each choice is credited with before anything was seen: half
	// a count, the prior of Jeffreys (1946). Two touches outweigh it.
	PriorCount = 0.5
	// PriorWhole is what all choices together are credited with where many are possible:
	// one choice, spread evenly (Perks, J. Inst. Actuaries 73:285, 1947, recalled). With
	// half a count each, seven choices would be credited with more than a third of what
	// ten touches show, and the choice made most often would come out too low.
	PriorWhole = 1
	// HalfLife is after how many further choices one weighs half (our choice, no
	// source: about half a bout to 15).
	HalfLife = 12
	// ThisBout is the weight of a choice in the bout at hand (our choice, no source).
	ThisBout = 1
	// SameOpponent is the weight of one in earlier bouts with this opponent (our
	// choice, no source).
	SameOpponent = 0.5
	// OtherBouts is the weight of one in bouts with others (our choice, no source).
	OtherBouts = 0.2
	// EarlierHalfLife is after how many further choices one of an earlier bout weighs
	// half (our choice, no source: about a bout to 15, so that each bout weighs half of
	// the one after it).
	EarlierHalfLife = 24
	// LeastSeen is the weight of choices below which too little was seen. Derived:
	// an even choice between two comes out the same 5 times running in 2·2⁻⁵ = 6 %
	// of cases, 6 times in 3 %, so that fewer than 6 cannot set at 95 % a fencer who
	// never varies apart from one without a habit.
	LeastSeen = 6
	// MaxChoices is the greatest number of choices that is accepted.
	MaxChoices = 100
)

// Source is a sequence of choices, the oldest first, and what each weighs.
type Source struct {
	Choices []int
	// Weight is that of the newest, such as ThisBout or SameOpponent.
	Weight float64
	// HalfLife is after how many further choices of this source one weighs half; 0
	// keeps all alike.
	HalfLife float64
	// Like is how alike the situation of each choice was to the one asked about, from 0
	// to 1: a further weight of each. Nil takes all as the same.
	Like []float64
}

// Even returns the prior that credits all choices together with PriorWhole. For two it
// is that of Jeffreys.
func Even(choices int) []float64 {
	all := make([]float64, choices)
	for i := range all {
		all[i] = PriorWhole / float64(choices)
	}
	return all
}

// BadInput is what is wrong with what was seen, and how to mend it.
type BadInput struct{ Text, Mend string }

// Error says what is wrong.
func (b *BadInput) Error() string { return b.Text }

// Hint says how to mend it.
func (b *BadInput) Hint() string { return b.Mend }

// Habit is the Dirichlet law of the chances of all choices, or a mean of several such
// laws where it is open since when the habit is this one: see Changing.
type Habit struct {
	// Prior and Seen are the counts of each choice: before anything was seen, and the
	// weight of what was. In a mean of laws they are the means.
	Prior, Seen []float64
	// parts are the laws and what they weigh; nil for one law.
	parts []part
}

// Estimate returns the habit that these sources leave: the law
//
//	Dirichlet(prior_i + Σ_sources weight·Σ_seen i 2^(−age/half-life))
//
// with PriorCount for each choice where prior is nil; age 0 is the newest. Weights
// that fade make the law wider than the sequence alone would, never narrower: the
// sum of the weights is at most (Σw)²/Σw², the number of choices that are as good
// as these. Errors are *BadInput.
//
// Source: Gelman and others, Bayesian Data Analysis, 3.4, for the law; the fading
// is a discount of evidence as in West and Harrison, Bayesian Forecasting, 6.3
// (both recalled).
func Estimate(choices int, prior []float64, sources ...Source) (Habit, error) {
	if choices < 2 || choices > MaxChoices {
		return Habit{}, &BadInput{fmt.Sprintf("%d choices are not from 2 to %d", choices, MaxChoices), "A habit needs something to choose between."}
	}
	h := Habit{Prior: make([]float64, choices), Seen: make([]float64, choices)}
	for i := range h.Prior {
		h.Prior[i] = PriorCount
	}
	if prior != nil {
		if len(prior) != choices {
			return Habit{}, &BadInput{fmt.Sprintf("%d prior counts for %d choices", len(prior), choices), "Give each choice a prior count."}
		}
		for i, v := range prior {
			if !(v > 0) || math.IsInf(v, 0) {
				return Habit{}, &BadInput{fmt.Sprintf("%g is not a prior count", v), "Prior counts are above 0, such as 0.5."}
			}
			h.Prior[i] = v
		}
	}
	for _, s := range sources {
		if !(s.Weight >= 0 && s.Weight <= 1) {
			return Habit{}, &BadInput{fmt.Sprintf("%g is not a weight", s.Weight), "Weights lie between 0 and 1."}
		}
		if !(s.HalfLife >= 0) || math.IsInf(s.HalfLife, 0) {
			return Habit{}, &BadInput{fmt.Sprintf("%g is not a half-life", s.HalfLife), "Write a number of choices above 0, or 0 to keep all alike."}
		}
		if s.Like != nil && len(s.Like) != len(s.Choices) {
			return Habit{}, &BadInput{fmt.Sprintf("%d situations for %d choices", len(s.Like), len(s.Choices)), "Say of each choice how alike its situation was, or of none."}
		}
		for n, c := range s.Choices {
			if c < 0 || c >= choices {
				return Habit{}, &BadInput{fmt.Sprintf("choice %d of a sequence is %d, beyond the %d choices", n+1, c, choices), "Choices are numbered from 0."}
			}
			w := s.Weight
			if s.HalfLife > 0 {
				w *= math.Exp2(-float64(len(s.Choices)-1-n) / s.HalfLife)
			}
			if s.Like != nil {
				if !(s.Like[n] >= 0 && s.Like[n] <= 1) {
					return Habit{}, &BadInput{fmt.Sprintf("%g is not how alike a situation was", s.Like[n]), "Write a number from 0 to 1."}
				}
				w *= s.Like[n]
			}
			h.Seen[c] += w
		}
	}
	return h, nil
}

package payoff

import (
	"strings"
	"testing"

	"mesure/quantity"
	"mesure/tactics/chain"
	"mesure/tactics/habit"
)

// wrist is an invented touch: my direct hit to the wrist, taking the blade on a
// drawn stop hit or a step back, against a stop hit into the preparation, a parry
// or a retreat, at 9–8 in a bout to 15.
func wrist() Situation {
	c, err := chain.New(chain.Format{To: 15}, chain.Rates{Me: .38, Opponent: .38, Double: .24})
	if err != nil {
		panic(err)
	}
	cell := func(me, double, opponent float64, n Counts) Cell {
		return Cell{Model: Shares{quantity.Chance(me), quantity.Chance(double), quantity.Chance(opponent), quantity.Chance(1 - me - double - opponent)}, Sure: 8, Seen: n}
	}
	h, err := habit.Estimate(3, nil, habit.Source{Choices: []int{1, 0, 2, 0, 0, 1, 0, 0}, Weight: 1})
	if err != nil {
		panic(err)
	}
	shown, err := habit.Estimate(3, nil, habit.Source{Choices: []int{0, 0, 2, 0, 0, 1, 0, 0}, Weight: 1})
	if err != nil {
		panic(err)
	}
	return Situation{
		Mine: []string{"direct to the wrist", "draw the stop hit and take the blade", "step back"}, Theirs: []string{"stop hit", "parry-riposte", "retreat"},
		Cells: [][]Cell{
			{cell(.15, .25, .5, Counts{1, 1, 2, 0}), cell(.5, .1, .2, Counts{1, 0, 0, 0}), cell(.35, 0, .05, Counts{})},
			{cell(.55, .2, .15, Counts{2, 0, 0, 0}), cell(.2, .1, .45, Counts{0, 0, 1, 0}), cell(.1, 0, .15, Counts{})},
			{cell(.05, 0, .05, Counts{}), cell(.02, 0, .02, Counts{}), cell(0, 0, 0, Counts{})},
		},
		Weight: .5, Values: []Values{ValuesOf(c.At(chain.Score{Me: 9, Opponent: 8}))}, Habit: h, Shown: shown,
	}
}

// TestWords reads what the coach is told about the invented touch: every name and
// every figure in it is one of the advice.
func TestWords(t *testing.T) {
	a := advise(t, wrist(), Draws)
	said := strings.Join(a.Sentences(), "\n")
	t.Log("\n" + said)
	for _, n := range a.Next {
		more := strings.Join(n.Sentences(a), " ")
		t.Log(more)
		for _, want := range []string{percent(n.Worth), percent(n.Ends.Opponent), points(n.Cost), percent(*n.Foreseen), percent(*n.Shown)} {
			if !strings.Contains(more, want) {
				t.Errorf("%s does not say %s", more, want)
			}
		}
	}
	b, ok := a.tips()
	if !ok {
		t.Fatal("nothing tips")
	}
	for _, want := range []string{
		"“draw the stop hit and take the blade” pays best", percent(a.Reply.Worth), percent(b.Share), percent(b.Habit), percent(a.Reply.Left),
		"They will most likely expect “direct to the wrist”", "The number that drives the answer is",
	} {
		if !strings.Contains(said, want) {
			t.Errorf("not said: %s", want)
		}
	}
}

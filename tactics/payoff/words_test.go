package payoff

import (
	"fmt"
	"math/rand/v2"
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
		more := n.Sentence(a)
		t.Log(more)
		for _, want := range []string{percent(n.Worth), percent(n.Ends.Opponent), points(n.Risk), percent(*n.Foreseen), percent(*n.Shown)} {
			if !strings.Contains(more, want) {
				t.Errorf("%s does not say %s", more, want)
			}
		}
	}
	b, ok := a.Tips()
	if !ok {
		t.Fatal("nothing tips")
	}
	for _, want := range []string{
		"“Draw the stop hit and take the blade” pays best", percent(a.Reply.Worth), percent(b.Share), percent(b.Habit), percent(a.Reply.Left),
		"They will most likely expect “direct to the wrist”", "The number that drives the answer is",
	} {
		if !strings.Contains(said, want) {
			t.Errorf("not said: %s", want)
		}
	}
}

// TestWordsOfAnything says what there is to say of many situations, sure and unsure
// ones, and looks for what no coach should read.
func TestWordsOfAnything(t *testing.T) {
	r := rand.New(seed(8))
	var all strings.Builder
	for k := range 60 {
		s := random(r, 2+r.IntN(3), 2+r.IntN(3))
		switch k % 4 {
		case 1:
			s.Shown = habit.Habit{}
		case 2:
			s = sure(s)
			s.Shown.Seen[0], s.Habit.Seen[0] = 10, 20
		case 3:
			for i := range s.Values {
				s.Values[i].Double = quantity.Chance(r.Float64())
			}
		}
		a := advise(t, s, 40)
		lines := a.Sentences()
		for _, n := range a.Next {
			lines = append(lines, n.Sentence(a))
		}
		for _, l := range lines {
			for _, bad := range []string{"%!", "NaN", "Inf", "-0.0 ", "-0 ", "  ", "[]"} {
				if strings.Contains(l, bad) {
					t.Fatalf("%q in: %s", bad, l)
				}
			}
			if !strings.HasSuffix(l, ".") {
				t.Errorf("no sentence: %s", l)
			}
			all.WriteString(l)
		}
	}
	for _, once := range []string{
		"Too little was seen of them", "would pay best", "pays best against", "cannot be told apart on", "is ahead of", "less than", "No share of any one",
		"Safe against being read", "is not known: your own", "have seen too little of you", "they have seen it", "helps you", "costs you", "A double changes nothing",
		"the answer turns", "how often they choose",
	} {
		if !strings.Contains(all.String(), once) {
			t.Errorf("never said: %s", once)
		}
	}
}

// A pool bout at 3–3, worth .8, .5 and .2 after a hit, a double and a hit against:
// the opponent has parried five times of eight.
func ExampleAdvise() {
	bout, _ := chain.New(chain.Format{To: 5}, chain.Rates{Me: .4, Opponent: .4, Double: .2})
	theirs, _ := habit.Estimate(2, nil, habit.Source{Choices: []int{0, 0, 1, 0, 0, 1, 1, 0}, Weight: 1})
	a, _ := Advise(Situation{
		Mine: []string{"direct attack", "feint and disengage"}, Theirs: []string{"parry", "stop hit"},
		Cells: [][]Cell{
			{{Model: Shares{.2, .1, .5, .2}, Sure: 20}, {Model: Shares{.5, .3, .2, 0}, Sure: 20}},
			{{Model: Shares{.6, .1, .2, .1}, Sure: 20}, {Model: Shares{.2, .2, .6, 0}, Sure: 20}},
		},
		Weight: .5,
		Values: []Values{ValuesOf(bout.At(chain.Score{Me: 3, Opponent: 3}))},
		Habit:  theirs,
	}, Draws, rand.NewPCG(1, 2))
	fmt.Printf("%s: %.0f %% to win\n", a.Mine[a.Reply.Choice], 100*a.Reply.Worth.Mean)
	fmt.Printf("seen through: %s, %.0f %%\n", a.Theirs[a.Reply.Counter], 100*a.Reply.Left.Mean)
	fmt.Printf("tips at %.0f %% of %s\n", 100*a.Balance[0].Share.Mean, a.Theirs[a.Balance[0].Choice])
	// Output:
	// feint and disengage: 53 % to win
	// seen through: stop hit, 38 %
	// tips at 50 % of parry
}

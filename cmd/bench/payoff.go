package main

import (
	"context"
	"fmt"
	"math/rand/v2"
	"runtime"
	"time"

	"mesure/quantity"
	"mesure/sport/bout"
	"mesure/tactics/chain"
	"mesure/tactics/game"
	"mesure/tactics/habit"
	"mesure/tactics/payoff"
	"mesure/timing"
)

// payoffsOfATouch measures what a touch costs before anything is said of it: the game of
// eight choices a side over the draws of its payoffs, and the whole way from two plans
// that meet to the advice, for the trade's seven kinds of choice.
func payoffsOfATouch(context.Context) ([]line, error) {
	defer runtime.GOMAXPROCS(runtime.GOMAXPROCS(1))
	const n = 9
	rng := rand.New(rand.NewPCG(1, 1))
	tables := make([][][]float64, payoff.Draws)
	for d := range tables {
		tables[d] = make([][]float64, 8)
		for i := range tables[d] {
			for range 8 {
				tables[d][i] = append(tables[d][i], rng.Float64())
			}
		}
	}
	games, err := times(n, func(int) error {
		_, err := game.SolveOver(tables)
		return err
	})
	if err != nil {
		return nil, err
	}
	const many = 100 // chains in one measurement: one is too short for the clock
	chains, err := times(n, func(int) error {
		for range many {
			k, err := chain.New(chain.Format{To: 15}, chain.Rates{Me: 0.40, Opponent: 0.35, Double: 0.25})
			if err != nil {
				return err
			}
			for i := range 15 {
				for j := range 15 {
					k.At(chain.Score{Me: i, Opponent: j})
				}
			}
		}
		return nil
	})
	if err != nil {
		return nil, err
	}
	gap := quantity.Normal[quantity.Metres](1.2, 0.1)
	o := timing.OnGuard{Fencers: [2]timing.Ability{timing.NewAbility(gap, "f", "club"), timing.NewAbility(gap, "f", "club")}, GapCorrelation: 1}
	rule, _ := bout.ApparatusOf(bout.Epee)
	app := timing.Apparatus{Window: quantity.Seconds(rule.WindowMS / 1000), Tolerance: quantity.Seconds(rule.ToleranceMS / 1000),
		ContactMin: quantity.Seconds(rule.ContactMinMS / 1000), ContactMax: quantity.Seconds(rule.ContactMaxMS / 1000)}
	plans := timing.Plans()[:len(bout.ChoiceKinds())]
	whole, err := times(n, func(int) error {
		m, err := o.Meet(app, plans, plans, timing.MeetsUnknown, timing.MeetsTrials, rand.NewPCG(1, 2))
		if err != nil {
			return err
		}
		h, err := habit.Estimate(len(plans), nil, habit.Source{Choices: []int{0, 4, 4, 3, 0, 4, 1, 4}, Weight: habit.ThisBout})
		if err != nil {
			return err
		}
		s := payoff.Situation{Weight: 0.5, Values: []payoff.Values{{Me: 0.6, Double: 0.5, Opponent: 0.4, Nothing: 0.5}}, Habit: h}
		for i, p := range plans {
			s.Mine, s.Theirs = append(s.Mine, string(p)), append(s.Theirs, string(p))
			var row []payoff.Cell
			for j := range plans {
				var c payoff.Cell
				for _, e := range m.Draws[i][j] {
					c.Draws = append(c.Draws, payoff.Shares{Me: e.Left, Double: e.Both, Opponent: e.Right, Nothing: e.Nothing})
				}
				row = append(row, c)
			}
			s.Cells = append(s.Cells, row)
		}
		_, err = payoff.Advise(s, payoff.Draws, rand.NewPCG(1, 3))
		return err
	})
	if err != nil {
		return nil, err
	}
	const gameGoal, wholeGoal = 150 * time.Millisecond, 200 * time.Millisecond
	oneChain := float64(chains.onProcessors) / many / float64(time.Millisecond)
	return []line{
		{"the chain to 15, all scores with their worths, one core", fmt.Sprintf("%.3f ms of processor", oneChain), "at most 1 ms", within(oneChain <= 1)},
		{fmt.Sprintf("a game of 8×8 choices, %d draws, one core", payoff.Draws), games.String(), "at most 150 ms of processor", within(games.onProcessors <= gameGoal)},
		{fmt.Sprintf("payoffs of a touch: %d×%d plans meet in %d phrases, %d draws of the advice, one core", len(plans), len(plans), timing.MeetsUnknown*timing.MeetsTrials, payoff.Draws),
			whole.String(), "at most 200 ms of processor", within(whole.onProcessors <= wholeGoal)},
	}, nil
}

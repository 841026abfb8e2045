package report

import (
	"fmt"

	"mesure/show/chart"
	"mesure/show/draw"
	"mesure/show/plate"
	"mesure/sport/mark"
	"mesure/study"
)

// The kinds of plates of tactics.
const (
	KindThread  Kind = "thread"
	KindHabit   Kind = "habit"
	KindBalance Kind = "balance"
	KindPayoff  Kind = "payoff"
	KindBout    Kind = "bout"
)

// mostBalances is how many balances a report shows: the one that decides and the next.
const mostBalances = 2

// tacticsJobs draws what the bout makes of a touch; none where the reading has no
// tactics.
func tacticsJobs(r *study.Reading, names plate.Naming) []job {
	x := r.Tactics
	if x == nil {
		return nil
	}
	type pic struct {
		kind Kind
		name string
		made func(chart.Options) (*draw.Drawing, error)
	}
	all := []pic{{KindThread, "thread", func(o chart.Options) (*draw.Drawing, error) { return chart.Thread(x, o) }}}
	for _, s := range mark.Sides {
		all = append(all, pic{KindHabit, fmt.Sprintf("%s-%v", KindHabit, s), func(o chart.Options) (*draw.Drawing, error) { return chart.Habit(x, s, o) }})
	}
	all = append(all, pic{KindPayoff, "payoff", func(o chart.Options) (*draw.Drawing, error) { return chart.Payoff(x, o) }})
	if x.Payoff != nil {
		for i := range x.Payoff.Balances[:min(mostBalances, len(x.Payoff.Balances))] {
			all = append(all, pic{KindBalance, fmt.Sprintf("%s-%d", KindBalance, i+1), func(o chart.Options) (*draw.Drawing, error) { return chart.Balance(x, i, o) }})
		}
	}
	if x.Bout != nil {
		all = append(all, pic{KindBout, "bout", func(o chart.Options) (*draw.Drawing, error) { return chart.Bout(x.Bout, o) }})
	}
	var out []job
	for _, one := range all {
		out = append(out, charted(Plate{Kind: one.kind, name: one.name, tactics: x}, one.made, names))
	}
	return out
}

package study

import (
	"fmt"
	"math/rand/v2"
	"slices"

	"gonum.org/v1/gonum/stat/distmv"

	"mesure/quantity"
	"mesure/sport/bout"
	"mesure/sport/mark"
	"mesure/tactics/chain"
)

// BoutStage is one stage of a relay.
type BoutStage struct {
	// Number counts from 1; Left and Right fence it, empty where the order does not say.
	Number int    `json:"number"`
	Left   string `json:"left,omitempty"`
	Right  string `json:"right,omitempty"`
	// Counts of the lines of this stage.
	CountLeft   int `json:"count_left"`
	CountRight  int `json:"count_right"`
	CountDouble int `json:"count_double"`
	// What a phrase of this pair that ends in a hit brings.
	RateLeft   quantity.Of[quantity.Chance] `json:"rate_left"`
	RateRight  quantity.Of[quantity.Chance] `json:"rate_right"`
	RateDouble quantity.Of[quantity.Chance] `json:"rate_double"`
	// Fenced is whether the sheet has a line of it. Changed is what the stage changed in
	// the left team's chance to win, Swing how much a stage between these two from its
	// score changes on average, in whichever direction; zero where it is not fenced.
	Fenced  bool                         `json:"fenced"`
	Changed quantity.Of[quantity.Chance] `json:"changed"`
	Swing   quantity.Of[quantity.Chance] `json:"swing"`
}

// leaning is how many touches the rates of the other pairs weigh in those of a pair: a
// pair has some nine touches in a stage, so that they count half. A choice of ours.
const leaning = 10

// relayStages is how many stages a relay has (t.41).
const relayStages = 9

// boutStages are the stages of a relay whose order of fencers is known.
type boutStages struct {
	out []BoutStage
	// pair names who meets in each stage, of the counts by pair.
	pair []string
	// of is the stage of each line, the last one that after the last line, from 1.
	of     []int
	counts map[string][3]float64
	swing  [relayStages][]quantity.Chance
}

// stagesOf takes the lines to the stages: by the period that a line notes, else by its
// score. It returns nil for a bout that is none, and for a relay without an order.
func stagesOf(b bout.Bout, lines []BoutLine) *boutStages {
	if !b.IsRelay() || b.Team == nil || b.Touches%relayStages != 0 {
		return nil
	}
	step := b.Touches / relayStages
	x := &boutStages{counts: map[string][3]float64{}}
	name := func(order []string, k int) string {
		if k < len(order) {
			return order[k]
		}
		return ""
	}
	for k := range relayStages {
		s := BoutStage{Number: k + 1, Left: name(b.Team.Left, k), Right: name(b.Team.Right, k)}
		pair := s.Left + " – " + s.Right
		if s.Left == "" || s.Right == "" { // nobody else's
			pair = fmt.Sprint(k)
		}
		x.out, x.pair = append(x.out, s), append(x.pair, pair)
	}
	now := 1
	for _, l := range lines {
		now = min(max(now, l.Period, max(l.Before.Left, l.Before.Right)/step+1), relayStages)
		x.of = append(x.of, now)
		s := &x.out[now-1]
		s.Fenced = true
		c := x.counts[x.pair[now-1]]
		switch l.outcome() {
		case "left":
			s.CountLeft, c[0] = s.CountLeft+1, c[0]+1
		case "right":
			s.CountRight, c[1] = s.CountRight+1, c[1]+1
		case "double":
			s.CountDouble, c[2] = s.CountDouble+1, c[2]+1
		}
		x.counts[x.pair[now-1]] = c
	}
	x.of = append(x.of, now)
	return x
}

// draw draws the rates of every stage: those of a pair lean to the rates of the other
// pairs as if leaning touches had been seen of them,
//
//	team ~ Dirichlet(counts of the other pairs + ½),  pair ~ Dirichlet(leaning·team + counts of the pair)
//
// so that no touch is counted twice.
func (x *boutStages) draw(r *BoutReading, f chain.Format) ([]*chain.Relay, error) {
	src := rand.NewPCG(boutSeed, boutSeed+2)
	all := [3]float64{}
	var pairs []string
	for k, p := range x.pair {
		if first := slices.Index(x.pair, p); first == k {
			pairs = append(pairs, p)
			for i, n := range x.counts[p] {
				all[i] += n
			}
		}
	}
	relays := make([]*chain.Relay, r.Draws)
	rates := make([][3][]quantity.Chance, relayStages)
	team, own := make([]float64, 3), make([]float64, 3)
	for d := range relays {
		of := map[string]chain.Rates{}
		for _, p := range pairs {
			alpha := make([]float64, 3)
			for i, n := range x.counts[p] {
				alpha[i] = all[i] - n + chain.PriorCount
			}
			distmv.NewDirichlet(alpha, src).Rand(team)
			for i, n := range x.counts[p] {
				alpha[i] = max(leaning*team[i]+n, 1e-9) // a law needs a share, however small
			}
			distmv.NewDirichlet(alpha, src).Rand(own)
			of[p] = chain.Rates{Me: quantity.Chance(own[0]), Opponent: quantity.Chance(own[1]), Double: quantity.Chance(own[2])}
			if r.Weapon != bout.Epee {
				of[p] = withoutDoubles(of[p])
			}
		}
		stages := make([]chain.Rates, relayStages)
		for k, p := range x.pair {
			stages[k] = of[p]
			rates[k][0], rates[k][1], rates[k][2] = append(rates[k][0], of[p].Me), append(rates[k][1], of[p].Opponent), append(rates[k][2], of[p].Double)
		}
		var err error
		if relays[d], err = chain.NewRelay(f, stages); err != nil {
			return nil, err
		}
	}
	for k := range x.out {
		s := &x.out[k]
		s.RateLeft, s.RateRight, s.RateDouble = quantity.FromDraws(rates[k][0]), quantity.FromDraws(rates[k][1]), quantity.FromDraws(rates[k][2])
	}
	return relays, nil
}

// values values scores by one draw, in the stage that is fenced there.
func (x *boutStages) values(k *chain.Relay, f chain.Format) boutValues {
	return func(stand int, s bout.Score) chain.Values {
		if stand < len(x.of) && (stand == 0 || x.of[stand] != x.of[stand-1]) && s.Left < f.To && s.Right < f.To {
			n := x.of[stand]
			x.swing[n-1] = append(x.swing[n-1], k.StageFrom(n, chain.Score{Me: s.Left, Opponent: s.Right}).Swing)
		}
		s.Left, s.Right = min(s.Left, f.To), min(s.Right, f.To)
		return k.At(x.of[stand], chain.Score{Me: s.Left, Opponent: s.Right})
	}
}

// stages keeps what the draws say of each stage.
func (r *BoutReading) stages(lines []BoutLine, x *boutStages, before [][]quantity.Chance) {
	for k := range x.out {
		s := &x.out[k]
		first := slices.Index(x.of[:len(lines)], k+1)
		if first < 0 {
			continue
		}
		end := first
		for end < len(lines) && x.of[end] == k+1 {
			end++
		}
		change := make([]quantity.Chance, r.Draws)
		for d := range change {
			change[d] = before[end][d] - before[first][d]
		}
		s.Changed = quantity.FromDraws(change)
		if len(x.swing[k]) > 0 {
			s.Swing = quantity.FromDraws(x.swing[k])
		}
	}
	r.Stages = x.out
}

// pairWords names who fences a stage.
func (s BoutStage) pairWords() string {
	if s.Left == "" || s.Right == "" {
		return ""
	}
	return ", " + s.Left + " – " + s.Right + ","
}

// sayStages says what the stages were worth.
func (r *BoutReading) sayStages(add func(string, ...any)) {
	if len(r.Stages) == 0 {
		add("The relay is taken as one bout to %d: its order of fencers is not noted, so that its stages are not in it.", r.To)
		return
	}
	most, least, fenced := -1, -1, 0
	for k, s := range r.Stages {
		if !s.Fenced {
			continue
		}
		fenced++
		if most < 0 || abs(s.Changed.Mean) > abs(r.Stages[most].Changed.Mean) {
			most = k
		}
		if n := s.CountLeft + s.CountRight + s.CountDouble; least < 0 || n < least {
			least = n
		}
	}
	if most >= 0 && fenced > 1 {
		s := r.Stages[most]
		add("Stage %d%s changed most: %s for %s.", s.Number, s.pairWords(), changeWords(s.Changed), r.NameOf(mark.Left))
	}
	add("Each pair of the relay has rates of its own, which lean to those of the other pairs as if %d touches had been seen of them: one stage says little of a pair. Stages are taken to end by hits.", leaning)
}

func abs(c quantity.Chance) quantity.Chance { return max(c, -c) }

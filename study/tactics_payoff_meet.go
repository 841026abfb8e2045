package study

import (
	"fmt"
	"math/rand/v2"

	"mesure/quantity"
	"mesure/sport/bout"
	"mesure/sport/mark"
	"mesure/tactics/payoff"
	"mesure/timing"
)

// planOf is what race and windows take a kind of choice for; empty for a word of the
// coach's own, of which they know nothing.
func planOf(kind string) timing.Plan {
	switch kind {
	case bout.ChoiceAttack:
		return timing.Straight
	case bout.ChoiceFeint:
		return timing.Feinting
	case bout.ChoiceBlade:
		return timing.Taking
	case bout.ChoiceCounter:
		return timing.Countering
	case bout.ChoiceParry:
		return timing.Parrying
	case bout.ChoiceCounterTime:
		return timing.Drawing
	case bout.ChoiceDistance:
		return timing.GoingBack
	}
	return ""
}

// payoffGap is the measure at which the phrase begins: of each fencer's point to the
// other's chest, and from where it is known.
type payoffGap struct {
	of      [2]quantity.Of[quantity.Metres]
	from    string
	said    string // in words
	reading ID
}

// Where a gap is known from.
const (
	GapMeasured = "measured"
	GapAsked    = "asked"
	GapSheet    = "sheet"
	GapUsual    = "usual"
)

// measureGap is the gap of a measure of the sheet: anywhere in its band (see
// timing.ShortReach and its kin).
func measureGap(measure string) (quantity.Of[quantity.Metres], bool) {
	switch measure {
	case "short":
		return quantity.Uniform[quantity.Metres](0.05, timing.ShortReach), true
	case "medium":
		return quantity.Uniform(timing.ShortReach, timing.MediumReach), true
	case "long":
		return quantity.Uniform(timing.MediumReach, timing.LongReach), true
	case "out":
		return quantity.Uniform(timing.LongReach, timing.LongReach+timing.ShortReach), true
	}
	return quantity.Of[quantity.Metres]{}, false
}

// gapOf finds the measure at which the phrase begins.
func (p *payoffRun) gapOf() payoffGap {
	both := func(q quantity.Of[quantity.Metres], from, said string) payoffGap {
		return payoffGap{of: [2]quantity.Of[quantity.Metres]{q, q}, from: from, said: said}
	}
	if g, ok := p.readGap(); ok {
		return g
	}
	if p.ask.Gap != nil {
		return both(*p.ask.Gap, GapAsked, "the measure that was asked for")
	}
	if p.at < len(p.lines) {
		l := p.lines[p.at]
		if l.Seen != nil && l.Seen.Gap != nil {
			g := both(*l.Seen.Gap, GapMeasured, "the measure at which the attack of this touch was launched")
			g.reading = l.Seen.ID
			return g
		}
		if q, ok := measureGap(l.Measure); ok {
			return both(q, GapSheet, "the measure that the sheet notes for this touch, anywhere in its band")
		}
	}
	count := map[string]int{}
	best := "medium"
	for _, l := range p.lines[:p.at] {
		if _, ok := measureGap(l.Measure); ok {
			if count[l.Measure]++; count[l.Measure] > count[best] {
				best = l.Measure
			}
		}
	}
	q, _ := measureGap(best)
	said := "lunging measure, anywhere in its band: nothing is noted of this touch"
	if count[best] > 0 {
		said = fmt.Sprintf("the measure most often noted before, %s, anywhere in its band", measureWord(best))
	}
	return both(q, GapUsual, said)
}

// readGap takes the gaps of the instant from which the reading's race starts.
func (p *payoffRun) readGap() (payoffGap, bool) {
	r := p.ask.Reading
	if r == nil || r.Race == nil {
		return payoffGap{}, false
	}
	out := payoffGap{from: GapMeasured, said: "the measure at the instant from which the race starts"}
	var have [2]bool
	for _, in := range r.Instants {
		if in.Take != r.Race.Take || in.Frame != r.Race.Frame {
			continue
		}
		for _, g := range in.Gaps {
			if g.Target == mark.Chest {
				out.of[g.Of], have[g.Of] = g.Gap, true
			}
		}
	}
	for _, s := range mark.Sides {
		if !have[s] && have[s.Other()] { // one point to the other's chest serves for both
			out.of[s] = out.of[s.Other()]
		}
	}
	if p.at < len(p.lines) && p.lines[p.at].Seen != nil {
		out.reading = p.lines[p.at].Seen.ID
	}
	return out, have[0] || have[1]
}

// ability is what one fencer brings: the profile of the reading, else what is stated of
// them and the defaults of sex and level.
func (p *payoffRun) ability(s mark.Side) (timing.Ability, error) {
	f := p.ask.Bout.Fencer(s)
	prof := statedProfile(s, f)
	if r := p.ask.Reading; r != nil && len(r.Profiles[s].Figures) > 0 {
		prof = r.Profiles[s]
	}
	a := timing.NewAbility(p.gap.of[s], f.Sex, f.Level)
	for _, m := range []struct {
		to     *timing.Movement
		action string
	}{{&a.Extension, timing.Extension}, {&a.Lunge, timing.Lunge}, {&a.StepLunge, timing.StepLunge}, {&a.Fleche, timing.Fleche}, {&a.StepIn, timing.StepIn}, {&a.StepBack, timing.Retreat}} {
		mv, err := prof.movement(m.action, f, nil)
		if err != nil {
			return a, err
		}
		*m.to = mv
	}
	a.Visual, a.Touch = prof.reaction(cueVisual, 2), prof.reaction(cueTactile, 2)
	prof.times(&a.Lateral, figLateral)
	prof.times(&a.Circular, figCircular)
	a.Disengage = prof.disengage()
	return a, nil
}

// meet lets the plans of both sides meet, and joins what comes of it with what was seen.
func (p *payoffRun) meet() error {
	p.gap = p.gapOf()
	app, ok := bout.ApparatusOn(p.ask.Bout.Weapon, p.ask.Bout.Date)
	if !ok {
		return &Refusal{At: "/bout/weapon", What: fmt.Sprintf("%q is not a weapon", p.ask.Bout.Weapon), Mend: `write "epee", "foil" or "sabre"`}
	}
	me := p.ask.For
	var o timing.OnGuard
	for i, s := range []mark.Side{me, me.Other()} { // left in timing is who asks
		a, err := p.ability(s)
		if err != nil {
			return &Refusal{At: "/bout", What: err.Error(), Because: err}
		}
		o.Fencers[i] = a
	}
	o.GapCorrelation = 1 // one measure between the two, however well it is known
	plans := func(kinds []string) (all []timing.Plan, place []int) {
		for _, k := range kinds {
			place = append(place, -1)
			if q := planOf(k); q != "" {
				place[len(place)-1] = len(all)
				all = append(all, q)
			}
		}
		return all, place
	}
	mine, row := plans(p.mine)
	theirs, column := plans(p.theirs)
	var m timing.Meets
	if len(mine) > 0 && len(theirs) > 0 {
		var err error
		m, err = o.Meet(timing.Apparatus{Window: seconds(app.WindowMS), Tolerance: seconds(app.ToleranceMS), ContactMin: seconds(app.ContactMinMS), ContactMax: seconds(app.ContactMaxMS)},
			mine, theirs, timing.MeetsUnknown, timing.MeetsTrials, rand.NewPCG(p.ask.Seed, payoffStream+1))
		if err != nil {
			return &Refusal{At: "/bout", What: err.Error(), Mend: "Look at the fencers' own figures and at the gap.", Because: err}
		}
	}
	met := p.counts()
	for i := range p.mine {
		var row2 []PayoffCell
		var cells []payoff.Cell
		for j := range p.theirs {
			c := PayoffCell{Seen: met[i][j].counts, Touches: met[i][j].touches}
			cell := payoff.Cell{Seen: c.Seen}
			if row[i] >= 0 && column[j] >= 0 {
				for _, d := range m.Draws[row[i]][column[j]] {
					cell.Draws = append(cell.Draws, sharesOf(d))
				}
				c.Model = sharesOf(m.Mean[row[i]][column[j]])
				c.Sure = min(ModelSure, payoff.WorthOf(cell.Draws))
				cell.Sure = c.Sure
				c.How = howWords(p.mine[i], p.theirs[j], c.Model, m.Served[row[i]][column[j]], m.Goes)
			} else {
				c.How = "Race and windows know nothing of the coach's own word: only what was seen counts."
			}
			c.Source = p.cellSource(i, j, c, met[i][j])
			row2, cells = append(row2, c), append(cells, cell)
		}
		p.cells, p.situation.Cells = append(p.cells, row2), append(p.situation.Cells, cells)
	}
	return nil
}

func sharesOf(e timing.PhraseEnds) payoff.Shares {
	return payoff.Shares{Me: e.Left, Double: e.Both, Opponent: e.Right, Nothing: e.Nothing}
}

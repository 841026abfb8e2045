package study

import (
	"fmt"
	"math"
	"strings"

	"mesure/quantity"
	"mesure/sport/bout"
	"mesure/sport/mark"
	"mesure/timing"
)

// Question says in words what the race asks: what each fencer is taken to do.
func (r *Race) Question() string {
	side := func(s mark.Side) string {
		return fmt.Sprintf("%v's %s to the %s", s, plain(r.Runs[s].Action), plain(string(r.Runs[s].Target)))
	}
	return side(mark.Left) + " against " + side(mark.Right)
}

// findingOf says the race in one plain sentence: who is likelier to arrive
// first, or that it cannot be read.
func findingOf(r *Race) string {
	never := func(s mark.Side) bool { return r.Runs[s].Arrives < timing.OutOfMeasureBelow }
	switch {
	case never(mark.Left) && never(mark.Right):
		return "Both are likely out of measure from here"
	case never(mark.Left):
		return onlyIn(r, mark.Right)
	case never(mark.Right):
		return onlyIn(r, mark.Left)
	}
	first, chance := mark.Left, r.LeftFirst.Mean
	if right := 1 - chance - r.Neither.Mean; right > chance {
		first, chance = mark.Right, right
	}
	nobody := ""
	if r.Neither.Mean >= worthSaying {
		nobody = fmt.Sprintf(", nobody in %s", in100(r.Neither.Mean))
	}
	// Of the draws in which somebody arrives, since nobody is no reason to doubt who.
	if r.Margin.Lo < 0 && r.Margin.Hi > 0 && chance < clearChance*(1-r.Neither.Mean) {
		return fmt.Sprintf("Too close to call from here: %v arrives first in %s of 100%s", first, in100(chance), nobody)
	}
	ms := math.Abs(r.Margin.Mean.Milliseconds())
	return fmt.Sprintf("Unhindered, %v arrives first by about %.0f ms, in %s of 100%s", first, roundTo(ms, 5), in100(chance), nobody)
}

// onlyIn says that one fencer is in measure and the other likely is not.
func onlyIn(r *Race, s mark.Side) string {
	other := s.Other()
	run := r.Runs[other]
	what := fmt.Sprintf("%v's %s", other, plain(run.Action))
	if run.Arrives == 0 {
		return fmt.Sprintf("Only %v is in measure: %s does not reach the %s", s, what, plain(string(run.Target)))
	}
	return fmt.Sprintf("Only %v is likely in measure: %s reaches the %s in %s of 100", s, what, plain(string(run.Target)), in100(run.Arrives))
}

// in100 writes a chance as cases in a hundred, and never as certainty.
func in100(c quantity.Chance) string {
	switch n := math.Round(100 * float64(c)); {
	case n >= 100:
		return "more than 99"
	case n < 1:
		return "fewer than 1"
	default:
		return fmt.Sprintf("%.0f", n)
	}
}

// MarginCounts says over which draws the margin is taken; empty where both
// arrive in all of them, or in none.
func (r *Race) MarginCounts() string {
	if c := r.BothArrive.Mean; c > 0 && c < 1 {
		return fmt.Sprintf("The margin counts only the draws in which both arrive, %s of 100.", in100(c))
	}
	return ""
}

// worthSaying is the chance that nobody arrives from which the text says so.
const worthSaying = quantity.Chance(0.05)

// clearChance is the chance from which the text names a winner.
const clearChance = quantity.Chance(0.75)

func roundTo(v, step float64) float64 { return math.Round(v/step) * step }

// RaceSupposes goes with every race that is shown.
const RaceSupposes = "A race supposes that each does this from here, and that no blade is met on the way."

// plain writes a name of the files as words.
func plain(name string) string {
	switch name {
	case timing.Fleche:
		return "flèche"
	case timing.StepIn:
		return "extension with a step forward"
	case timing.StepBackExtend:
		return "extension with a step back"
	}
	return strings.ReplaceAll(name, "-", " ")
}

// matterOf puts a source of uncertainty into words, with what the coach can do.
func matterOf(m timing.Matter, r *Race, in *Instant, f bout.Fencer) Matter {
	s := mark.Side(m.Side)
	out := Matter{Share: m.Share}
	switch m.Input {
	case timing.InputGap:
		out.Name = gapName(r, s)
		out.Mend = fmt.Sprintf("mark %v's point and the opponent's %s again under the loupe, or place frame %d with more points", s, plain(string(r.Runs[s].Target)), in.Frame)
	case timing.InputOnset:
		out.Name = fmt.Sprintf("when %v starts", s)
		out.Mend = "narrow the frames between which the start was seen, or use a take with more frames a second"
	case timing.InputReaction:
		out.Name = fmt.Sprintf("%v's reaction", s)
		out.Mend = "mark the moment at which the answer starts, instead of assuming a reaction"
	case timing.InputArmTravel:
		out.Name = fmt.Sprintf("how far %v's arm still goes", s)
		switch {
		case in.Bodies[s].ArmLeft == nil:
			out.Mend = "mark shoulder and guard"
		case f.Reach == 0:
			out.Mend = "give the fencer's reach, from shoulder to point with the arm straight"
		default:
			out.Mend = "mark shoulder and guard again under the loupe"
		}
	case timing.InputBodyTravel:
		out.Name = fmt.Sprintf("how far %v's %s carries", s, plain(r.Runs[s].Action))
		out.Mend = "give the fencer's own lunge in metres"
		if f.Lunge > 0 {
			out.Mend = "measured movement of this fencer would replace the default"
		}
	default:
		out.Name = fmt.Sprintf("%v's %s", s, m.Input)
		out.Mend = "measured movement of this fencer would replace the default"
	}
	return out
}

// gapName names the gap of one side of a race.
func gapName(r *Race, s mark.Side) string {
	return fmt.Sprintf("gap of %v's point to the %s", s, plain(string(r.Runs[s].Target)))
}

// correlation is how much the errors of the two gaps go together, to first
// order: both rest on one camera and one plane of action.
func (fig figure) correlation(gaps [2]Gap) quantity.Ratio {
	var lines [2][]float64 // gradient of each gap by all coordinates
	for _, s := range mark.Sides {
		ends, _, ok := fig.ends(fig.index[s][mark.Point], s.Other(), gaps[s].Target)
		if !ok {
			return 0
		}
		var u [3]float64
		length := 0.0
		for c := range u {
			u[c] = ends.Mean[3+c] - ends.Mean[c]
			length = math.Hypot(length, u[c])
		}
		if length == 0 {
			return 0
		}
		g := make([]float64, fig.places.Len())
		for c := range u {
			g[fig.index[s][mark.Point]+c] -= u[c] / length
			for _, share := range gaps[s].Target.Made() {
				g[fig.index[s.Other()][share.Of]+c] += share.Weight * u[c] / length
			}
		}
		lines[s] = g
	}
	both := fig.places.Linear(append(lines[0], lines[1]...), nil)
	return quantity.Ratio(both.Correlation(0, 1))
}

package study

import (
	"fmt"
	"math/rand/v2"
	"slices"

	"mesure/quantity"
	"mesure/sport/bout"
	"mesure/sport/mark"
	"mesure/timing"
)

// readRace runs the race that the touch asks for, from the instant it names.
// Where the marks do not allow one, it leaves the race out and says why.
func readRace(t *Touch, figures map[view]figure, r *Reading, o ReadOptions) error {
	in, err := raceInstant(t, r)
	if err != nil || in == nil {
		return err
	}
	p, why, err := pose(t, figures[view{in.Take, in.Frame}], in, r, t.Race)
	if err != nil {
		return err
	}
	if why != "" {
		noRace(r, why)
		return nil
	}
	res, err := p.race.WhatIf(p.app, o.Draws, rand.NewPCG(o.Seed, raceStream))
	if err != nil {
		return &Refusal{At: "/race", What: err.Error(), Because: err}
	}
	r.Race = p.told(res[0], t)
	r.Warnings = append(r.Warnings, raceDoubts(res[0])...)
	return nil
}

// posed is a race as it is put to the timing, and what is told of it beforehand.
type posed struct {
	race timing.Race
	app  timing.Apparatus
	in   *Instant
	out  Race
}

// pose puts the race of one instant. Where the marks do not allow one it says why.
func pose(t *Touch, fig figure, in *Instant, r *Reading, ask RaceAsk) (*posed, string, error) {
	if why := unasked(ask); why != "" {
		return nil, why, nil
	}
	weapon := t.Bout.Weapon
	if weapon == "" {
		weapon = bout.Epee
	}
	app, ok := bout.ApparatusOn(weapon, t.Bout.Date)
	if !ok {
		return nil, "", &Refusal{At: "/bout/weapon", What: fmt.Sprintf("%q is not a weapon", weapon), Mend: `write "epee", "foil" or "sabre"`}
	}
	p := &posed{in: in, out: Race{Moment: in.Moment, Take: in.Take, Frame: in.Frame, Weapon: weapon}, app: timing.Apparatus{
		Window: seconds(app.WindowMS), Tolerance: seconds(app.ToleranceMS),
		ContactMin: seconds(app.ContactMinMS), ContactMax: seconds(app.ContactMaxMS),
	}}
	p.out.Rule = app.Source
	p.out.Window = quantity.Uniform(seconds(app.WindowMS-app.ToleranceMS), seconds(app.WindowMS+app.ToleranceMS))
	correlation, gaps, why, err := raceGaps(ask, fig, in)
	if err != nil || why != "" {
		return nil, why, err
	}
	p.race.GapCorrelation = correlation
	for _, s := range mark.Sides {
		p.out.Runs[s], p.race.Runners[s], err = runnerOf(t, r, in, s, gaps[s], ask.Of(s))
		if err != nil {
			return nil, "", err
		}
	}
	for _, s := range mark.Sides {
		p.race.Runners[s].TargetOnArm = onArm(p.out.Runs[s].Target)
	}
	return p, "", nil
}

// told is the race with what came of it.
func (p *posed) told(res timing.Result, t *Touch) *Race {
	out := p.out
	out.LeftOnly, out.RightOnly, out.Both, out.Neither = res.LeftOnly, res.RightOnly, res.Both, res.Neither
	out.LeftFirst, out.Margin, out.BothArrive = res.LeftFirst, res.Margin, res.BothArrive
	for _, s := range mark.Sides {
		run := &out.Runs[s]
		run.Onset, run.Arrival, run.Arrives = res.Runs[s].Onset, res.Runs[s].Arrival, res.Runs[s].Arrives.Mean
		run.Travel, run.Closing = res.Runs[s].Travel, res.Runs[s].Closing
	}
	for _, m := range res.Matters {
		out.Matters = append(out.Matters, matterOf(m, &out, p.in, t.Bout.Fencer(mark.Side(m.Side))))
	}
	out.Finding = findingOf(&out)
	return &out
}

// raceDoubts are the warnings of a race.
func raceDoubts(res timing.Result) []Warning {
	var all []Warning
	for _, w := range res.Warnings {
		all = append(all, Warning{Code: w.Code, About: "race, " + mark.Side(w.Side).String(), Doubt: float64(w.Doubt), Text: w.Text})
	}
	return all
}

// unasked says what the question of the race still lacks; empty where it is
// whole.
func unasked(a RaceAsk) string {
	reactions := 0
	for _, s := range mark.Sides {
		switch o := a.Of(s).Onset; {
		case o.Kind == OnsetObserved && o.Moment == "":
			return fmt.Sprintf("the %v fencer starts as seen, and no moment says when: choose one", s)
		case o.Kind == OnsetReaction:
			reactions++
		}
	}
	if reactions == len(mark.Sides) {
		return "each fencer reacts to the other: let one of the two start otherwise"
	}
	return ""
}

// raceStream keeps the draws of the race apart from any others of the same seed.
const raceStream = 0x72616365 // "race"

func seconds(ms float64) quantity.Seconds { return quantity.Seconds(ms / 1000) }

// raceInstant finds the instant that the race starts from; nil where there is
// none, with a warning that says what is missing.
func raceInstant(t *Touch, r *Reading) (*Instant, error) {
	if t.Race.From != "" {
		m, ok := t.Moment(t.Race.From)
		if !ok {
			return nil, &Refusal{At: "/race/from", What: fmt.Sprintf("there is no moment %q", t.Race.From), Mend: "name one of /moments"}
		}
		i := -1
		for _, b := range m.Brackets() { // its own take first, then others that show it
			if i < 0 {
				i = slices.IndexFunc(r.Instants, func(in Instant) bool { return in.Take == b.Take && in.Frame == b.By })
			}
		}
		if i < 0 {
			noRace(r, fmt.Sprintf("the frame of the moment %q is not measured: place it and mark both points on it", t.Race.From))
			return nil, nil
		}
		// Several moments may end at one frame: the race is run from the one asked for.
		in := r.Instants[i]
		in.Moment = m.ID
		return &in, nil
	}
	for _, named := range []bool{true, false} {
		for i := range r.Instants {
			in := &r.Instants[i]
			if (in.Moment != "") == named && hasGap(in, mark.Left) && hasGap(in, mark.Right) {
				return in, nil
			}
		}
	}
	noRace(r, "no frame shows both points and a target of each: mark them on one placed frame")
	return nil, nil
}

func noRace(r *Reading, why string) {
	r.Warnings = append(r.Warnings, Warning{Code: codeNoRace, About: "race", Doubt: 1, Text: noRacePrefix + why})
}

// The warning that there is no race, and how it begins.
const (
	codeNoRace   = "no-race"
	noRacePrefix = "no race was run: "
)

func hasGap(in *Instant, s mark.Side) bool {
	return slices.ContainsFunc(in.Gaps, func(g Gap) bool { return g.Of == s })
}

// raceGaps picks the gap of each side, to the target asked for or the nearest,
// and how much their errors go together. Where one is missing it says why.
func raceGaps(ask RaceAsk, fig figure, in *Instant) (_ quantity.Ratio, gaps [2]Gap, why string, _ error) {
	for _, s := range mark.Sides {
		want := ask.Of(s).Target
		i := slices.IndexFunc(in.Gaps, func(g Gap) bool {
			return g.Of == s && (g.Target == want || want == "" && g.Nearest)
		})
		if i < 0 {
			if want != "" && !slices.Contains(mark.Targets(), want) {
				return 0, gaps, "", &Refusal{At: fmt.Sprintf("/race/%v/target", s), What: fmt.Sprintf("%q is not a target", want), Mend: fmt.Sprintf("name one of %v", mark.Targets())}
			}
			return 0, gaps, fmt.Sprintf("on %v the gap of the %v fencer to the %s is missing: mark the point, and the opponent there", view{in.Take, in.Frame}, s, orNearest(want)), nil
		}
		gaps[s] = in.Gaps[i]
	}
	return fig.correlation(gaps), gaps, "", nil
}

func orNearest(t mark.Target) string {
	if t == "" {
		return "nearest target"
	}
	return string(t)
}

// onArm is how far a target goes along when its owner's arm straightens.
func onArm(t mark.Target) quantity.Ratio {
	switch t {
	case mark.Hand:
		return 1
	case mark.Forearm:
		return 0.5
	}
	return 0
}

// runnerOf is one side of the race: movement, onset and gap.
func runnerOf(t *Touch, r *Reading, in *Instant, s mark.Side, gap Gap, ask RunAsk) (Run, timing.Runner, error) {
	action := ask.Action
	if action == "" {
		action = actionFor(timing.Band(gap.Band))
	}
	m, err := r.Profiles[s].movement(action, t.Bout.Fencer(s), in.armAtOnset(r, s, ask.Onset))
	if err != nil {
		return Run{}, timing.Runner{}, &Refusal{At: fmt.Sprintf("/race/%v/action", s), What: err.Error(), Because: err}
	}
	onset, text, err := onsetOf(ask.Onset, r, in, s)
	if err != nil {
		return Run{}, timing.Runner{}, err
	}
	return Run{Action: action, ParametersFrom: m.Source, Target: gap.Target, Gap: gap.Gap, OnsetText: text},
		timing.Runner{Gap: gap.Gap, Movement: m, Onset: onset}, nil
}

// armAtOnset is how far the arm can extend from where its movement begins. At an
// instant before the start that is what the marks show; an arm that is on its way
// already is measured where it began, or left to the default.
func (in *Instant) armAtOnset(r *Reading, s mark.Side, onset OnsetAsk) *quantity.Of[quantity.Metres] {
	if onset.Kind != OnsetObserved {
		return in.Bodies[s].ArmLeft
	}
	since, ok := r.since(onset.Moment, in.Take, in.Frame)
	if !ok || since.Hi >= 0 {
		return in.Bodies[s].ArmLeft
	}
	m, _ := r.Touch.Moment(onset.Moment)
	for _, b := range m.Brackets() {
		for _, before := range r.Instants {
			if before.Take == b.Take && before.Frame == b.By {
				return before.Bodies[s].ArmLeft
			}
		}
	}
	return nil
}

// actionFor is the movement that a measure asks for.
func actionFor(b timing.Band) string {
	switch b {
	case timing.Short:
		return timing.Extension
	case timing.Medium:
		return timing.Lunge
	}
	return timing.StepLunge
}

func onsetOf(ask OnsetAsk, r *Reading, in *Instant, s mark.Side) (timing.Onset, string, error) {
	at := fmt.Sprintf("/race/%v/onset", s)
	switch ask.Kind {
	case "", OnsetSimultaneous:
		return timing.Simultaneous(), "starts with the race", nil
	case OnsetObserved:
		i := slices.IndexFunc(r.Moments, func(m MomentReading) bool { return m.Moment.ID == ask.Moment })
		if i < 0 {
			return timing.Onset{}, "", &Refusal{At: at + "/moment", What: fmt.Sprintf("there is no moment %q", ask.Moment), Mend: "name one of /moments"}
		}
		m := r.Moments[i]
		q, _ := r.since(m.Moment.ID, in.Take, in.Frame)
		return timing.Observed(q, rectangular(q)), "starts as seen: " + m.Moment.Name, nil
	case OnsetReaction:
		word := "what is seen"
		switch ask.Cue {
		case "", cueVisual:
		case cueTactile:
			word = "the touch of the blades"
		default:
			return timing.Onset{}, "", &Refusal{At: at + "/cue", What: fmt.Sprintf("%q is not a cue", ask.Cue), Mend: `write "visual" or "tactile"`}
		}
		n := ask.Choices
		if n == 0 {
			n = 1
		}
		if n < 1 || n > maxChoices {
			return timing.Onset{}, "", &Refusal{At: at + "/choices", What: fmt.Sprintf("%d choices", n), Mend: fmt.Sprintf("give 1 to %d", maxChoices)}
		}
		text := "reacts to " + word
		if n > 1 {
			text += fmt.Sprintf(", choosing among %d", n)
		}
		own := r.Profiles[s].reaction(ask.Cue, n)
		return timing.Reacting(own.Simple, own.PerChoice, n), text, nil
	}
	return timing.Onset{}, "", &Refusal{At: at + "/kind", What: fmt.Sprintf("%q is not an onset", ask.Kind), Mend: `write "simultaneous", "observed" or "reaction"`}
}

// rectangular reports whether an instant is nearer to a rectangular law than to a
// normal one: its 95 % are 3.29 standard deviations wide there and 3.92 here.
func rectangular(q quantity.Of[quantity.Seconds]) bool { return q.Hi-q.Lo < 3.6*q.SD }

// maxChoices bounds the answers that a reaction chooses among: beyond it the law
// of choice was never tested.
const maxChoices = 16

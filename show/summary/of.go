package summary

import (
	"strings"

	"mesure/quantity"
	"mesure/show/plate"
	"mesure/sport/mark"
	"mesure/study"
)

// Of prints a reading. Every number is rounded by plate.FigureOf, as in the
// pictures and the report. The reading is not changed.
func Of(r *study.Reading) Summary {
	s := Summary{
		Inputs: r.Inputs, Placings: []Placing{}, Moments: []Moment{}, Instants: []Instant{}, Needs: []Need{},
		Warnings: append([]study.Warning{}, r.Warnings...), Race: raceOf(r.Race),
		Proposals: []Proposal{}, NextMarks: []NextMark{}, Drifts: []Drift{},
		Clocks: []Clock{}, Orders: []Order{}, Timing: TimingOf(r.Timing), Profiles: []Profile{},
	}
	if r.Timing != nil {
		s.Profiles = ProfilesOf(r)
	}
	s.followed(r)
	s.timed(r)
	for _, p := range r.Placings {
		s.Placings = append(s.Placings, placingOf(p))
	}
	for _, f := range r.Refused {
		s.Placings = append(s.Placings, Placing{Take: f.Take, Frame: f.Frame, Refused: f.Text, RMS: unknown(),
			Camera: []Fact{}, Residuals: []Residual{}, Grid: []study.GridLine{}, Warnings: []study.Warning{}})
	}
	for _, m := range r.Moments {
		s.Moments = append(s.Moments, Moment{m.Moment.ID, number(m.At, plate.InSeconds)})
	}
	for _, in := range r.Instants {
		s.Instants = append(s.Instants, instantOf(in))
	}
	for _, n := range r.Needs {
		s.Needs = append(s.Needs, needOf(n))
	}
	return s
}

// number prints a quantity in parts.
func number[U quantity.Unit](q quantity.Of[U], f plate.Form) Number {
	return Number(plate.FigureOf(q, f))
}

// chance prints a chance that stands beside the number from which it follows.
func chance(c quantity.Chance) Number { return Number(plate.ChanceFigure(c)) }

// unknown is a number that is not there.
func unknown() Number {
	return number(quantity.Of[quantity.Ratio]{SD: -1}, plate.InRatio)
}

func placingOf(p study.PlacedFrame) Placing {
	away := p.Position[1]
	away.Mean, away.Lo, away.Hi = -away.Mean, -away.Hi, -away.Lo
	out := Placing{
		Take: p.Take, Frame: p.Frame, RMS: number(quantity.Exactly(p.RMS), plate.InPixels), Residuals: []Residual{}, Grid: []study.GridLine{},
		Camera: []Fact{
			{"focal length", number(p.Focal, plate.InPixels)},
			{"height above the floor", number(p.Position[2], plate.InMetres)},
			{"distance from the long axis", number(away, plate.InMetres)},
			{"along the piste", number(p.Position[0], plate.InMetres)},
			{"roll", number(p.Roll, plate.InDegrees)},
		},
		Warnings: append([]study.Warning{}, p.Warnings...),
	}
	if p.K1 != nil {
		out.Camera = append(out.Camera, Fact{"lens distortion", number(*p.K1, plate.InRatio)})
	}
	named := map[string]bool{}
	for _, name := range p.Disagrees {
		named[name] = true
	}
	worst := study.Residual{}
	for _, q := range p.Residuals {
		out.Residuals = append(out.Residuals, Residual{q.Name, q.At, q.Fitted, number(quantity.Exactly(q.Off), plate.InPixels), grade(q, named[q.Name])})
		if q.Share > worst.Share {
			worst = q
		}
	}
	out.Disagrees = strings.Join(p.Disagrees, " and ")
	if out.Disagrees == "" && worst.Share >= plate.Disagrees {
		out.Disagrees = worst.Name
	}
	for _, l := range p.Grid {
		l.Points = append([]mark.Pixel{}, l.Points...)
		out.Grid = append(out.Grid, l)
	}
	return out
}

// Grades of a residual.
const (
	gradeFine, gradeLook, gradeWrong = "fine", "look", "wrong"
)

// doubtful is from which ratio to the expected error a point is worth a second
// look: marking errors alone exceed it once in 50 points.
const doubtful quantity.Ratio = 2

func grade(q study.Residual, named bool) string {
	if named {
		return gradeWrong
	}
	return gradeOf(q.Share)
}

// gradeOf is the word for a ratio to the expected error.
func gradeOf(share quantity.Ratio) string {
	switch {
	case share >= plate.Disagrees:
		return gradeWrong
	case share >= doubtful:
		return gradeLook
	}
	return gradeFine
}

func instantOf(in study.Instant) Instant {
	out := Instant{Take: in.Take, Frame: in.Frame, Moment: in.Moment, At: number(in.At, plate.InSeconds), Gaps: []Gap{}, Arms: []Arm{}}
	for _, g := range in.Gaps {
		out.Gaps = append(out.Gaps, Gap{Of: g.Of, Target: g.Target, Gap: number(g.Gap, plate.InMetres), Band: g.Band, Chance: chance(g.Chance),
			From: g.From, To: g.To, Nearest: g.Nearest, Closing: speedOf(g.Closing)})
	}
	for _, s := range mark.Sides {
		if left := in.Bodies[s].ArmLeft; left != nil {
			out.Arms = append(out.Arms, Arm{s, number(*left, plate.InMetres)})
		}
	}
	return out
}

// speedOf prints a speed that may not be known.
func speedOf(v *quantity.Of[quantity.MetresPerSecond]) *Number {
	if v == nil {
		return nil
	}
	n := number(*v, plate.InMetresPerSecond)
	return &n
}

func raceOf(r *study.Race) *Race {
	if r == nil {
		return nil
	}
	out := &Race{
		Take: r.Take, Frame: r.Frame, Moment: r.Moment, Finding: r.Finding, Question: r.Question(), Supposes: study.RaceSupposes,
		Runs:     []Run{},
		LeftOnly: number(r.LeftOnly, plate.InPercent), RightOnly: number(r.RightOnly, plate.InPercent),
		Both: number(r.Both, plate.InPercent), Neither: number(r.Neither, plate.InPercent),
		Margin: unknown(), MarginCounts: r.MarginCounts(), Matters: []Matter{},
	}
	if q := r.Margin; q.IsValid() && q != (quantity.Of[quantity.Seconds]{}) {
		if q.Mean < 0 {
			out.Earlier = mark.Right
			q.Mean, q.Lo, q.Hi = -q.Mean, -q.Hi, -q.Lo
		}
		out.Margin = number(q, plate.InMilliseconds)
	}
	for _, s := range mark.Sides {
		run := r.Runs[s]
		line := Run{Of: s, Action: run.Action, Target: run.Target, Gap: number(run.Gap, plate.InMetres), Onset: number(run.Onset, plate.InMilliseconds),
			Arrival: unknown(), Arrives: chance(run.Arrives), From: run.ParametersFrom, OnsetText: run.OnsetText}
		if run.Arrives > 0 {
			line.Arrival = number(run.Arrival, plate.InMilliseconds)
		}
		out.Runs = append(out.Runs, line)
	}
	for _, m := range r.Matters {
		out.Matters = append(out.Matters, Matter{m.Name, chance(quantity.Chance(m.Share)), m.Mend})
	}
	return out
}

// needOf prints a need, with the doubt as it is and as it would be.
func needOf(n study.Need) Need {
	out := Need{Step: n.Step, Take: n.Take, Frame: n.Frame, Text: n.Text, Points: append([]string{}, n.Points...)}
	if n.Then > 0 && n.Now > n.Then {
		f := plate.InCentimetres
		now, then := plate.Bare(n.Now, f), plate.Bare(n.Then, f)
		out.Text += " (±\u00a0" + now + " would become ±\u00a0" + then + ")"
	}
	return out
}

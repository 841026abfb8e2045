package main

import (
	"fmt"
	"strings"

	"mesure/quantity"
	"mesure/show/plate"
	"mesure/sport/mark"
	"mesure/study"
)

// printReading shows a reading as text.
func (b *bench) printReading(r *study.Reading, all bool) {
	b.heading(r)
	b.printPlacings(r)
	b.printMoments(r)
	b.printGaps(r, all)
	if r.Race != nil {
		b.printRace(r)
	}
	b.warnings(r.Warnings)
	b.note(fmt.Sprintf("± is one standard deviation, and \"to\" spans 95 %%. %d draws, seed %d, readings version %s.", r.Draws, r.Seed, r.Version))
}

// heading names the touch.
func (b *bench) heading(r *study.Reading) {
	t := r.Touch
	title := t.Title
	if title == "" {
		title = "Touch without a title"
	}
	fmt.Fprintln(b.out, b.styled(bold, title))
	var parts []string
	if left, right := t.Bout.Left.Name, t.Bout.Right.Name; left != "" && right != "" {
		parts = append(parts, left+" (left) against "+right+" (right)")
	}
	if t.Number > 0 {
		parts = append(parts, fmt.Sprintf("touch %d at %d:%d", t.Number, t.Before.Left, t.Before.Right))
	}
	if t.Invented {
		parts = append(parts, "invented")
	}
	if len(parts) > 0 {
		b.wrapped(b.out, "", strings.Join(parts, ", "))
	}
}

func (b *bench) printPlacings(r *study.Reading) {
	if len(r.Placings) == 0 {
		return
	}
	b.title("Cameras")
	rows := b.table("take", ">frame", ">focal length", ">height", ">distance", ">points off by")
	for _, p := range r.Placings {
		rows.row(p.Take, fmt.Sprint(p.Frame), plate.Pixels(p.Focal),
			plate.Metres(p.Position[2]), plate.Metres(away(p.Position[1])), fmt.Sprintf("%.1f px", float64(p.RMS)))
	}
	rows.write(b.out)
}

// away turns the y of a camera, which stands on the near side where y is
// negative, into its distance from the long axis, for printing.
func away(y quantity.Of[quantity.Metres]) quantity.Of[quantity.Metres] {
	return quantity.Of[quantity.Metres]{Mean: -y.Mean, SD: y.SD, Lo: -y.Hi, Hi: -y.Lo}
}

func (b *bench) printMoments(r *study.Reading) {
	if len(r.Moments) == 0 {
		return
	}
	b.title("Moments")
	rows := b.table("moment", "take", ">frames", ">at", "")
	for _, m := range r.Moments {
		rows.row(nameOf(m.Moment), m.Moment.Take, fmt.Sprintf("%d–%d", m.Moment.After, m.Moment.By),
			plate.Milliseconds(m.At), plate.MillisecondsBetween(m.At))
	}
	rows.write(b.out)
}

// nameOf returns what the coach called a moment.
func nameOf(m mark.Moment) string {
	if m.Name != "" {
		return m.Name
	}
	return m.ID
}

func (b *bench) printGaps(r *study.Reading, all bool) {
	rows := b.table("instant", ">frame", "point of", "to the", ">gap", "measure", ">chance", "")
	for _, i := range r.Instants {
		name := i.Take
		if m, known := r.Touch.Moment(i.Moment); known {
			name = nameOf(m)
		}
		frame := fmt.Sprint(i.Frame)
		atRace := r.Race != nil && r.Race.Take == i.Take && r.Race.Frame == i.Frame
		for _, g := range i.Gaps {
			if !all && !g.Nearest && !atRace {
				continue
			}
			near := ""
			if g.Nearest {
				near = "nearest"
			}
			rows.row(name, frame, g.Of.String(), plate.TargetWords(g.Target), plate.Metres(g.Gap), g.Band, plate.Chance(g.Chance), near)
			name, frame = "", ""
		}
	}
	if len(rows.rows) == 0 {
		return
	}
	b.title("Gaps, from a point to a target of the opponent")
	rows.write(b.out)
}

func (b *bench) printRace(r *study.Reading) {
	race := r.Race
	from := fmt.Sprintf("frame %d of %s", race.Frame, race.Take)
	if m, known := r.Touch.Moment(race.Moment); known {
		from = nameOf(m)
	}
	b.title("The race, from " + from)
	if race.Finding != "" {
		b.wrapped(b.out, "  ", race.Finding)
		fmt.Fprintln(b.out)
	}
	runs := b.table("", "action", "to the", ">gap", ">starts", ">arrives", "", ">chance to arrive")
	for _, s := range mark.Sides {
		run := race.Runs[s]
		runs.row(s.String(), run.Action, plate.TargetWords(run.Target), plate.Metres(run.Gap),
			plate.Milliseconds(run.Onset), plate.Milliseconds(run.Arrival), plate.MillisecondsBetween(run.Arrival), plate.Chance(run.Arrives))
	}
	runs.write(b.out)
	fmt.Fprintln(b.out)
	lamps := b.table("lamps", ">chance", "")
	for _, o := range []struct {
		name string
		q    quantity.Of[quantity.Chance]
	}{{"left only", race.LeftOnly}, {"right only", race.RightOnly}, {"both", race.Both}, {"neither", race.Neither}} {
		lamps.row(o.name, plate.Percent(o.q), plate.PercentBetween(o.q))
	}
	lamps.row("left first", plate.Percent(race.LeftFirst), plate.PercentBetween(race.LeftFirst))
	lamps.row("left earlier by", plate.Milliseconds(race.Margin), plate.MillisecondsBetween(race.Margin))
	lamps.write(b.out)
	if len(race.Matters) > 0 {
		b.title("What the margin hangs on")
		rows := b.table("", ">share", "")
		for _, m := range race.Matters {
			rows.row(m.Name, plate.Chance(quantity.Chance(m.Share)), m.Mend)
		}
		rows.write(b.out)
	}
}

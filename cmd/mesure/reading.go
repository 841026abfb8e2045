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
	if r.Race != nil && r.Race.Finding != "" {
		b.note(sentence(r.Race.Finding))
	}
	b.printStory(r.Tactics)
	b.printPlacings(r)
	b.printClocks(r)
	b.printMoments(r)
	b.printOrders(r)
	b.printGaps(r, all)
	if r.Race != nil {
		b.printRace(r)
	}
	if followedPoint(r) {
		b.printFollowed(r)
	}
	b.warnings(doubtsOf(r))
	b.note(fmt.Sprintf("± is one standard deviation, and \"to\" spans 95 %%. %d draws, seed %d, readings version %s.", r.Draws, r.Seed, r.Version))
}

// doubtsOf returns every doubt of a reading: those of each placed frame, then
// those of the whole.
func doubtsOf(r *study.Reading) []study.Warning {
	var all []study.Warning
	for _, p := range r.Placings {
		all = append(all, p.Warnings...)
	}
	return append(all, r.Warnings...)
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
		parts = append(parts, fmt.Sprintf("touch %d at %d–%d", t.Number, t.Before.Left, t.Before.Right))
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
			plate.Metres(p.Position[2]), plate.Metres(reversed(p.Position[1])), fmt.Sprintf("%.1f px", float64(p.RMS)))
	}
	rows.write(b.out)
}

// reversed is the same quantity counted the other way: the y of a camera, which
// stands where y is negative, as its distance from the long axis; a margin of
// one fencer as that of the other.
func reversed[U quantity.Unit](q quantity.Of[U]) quantity.Of[U] {
	return quantity.Of[U]{Mean: -q.Mean, SD: q.SD, Lo: -q.Hi, Hi: -q.Lo}
}

func (b *bench) printMoments(r *study.Reading) {
	if len(r.Moments) == 0 {
		return
	}
	b.title("Moments")
	rows := b.table("moment", "take", ">frames", ">at")
	for _, m := range r.Moments {
		rows.row(nameOf(m.Moment), m.Moment.Take, fmt.Sprintf("%d–%d", m.Moment.After, m.Moment.By),
			plate.Seconds(m.At))
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

// printGaps prints the gaps of every instant, the two fencers side by side: at
// the start of the race (or with all, everywhere) to every target, elsewhere to
// the nearest one of each.
func (b *bench) printGaps(r *study.Reading, all bool) {
	for _, in := range r.Told() {
		every := all || r.Race != nil && r.Race.Take == in.Take && r.Race.Frame == in.Frame
		rows := b.table("to the", "left's point", "measure", "right's point", "measure")
		for _, target := range mark.Targets() {
			cells := []string{plate.TargetWords(target)}
			shown := false
			for _, s := range mark.Sides {
				gap, measure := "", ""
				for _, g := range in.Gaps {
					if g.Of == s && g.Target == target && (every || g.Nearest) {
						gap, measure, shown = plate.Metres(g.Gap), measureWords(g), true
					}
				}
				cells = append(cells, gap, measure)
			}
			if shown {
				rows.row(cells...)
			}
		}
		if len(rows.rows) == 0 {
			continue
		}
		what := "Gaps"
		if m, known := r.Touch.Moment(in.Moment); known {
			what = nameOf(m)
		}
		b.title(what)
		which := "gaps to every target"
		if !every {
			which = "gaps to the nearest target"
		}
		b.wrapped(b.out, "  ", strings.ReplaceAll(plate.Where(in), noBreak, " ")+": "+which)
		rows.write(b.out)
		if every {
			b.wrapped(b.out, "  ", nearestWords(in))
		}
		if words := closingWords(in); words != "" {
			b.wrapped(b.out, "  ", words)
		}
	}
}

// measureWords says the measure of a gap and how likely it is.
func measureWords(g study.Gap) string { return g.Band + " " + plate.Chance(g.Chance) }

// nearestWords says which target is nearest to each point.
func nearestWords(in study.Instant) string {
	var parts []string
	for _, g := range in.Gaps {
		if g.Nearest {
			parts = append(parts, fmt.Sprintf("to %s's point the %s", g.Of, plate.TargetWords(g.Target)))
		}
	}
	return "Nearest: " + strings.Join(parts, ", ") + "."
}

// closingWords says how fast the points come nearer to their nearest targets and the
// fencers to each other; empty where nothing was followed.
func closingWords(in study.Instant) string {
	say := func(v *quantity.Of[quantity.MetresPerSecond]) string {
		return plate.FigureOf(*v, plate.InMetresPerSecond).Text
	}
	var parts []string
	for _, g := range in.Gaps {
		if g.Nearest && g.Closing != nil {
			parts = append(parts, fmt.Sprintf("%s's point to the %s %s", g.Of, plate.TargetWords(g.Target), say(g.Closing)))
		}
	}
	if in.Closing != nil {
		parts = append(parts, "the fencers to each other "+say(in.Closing))
	}
	if len(parts) == 0 {
		return ""
	}
	return "Nearing: " + strings.Join(parts, ", ") + "."
}

func (b *bench) printRace(r *study.Reading) {
	race := r.Race
	from := fmt.Sprintf("frame %d of %s", race.Frame, race.Take)
	if m, known := r.Touch.Moment(race.Moment); known {
		from += ", “" + nameOf(m) + "”"
	}
	b.title("The race, from " + from)
	runs := b.table("", "left", "right")
	both := func(name string, say func(study.Run) string) {
		runs.row(name, say(race.Runs[mark.Left]), say(race.Runs[mark.Right]))
	}
	both("movement", func(r study.Run) string { return r.Action })
	both("to the", func(r study.Run) string { return plate.TargetWords(r.Target) })
	both("gap", func(r study.Run) string { return plate.Metres(r.Gap) })
	both("starts", func(r study.Run) string { return plate.Milliseconds(r.Onset) })
	both("arrives", func(r study.Run) string { return plate.Milliseconds(r.Arrival) })
	both("", func(r study.Run) string { return plate.MillisecondsBetween(r.Arrival) })
	both("chance to arrive", func(r study.Run) string { return plate.Chance(r.Arrives) })
	runs.write(b.out)
	fmt.Fprintln(b.out)
	lamps := b.table("lamps", "chance", "")
	lamps.row("left only", plate.Percent(race.LeftOnly))
	lamps.row("right only", plate.Percent(race.RightOnly))
	lamps.row("both", plate.Percent(race.Both))
	lamps.row("neither", plate.Percent(race.Neither))
	lamps.write(b.out)
	fmt.Fprintln(b.out)
	margin := b.table("", "", "")
	margin.row("left arrives first", plate.Percent(race.LeftFirst))
	ahead, by := mark.Left, race.Margin
	if by.Mean < 0 {
		ahead, by = mark.Right, reversed(by)
	}
	margin.row(ahead.String()+" is earlier by", plate.Milliseconds(by), plate.MillisecondsBetween(by))
	margin.write(b.out)
	fmt.Fprintln(b.out)
	b.wrapped(b.out, "  ", strings.TrimSpace(race.MarginCounts()+" "+study.RaceSupposes))
	b.printMatters(race.Matters)
}

// Of the uncertainties of a race, the greatest few are printed.
const (
	mattersShown                = 4
	mattersLeast quantity.Ratio = 0.01
)

// printMatters says what the margin hangs on, so that the coach knows what to
// look at again.
func (b *bench) printMatters(all []study.Matter) {
	rows := b.table("what the margin hangs on", ">share", "~what would help")
	for _, m := range all[:min(len(all), mattersShown)] {
		if m.Share >= mattersLeast {
			rows.row(m.Name, plate.Chance(quantity.Chance(m.Share)), m.Mend)
		}
	}
	if len(rows.rows) > 0 {
		fmt.Fprintln(b.out)
	}
	rows.write(b.out)
}

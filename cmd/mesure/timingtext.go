package main

import (
	"fmt"
	"strings"

	"mesure/show/plate"
	"mesure/show/summary"
	"mesure/sport/mark"
	"mesure/study"
	"mesure/timing"
)

// printTiming shows the timing of one instant as text; with all, also the figures of
// which the fencers have no own.
func (b *bench) printTiming(r *study.Reading, all bool) {
	x := summary.TimingOf(r.Timing)
	b.heading(r)
	b.title("The timing of " + instantWords(r, x))
	if x.Finding != "" {
		b.wrapped(b.out, "  ", sentence(x.Finding))
	}
	if r.Timing.Race != nil {
		with := *r
		with.Race = r.Timing.Race
		b.printRace(&with)
	}
	b.printWindows(x)
	b.printParry(x.Parry)
	b.printMap(x.Map)
	b.printBodies(x.Bodies)
	b.printStarted(x.Started)
	b.printWhatIf(x.WhatIf)
	b.printNotes(x.Notes)
	b.printLacks(x.Lacks)
	b.printProfiles(summary.ProfilesOf(r), all)
	b.warnings(doubtsOf(r))
	b.note(fmt.Sprintf("Times count from this instant. ± is one standard deviation. %d draws, seed %d, readings version %s.", r.Draws, r.Seed, r.Version))
}

func instantWords(r *study.Reading, x *summary.Timing) string {
	words := fmt.Sprintf("frame %d of %s", x.Frame, x.Take)
	if x.Take == "" {
		return "this touch"
	}
	if m, ok := r.Touch.Moment(x.Moment); ok {
		words += ", “" + nameOf(m) + "”"
	}
	return words
}

// facts prints sentences, one under the other; empty ones are left out.
func (b *bench) facts(all ...string) {
	for _, s := range all {
		if s != "" {
			b.wrapped(b.out, "  ", sentence(strings.ReplaceAll(s, " ± ", noBreak+"±"+noBreak)))
		}
	}
}

// ended makes a sentence of a text; empty stays empty.
func ended(s string) string {
	if s == "" {
		return ""
	}
	return sentence(s)
}

func (b *bench) printWindows(x *summary.Timing) {
	w := x.Windows
	if w == nil {
		return
	}
	b.title(fmt.Sprintf("What is open against %s's %s to the %s", x.Attacker, plate.ActionWords(w.Action), plate.TargetWords(w.Target)))
	why := ""
	if x.AttackerWhy != "" {
		why = fmt.Sprintf("The attack is %s's: %s", x.Attacker, x.AttackerWhy)
	}
	arrives, gone := "does not arrive", ""
	if w.Hit.Known() {
		arrives = "arrives after " + w.Hit.Text
	}
	if w.Left.Known() {
		gone = fmt.Sprintf(", when %s of its time is gone; %s are left", w.Gone.Text, w.Left.Text)
	}
	b.facts(w.Finding, why, fmt.Sprintf("The point is %s away and %s (it arrives in %s of the draws).", w.Gap.Text, arrives, w.Arrives.Text),
		fmt.Sprintf("The attack can be seen after %s%s. With a reaction of %s an answer can begin at %s.", w.Seen.Text, gone, w.Reaction.Text, w.Ready.Text))
	fmt.Fprintln(b.out)
	rows := b.table("~answer", "", ">in time", ">latest start", ">to spare")
	for _, a := range w.Answers {
		rows.row(a.Word, a.State, a.InTime.Text, a.Latest.Text, a.Spare.Text)
	}
	rows.write(b.out)
	hangs := b.table("what "+decidedBy(w.Deciding)+" hangs on", ">share", "~what would help")
	for _, m := range w.Matters {
		hangs.row(m.Name, m.Share.Text, m.Mend)
	}
	if len(hangs.rows) > 0 {
		fmt.Fprintln(b.out)
		hangs.write(b.out)
	}
}

// decidedBy names the answer that is nearest to even.
func decidedBy(answer string) string {
	if answer == "" {
		return "it"
	}
	return "“" + plate.AnswerWords(timing.Answer(answer)) + "”"
}

func (b *bench) printParry(p *summary.Parry) {
	if p == nil {
		return
	}
	b.title(fmt.Sprintf("The parry, %s's, of the %s", p.Defender, plate.TargetWords(p.Zone)))
	b.facts(p.Finding)
	best := ""
	if w := p.Best; w != nil {
		around := ""
		if w.Around {
			around = ", around the other blade"
		}
		best = fmt.Sprintf("The attacking blade must be turned by %s, with least towards %d o'clock as the attacker sees it%s: %s on %s, leverage %s.", p.Smallest.Text, w.Hour, around, w.DefenderPart, w.AttackerPart, w.Leverage.Text)
	}
	b.facts(best)
	rows := b.table("", ">", "~")
	rows.row("threatens", p.Threatens.Text, "chance that the point's line meets the target with its margin")
	if w := p.Best; w != nil {
		rows.row("own blade", w.Path.Text, "greatest travel of any point of it")
		rows.row("hand", w.Travel.Text, "its travel in that")
		rows.row("sweep", w.Sweep.Text, "turn of the own blade")
	}
	if h := p.AtHit; h != nil {
		rows.row("at the hit", h.Needed.Text, "turn that is asked of the attacking blade at the latest")
		if h.Best != nil {
			rows.row("", h.Best.Path.Text, "greatest travel of any point of the own blade then, leverage "+h.Best.Leverage.Text)
		}
	}
	if p.Time.Known() {
		kind := "a parry"
		if p.Word != "" {
			kind = "a " + p.Word
		}
		rows.row("time", p.Time.Text, kind+" of this size; the usual one "+p.Usual.Text)
	}
	if o := p.Opposition; o != nil {
		rows.row("opposition", o.Path.Text, fmt.Sprintf("travel that closes the line, leverage %s, hold %s", o.Leverage.Text, o.Hold.Text))
	}
	if c := p.Ceding; c != nil && c.Needed && c.Path != nil {
		rows.row("yielding", c.Path.Text, "travel to a place with leverage; here it is "+c.Leverage.Text)
	}
	rows.write(b.out)
	if o := p.Observed; o != nil {
		fmt.Fprintln(b.out)
		b.facts("Seen: "+o.Word+", in "+o.Chance.Text+" of the draws", o.Finding, fmt.Sprintf("The attacking blade was turned by %s, %s was asked for. %s", o.Made.Text, o.Asked.Text, ended(o.Reason)))
		if o.RiposteAfter != nil {
			b.facts("The riposte starts " + o.RiposteAfter.Text + " after it")
		}
	}
	if r := p.Riposte; r != nil && len(r.Ways) > 0 {
		fmt.Fprintln(b.out)
		ways := b.table("riposte", ">alone", ">both", ">remise alone", ">hits after", ">longest hold")
		for _, w := range r.Ways {
			ways.row(w.Word, w.RiposteOnly.Text, w.Both.Text, w.RemiseOnly.Text, w.Hit.Text, w.Delay.Text)
		}
		ways.write(b.out)
		b.facts(r.Finding)
	}
}

func (b *bench) printMap(m *summary.Map) {
	if m == nil {
		return
	}
	b.title("The distance map")
	b.facts(m.Finding)
	if len(m.Stops) == 0 {
		return
	}
	rows := b.table("~instant", ">gap", ">attacker ahead", "~there")
	for i, s := range m.Stops {
		name := s.Name
		if i == m.Here {
			name += " (here)"
		}
		rows.row(name, s.Gap.Text, s.Lead.Text, s.Word)
	}
	rows.write(b.out)
}

func (b *bench) printBodies(all []summary.BodyNow) {
	if len(all) == 0 {
		return
	}
	b.title("What each body can do")
	for _, x := range all {
		b.facts(x.Finding)
	}
	heads := []string{""}
	for _, x := range all {
		heads = append(heads, "~"+x.Of.String())
	}
	rows := b.table(heads...)
	row := func(name string, say func(summary.BodyNow) string) {
		cells := []string{name}
		for _, x := range all {
			cells = append(cells, say(x))
		}
		rows.row(cells...)
	}
	row("base", func(x summary.BodyNow) string { return x.Base.Text })
	row("over the front foot", func(x summary.BodyNow) string { return x.Load.Text })
	for i := range all[0].Can {
		row(all[0].Can[i].Word, func(x summary.BodyNow) string { return canWords(x.Can[i]) })
	}
	rows.write(b.out)
	said := map[string]bool{}
	for _, x := range all {
		for _, c := range x.Can {
			if text := plate.Name(x.Of) + ": " + c.Reason; !c.Free && !said[text] {
				said[text] = true
				b.facts(text)
			}
		}
	}
}

// canWords says whether something can be done now, or when.
func canWords(c summary.Can) string {
	switch {
	case c.Free:
		return "now (" + c.Now.Text + ")"
	case c.Next != nil:
		return "after " + c.Next.Text
	}
	return "not now"
}

func (b *bench) printStarted(s *summary.Started) {
	if s == nil {
		return
	}
	b.title("Who started")
	b.facts(s.Finding)
	rows := b.table("fencer", "part", "", ">at", ">first of all", "frame")
	for _, x := range s.Starts {
		rows.row(x.Who.String(), x.Word, x.Kind, x.At.Text, x.First.Text, fmt.Sprintf("%s:%d", x.Take, x.Frame))
	}
	rows.write(b.out)
	b.facts("This order in " + s.Likelihood.Text + " of the draws")
	for _, l := range s.Lags {
		b.facts(fmt.Sprintf("%s, foot after hand: %s. %s", plate.Name(l.Of), l.Time.Text, ended(l.Reason)))
	}
	if l := s.Launch; l != nil && !strings.Contains(s.Finding, strings.TrimSuffix(l.Finding, ".")) {
		b.facts(l.Finding)
	}
}

func (b *bench) printWhatIf(w *summary.WhatIf) {
	if w == nil {
		return
	}
	b.title("Suppose: " + changeWords(w.Change))
	b.facts(w.Finding, w.Refused)
	rows := b.table("", ">as it is", ">then", ">change")
	for _, d := range w.Differences {
		by := strings.Replace(d.By.Text, noBreak+"%", " of 100", 1)
		if by != "" && by[0] >= '1' && by[0] <= '9' {
			by = "+" + by
		}
		rows.row(d.Word, d.Was.Text, d.Then.Text, by)
	}
	if len(rows.rows) > 0 {
		rows.write(b.out)
	}
}

// changeWords says a change as it was asked for.
func changeWords(c study.Change) string {
	var parts []string
	if c.Closer != 0 {
		parts = append(parts, fmt.Sprintf("both closer by %.3g cm", c.Closer.Centimetres()))
	}
	if c.Earlier != 0 {
		parts = append(parts, fmt.Sprintf("%s earlier by %.3g ms", c.Who, c.Earlier.Milliseconds()))
	}
	if c.Longer != 0 {
		parts = append(parts, fmt.Sprintf("%s's arm longer by %.3g cm", c.Who, c.Longer.Centimetres()))
	}
	if c.Target != "" {
		parts = append(parts, fmt.Sprintf("%s goes to the %s", c.Who, plate.TargetWords(c.Target)))
	}
	if len(parts) == 0 {
		return "nothing changes"
	}
	return strings.Join(parts, ", ")
}

func (b *bench) printNotes(all []summary.Note) {
	hidden := 0
	first := true
	for _, n := range all {
		if n.Dismissed {
			hidden++
			continue
		}
		if first {
			b.title("Notes on the technique")
			first = false
		}
		b.bullet("- ", fmt.Sprintf("%s [%s:%d] %s", ended(n.Text), n.Take, n.Frame, ended(n.Reference)))
	}
	if hidden > 0 {
		b.facts(fmt.Sprintf("Dismissed: %d", hidden))
	}
}

func (b *bench) printLacks(all []summary.Lack) {
	if len(all) == 0 {
		return
	}
	b.title("What could not be told")
	for _, l := range all {
		about := strings.ReplaceAll(l.Part, "-", " ")
		if l.Who != "both" {
			about += ", " + l.Who
		}
		text := about + ": " + ended(l.Why)
		if l.Mend != "" {
			text += " " + ended(l.Mend)
		}
		b.bullet("? ", text)
	}
}

// printProfiles prints the figures that are a fencer's own; with all, the usual ones
// too.
func (b *bench) printProfiles(all []summary.Profile, usual bool) {
	if len(all) == 0 {
		return
	}
	rows := b.table("~figure", ">left", "from", ">right", "from")
	left := 0
	for i, f := range all[0].Figures {
		cells := []string{f.Word}
		own := usual
		for _, p := range all {
			g := p.Figures[i]
			cells = append(cells, g.Value.Text, shortFrom(g.From))
			own = own || g.From != study.FromDefault
		}
		for len(cells) < 1+2*len(mark.Sides) {
			cells = append(cells, "")
		}
		if own {
			rows.row(cells...)
		} else {
			left++
		}
	}
	b.title("The two fencers' figures")
	if len(rows.rows) > 0 {
		rows.write(b.out)
	}
	if left > 0 {
		b.facts(fmt.Sprintf("Usual figures, of which neither has an own: %d; --all prints them", left))
	}
}

// shortFrom says in one word where a figure comes from, for a narrow column.
func shortFrom(from string) string {
	switch from {
	case study.FromDefault:
		return "usual"
	case study.FromStated:
		return "coach"
	}
	return from
}

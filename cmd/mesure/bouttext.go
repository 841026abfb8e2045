package main

import (
	"fmt"
	"slices"
	"strings"

	"mesure/quantity"
	"mesure/show/plate"
	"mesure/sport/bout"
	"mesure/sport/mark"
	"mesure/study"
)

// printBout prints a bout: what was taken, the touches, the habits, and what it
// says.
func (b *bench) printBout(r *boutRead, o boutOptions) {
	left, right := r.NameOf(mark.Left), r.NameOf(mark.Right)
	b.first(fmt.Sprintf("%s – %s, %d–%d in a bout to %d", left, right, r.Final.Left, r.Final.Right, r.To))
	b.printTaken(r)
	fmt.Fprintln(b.out)
	choices := slices.ContainsFunc(r.Touches, func(t study.BoutTouch) bool { return t.ChoiceLeft+t.ChoiceRight != "" })
	heads := []string{">touch", "who", ">score", ">chance", ">hung on it", ">double then"}
	if choices = choices && b.columns >= choiceColumns; choices {
		heads = append(heads, "~"+left+" chose", "~"+right+" chose")
	}
	t := b.table(heads...)
	t.row("", "", scoreCell(r.Start.Score), plate.Percent(r.Start.Win))
	for _, x := range r.Touches {
		who := map[string]string{"left": left, "right": right, "double": "double", "none": "nobody"}[x.Outcome]
		double := signedPercent(x.Before.DoubleWorth)
		if x.Before.Void {
			double = "void"
		}
		if r.Weapon != bout.Epee {
			double = ""
		}
		score := scoreCell(x.Score)
		if x.Gap {
			score = "… " + score
		}
		cells := []string{fmt.Sprint(x.Number), who, score, decided(x.Score, r.To, x.After), plate.Percent(x.Before.Importance), double}
		if choices {
			cells = append(cells, x.ChoiceLeft, x.ChoiceRight)
		}
		t.row(cells...)
	}
	t.write(b.out)
	b.wrapped(b.out, "  ", "The chance to win is that of "+left+".")
	b.title("What it says")
	for _, s := range r.Said {
		b.bullet("– ", s)
	}
	b.printTactics(r.tactics, o.Thread)
	b.warnings(r.Doubts)
	k := r.Rates
	time := "time and tiredness are not in it"
	if r.Clock != nil {
		time = "tiredness is not in it"
	}
	b.note(fmt.Sprintf("A touch with a hit is %s's alone in %s, %s's in %s, a double in %s: %d, %d and %d were counted, half a count added to each (%d draws, seed %d). ± is one standard deviation. It says how little these touches tell, not how far a bout is from independent phrases; %s.",
		left, plate.Percent(k.Left), right, plate.Percent(k.Right), doubleShare(r), k.CountLeft, k.CountRight, k.CountDouble, r.Draws, r.Seed, time))
	if r.Out != "" {
		fmt.Fprintln(b.out, r.Out)
	}
}

// choiceColumns is how wide a page must be for the choices to stand beside the chances;
// on a narrower one --thread has them.
const choiceColumns = 110

// printTaken says what of a score sheet was taken, and each row that was not.
func (b *bench) printTaken(r *boutRead) {
	if r.Rows == nil {
		return
	}
	t := b.table(">line", "not taken", "~why")
	taken := 0
	for _, row := range r.Rows {
		if row.Taken {
			taken++
			continue
		}
		t.row(fmt.Sprint(row.Line), cutTo(row.Text, 28), row.Reason)
	}
	fmt.Fprintf(b.out, "%d of %d rows taken", taken, len(r.Rows))
	if len(r.Passed) > 0 {
		fmt.Fprintf(b.out, "; columns not read: %s", strings.Join(r.Passed, ", "))
	}
	fmt.Fprintln(b.out)
	t.write(b.out)
}

// cutTo shortens a text to so many letters.
func cutTo(s string, n int) string {
	if r := []rune(s); len(r) > n {
		return string(r[:n-1]) + "…"
	}
	return s
}

func scoreCell(s bout.Score) string { return fmt.Sprintf("%d–%d", s.Left, s.Right) }

// decided is the chance after a touch, in words where the bout is over.
func decided(s bout.Score, to int, q quantity.Of[quantity.Chance]) string {
	switch left, right := s.Left >= to, s.Right >= to; {
	case left && right:
		return "lot"
	case left:
		return "won"
	case right:
		return "lost"
	}
	return plate.Percent(q)
}

// signedPercent prints a change of a chance with its doubt.
func signedPercent(q quantity.Of[quantity.Chance]) string {
	s := plate.FigureOf(q, plate.InShares)
	if s.Value != "" && !strings.HasPrefix(s.Text, "−") && q.Mean > 0 {
		return "+" + s.Text
	}
	return s.Text
}

func doubleShare(r *boutRead) string {
	if r.Weapon != bout.Epee {
		return "none"
	}
	return plate.Percent(r.Rates.Double)
}

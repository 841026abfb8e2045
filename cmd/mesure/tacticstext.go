package main

import (
	"fmt"
	"slices"
	"strings"

	"mesure/show/plate"
	"mesure/sport/mark"
	"mesure/study"
)

// printTactics tells what the earlier touches and the score make of one touch.
func (b *bench) printTactics(x *study.Tactics, thread bool) {
	name := nameIn(x)
	if len(x.Story) > 0 {
		b.title(tacticsTitle(x))
		b.wrapped(b.out, "  ", joined(x.Story))
	}
	if thread {
		b.printThread(x)
	}
	for _, s := range mark.Sides {
		if h := x.Habits[s]; h != nil {
			b.printHabit(name(s), h)
		}
	}
	if x.Payoff != nil {
		b.printPayoff(x, name(x.For))
	}
	if len(x.Next) > 0 {
		what := "What next"
		if x.Fenced {
			what = fmt.Sprintf("What to do at touch %d", x.At)
		}
		b.title(what + ", for " + name(x.For))
		for _, s := range x.Next {
			b.bullet("– ", s.String())
		}
	}
	if len(x.Lacks) > 0 {
		b.title("What cannot be told")
		for _, l := range x.Lacks {
			b.bullet("– ", strings.TrimSpace(fullStop(l.Why)+" "+fullStop(l.Mend)))
		}
	}
}

// fullStop ends a sentence that has none; nothing stays nothing.
func fullStop(s string) string {
	if s == "" {
		return ""
	}
	return sentence(s)
}

// tacticsTitle says of which touch is told.
func tacticsTitle(x *study.Tactics) string {
	at := fmt.Sprintf("touch %d, at %d–%d", x.At, x.Score.Left, x.Score.Right)
	switch {
	case x.Fenced:
		return "The story of " + at
	case x.Bout != nil && x.Bout.Over:
		return "The story of the bout"
	}
	return "The story before " + at
}

// nameIn is what the fencers are called.
func nameIn(x *study.Tactics) func(mark.Side) string {
	if x.Bout != nil {
		return x.Bout.NameOf
	}
	return func(s mark.Side) string { return [2]string{"Left", "Right"}[s] }
}

// joined is a paragraph of sentences.
func joined(all []study.Sentence) string {
	text := make([]string, len(all))
	for i, s := range all {
		text[i] = s.String()
	}
	return strings.Join(text, " ")
}

// threadReasons is how many reasons are printed why a touch bears on another.
const threadReasons = 2

// printThread prints every touch of the thread, with why it bears.
func (b *bench) printThread(x *study.Tactics) {
	if len(x.Thread) == 0 {
		return
	}
	b.title("The touches")
	for _, h := range x.Thread {
		text := h.Said.String()
		for i, r := range h.Bears {
			if i < threadReasons {
				text += " " + fullStop(r.Text)
			}
		}
		b.bullet("– ", text)
	}
}

// printHabit prints what one fencer tends to do, the likeliest choices first.
func (b *bench) printHabit(name string, h *study.Habit) {
	b.title("What " + name + " chooses")
	if h.TooLittle {
		fmt.Fprintln(b.out, "  Too little seen.")
	} else {
		t := b.table("", ">seen here", ">this bout", ">earlier", ">now", ">95 %")
		for i, c := range h.Choices {
			if i == habitRows {
				break
			}
			t.row(c.Word, fmt.Sprint(c.Here), fmt.Sprint(c.Bout), fmt.Sprint(c.Opponent+c.Others), plate.Percent(c.Share), plate.PercentBetween(c.Share))
		}
		t.write(b.out)
	}
	for _, s := range h.Said {
		b.bullet("– ", s.String())
	}
}

// habitRows is how many kinds of choice are printed.
const habitRows = 6

// printPayoff prints what each choice is worth against what is expected.
func (b *bench) printPayoff(x *study.Tactics, name string) {
	p := x.Payoff
	b.title("What each choice is worth to " + name)
	word := func(words []string, i int) string {
		if i >= 0 && i < len(words) {
			return words[i]
		}
		return ""
	}
	t := b.table("", ">chance to win", ">95 %", ">best in", "~if answered by")
	for i, s := range p.Standings {
		t.row(word(p.MineWords, i), plate.Percent(s.Worth), plate.PercentBetween(s.Worth), plate.Chance(s.Best.Mean), word(p.TheirWords, s.Worst)+" "+plate.Percent(s.Least))
	}
	t.write(b.out)
	next := map[string]bool{} // said there
	for _, s := range x.Next {
		next[s.String()] = true
	}
	for _, s := range p.Said {
		if !next[s.String()] {
			b.bullet("– ", s.String())
		}
	}
}

// storyLines is how long the story is that "mesure read" prints.
const storyLines = 12

// printStory prints the story of a touch: where it is too long, without the sentences
// that lie furthest back.
func (b *bench) printStory(x *study.Tactics) {
	if x == nil || len(x.Story) == 0 {
		return
	}
	b.title(tacticsTitle(x))
	told := slices.Clone(x.Story)
	for len(told) > 2 && len(broken(joined(told), b.columns-2)) > storyLines {
		told = slices.Delete(told, 1, 2)
	}
	b.wrapped(b.out, "  ", joined(told))
}

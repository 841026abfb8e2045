package study

import (
	"fmt"
	"slices"
	"strings"

	"mesure/quantity"
	"mesure/sport/bout"
	"mesure/tactics/habit"
)

// tooLittleWords say how little was seen.
func tooLittleWords(h *Habit) string {
	boutSeen, earlier := 0, 0
	for _, c := range h.Choices {
		boutSeen += c.Bout
		earlier += c.Opponent + c.Others
	}
	s := fmt.Sprintf("%s in this bout", countOf(boutSeen, "choice is written", "choices are written"))
	if earlier > 0 {
		s += fmt.Sprintf(" and %d in earlier ones", earlier)
	}
	return s + fmt.Sprintf(", worth %.1f of the %d that are needed.", h.Weight, habit.LeastSeen)
}

// sayHabit writes a habit in plain sentences.
func (x *tacticsRun) sayHabit(h *Habit, e *seenChoices) {
	name := x.called(h.Who)
	at := x.numberAt(x.at)
	var touches []int
	for _, j := range e.lines[:e.after] {
		touches = append(touches, x.lines[j].Number)
	}
	var bouts []SourceBout
	for _, c := range e.past {
		if c.k >= 0 {
			bouts = countBout(bouts, c)
		}
	}
	source := func(what, title, how string) string {
		return x.source(Source{ID: fmt.Sprintf("%s/%s@%d", what, h.Who, at), Title: title, How: how, Touches: touches, Bouts: bouts, Method: MethodHabit})
	}
	seen := source("seen", fmt.Sprintf("What was seen of %s before touch %d", name, at), "The choices that are written on the sheet and in earlier bouts in the library, counted.")
	say := func(pieces ...Piece) { h.Said = append(h.Said, Sentence(pieces)) }
	plain := func(format string, args ...any) Piece { return Piece{Text: fmt.Sprintf(format, args...)} }

	if h.TooLittle {
		say(plain("Too little is seen of %s to speak of a habit: ", name), Piece{tooLittleWords(h), seen})
	} else {
		x.sayLikeliest(h, e, name, say, plain)
		say(append([]Piece{plain("That rests on ")}, habitRests(h, seen)...)...)
	}
	x.sayDepends(e, say)
	if o := h.Order; o.Says != "" {
		src := source("order", fmt.Sprintf("How often %s chose the same twice running", name), "Counted, since the last change of habit where there is one, against every order of the same choices taken as equally likely.")
		verb, next := "repeats a choice", "so more of it is to be expected"
		if o.Says == "alternates" {
			verb, next = "changes", "so another is to be expected"
		}
		say(plain("%s %s more than chance has it: ", name, verb), Piece{countOf(o.Repeats, "repeat", "repeats"), src}, plain(", "), Piece{fmt.Sprintf("%.1f", float64(o.Expected)), src},
			plain(" expected. The last choice was %s, %s.", kindNoun(e.kinds[e.chosen[e.after-1]]), next))
	}
	if c := h.Change; c != nil {
		src := source("change", fmt.Sprintf("Since when the habit of %s is likely another one", name), "All ways to cut the choices of this bout into habits, each weighed by how well it explains them; the place is that of the last cut of the likeliest way.")
		more := "more"
		if c.After.Mean < c.Before.Mean {
			more = "less"
		}
		where := ""
		if c.From != c.To {
			where = fmt.Sprintf(" (between %d and %d)", c.From, c.To)
		}
		say(plain("Since "), Piece{fmt.Sprintf("touch %d%s", c.Since, where), src}, plain(" %s probably chooses %s %s often: ", name, kindNoun(c.Kind), more),
			Piece{shareWords(c.Before), src}, plain(" before, "), Piece{shareWords(c.After), src}, plain(" since. That the habit changed at all in this bout has a chance of "), Piece{percentWords(float64(c.Sure.Mean)), src}, plain("."))
		if len(e.chosen[:e.after])-slices.IndexFunc(e.lines, func(l int) bool { return x.lines[l].Number == c.Since }) <= soonAfter {
			say(plain("So soon after a change the intervals are narrower than they ought to be: they still lean on the habit from before."))
		}
	}
	if n := len(e.aside); n > 0 {
		say(plain("%s of a kind that was not asked for %s left out.", capital(countOf(n, "choice", "choices")), map[bool]string{true: "is", false: "are"}[n == 1]))
	}
}

// sayLikeliest says what comes next, how sure that is, and what was seen in this very
// situation.
func (x *tacticsRun) sayLikeliest(h *Habit, e *seenChoices, name string, say func(...Piece), plain func(string, ...any) Piece) {
	a, b := h.Choices[0], h.Choices[1]
	index := func(c HabitChoice) int {
		for k, kind := range e.kinds {
			if kind == c.Kind {
				return k
			}
		}
		return 0
	}
	p := h.Law.Likelier(index(a), index(b))
	say(plain("%s most likely chooses %s at ", name, kindNoun(a.Kind)), Piece{fmt.Sprintf("touch %d", x.numberAt(x.at)), a.Source}, plain(": "), Piece{shareWords(a.Share), a.Source},
		plain("; then %s: ", kindNoun(b.Kind)), Piece{shareWords(b.Share), b.Source}, plain("."))
	if p < sureOrder {
		say(plain("Which of the two is the likelier cannot be told yet: the first, with a chance of "), Piece{percentWords(float64(p)), a.Source}, plain("."))
	}
	all := 0
	for _, n := range e.here {
		all += n
	}
	if words := situationWords(h.Situation); all >= hereLeast && words != "" {
		say(plain("In the same situation (%s) %s was chosen ", words, kindNoun(a.Kind)), Piece{fmt.Sprintf("%d of %s", a.Here, countOf(all, "time", "times")), a.Source}, plain(" in this bout."))
	}
}

// hereLeast is how often a situation must have come for what was chosen in it to be
// counted aloud.
const hereLeast = 3

// sureOrder is the chance from which one choice is called likelier than another: as sure
// as a one-sided 95 % interval is.
const sureOrder quantity.Chance = 0.975

// soonAfter is for how many choices after a change the intervals keep their word too
// seldom: see doc/habits.md.
const soonAfter = 6

// habitRests counts what a habit rests on.
func habitRests(h *Habit, source string) []Piece {
	inBout, opponent, others := 0, 0, 0
	for _, c := range h.Choices {
		inBout, opponent, others = inBout+c.Bout, opponent+c.Opponent, others+c.Others
	}
	out := []Piece{{countOf(inBout, "choice", "choices"), source}, {Text: " in this bout"}}
	if opponent > 0 {
		out = append(out, Piece{Text: ", "}, Piece{fmt.Sprint(opponent), source}, Piece{Text: " in earlier bouts with this opponent"})
	}
	if others > 0 {
		out = append(out, Piece{Text: ", "}, Piece{fmt.Sprint(others), source}, Piece{Text: " in bouts with others"})
	}
	end := "; those from before a likely change of habit and in other situations weigh less."
	if opponent+others > 0 {
		end = "; older bouts, other situations and what came before a likely change of habit weigh less."
	}
	return append(out, Piece{Text: end})
}

// situationWords say a situation in a few words; empty where nothing is known of it.
func situationWords(s Situation) string {
	var all []string
	state, last, _ := strings.Cut(s.Score, "-")
	switch {
	case state == "level" && last != "":
		all = append(all, "level, one hit from the end")
	case state == "level":
		all = append(all, "at a level score")
	case last != "":
		all = append(all, state+", a hit from the end")
	case state != "":
		all = append(all, state)
	}
	for _, m := range bout.Measures() {
		if m.Name == s.Measure {
			all = append(all, m.Word)
		}
	}
	switch s.Must {
	case "me":
		all = append(all, "having to act")
	case "them":
		all = append(all, "the other having to act")
	}
	switch s.Last {
	case OutcomeHit:
		all = append(all, "after an own hit")
	case OutcomeAgainst:
		all = append(all, "after a hit against")
	case OutcomeDouble:
		all = append(all, "after a double")
	case OutcomeNothing:
		all = append(all, "after a phrase without a hit")
	}
	return strings.Join(all, ", ")
}

func capital(s string) string {
	if s == "" {
		return s
	}
	return strings.ToUpper(s[:1]) + s[1:]
}

package study

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"

	"mesure/quantity"
	"mesure/sport/bout"
	"mesure/tactics/habit"
)

// What is asked before a choice is said to hang on the situation.
const (
	// dependsLevel is the chance of a coincidence below which it is said, dependsLeast how
	// often a situation and its contrary must have been seen to be looked at (derived:
	// with three each even "always here, never there" comes about by chance one time in
	// ten, with four one in thirty-five), dependsMost how many are said.
	dependsLevel = quantity.Chance(0.05)
	dependsLeast = 4
	dependsMost  = 2
)

// condition is one thing that a choice may hang on.
type condition struct {
	name, words string // words as in "more often when behind"
	// holds reports whether it does, and whether that is known.
	holds func(Situation) (bool, bool)
}

func conditions() []condition {
	all := []condition{}
	for _, last := range [][2]string{{OutcomeHit, "after an own hit"}, {OutcomeAgainst, "after a hit against"}, {OutcomeDouble, "after a double"}} {
		all = append(all, condition{"last-" + last[0], last[1], func(s Situation) (bool, bool) { return s.Last == last[0], s.Last != "" }})
	}
	for _, score := range [][2]string{{"ahead", "when ahead"}, {"behind", "when behind"}, {"level", "at a level score"}} {
		all = append(all, condition{"score-" + score[0], score[1], func(s Situation) (bool, bool) {
			state, _, _ := strings.Cut(s.Score, "-")
			return state == score[0], s.Score != ""
		}})
	}
	for _, m := range bout.Measures() {
		all = append(all, condition{"measure-" + m.Name, "at the measure “" + m.Word + "”", func(s Situation) (bool, bool) { return s.Measure == m.Name, s.Measure != "" }})
	}
	return all
}

// dependence is a choice counted in a situation and out of it.
type dependence struct {
	condition
	k        int
	counts   habit.Counts
	byChance quantity.Chance
	touches  []int
}

// depends looks for choices that hang on the situation, by everything that was seen of
// the fencer before the touch, each choice counted once; the surest first. It returns
// how many were looked at.
func (x *tacticsRun) depends(e *seenChoices) ([]dependence, int) {
	type one struct {
		k, number int
		at        Situation
	}
	var seen []one
	for j, l := range e.lines[:e.after] {
		seen = append(seen, one{e.chosen[j], x.lines[l].Number, x.lines[l].Situation[e.who]})
	}
	for _, p := range e.past {
		if p.k >= 0 {
			seen = append(seen, one{p.k, 0, p.at})
		}
	}
	var all []dependence
	for k := range e.kinds {
		for _, c := range conditions() {
			d := dependence{condition: c, k: k}
			for _, s := range seen {
				holds, known := c.holds(s.at)
				if !known {
					continue
				}
				of, times := &d.counts.OtherOf, &d.counts.Other
				if holds {
					of, times = &d.counts.HereOf, &d.counts.Here
				}
				*of++
				if s.k == k {
					*times++
					if s.number > 0 {
						d.touches = append(d.touches, s.number)
					}
				}
			}
			if n := d.counts; min(n.HereOf, n.OtherOf) >= dependsLeast && n.Here+n.Other > 0 {
				all = append(all, d)
			}
		}
	}
	looked := len(all)
	chances := make([]quantity.Chance, looked)
	for i, d := range all {
		chances[i] = d.counts.ByChance()
	}
	for i, p := range habit.OfMany(chances) {
		all[i].byChance = p
	}
	all = slices.DeleteFunc(all, func(d dependence) bool { return d.byChance >= dependsLevel })
	more := func(d dependence) int { // what is chosen more often goes before what is chosen less
		return d.counts.Other*d.counts.HereOf - d.counts.Here*d.counts.OtherOf
	}
	slices.SortStableFunc(all, func(a, b dependence) int {
		return cmp.Or(cmp.Compare(a.byChance, b.byChance), cmp.Compare(more(a), more(b)))
	})
	var found []dependence
	for _, d := range all { // one choice for a situation: the others have what it leaves
		if len(found) < dependsMost && !slices.ContainsFunc(found, func(f dependence) bool { return f.name == d.name }) {
			found = append(found, d)
		}
	}
	return found, looked
}

// sayDepends says on what a choice hangs, where chance alone is no good answer.
func (x *tacticsRun) sayDepends(e *seenChoices, say func(...Piece)) {
	found, looked := x.depends(e)
	for _, d := range found {
		n, word := d.counts, kindNoun(e.kinds[d.k])
		src := x.source(Source{
			ID:    fmt.Sprintf("depends/%s@%d/%s/%s", e.who, x.numberAt(x.at), e.kinds[d.k], d.name),
			Title: fmt.Sprintf("How often %s chooses %s %s, and otherwise", x.called(e.who), word, d.words),
			How:   fmt.Sprintf("All choices of this bout and of earlier ones counted alike; how likely chance alone makes such a difference is by the exact test of Fisher, for %d of them that were looked at (Holm).", looked), Touches: d.touches, Bouts: e.bouts(d.k), Method: MethodHabit,
		})
		diff, more := n.Difference(), "more"
		if diff.Mean < 0 {
			diff, more = quantity.Of[quantity.Ratio]{Mean: -diff.Mean, SD: diff.SD, Lo: -diff.Hi, Hi: -diff.Lo}, "less"
		}
		say(Piece{Text: fmt.Sprintf("%s chooses %s %s often %s: ", x.called(e.who), word, more, d.words)}, Piece{fmt.Sprintf("%d of %s", n.Here, countOf(n.HereOf, "time", "times")), src},
			Piece{Text: ", otherwise "}, Piece{fmt.Sprintf("%d of %d", n.Other, n.OtherOf), src}, Piece{Text: "; a difference of "}, Piece{pointsWords(diff), src},
			Piece{Text: ", which chance alone makes with "}, Piece{percentWords(float64(d.byChance)), src}, Piece{Text: "."})
	}
}

// pointsWords prints a difference of shares.
func pointsWords(q quantity.Of[quantity.Ratio]) string {
	return fmt.Sprintf("%.0f\u00a0points [%.0f,\u00a0%.0f]", 100*float64(q.Mean), math.Floor(100*float64(q.Lo)+1e-9), math.Ceil(100*float64(q.Hi)-1e-9))
}

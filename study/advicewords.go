package study

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"unicode"
	"unicode/utf8"

	"mesure/sport/piste"
)

// gainWords says what is left of an error, by the share of it that is left.
func gainWords(share float64) string {
	if share < 0.4 {
		return "more than halve the error"
	}
	best, word := math.Inf(1), ""
	for _, w := range []struct {
		left float64
		word string
	}{{1.0 / 2, "halve the error"}, {3.0 / 5, "take two fifths off the error"}, {2.0 / 3, "take a third off the error"}, {3.0 / 4, "take a quarter off the error"}, {4.0 / 5, "take a fifth off the error"}, {7.0 / 8, "take an eighth off the error"}} {
		if d := math.Abs(math.Log(share / w.left)); d < best {
			best, word = d, w.word
		}
	}
	return word
}

// crossings says points of the piste so that they stand in a sentence: "both ends
// of the centre line", "the near end of the left on-guard line and of the centre
// line".
func crossings(names []string) string {
	type part struct {
		ends  string
		lines []string
	}
	var parts []part
	put := func(ends, line string) {
		i := slices.IndexFunc(parts, func(p part) bool { return p.ends == ends })
		if i < 0 {
			parts = append(parts, part{ends, nil})
			i = len(parts) - 1
		}
		parts[i].lines = append(parts[i].lines, line)
	}
	said := map[string]bool{}
	for _, name := range names {
		l, edge, ok := piste.Crossing(name)
		switch other := l.Name + "-" + piste.Far; {
		case !ok:
			put("", name)
		case edge == piste.Axis:
			put("the middle of ", piste.LineWord(l.Name))
		case said[l.Name]:
		default:
			if edge == piste.Far {
				other = l.Name + "-" + piste.Near
			}
			if slices.Contains(names, other) {
				said[l.Name] = true
				put("both ends of ", piste.LineWord(l.Name))
			} else {
				put("the "+edge+" end of ", piste.LineWord(l.Name))
			}
		}
	}
	var all []string
	for _, p := range parts {
		if p.ends == "" {
			all = append(all, p.lines...)
			continue
		}
		all = append(all, p.ends+"the "+strings.Join(p.lines, " and of the "))
	}
	return joinAnd(all)
}

// pointWords says each of some marks on the piste, as the camera names them.
func pointWords(names []string) []string {
	all := make([]string, len(names))
	for i, n := range names {
		if line, ok := strings.CutPrefix(n, "on "); ok {
			all[i] = "a mark on the " + piste.LineWord(line)
			continue
		}
		all[i] = crossings([]string{n})
	}
	return all
}

func joinAnd(parts []string) string {
	switch n := len(parts); n {
	case 0:
		return ""
	case 1:
		return parts[0]
	default:
		return strings.Join(parts[:n-1], ", ") + " and " + parts[n-1]
	}
}

func counted(n int) string {
	if words := [...]string{"no", "one", "two", "three", "four"}; n < len(words) {
		return words[n]
	}
	return fmt.Sprint(n)
}

func plural(one string, n int) string {
	if n == 1 {
		return one
	}
	return one + "s"
}

// upper begins with a capital.
func upper(s string) string {
	first, n := utf8.DecodeRuneInString(s)
	if n == 0 {
		return s
	}
	return string(unicode.ToUpper(first)) + s[n:]
}

// around names the points that a picture is likely to show beside those that are
// marked: those of the same lines and of the next ones, painted lines only. Where
// nothing is marked, those of the lines in the middle.
func around(have []string) []string {
	painted := slices.DeleteFunc(piste.Lines(), func(l piste.Line) bool { return !l.Painted })
	middle := slices.IndexFunc(painted, func(l piste.Line) bool { return l.X == 0 })
	first, last := middle, middle
	some := false
	for _, name := range have {
		l, _, ok := piste.Crossing(name)
		if !ok {
			continue
		}
		// The last line at or before it, and the first at or after it.
		lo := max(0, slices.IndexFunc(painted, func(p piste.Line) bool { return p.X > l.X })-1)
		if l.X >= painted[len(painted)-1].X {
			lo = len(painted) - 1
		}
		if !some {
			first, last, some = lo, lo, true
		}
		first, last = min(first, lo), max(last, lo)
	}
	rear := func(l piste.Line) bool { return math.Abs(l.X) == piste.RearLimit }
	var all []string
	for i, l := range painted[max(0, first-1):min(len(painted), last+2)] {
		if at := max(0, first-1) + i; rear(l) && (at < first || at > last) {
			continue // the next line inward is nearer, and likelier to show
		}
		all = append(all, l.Name+"-"+piste.Near, l.Name+"-"+piste.Far)
	}
	return all
}

// spread chooses n points more, one by one: each the one whose least triangle with
// any two of those there is the largest, so that no three lie on a line; while
// there are fewer than two, the one furthest from them.
func spread(have, may []string, n int, width float64) []string {
	var there []piste.Place
	for _, name := range have {
		if on, ok := piste.Named(name, width); ok {
			there = append(there, on)
		}
	}
	var chosen []string
	for range n {
		best, most := "", 0.0
		for _, name := range may {
			on, ok := piste.Named(name, width)
			if !ok || slices.Contains(have, name) || slices.Contains(chosen, name) {
				continue
			}
			if w := worth(there, on); best == "" || w > most+1e-9 {
				best, most = name, w
			}
		}
		if best == "" {
			break
		}
		on, _ := piste.Named(best, width)
		chosen, there = append(chosen, best), append(there, on)
	}
	return chosen
}

func worth(there []piste.Place, on piste.Place) float64 {
	switch len(there) {
	case 0:
		return math.Abs(on.X)
	case 1:
		return math.Hypot(on.X-there[0].X, on.Y-there[0].Y)
	}
	least := math.Inf(1)
	for i, p := range there {
		for _, q := range there[:i] {
			least = min(least, math.Abs((p.X-on.X)*(q.Y-on.Y)-(p.Y-on.Y)*(q.X-on.X)))
		}
	}
	return least
}

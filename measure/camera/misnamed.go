package camera

import (
	"fmt"
	"math"
)

// misnamed looks for the one line without whose marks, two or more, all other
// marks agree, as they do where it goes by the name of another. It returns the
// warning that says so and the fit without it; false where none stands out.
func (f frame) misnamed(points []Point, chi float64) (Warning, solved, bool) {
	only := len(proper(points))
	best, second := math.Inf(1), math.Inf(1)
	var off []Point
	var fit solved
	for i := only; i < len(points); i++ {
		var these, rest []Point
		first := true
		for k, q := range points {
			if q.line != nil && q.line.same(*points[i].line) {
				first = first && k >= i
				these = append(these, q)
			} else {
				rest = append(rest, q)
			}
		}
		if !first || len(these) < 2 || general(rest) != nil {
			continue
		}
		s, err := f.fresh(rest)
		if err != nil {
			continue
		}
		if _, far := misfit(s.chi, f.spare(rest, s.free)); far {
			continue
		}
		if s.chi < best {
			best, second, off, fit = s.chi, best, these, s
		} else {
			second = math.Min(second, s.chi)
		}
	}
	margin := float64(NamingMargin)
	if off == nil || !(second > best+margin) || !(chi > best+2*margin) {
		return Warning{}, solved{}, false
	}
	worst := 0.0
	for _, r := range fit.offs(off) {
		worst = math.Max(worst, r)
	}
	w := Warning{Code: CodeDisagrees, About: off[0].label(), Doubt: worst,
		Text: fmt.Sprintf("the marks %s disagree with all others, by up to %.0f marking errors, and have little weight%s: check the name of the line", off[0].label(), worst, fit.whereabouts(off))}
	return w, fit, true
}

// whereabouts says which line the first and the last of some marks show.
func (s solved) whereabouts(marks []Point) string {
	p := newPlacing(s, 0)
	a, err1 := p.Floor(marks[0].At, 0)
	b, err2 := p.Floor(marks[len(marks)-1].At, 0)
	if err1 != nil || err2 != nil {
		return ""
	}
	return fmt.Sprintf(", as if they showed the line through (%.2f, %.2f) and (%.2f, %.2f) m", a.Mean[0], a.Mean[1], b.Mean[0], b.Mean[1])
}

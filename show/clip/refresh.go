package clip

import (
	"slices"

	"mesure/show/report"
	"mesure/show/script"
	"mesure/study"
)

// Refresh fits a storyboard to a newer script, reading and plates. One that the coach has
// not edited is drafted anew, in its form. Of an edited one only the lines go that the
// script no longer has; what else of it cannot be shown any more is told by Check. The
// board handed in is not changed. It returns the errors of Draft.
func Refresh(b Board, now *script.Script, r *study.Reading, plates []report.Plate) (Board, error) {
	if !b.Edited {
		return Draft(r, now, plates, b.Form)
	}
	if now == nil {
		return Board{}, errNothing
	}
	has := map[string]bool{}
	for _, p := range now.Parts {
		for _, l := range p.Lines {
			has[lineID(p.Kind, l)] = true
		}
	}
	out := b
	out.Shots = slices.Clone(b.Shots)
	for i := range out.Shots {
		if s := &out.Shots[i]; slices.ContainsFunc(s.Lines, func(l string) bool { return !has[l] }) {
			s.Lines = slices.DeleteFunc(slices.Clone(s.Lines), func(l string) bool { return !has[l] })
		}
	}
	return out, nil
}

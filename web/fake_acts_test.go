package web

import (
	"context"
	"slices"
	"strings"

	"mesure/study"
)

// Acts looks into every bout that is shown.
func (m *memory) Acts(ctx context.Context, q study.ActQuery) ([]study.Act, error) {
	bouts, err := m.List(ctx, study.KindBout, "")
	if err != nil {
		return nil, err
	}
	place := func(id study.ID) int {
		return slices.IndexFunc(bouts, func(d study.Document) bool { return d.ID == id })
	}
	acts := study.IndexerOf(plainPapers{})
	var all []study.Act
	for _, d := range bouts {
		for _, a := range acts(d) {
			if q.Keeps(a, func(a, b study.ID) int { return place(a) - place(b) }) {
				all = append(all, a)
			}
		}
	}
	slices.SortStableFunc(all, func(a, b study.Act) int { return strings.Compare(a.Day, b.Day) })
	if q.Newest > 0 && len(all) > q.Newest {
		all = all[len(all)-q.Newest:]
	}
	return all, nil
}

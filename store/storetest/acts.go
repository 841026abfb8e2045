package storetest

import (
	"context"
	"slices"
	"strings"

	"mesure/study"
)

// Acts asks the indexer anew of every bout that is shown: the plainest way to be right.
func (m *memory) Acts(ctx context.Context, q study.ActQuery) ([]study.Act, error) {
	if err := m.begin(ctx); err != nil {
		return nil, err
	}
	defer m.mu.Unlock()
	if m.acts == nil {
		return nil, nil
	}
	place := map[study.ID]int{}
	for i, k := range m.docs {
		place[k.id] = i
	}
	made := func(a, b study.ID) int {
		i, there := place[b]
		if !there { // before nothing that is here
			return 1
		}
		return place[a] - i
	}
	var all []study.Act
	for _, k := range m.docs {
		if k.kind != study.KindBout {
			continue
		}
		for _, a := range m.acts(k.show(k.at)) {
			if q.Keeps(a, made) {
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

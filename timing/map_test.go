package timing

import (
	"math/rand/v2"
	"testing"
)

func distanceMap(t testing.TB, x Exchange, draws int) DistanceMap {
	t.Helper()
	m, err := x.Map(epee(), DefaultGrid(), draws, rand.NewPCG(3, 3))
	if err != nil {
		t.Fatal(err)
	}
	return m
}

func TestMapPrint(t *testing.T) {
	m := distanceMap(t, lungeAt(t, 1.2, .9), MapDraws)
	letter := map[Zone]string{ZoneNobody: ".", ZoneDefender: "D", ZoneBoth: "2", ZoneParry: "p", ZoneOutruns: "A"}
	for j := m.Grid.Leads - 1; j >= 0; j-- {
		s := ""
		for i := range m.Grid.Gaps {
			s += letter[m.Cell(i, j).Zone]
		}
		t.Logf("%6.3f %s", m.Grid.Lead(j), s)
	}
}

func BenchmarkMap(b *testing.B) {
	x := lungeAt(b, 1.2, .9)
	g := DefaultGrid()
	for b.Loop() {
		if _, err := x.Map(epee(), g, MapDraws, rand.NewPCG(1, 1)); err != nil {
			b.Fatal(err)
		}
	}
	b.ReportMetric(float64(b.N*g.Gaps*g.Leads)/b.Elapsed().Seconds(), "cells/s")
}

package chart

import (
	"errors"
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"mesure/quantity"
	"mesure/sport/mark"
	"mesure/study"
	"mesure/timing"
)

// phi is the normal distribution.
func phi(z float64) float64 { return 0.5 * math.Erfc(-z/math.Sqrt2) }

// laid is a map in closed form, not by draws, so that a golden picture hangs on what is
// drawn and not on the model: the attack that travels speed metres a second after 80 ms
// and reaches to reach, against an extension that lands 300 ms after its start; all
// normal and independent, to four decimals.
func laid(g timing.Grid, reach, own, speed float64) timing.DistanceMap {
	m := timing.DistanceMap{Grid: g, Draws: 20_000}
	fine := func(v float64) quantity.Of[quantity.Chance] {
		return quantity.Normal(quantity.Chance(math.Round(v*1e4)/1e4), .003)
	}
	for i := range g.Gaps {
		gap := float64(g.Gap(i))
		hit, arrives, answers := .08+gap/speed, phi((reach-gap)/.12), phi((own-gap)/.1)
		for j := range g.Leads {
			lead := float64(g.Lead(j))
			late := lead + .16 + .12*gap - hit // of the defender's point
			first, lights := phi((-.045-late)/.09), phi((.045-late)/.09)
			c := timing.Cell{DefenderOnly: fine(answers * (first*arrives + 1 - arrives)), Both: fine(answers * (lights - first) * arrives),
				Neither: fine((1 - arrives) * (1 - answers)), Outruns: fine(arrives * phi((lead+.16-hit)/.09))}
			c.AttackerOnly = fine(1 - float64(c.DefenderOnly.Mean+c.Both.Mean+c.Neither.Mean))
			best := c.Neither.Mean
			c.Zone = timing.ZoneNobody
			for _, o := range []struct {
				p quantity.Chance
				z timing.Zone
			}{{c.DefenderOnly.Mean, timing.ZoneDefender}, {c.Both.Mean, timing.ZoneBoth}, {c.AttackerOnly.Mean, timing.ZoneParry}} {
				if o.p > best {
					best, c.Zone = o.p, o.z
				}
			}
			if c.Zone == timing.ZoneParry && c.Outruns.Mean > .5 {
				c.Zone = timing.ZoneOutruns
			}
			m.Cells = append(m.Cells, c)
		}
	}
	return m
}

// modelled is the map of an exchange by the model.
func modelled(t testing.TB, x timing.Exchange, g timing.Grid) timing.DistanceMap {
	t.Helper()
	m, err := x.Map(epeeBox(), g, 2000, rand.NewPCG(7, 7))
	if err != nil {
		t.Fatal(err)
	}
	return m
}

// mapped is a reading with a distance map and these stops: gap, its SD, lead and its
// SD.
func mapped(t testing.TB, m timing.DistanceMap, here int, stops ...[4]float64) *study.Reading {
	t.Helper()
	names := []string{"right steps in", "left launches", "right’s hand answers", "the blades meet in quarte, close to the guard of left", "the hit"}
	var in []timing.Instant
	for i, s := range stops {
		name := fmt.Sprintf("frame %d", 40+i)
		if i < len(names) {
			name = names[i]
		}
		in = append(in, timing.Instant{Name: name, At: quantity.Normal(quantity.Seconds(1.5+.05*float64(i)), .01),
			Gap: quantity.Normal(quantity.Metres(s[0]), quantity.Metres(s[1])), Lead: quantity.Normal(quantity.Seconds(s[2]), quantity.Seconds(s[3]))})
	}
	path, err := m.Path(in)
	if err != nil {
		t.Fatal(err)
	}
	r := reading(t)
	r.Timing = &study.Timing{At: study.At{Take: "live", Frame: 42}, Moment: "launch", Attacker: mark.Left,
		Map: &study.Map{DistanceMap: m, Attacker: mark.Left, Target: mark.Chest, Path: path, Here: here, Reach: timing.DefaultReach(),
			Finding: "At the launch the extension still doubles; 150 ms later only the parry serves"}}
	return r
}

// touchStops are those of a touch: a step in, a lunge, and what follows.
var touchStops = [][4]float64{{1.62, .05, 0, 0}, {1.2, .04, 0, 0}, {1.2, .04, .15, .012}, {1.2, .04, .26, .012}, {1.2, .04, .42, .02}}

// distanceCases are readings of every kind that the picture must bear, by the model or
// by closed form.
func distanceCases(t testing.TB, now bool) map[string]*study.Reading {
	near := timing.Grid{GapFrom: .1, GapTo: 1.4, Gaps: 12, LeadFrom: 0, LeadTo: .3, Leads: 8}
	maps := [3]timing.DistanceMap{laid(timing.DefaultGrid(), 1.5, 1.1, 2.4), laid(timing.DefaultGrid(), 2.3, 1.4, 2.8), laid(near, .5, 1, 2)}
	if now {
		maps = [3]timing.DistanceMap{modelled(t, exchange(t, timing.Lunge, 1.2, .1), timing.DefaultGrid()),
			modelled(t, exchange(t, timing.StepLunge, 1.2, -.2), timing.DefaultGrid()), modelled(t, exchange(t, timing.Extension, 1.2, -.6), near)}
	}
	touch := mapped(t, maps[0], 1, touchStops...)

	// The right fencer attacks; many stops close together, one beyond the map.
	var many [][4]float64
	for i := range 14 {
		many = append(many, [4]float64{1.3 - .03*float64(i), .03, .02 * float64(i), .01})
	}
	many = append(many, [4]float64{3.6, .1, .1, .02})
	crowd := mapped(t, maps[1], 12, many...)
	crowd.Timing.Attacker, crowd.Timing.Map.Attacker = mark.Right, mark.Right
	crowd.Timing.Map.Target = mark.UpperArm

	// A small grid, no stop, no reach.
	small := mapped(t, maps[2], -1)
	small.Timing.Map.Reach = timing.Reach{}
	small.Timing.Map.Finding = ""
	return map[string]*study.Reading{"touch": touch, "crowd": crowd, "small": small}
}

func TestDistanceGolden(t *testing.T) {
	golden(t, "distance", drawAll(t, distanceCases(t, false), Distance), "touch-wide-paper", "touch-phone-paper", "touch-wide-night", "crowd-phone-night", "crowd-wide-paper", "small-wide-bare")
}

func TestDistanceStandsFree(t *testing.T) {
	for _, now := range [2]bool{false, true} {
		standsFree(t, drawAll(t, distanceCases(t, now), Distance), 60_000)
	}
}

func TestNoMapIsANamedError(t *testing.T) {
	r := reading(t)
	for _, tm := range []*study.Timing{nil, {}, {Map: &study.Map{}}} {
		r.Timing = tm
		if _, err := Distance(r, Options{}); !errors.Is(err, ErrNoMap) {
			t.Errorf("%+v gives %v", tm, err)
		}
	}
}

func BenchmarkDistance(b *testing.B) {
	r := mapped(b, laid(timing.DefaultGrid(), 1.5, 1.1, 2.4), 1, touchStops...)
	for b.Loop() {
		if _, err := Distance(r, Options{}); err != nil {
			b.Fatal(err)
		}
	}
}

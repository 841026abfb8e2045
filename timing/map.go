package timing

import (
	"math"
	"math/rand/v2"

	"mesure/quantity"
)

// Zone is what a place of the distance map means for the defender.
type Zone string

// The zones: the most likely lamps where the defender extends into the attack;
// where those are the attacker's alone, whether a lateral parry would have been in
// time.
const (
	ZoneNobody   Zone = "nobody-threatens"
	ZoneDefender Zone = "only-the-defender-hits"
	ZoneBoth     Zone = "both-double"
	ZoneParry    Zone = "only-the-attacker-hits"   // and the parry is in time
	ZoneOutruns  Zone = "attack-outruns-the-parry" // and the attacker alone hits
)

// Zones lists the zones in the order from the defender's best to the worst.
func Zones() [5]Zone {
	return [5]Zone{ZoneNobody, ZoneDefender, ZoneBoth, ZoneParry, ZoneOutruns}
}

// Grid is where a distance map is computed: Gaps places from GapFrom to GapTo, by
// Leads places from LeadFrom to LeadTo, ends included.
type Grid struct {
	GapFrom, GapTo   quantity.Metres
	Gaps             int
	LeadFrom, LeadTo quantity.Seconds
	Leads            int
}

// The grid of DefaultGrid, and how many draws a map needs.
const (
	// MapGapFrom is where the default map begins (our choice: within the arm).
	MapGapFrom = quantity.Metres(0.05)
	// MapGapTo is where it ends (our choice: beyond the step and lunge).
	MapGapTo = quantity.Metres(3.0)
	// MapLeadFrom is the least lead: the defender moves 100 ms before the attacker
	// (our choice).
	MapLeadFrom = quantity.Seconds(-0.10)
	// MapLeadTo is the greatest lead (our choice: longer than cue and reaction
	// among four answers).
	MapLeadTo = quantity.Seconds(0.60)
	// MapDraws is the number of draws at which the chances of a map are right to
	// ±0.004 at worst (half over its root).
	MapDraws = 20_000
	// mostCells bounds a grid: beyond it a picture shows no more.
	mostCells = 100_000
)

// DefaultGrid has 60 gaps by 40 leads.
func DefaultGrid() Grid {
	return Grid{GapFrom: MapGapFrom, GapTo: MapGapTo, Gaps: 60, LeadFrom: MapLeadFrom, LeadTo: MapLeadTo, Leads: 40}
}

// Gap returns the gap of column i, and Lead the lead of row j.
func (g Grid) Gap(i int) quantity.Metres {
	return g.GapFrom + quantity.Metres(float64(float64(i)*float64(g.GapTo-g.GapFrom)/float64(g.Gaps-1)))
}

// Lead returns the lead of row j.
func (g Grid) Lead(j int) quantity.Seconds {
	return g.LeadFrom + quantity.Seconds(float64(float64(j)*float64(g.LeadTo-g.LeadFrom)/float64(g.Leads-1)))
}

// check refuses grids without a picture.
func (g Grid) check() error {
	for _, c := range []struct {
		field string
		bad   bool
		v     float64
		want  string
	}{
		{"least gap of the map", !(g.GapFrom >= 0 && g.GapFrom <= maxLength), float64(g.GapFrom), "between 0 and 100 m"},
		{"greatest gap of the map", !(g.GapTo > g.GapFrom && g.GapTo <= maxLength), float64(g.GapTo), "greater than the least, and at most 100 m"},
		{"least lead of the map", !(math.Abs(float64(g.LeadFrom)) <= maxTime), float64(g.LeadFrom), "a time of at most 1000 s"},
		{"greatest lead of the map", !(g.LeadTo > g.LeadFrom && g.LeadTo <= maxTime), float64(g.LeadTo), "greater than the least, and at most 1000 s"},
		{"number of gaps of the map", g.Gaps < 2 || g.Gaps > mostCells, float64(g.Gaps), "at least 2, and at most 100,000 cells in all"},
		{"number of leads of the map", g.Leads < 2 || g.Leads > mostCells, float64(g.Leads), "at least 2, and at most 100,000 cells in all"},
	} {
		if c.bad {
			return &InputError{c.field, c.v, c.want}
		}
	}
	if g.Gaps*g.Leads > mostCells {
		return &InputError{"number of cells of the map", float64(g.Gaps * g.Leads), "at most 100,000: take fewer gaps or leads"}
	}
	return nil
}

// Cell is one place of a distance map.
type Cell struct {
	// Which lamps light where the defender extends; the four sum to 1. Each SD is
	// that of the draws.
	AttackerOnly, DefenderOnly, Both, Neither quantity.Of[quantity.Chance]
	// Outruns is the chance that the attack hits before a lateral parry, started
	// instead of the extension, is there.
	Outruns quantity.Of[quantity.Chance]
	Zone    Zone
}

// DistanceMap is who threatens whom, by gap and lead.
type DistanceMap struct {
	Grid Grid
	// Cells has the cell of gap i and lead j at i·Leads + j.
	Cells []Cell
	// Ahead is by how much the defender's gap is greater than the attacker's,
	// everywhere on the map.
	Ahead quantity.Metres
	Draws int
}

// Cell returns the cell of gap i and lead j. It panics outside the grid.
func (m DistanceMap) Cell(i, j int) Cell {
	if i < 0 || i >= m.Grid.Gaps || j < 0 || j >= m.Grid.Leads {
		panic("timing: no such cell of the map")
	}
	return m.Cells[i*m.Grid.Leads+j]
}

// Map computes the distance map of the pair. The gap is from the attacker's point
// to its target when the attack starts; the defender's gap is greater by as much
// as in the exchange, but never below 0. The lead is by how much the attacker
// starts before the defender: negative where the defender moves first.
//
// At each place, in each draw: with H the hit of the attack on a target that
// stays, the defender's extension that starts at the lead alone lights, both
// light, or the attacker's alone, as it lands before H − window, before
// H + window, or later (contacts included, the attacker's target coming closer);
// where the attack falls short the defender lights or nobody does. Both are on
// guard before: what a defender who moves first has travelled by the start of the
// attack counts, and a point that has not started hits nobody. The parry that
// starts at the lead is outrun where lead + time of the parry exceeds H.
//
// The same draws serve every place (common random numbers), so that the map is
// smooth and asked again with an equal source and changed inputs shows the change
// alone. Both gaps are exact here, the spread of the exchange's gaps is left out:
// it belongs to the path. Its onset and reaction are not used: the lead is both. A
// defender who comes forward does so at every place as far from the start of the
// attack as in the exchange.
// MapDraws will do for a picture.
//
// It returns *InputError for a number or a grid that cannot be used. src may be
// nil only where nothing is uncertain.
func (x Exchange) Map(app Apparatus, g Grid, draws int, src rand.Source) (DistanceMap, error) {
	if draws < 1 || draws > MaxDraws {
		return DistanceMap{}, &InputError{"number of draws", float64(draws), "between 1 and 10 million"}
	}
	if err := g.check(); err != nil {
		return DistanceMap{}, err
	}
	if _, err := newBout(x, app); err != nil { // the gaps as they are
		return DistanceMap{}, err
	}
	ahead := x.Defence.Gap.Mean - x.Attack.Gap.Mean
	x.Attack.Gap, x.Defence.Gap = quantity.Exactly(x.Attack.Gap.Mean), quantity.Exactly(x.Defence.Gap.Mean)
	if at := &x.Defence.Coming.Onset.Time; *at != x.Attack.Onset.Time { // on the clock of the attack
		*at = moveLaw(*at, -x.Attack.Onset.Time.Mean, farthest)
	}
	x.Attack.Onset = Simultaneous()
	b, err := newBout(x, app)
	if err != nil {
		return DistanceMap{}, err
	}
	certain := b.mapCertain()
	if certain {
		draws = 1
	}
	seed, err := seedOf(src, certain)
	if err != nil {
		return DistanceMap{}, err
	}
	all := newMapCount(g)
	for _, p := range inBlocks(draws, seed, func(n int, rng *stream) *mapCount { return b.count(g, float64(ahead), n, rng) }) {
		all.add(p)
	}
	return DistanceMap{Grid: g, Cells: all.cells(g, draws, certain), Ahead: ahead, Draws: draws}, nil
}

// mapCertain reports whether nothing is uncertain that the map depends on.
func (b *bout) mapCertain() bool {
	for _, i := range [...]int{wArm, wArmTime, wBody, wBodyTime, wDelay, wWindow, wContact, wOwnArm, wOwnArmTime, wOwnContact, wParry, wComing, wComingTime, wComingAt, wComingArm, wComingArmTime, wComingArmAt} {
		if b.in[i].sd != 0 {
			return false
		}
	}
	return true
}

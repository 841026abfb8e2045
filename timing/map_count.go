package timing

import (
	"math"

	"mesure/quantity"
)

// mapCount counts draws by gap and by how many leads of the grid each answer is
// still in time at: since an answer that starts later never lands earlier, one
// threshold for each draw and gap says all there is about its leads.
type mapCount struct {
	single, double, parry []int32 // by gap·(leads+1) + number of leads in time
	arrives, alone        []int32 // by gap; alone: the attack falls short and the defender reaches
}

func newMapCount(g Grid) *mapCount {
	n := g.Gaps * (g.Leads + 1)
	return &mapCount{make([]int32, n), make([]int32, n), make([]int32, n), make([]int32, g.Gaps), make([]int32, g.Gaps)}
}

func (c *mapCount) add(o *mapCount) {
	for _, p := range [...][2][]int32{{c.single, o.single}, {c.double, o.double}, {c.parry, o.parry}, {c.arrives, o.arrives}, {c.alone, o.alone}} {
		for i, v := range p[1] {
			p[0][i] += v
		}
	}
}

// count makes n draws over the whole grid.
func (b *bout) count(g Grid, ahead float64, n int, rng *stream) *mapCount {
	c := newMapCount(g)
	from, step := float64(g.LeadFrom), float64(g.LeadTo-g.LeadFrom)/float64(g.Leads-1)
	inTime := func(last float64) int { // how many leads are not later than this
		k := (last-from)/step + 1e-9
		switch {
		case !(k >= 0):
			return 0
		case k >= float64(g.Leads-1):
			return g.Leads
		}
		return int(k) + 1
	}
	var d draw
	for range n {
		b.next(&d, rng)
		x := &d.x
		before, guess := math.NaN(), math.NaN()
		for i := range g.Gaps {
			gap := float64(g.Gap(i))
			x[wGap], x[wOwnGap] = gap, max(0, gap+ahead)
			d.hit = math.Inf(1)
			if t, ok := d.attack.first(gap, guess); ok {
				d.hit, guess, before = t, 2*t-before, t
			}
			row := i * (g.Leads + 1)
			if math.IsInf(d.hit, 1) {
				k := inTime(d.counter(d.hit))
				if k > 0 {
					c.alone[i]++
				}
				c.single[row+k]++
				c.double[row+k]++
				c.parry[row+g.Leads]++
				continue
			}
			c.arrives[i]++
			margin := d.hit + x[wContact] - x[wOwnContact]
			c.single[row+inTime(d.counter(margin-x[wWindow]))]++
			c.double[row+inTime(d.counter(margin+x[wWindow]))]++
			c.parry[row+inTime(d.hit-x[wParry])]++
		}
	}
	return c
}

// cells turns the counts into chances and zones.
func (c *mapCount) cells(g Grid, n int, certain bool) []Cell {
	out := make([]Cell, g.Gaps*g.Leads)
	share := func(k int) quantity.Of[quantity.Chance] {
		if certain {
			return quantity.Exactly(quantity.Chance(k))
		}
		return quantity.FromCounts(k, n)
	}
	for i := range g.Gaps {
		single, double, parry := 0, 0, 0 // draws in time at lead j
		for j := g.Leads - 1; j >= 0; j-- {
			at := i*(g.Leads+1) + j + 1
			single, double, parry = single+int(c.single[at]), double+int(c.double[at]), parry+int(c.parry[at])
			attacker := int(c.arrives[i]) - (double - int(c.alone[i]))
			cell := Cell{AttackerOnly: share(attacker), DefenderOnly: share(single), Both: share(double - single),
				Neither: share(n - attacker - double), Outruns: share(n - parry)}
			cell.Zone = cell.zone()
			out[i*g.Leads+j] = cell
		}
	}
	return out
}

// zone is the zone of the chances; the one that is better for the defender where
// two are equally likely.
func (c Cell) zone() Zone {
	best, p := ZoneNobody, c.Neither.Mean
	if c.DefenderOnly.Mean > p {
		best, p = ZoneDefender, c.DefenderOnly.Mean
	}
	if c.Both.Mean > p {
		best, p = ZoneBoth, c.Both.Mean
	}
	if c.AttackerOnly.Mean > p {
		best = ZoneParry
		if c.Outruns.Mean > 0.5 {
			best = ZoneOutruns
		}
	}
	return best
}

// Instant is a moment of the touch on a distance map.
type Instant struct {
	Name string
	At   quantity.Of[quantity.Seconds] // on the clock of the touch
	Gap  quantity.Of[quantity.Metres]
	Lead quantity.Of[quantity.Seconds]
}

// Stop is an instant on its way through the map.
type Stop struct {
	Instant
	// Cell is the map between its places, by straight lines, at the means of gap
	// and lead; at the nearest edge where Inside is false.
	Cell   Cell
	Inside bool
}

// At returns the map at any gap and lead: between its places by straight lines
// each way, beyond them at the nearest edge, and then false. The SDs are
// interpolated likewise. It returns *InputError where gap or lead is not a number.
func (m DistanceMap) At(gap quantity.Metres, lead quantity.Seconds) (Cell, bool, error) {
	if math.IsNaN(float64(gap)) {
		return Cell{}, false, &InputError{"gap on the map", float64(gap), "a number of metres"}
	}
	if math.IsNaN(float64(lead)) {
		return Cell{}, false, &InputError{"lead on the map", float64(lead), "a number of seconds"}
	}
	g := m.Grid
	i, u, in := place(float64(gap-g.GapFrom)/float64(g.GapTo-g.GapFrom), g.Gaps)
	j, v, on := place(float64(lead-g.LeadFrom)/float64(g.LeadTo-g.LeadFrom), g.Leads)
	corners := [4]Cell{m.Cell(i, j), m.Cell(i, j+1), m.Cell(i+1, j), m.Cell(i+1, j+1)}
	weights := [4]float64{(1 - u) * (1 - v), (1 - u) * v, u * (1 - v), u * v}
	var out Cell
	for k, c := range corners {
		w := quantity.Chance(weights[k])
		for _, p := range [...][2]*quantity.Of[quantity.Chance]{{&out.AttackerOnly, &c.AttackerOnly}, {&out.DefenderOnly, &c.DefenderOnly},
			{&out.Both, &c.Both}, {&out.Neither, &c.Neither}, {&out.Outruns, &c.Outruns}} {
			p[0].Mean += w * p[1].Mean
			p[0].SD += w * p[1].SD
			p[0].Lo += w * p[1].Lo
			p[0].Hi += w * p[1].Hi
		}
	}
	out.Zone = out.zone()
	return out, in && on, nil
}

// place returns the cell below a share of a side of n places, the share within
// it, and whether it lies on the side.
func place(share float64, n int) (i int, part float64, inside bool) {
	inside = share >= -1e-12 && share <= 1+1e-12
	at := max(0, min(1, share)) * float64(n-1)
	i = min(int(at), n-2)
	return i, at - float64(i), inside
}

// Path leads the instants of a touch through the map, in their order. It returns
// *InputError for an instant without a number for gap or lead.
func (m DistanceMap) Path(instants []Instant) ([]Stop, error) {
	out := make([]Stop, len(instants))
	for k, in := range instants {
		c, inside, err := m.At(in.Gap.Mean, in.Lead.Mean)
		if err != nil {
			return nil, err
		}
		out[k] = Stop{Instant: in, Cell: c, Inside: inside}
	}
	return out, nil
}

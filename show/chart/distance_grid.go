package chart

import (
	"math"

	"mesure/show/draw"
	"mesure/timing"
)

// chances are what a place of the map says: who hits, in the order of timing.Zones,
// and whether the attack outruns the parry.
type chances [5]float64

// Places in chances.
const (
	attackerOnly = 3
	outruns      = 4
)

func chancesOf(c timing.Cell) chances {
	return chances{float64(c.Neither.Mean), float64(c.DefenderOnly.Mean), float64(c.Both.Mean), float64(c.AttackerOnly.Mean), float64(c.Outruns.Mean)}
}

// ahead is by how much a zone, by its place in timing.Zones, is likelier than the next
// one. The two zones of the attacker part where the parry is outrun in half of the
// draws.
func (p *chances) ahead(zone int) float64 {
	own := min(zone, attackerOnly)
	other := math.Inf(-1)
	for k, v := range p[:outruns] {
		if k != own && v > other {
			other = v
		}
	}
	by := p[own] - other
	switch zone {
	case 3:
		return min(by, 0.5-p[outruns])
	case 4:
		return min(by, p[outruns]-0.5)
	}
	return by
}

// sure is how likely the zone is; of the attacker's zones the less likely of who hits
// and of whether the parry is in time.
func (p *chances) sure() float64 {
	best := 0
	for k, v := range p[:outruns] {
		if v > p[best] {
			best = k
		}
	}
	if best == attackerOnly {
		return min(p[best], max(p[outruns], 1-p[outruns]))
	}
	return p[best]
}

// Places of the fine grid, at least: so many that where three zones meet nothing is
// seen of the gap between their outlines.
const (
	fineGaps  = 118
	fineLeads = 78
)

// refine puts places between those of the map, by straight lines each way as
// timing.DistanceMap.At does.
func (c *distance) refine() {
	g := c.m.Grid
	ki, kj := (fineGaps+g.Gaps-2)/(g.Gaps-1), (fineLeads+g.Leads-2)/(g.Leads-1)
	nx, ny := (g.Gaps-1)*ki+1, (g.Leads-1)*kj+1
	coarse := make([]chances, len(c.m.Cells))
	for k, cell := range c.m.Cells {
		coarse[k] = chancesOf(cell)
	}
	c.fx, c.fy, c.fine = make([]draw.MM, nx), make([]draw.MM, ny), make([]chances, nx*ny)
	for i := range nx {
		c.fx[i] = c.plot.X + c.plot.W*draw.MM(i)/draw.MM(nx-1)
	}
	for j := range ny {
		c.fy[j] = c.plot.Bottom() - c.plot.H*draw.MM(j)/draw.MM(ny-1)
	}
	for i := range nx {
		ci := min(i/ki, g.Gaps-2)
		u := float64(i-ci*ki) / float64(ki)
		for j := range ny {
			cj := min(j/kj, g.Leads-2)
			v := float64(j-cj*kj) / float64(kj)
			a, b := &coarse[ci*g.Leads+cj], &coarse[(ci+1)*g.Leads+cj]
			d, e := &coarse[ci*g.Leads+cj+1], &coarse[(ci+1)*g.Leads+cj+1]
			out := &c.fine[i*ny+j]
			for n := range out {
				out[n] = (1-u)*(1-v)*a[n] + u*(1-v)*b[n] + (1-u)*v*d[n] + u*v*e[n]
			}
		}
	}
}

// field is a function of the chances as a field on the sheet.
func (c *distance) field(of func(*chances) float64) field {
	f := field{c.fx, c.fy, make([]float64, len(c.fine))}
	for k := range c.fine {
		f.v[k] = of(&c.fine[k])
	}
	return f
}

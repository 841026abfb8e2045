package chart

import (
	"fmt"
	"strings"

	"mesure/quantity"
	"mesure/show/draw"
	"mesure/show/plate"
	"mesure/timing"
)

// sided says words about attacker and defender with the sides.
func (c *distance) sided(words string) string {
	att, def := strings.ToLower(plate.Name(c.att)), strings.ToLower(plate.Name(c.def))
	return strings.NewReplacer("the attacker", att, "the defender", def, "the attack ", att+"’s attack ").Replace(words)
}

// zoneWords is the name of a zone for these two fencers.
func (c *distance) zoneWords(z timing.Zone) string { return c.sided(plate.ZoneWords(z)) }

// zoneNames are what may stand in the map, the longest first; lines are broken at \n.
func (c *distance) zoneNames(z timing.Zone) []string {
	att, def := strings.ToLower(plate.Name(c.att)), strings.ToLower(plate.Name(c.def))
	switch z {
	case timing.ZoneNobody:
		return []string{"nobody threatens", "nobody\nthreatens", "nobody"}
	case timing.ZoneDefender:
		return []string{"only " + def + " hits", "only\n" + def + " hits", def + "\nhits", def}
	case timing.ZoneBoth:
		return []string{"both hit: a double", "both hit", "double"}
	case timing.ZoneParry:
		return []string{"only " + att + " hits,\na parry is in time", "parry in time", "parry\nin time", "parry"}
	}
	return []string{att + "’s attack\noutruns the parry", "outruns\nthe parry", "outruns", "out-\nruns"}
}

// keys of the legend: the zones that occur, the doubt and the lines.
func (c *distance) keys() []key {
	var all []key
	seen := map[timing.Zone]bool{}
	for _, cell := range c.m.Cells {
		seen[cell.Zone] = true
	}
	for z, name := range timing.Zones() {
		if seen[name] {
			all = append(all, key{c.zoneWords(name), 7, func(sh *plate.Sheet, b draw.Box) {
				zoneFill(sh, z, b.Path(), c.att)
				sh.Stroke(b.Path(), draw.Pen{Colour: sh.Theme.Ink, Width: 0.25})
			}})
		}
	}
	if seen[timing.ZoneParry] || seen[timing.ZoneOutruns] {
		all = append(all, key{"the parry is outrun in 10 and 90" + nb + "%", 7, func(sh *plate.Sheet, b draw.Box) {
			sh.Stroke(draw.Segment(draw.Pt{X: b.X, Y: b.Y + b.H/2}, draw.Pt{X: b.Right(), Y: b.Y + b.H/2}), draw.Pen{Colour: sh.Theme.Ink, Width: 0.28, Dash: []draw.MM{1.4, 1.2}})
		}})
	}
	all = append(all, key{"paler: fewer than 3 draws of 4 agree", 7, func(sh *plate.Sheet, b draw.Box) {
		zoneFill(sh, 1, b.Path(), c.att)
		sh.Fill(draw.Box{X: b.X + b.W/2, Y: b.Y, W: b.W / 2, H: b.H}.Path(), sh.Theme.Ground.Fade(0.5))
	}})
	return all
}

// leadWords says who starts first, and by how much.
func (c *distance) leadWords(lead quantity.Of[quantity.Seconds]) string {
	switch {
	case !lead.IsValid():
		return ""
	case lead.Mean == 0 && lead.SD == 0:
		return "no lead"
	}
	return "lead " + plate.Milliseconds(lead)
}

// zoneOf says in few words what a stop means.
func (c *distance) zoneOf(s timing.Stop) string {
	if !s.Inside {
		return "beyond the map"
	}
	switch s.Cell.Zone {
	case timing.ZoneParry:
		return "a parry is in time"
	case timing.ZoneOutruns:
		return "the parry is outrun"
	}
	return c.zoneWords(s.Cell.Zone)
}

// sureOf is the chance of the zone of a stop.
func (c *distance) sureOf(s timing.Stop) string {
	if !s.Inside {
		return ""
	}
	p := chancesOf(s.Cell)
	return plate.Chance(quantity.Chance(p.sure()))
}

func (c *distance) desc() string {
	var b strings.Builder
	g := c.m.Grid
	fmt.Fprintf(&b, "A map of gaps from %.2f to %.2f m and leads from %.0f to %.0f ms. ", g.GapFrom, g.GapTo, 1000*g.LeadFrom, 1000*g.LeadTo)
	for _, s := range c.stops {
		fmt.Fprintf(&b, "%d, %s: %s, %s: %s, %s. ", s.number, s.Name, plate.Metres(s.Gap), c.leadWords(s.Lead), c.zoneOf(s.Stop), c.sureOf(s.Stop))
	}
	return strings.TrimSpace(b.String())
}

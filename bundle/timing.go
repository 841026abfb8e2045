package bundle

import (
	"slices"

	"mesure/quantity"
	"mesure/sport/mark"
	"mesure/study"
)

const ms = 1000

// spread rounds a quantity whose numbers are multiplied by scale first; nil where it is
// no number.
func spread[U quantity.Unit](q quantity.Of[U], scale float64) *spreadFile {
	if !q.IsValid() {
		return nil
	}
	r := roundOf(q, scale)
	return &spreadFile{r.mean, r.sd, r.lo, r.hi}
}

// spreadOr is spread for a quantity whose zero value says that there is none.
func spreadOr[U quantity.Unit](q quantity.Of[U], scale float64) *spreadFile {
	if q == (quantity.Of[U]{}) {
		return nil
	}
	return spread(q, scale)
}

// spreadAt is spread for a quantity that may not be there.
func spreadAt[U quantity.Unit](q *quantity.Of[U], scale float64) *spreadFile {
	if q == nil {
		return nil
	}
	return spread(*q, scale)
}

// likely rounds a probability or a share to the places that draws resolve.
func likely[U quantity.Unit](q quantity.Of[U]) *spreadFile {
	if !q.IsValid() {
		return nil
	}
	at := func(x U) float64 { return round(float64(x), chancePlaces) }
	return &spreadFile{at(q.Mean), at(q.SD), at(q.Lo), at(q.Hi)}
}

// likelihood rounds a bare probability.
func likelihood(c quantity.Chance) float64 { return round(float64(c), chancePlaces) }

// tenth rounds a length or an angle without a doubt of its own.
func tenth[U ~float64](x U) float64 { return round(float64(x), metrePlaces) }

// list is a list of what is handed in, whatever its type is called.
func list[T any](all ...T) []T { return all }

func timingOf(x *study.Timing) *timingFile {
	if x == nil {
		return nil
	}
	f := &timingFile{
		Take: x.At.Take, Frame: int(x.At.Frame), Moment: x.Moment, At: spreadOr(x.Instant, 1), Why: x.AttackerWhy,
		Race: raceOf(x.Race), Windows: windowsOf(x.Windows), Parry: parryOf(x.Parry), Map: mapOf(x.Map),
		Left: stanceOf(x.Commits[mark.Left]), Right: stanceOf(x.Commits[mark.Right]), Started: startedOf(x.Started),
		Notes: []noteFile{}, Lacks: each(x.Lacks, lackOf),
	}
	if x.AttackerWhy != "" {
		f.Attacker = x.Attacker.String()
	}
	if w := x.WhatIf; w != nil {
		c := w.Change
		f.WhatIf = &whatIfFile{
			Change: changeFile{c.Who.String(), round(float64(c.Closer), maxPlaces), round(float64(c.Earlier), maxPlaces), round(float64(c.Longer), maxPlaces), string(c.Target)},
			Race:   raceOf(w.Race), Windows: windowsOf(w.Windows), Refused: w.Refused, Finding: w.Finding,
		}
	}
	for _, n := range x.Notes {
		f.Notes = append(f.Notes, noteFile{n.ID, n.Kind, n.Who.String(), n.Text, n.Reference, n.At.Take, int(n.At.Frame), round(n.Weight, chancePlaces), n.Dismissed})
	}
	return f
}

func windowsOf(w *study.Windows) *windowsFile {
	if w == nil {
		return nil
	}
	f := &windowsFile{
		Action: w.AttackAction, Target: string(w.AttackTarget), AnswerTarget: string(w.AnswerTarget),
		Gap: spread(w.Exchange.Attack.Gap, 1), AnswerGap: spread(w.Exchange.Defence.Gap, 1),
		Arrives: likely(w.Arrives), Hit: spreadOr(w.Hit, ms), Seen: spreadOr(w.Cue.At, ms), Left: spreadOr(w.Cue.Left, ms),
		Reaction: spreadOr(w.Exchange.Defence.Reaction.Law(), ms), Ready: spreadOr(w.Ready, ms), ReAim: spreadOr(w.ReAim, ms),
		Answers: []answerFile{}, Deciding: string(w.Deciding), Matters: []matterOf{},
		TravelStep: round(float64(study.TravelStep)*ms, maxPlaces), Travel: lengths(w.Travel), Draws: w.Draws, Finding: w.Finding,
	}
	if w.Cue.Left != (quantity.Of[quantity.Seconds]{}) {
		f.Gone = likely(w.Cue.Gone)
	}
	for _, a := range w.Each {
		f.Answers = append(f.Answers, answerFile{string(a.Answer), a.Asks, spreadOr(a.Earliest, ms), spreadOr(a.Latest, ms), spreadOr(a.Spare, ms), likely(a.InTime), likely(a.Possible)})
	}
	for _, m := range w.Matters {
		f.Matters = append(f.Matters, matterOf{m.Name, round(float64(m.Share), chancePlaces), m.Mend})
	}
	return f
}

func mapOf(m *study.Map) *mapFile {
	if m == nil {
		return nil
	}
	g := m.Grid
	f := &mapFile{
		Attacker: m.Attacker.String(), Target: string(m.Target), Ahead: tenth(m.Ahead),
		GapFrom: tenth(g.GapFrom), GapTo: tenth(g.GapTo), Gaps: g.Gaps,
		LeadFrom: round(float64(g.LeadFrom)*ms, maxPlaces), LeadTo: round(float64(g.LeadTo)*ms, maxPlaces), Leads: g.Leads,
		Short: spreadOr(m.Reach.Short, 1), Medium: spreadOr(m.Reach.Medium, 1), Long: spreadOr(m.Reach.Long, 1),
		AttackerOnly: []float64{}, DefenderOnly: []float64{}, Both: []float64{}, Neither: []float64{}, Outruns: []float64{},
		Zones: []string{}, Zone: []int{}, Stops: []stopFile{}, Draws: m.Draws, Finding: m.Finding,
	}
	for _, c := range m.Cells {
		zone := slices.Index(f.Zones, string(c.Zone))
		if zone < 0 {
			zone, f.Zones = len(f.Zones), append(f.Zones, string(c.Zone))
		}
		p := shares(float64(c.AttackerOnly.Mean), float64(c.DefenderOnly.Mean), float64(c.Both.Mean), float64(c.Neither.Mean))
		f.AttackerOnly, f.DefenderOnly = append(f.AttackerOnly, p[0]), append(f.DefenderOnly, p[1])
		f.Both, f.Neither = append(f.Both, p[2]), append(f.Neither, p[3])
		f.Outruns, f.Zone = append(f.Outruns, likelihood(c.Outruns.Mean)), append(f.Zone, zone)
	}
	for _, s := range m.Path {
		c := s.Cell
		f.Stops = append(f.Stops, stopFile{s.Name, spread(s.At, 1), spread(s.Gap, 1), spread(s.Lead, ms), string(c.Zone),
			likelihood(c.AttackerOnly.Mean), likelihood(c.DefenderOnly.Mean), likelihood(c.Both.Mean), likelihood(c.Neither.Mean), likelihood(c.Outruns.Mean), s.Inside})
	}
	if m.Here >= 0 && m.Here < len(m.Path) {
		f.Here = &m.Here
	}
	return f
}

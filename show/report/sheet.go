package report

import (
	"fmt"
	"html/template"
	"strings"

	"mesure/quantity"
	"mesure/show/chart"
	"mesure/show/plate"
	"mesure/sport/bout"
	"mesure/sport/mark"
	"mesure/study"
)

// sheet is what the page is filled with: every number is printed already.
type sheet struct {
	// Stave is the phrase in time; empty where nothing was written on it.
	Stave    template.HTML
	Phrase   *phraseSection // nil where nothing is written
	Style    template.CSS
	Title    string
	Kicker   string
	Fencers  []fencerLine
	Standing string
	Lamps    []lamp
	Invented bool
	Note     string

	Race     *raceSection
	Timings  []*timingSection
	Tactics  *tacticsSection
	Profile  *profileSection
	Instants []instantSection
	// Space has one instant in space, a movement, and the score up to the touch.
	Space    []template.HTML
	Moments  []momentLine
	Placings []placingLine
	PlacePic []template.HTML
	Warnings []warningLine
	Made     []madeLine
	Program  string
}

type fencerLine struct {
	Side       mark.Side
	Name, Club string
}

type lamp struct{ Class, Words string }

type raceSection struct {
	From     string
	Finding  string
	Draws    string
	Question string // what each is taken to do
	Supposes string // what every race supposes
	Picture  template.HTML
	Runs     []runLine
	Outcomes []outcomeLine
	Margin   *marginLine
	Matters  []matterLine
	Rest     string
}

type runLine struct {
	Side                            mark.Side
	Action, Target, Gap, GapBetween string
	Onset, OnsetText                string
	Arrival, ArrivalBetween, Based  string
}

type outcomeLine struct{ Words, Chance, Between string }

type marginLine struct{ Who, By, Between, Counts string }

type matterLine struct{ Name, Share, Mend string }

type instantSection struct {
	ID          string
	Name, Where string
	Picture     template.HTML
	Sides       []sideGaps
}

// sideGaps are the gaps of one fencer's point at an instant.
type sideGaps struct {
	Side  mark.Side
	Words string
	Gaps  []gapLine
}

type gapLine struct {
	Target, Gap, Between, Band string
	Nearest                    bool
}

type momentLine struct{ Name, Where, At, Between string }

type placingLine struct{ Where, Focal, Height, Distance, RMS string }

type warningLine struct{ About, Text string }

type madeLine struct{ Name, Value string }

func newSheet(r *study.Reading, o Options, plates []Plate) (*sheet, error) {
	t := r.Touch
	names := o.naming()
	called := heard(names, [2]string{t.Bout.Left.Name, t.Bout.Right.Name})
	v := &sheet{Style: style(), Title: plate.Typeset(called.Rename(t.Title)), Invented: t.Invented, Note: plate.Typeset(called.Rename(t.Note)), Program: o.Program}
	if v.Title == "" {
		v.Title = "The measured touch"
	}
	v.Kicker = kicker(t, names == plate.Anonymous)
	for _, s := range mark.Sides {
		f := fencerLine{Side: s, Name: called.Say[s]}
		if who := t.Bout.Fencer(s); who.Name != "" && !names.Hides() {
			f.Club = who.Club
		}
		v.Fencers = append(v.Fencers, f)
	}
	if t.Number > 0 {
		v.Standing = fmt.Sprintf("Touch %d, at %d–%d", t.Number, t.Before.Left, t.Before.Right)
	}
	v.Lamps = lampsOf(t.Lamps)
	pic := func(kind Kind, take string, f mark.Frame) (template.HTML, error) {
		for _, p := range plates {
			if p.Kind == kind && p.Take == take && p.Frame == f && p.Wide != nil {
				return pictures(p)
			}
		}
		return "", nil
	}
	if race := r.Race; race != nil {
		v.Race = raceOf(r)
		var err error
		if v.Race.Picture, err = pic(KindRace, race.Take, race.Frame); err != nil {
			return nil, err
		}
	}
	var err error
	if v.Timings, err = timingsOf(r, plates); err != nil {
		return nil, err
	}
	if v.Profile, err = profilesOf(r, plates); err != nil {
		return nil, err
	}
	if v.Tactics, err = tacticsSectionOf(r, plates, names); err != nil {
		return nil, err
	}
	v.Phrase = phraseSectionOf(r, names)
	for _, p := range plates {
		if p.Kind == KindStave {
			if v.Stave, err = pictures(p); err != nil {
				return nil, err
			}
		}
	}
	for _, in := range r.Told() {
		p, err := pic(KindGaps, in.Take, in.Frame)
		if err != nil {
			return nil, err
		}
		v.Instants = append(v.Instants, instantOf(t, in, p))
	}
	if v.Space, err = spaceSection(plates); err != nil {
		return nil, err
	}
	for _, m := range r.Moments {
		v.Moments = append(v.Moments, momentLine{Name: momentName(m.Moment), At: plate.Seconds(m.At), Between: plate.MillisecondsBetween(m.At),
			Where: fmt.Sprintf("take %s, between frames %d and %d", m.Moment.Take, m.Moment.After, m.Moment.By)})
	}
	for _, pf := range r.Placings {
		v.Placings = append(v.Placings, placingOf(pf))
		p, err := pic(KindPlacing, pf.Take, pf.Frame)
		if err != nil {
			return nil, err
		}
		if p != "" {
			v.PlacePic = append(v.PlacePic, p)
		}
	}
	v.Warnings = warningsOf(r)
	v.Made = madeOf(r)
	return v, nil
}

// heard is what fencers are called in a text, which can write any name: by it as it was
// given, however long and in whatever letters.
func heard(n plate.Naming, names [2]string) plate.Calling {
	c := plate.Call(n, names)
	for _, s := range mark.Sides {
		if name := plate.OneName(names[s]); name != "" && !n.Hides() {
			c.Say[s] = name
		}
	}
	return c
}

func kicker(t *study.Touch, hide bool) string {
	var parts []string
	for _, p := range []string{t.Bout.Event, t.Bout.Round, t.Bout.Date} {
		if p != "" && !hide {
			parts = append(parts, p)
		}
	}
	switch t.Bout.Weapon {
	case bout.Epee:
		parts = append(parts, "épée")
	case bout.Foil, bout.Sabre:
		parts = append(parts, string(t.Bout.Weapon))
	}
	return strings.Join(parts, " · ")
}

// lampsOf says what the apparatus showed. Red is the lamp of the left fencer,
// green that of the right one, as at every piste.
func lampsOf(l *bout.Lamps) []lamp {
	if l == nil {
		return nil
	}
	var all []lamp
	if l.Left {
		all = append(all, lamp{"red", "red lamp: left scores"})
	}
	if l.Right {
		all = append(all, lamp{"green", "green lamp: right scores"})
	}
	if len(all) == 0 {
		all = append(all, lamp{"none", "no lamp"})
	}
	return all
}

func momentName(m mark.Moment) string {
	if m.Name != "" {
		return plate.Typeset(m.Name)
	}
	return m.ID
}

func raceOf(r *study.Reading) *raceSection {
	race := r.Race
	s := &raceSection{Finding: plate.Typeset(strings.TrimSuffix(race.Finding, ".")), Draws: plate.Count(r.Draws), Question: plate.Typeset(race.Question()), Supposes: plate.Typeset(study.RaceSupposes), From: fmt.Sprintf("frame %d of take %s", race.Frame, race.Take)}
	if m, ok := r.Touch.Moment(race.Moment); ok {
		s.From = "“" + momentName(m) + "”, " + s.From
	}
	for _, side := range mark.Sides {
		run := race.Runs[side]
		at, sure := arrivalWords(run)
		s.Runs = append(s.Runs, runLine{Side: side, Action: plate.ActionWords(run.Action), Target: plate.TargetWords(run.Target),
			Gap: plate.Metres(run.Gap), GapBetween: plate.MetresBetween(run.Gap), Onset: plate.Milliseconds(run.Onset), OnsetText: plate.Typeset(run.OnsetText),
			Arrival: at, ArrivalBetween: sure, Based: plate.Typeset(run.ParametersFrom)})
	}
	for _, o := range []struct {
		words string
		q     quantity.Of[quantity.Chance]
	}{
		{"Left alone: red lamp", race.LeftOnly}, {"Both lamps", race.Both}, {"Right alone: green lamp", race.RightOnly}, {"Neither: no lamp", race.Neither},
		{"Left arrives first, whatever the lamps show", race.LeftFirst},
	} {
		s.Outcomes = append(s.Outcomes, outcomeLine{o.words, plate.Percent(o.q), plate.PercentBetween(o.q)})
	}
	if s.Margin = marginOf(race.Margin); s.Margin != nil {
		s.Margin.Counts = race.MarginCounts()
	}
	small := 0
	for _, m := range race.Matters {
		if m.Share < slight {
			small++
			continue
		}
		s.Matters = append(s.Matters, matterLine{capital(m.Name), plate.Chance(quantity.Chance(m.Share)), capital(m.Mend)})
	}
	if small > 0 && len(s.Matters) > 0 {
		s.Rest = fmt.Sprintf("%s with less than 2"+nb+"%% each left out.", plural(small, "source", "sources"))
	}
	return s
}

const nb = "\u00a0"

// slight is the share of the doubt below which a source of it is not listed.
const slight = 0.02

func plural(n int, one, many string) string {
	if n == 1 {
		return "1" + nb + one
	}
	return plate.Count(n) + nb + many
}

// marginOf says who is earlier and by how much; nil where nobody arrives.
func marginOf(q quantity.Of[quantity.Seconds]) *marginLine {
	if !q.IsValid() || q == (quantity.Of[quantity.Seconds]{}) {
		return nil
	}
	who := mark.Left
	if q.Mean < 0 {
		who = mark.Right
		q.Mean, q.Lo, q.Hi = -q.Mean, -q.Hi, -q.Lo
	}
	return &marginLine{Who: plate.Name(who), By: plate.Milliseconds(q), Between: plate.MillisecondsBetween(q)}
}

// arrivalWords says when a run arrives, and beside it how surely.
func arrivalWords(run study.Run) (at, sure string) {
	if run.Arrives <= 0 || !run.Arrival.IsValid() || run.Arrival.Mean <= 0 {
		return "does not arrive", ""
	}
	of := "in " + plate.Chance(run.Arrives) + " of the draws"
	if run.Arrives < chart.Rarely {
		return "does not arrive", of + " only: " + plate.Milliseconds(run.Arrival)
	}
	return plate.Milliseconds(run.Arrival), plate.MillisecondsBetween(run.Arrival) + "; " + of
}

func instantOf(t *study.Touch, in study.Instant, p template.HTML) instantSection {
	s := instantSection{ID: frameID(in.Take, in.Frame), Name: fmt.Sprintf("Frame %d", in.Frame), Where: plate.Where(in), Picture: p}
	if m, ok := t.Moment(in.Moment); ok {
		s.Name = capital(momentName(m))
	}
	for _, side := range mark.Sides {
		part := sideGaps{Side: side, Words: plate.Name(side) + "’s point to " + side.Other().String()}
		for _, g := range in.Gaps {
			if g.Of != side {
				continue
			}
			band := g.Band
			if band != "" {
				band += ", " + plate.Chance(g.Chance)
			}
			part.Gaps = append(part.Gaps, gapLine{Target: plate.TargetWords(g.Target), Gap: plate.Metres(g.Gap), Between: plate.MetresBetween(g.Gap), Band: band, Nearest: g.Nearest})
		}
		if len(part.Gaps) > 0 {
			s.Sides = append(s.Sides, part)
		}
	}
	return s
}

func placingOf(pf study.PlacedFrame) placingLine {
	away := pf.Position[1]
	away.Mean, away.Lo, away.Hi = -away.Mean, -away.Hi, -away.Lo
	return placingLine{Where: fmt.Sprintf("%s, frame %d", pf.Take, pf.Frame), Focal: plate.Pixels(pf.Focal), Height: plate.Metres(pf.Position[2]),
		Distance: plate.Metres(away), RMS: fmt.Sprintf("%.1f", float64(pf.RMS)) + nb + "px"}
}

// warningsOf collects every doubt once, in the order of the reading.
func warningsOf(r *study.Reading) []warningLine {
	all := append([]study.Warning{}, r.Warnings...)
	for _, pf := range r.Placings {
		all = append(all, pf.Warnings...)
	}
	var out []warningLine
	seen := map[study.Warning]bool{}
	for _, w := range all {
		key := study.Warning{Code: w.Code, About: w.About, Text: w.Text}
		if !seen[key] {
			seen[key] = true
			out = append(out, warningLine{capital(w.About), capital(w.Text) + "."})
		}
	}
	return out
}

func madeOf(r *study.Reading) []madeLine {
	all := []madeLine{
		{"Draws", plate.Count(r.Draws)},
		{"Seed", fmt.Sprint(r.Seed)},
		{"Rules of reading", "version " + r.Version},
		{"Inputs", r.Inputs},
	}
	for _, k := range r.Touch.Takes {
		words := fmt.Sprintf("video %s, frames %d to %d", k.Video, k.From, k.To)
		if clock, ok := r.Clock(k.ID); ok && clock.Factor != quantity.Exactly[quantity.Ratio](1) {
			words += ", " + plate.Ratio(clock.Factor) + " times as slow as the bout"
		}
		if c, ok := r.Clips[k.Video]; ok && c.Width > 0 {
			words += fmt.Sprintf(", %d × %d pixels", c.Width, c.Height)
		}
		all = append(all, madeLine{"Take " + k.ID, words})
	}
	return all
}

package study

import (
	"math"
	"strings"

	"mesure/quantity"
	"mesure/sport/bout"
	"mesure/sport/mark"
	"mesure/timing"
)

// UsableShare is the share of the greatest reach from which fencers still hit: most can lunge
// further than they can hit (trade literature; the number is common practice, no source).
const UsableShare quantity.Ratio = 0.9

// Names of the figures of a profile: those of bout.OwnFigures.
const (
	figExtension     = "extension"
	figExtensionTime = "extension-time"
	figLunge         = "lunge"
	figLungeTime     = "lunge-time"
	figLungeDelay    = "lunge-delay"
	figStepLunge     = "step-lunge"
	figStepLungeTime = "step-lunge-time"
	figFleche        = "fleche"
	figFlecheTime    = "fleche-time"
	figStepBack      = "step-back"
	figStepBackTime  = "step-back-time"
	figVisual        = "visual-reaction"
	figTactile       = "tactile-reaction"
	figChoice        = "choice-cost"
	figLateral       = "parry-time"
	figSemicircular  = "semicircular-parry-time"
	figCircular      = "circular-parry-time"
	figDisengage     = "disengage-time"
)

// profileOf is the profile of a fencer by what is stated: the defaults of their sex and
// level, the stated lunge, and the numbers of their own in place of those. What was
// followed goes on top of it: see readProfiles.
func profileOf(t *Touch, s mark.Side) Profile {
	return statedProfile(s, t.Bout.Fencer(s))
}

func statedProfile(s mark.Side, f bout.Fencer) Profile {
	p := Profile{Who: s}
	for _, g := range bout.OwnFigures() {
		p.Figures = append(p.Figures, statedFigure(g, defaultFigure(g.Name, f), f))
	}
	p.stepWithLunge()
	return p
}

// statedFigure puts the fencer's own number in place of a default.
func statedFigure(g bout.OwnFigure, def ProfileFigure, f bout.Fencer) ProfileFigure {
	own, ok := f.Figure(g.Name)
	if !ok {
		return def
	}
	value, sd := own.Value, own.SD
	source := "stated for the fencer"
	if sd == 0 {
		_, sd = def.number()
		source += ", with the spread of the default"
	}
	return figureOf(g.Name, value, sd, FromStated, source)
}

// stepWithLunge lets the step and lunge go with a lunge of the fencer's own: what a step
// adds is added to it.
func (p *Profile) stepWithLunge() {
	lunge, step := p.figure(figLunge), p.figure(figStepLunge)
	if lunge == nil || step == nil || lunge.From == FromDefault || step.From != FromDefault || strings.HasPrefix(lunge.Source, statedFoot) {
		return
	}
	before := step.Metres
	*step = figureOf(figStepLunge, float64(lunge.Metres.Mean+timing.StepReach),
		math.Hypot(float64(lunge.Metres.SD), float64(timing.StepReachSD)), lunge.From,
		"the fencer's own lunge, and 0.77 m of step (Turner and Marshall)")
	if lunge.From == FromFitted {
		step.PriorMetres = before
	}
}

// statedFoot begins the source of a lunge that is stated by the travel of the foot.
const statedFoot = "0.9 of the stated travel of the front foot"

// defaultFigure is a figure of a fencer who has no own of it.
func defaultFigure(name string, f bout.Fencer) ProfileFigure {
	length := func(q quantity.Of[quantity.Metres], source string) ProfileFigure {
		return figureOf(name, math.Abs(float64(q.Mean)), float64(q.SD), FromDefault, source)
	}
	span := func(q quantity.Of[quantity.Seconds], source string) ProfileFigure {
		return figureOf(name, float64(q.Mean), float64(q.SD), FromDefault, source)
	}
	normal := func(mean, sd quantity.Seconds, source string) ProfileFigure {
		return span(quantity.Normal(mean, sd), source)
	}
	of := func(action string) timing.Movement {
		m, err := timing.Default(action, f.Sex, f.Level)
		if err != nil {
			panic("study: " + err.Error()) // the names are timing's own
		}
		return m
	}
	const practice = "common practice, no source"
	switch name {
	case figExtension:
		return length(of(timing.Extension).Arm, "0.45 m ("+practice+")")
	case figExtensionTime:
		return span(of(timing.Extension).ArmTime, "180 to 320 ms ("+practice+")")
	case figLunge:
		if f.Lunge > 0 {
			body := quantity.Metres(timing.BodyPerFoot) * quantity.Metres(f.Lunge)
			return figureOf(name, float64(body), float64(body*OwnLungeSD), FromStated, statedFoot)
		}
		return length(of(timing.Lunge).Body, firstSource(of(timing.Lunge)))
	case figLungeTime:
		return span(of(timing.Lunge).BodyTime, "start to hit 650 ± 80 ms (derived from Wang 2024: 930 ms from the light, 13 women), the hit after 0.9 of the travel")
	case figLungeDelay:
		return span(of(timing.Lunge).Delay, "the hand goes before the foot ("+practice+")")
	case figStepLunge:
		return length(of(timing.StepLunge).Body, firstSource(of(timing.StepLunge))+"; a step adds 0.77 m (Turner and Marshall)")
	case figStepLungeTime:
		return span(of(timing.StepLunge).BodyTime, "from the light to the hit (IJERPH 20:17, 2023, 15 national foilists) less 200 ms of reaction, the hit after 0.9 of the travel")
	case figFleche:
		return length(of(timing.Fleche).Body, "1.5 m ("+practice+")")
	case figFlecheTime:
		return span(of(timing.Fleche).BodyTime, "a peak of 2.77 m/s (Rutkowska-Kucharska 2016, 2 épéeists)")
	case figStepBack:
		return length(of(timing.Retreat).Body, "0.2 to 0.6 m ("+practice+")")
	case figStepBackTime:
		return span(of(timing.Retreat).BodyTime, "250 to 500 ms ("+practice+")")
	case figVisual:
		return span(timing.Visual(), "trained fencers 160 to 260 ms (recalled, not verified)")
	case figTactile:
		return span(timing.Tactile(), "150 ms (general public, popular source)")
	case figChoice:
		return span(timing.PerChoice(), "between 150 ms in general (Hick 1952, Hyman 1953) and none in fencers (Williams and Walmsley 2000)")
	case figLateral:
		return normal(timing.ParryTime, timing.ParryTimeSD, "100 to 220 ms ("+practice+")")
	case figSemicircular:
		return normal(timing.SemicircularParryTime, timing.SemicircularParryTimeSD, "between the lateral and the circular parry ("+practice+")")
	case figCircular:
		return normal(timing.CircularParryTime, timing.CircularParryTimeSD, "160 to 300 ms ("+practice+")")
	case figDisengage:
		return normal(timing.DisengageTime, timing.DisengageTimeSD, "about 150 ms ("+practice+")")
	}
	panic("study: no default for the figure " + name)
}

// firstSource is the first of the sources that a movement names.
func firstSource(m timing.Movement) string {
	first, _, _ := strings.Cut(m.Source, ";")
	return first
}

// figureOf is a figure of a profile in the unit of its name. Its interval keeps to the
// bounds of the figure.
func figureOf(name string, value, sd float64, from, source string) ProfileFigure {
	g, ok := bout.OwnFigureNamed(name)
	if !ok {
		panic("study: no figure is named " + name)
	}
	out := ProfileFigure{Name: name, From: from, Source: source}
	if g.Unit == "m" {
		q := bounded(quantity.Normal(quantity.Metres(value), quantity.Metres(sd)), g)
		out.Metres = &q
	} else {
		q := bounded(quantity.Normal(quantity.Seconds(value), quantity.Seconds(sd)), g)
		out.Seconds = &q
	}
	return out
}

// bounded cuts the interval of a figure at its bounds.
func bounded[U quantity.Unit](q quantity.Of[U], g bout.OwnFigure) quantity.Of[U] {
	q.Lo, q.Hi = min(max(q.Lo, U(g.Least)), q.Mean), max(min(q.Hi, U(g.Most)), q.Mean)
	return q
}

// number is the mean and SD of a figure in its unit.
func (f *ProfileFigure) number() (mean, sd float64) {
	if f.Metres != nil {
		return float64(f.Metres.Mean), float64(f.Metres.SD)
	}
	return float64(f.Seconds.Mean), float64(f.Seconds.SD)
}

// figure returns the figure of this name; nil where the profile has none.
func (p *Profile) figure(name string) *ProfileFigure {
	for i := range p.Figures {
		if p.Figures[i].Name == name {
			return &p.Figures[i]
		}
	}
	return nil
}

// own is the figure of this name where it is not the default; nil else.
func (p *Profile) own(name string) *ProfileFigure {
	if f := p.figure(name); f != nil && f.From != FromDefault {
		return f
	}
	return nil
}

// movement is what timing knows of an action, with what is known of the fencer in place
// of the defaults: how far the arm can still go, where the marks say it, and the figures
// of the profile. It returns *timing.UnknownActionError for another name.
func (p Profile) movement(action string, f bout.Fencer, armLeft *quantity.Of[quantity.Metres]) (timing.Movement, error) {
	m, err := timing.Default(action, f.Sex, f.Level)
	if err != nil {
		return m, err
	}
	var notes []string
	note := func(what string, g *ProfileFigure) { notes = append(notes, what+" "+sourceWord(g)) }
	if m.Arm.Mean > 0 {
		if armLeft != nil {
			m.Arm = *armLeft
			notes = append(notes, "arm from the marks")
		} else if g := p.own(figExtension); g != nil {
			m.Arm = *g.Metres
			note("arm", g)
		}
		if g := p.own(figExtensionTime); g != nil {
			m.ArmTime = *g.Seconds
			note("time of the arm", g)
		}
		if own, ok := p.armIn(m); ok {
			notes = append(notes, "arm as followed in this movement")
			m.ArmTime = own.ArmTime
			if armLeft == nil {
				m.Arm = own.Arm
			}
		}
	}
	if b, ok := bodyFigures[action]; ok {
		if g := p.own(b.length); g != nil {
			m.Body = *g.Metres
			if action == timing.Retreat || action == timing.StepBackExtend {
				m.Body = negative(m.Body)
			}
			note(b.word, g)
		}
		if g := p.own(b.time); g != nil {
			m.BodyTime = *g.Seconds
			note("time of the body", g)
		}
		if g := p.own(b.delay); b.delay != "" && g != nil {
			m.Delay = *g.Seconds
			note("start of the body", g)
		}
	}
	if len(notes) > 0 {
		m.Source += "; " + strings.Join(notes, "; ")
	}
	return m, nil
}

// bodyFigures are the figures of the body in each movement.
var bodyFigures = map[string]struct{ word, length, time, delay string }{
	timing.Lunge:          {"lunge", figLunge, figLungeTime, figLungeDelay},
	timing.StepLunge:      {"step and lunge", figStepLunge, figStepLungeTime, ""},
	timing.Fleche:         {"flèche", figFleche, figFlecheTime, ""},
	timing.Retreat:        {"step back", figStepBack, figStepBackTime, ""},
	timing.StepBackExtend: {"step back", figStepBack, figStepBackTime, ""},
}

// sourceWord says in short where a figure comes from.
func sourceWord(g *ProfileFigure) string {
	if g.From == FromFitted {
		return "from followed movement"
	}
	return "as stated for the fencer"
}

// negative is the same quantity counted the other way.
func negative[U quantity.Unit](q quantity.Of[U]) quantity.Of[U] {
	return quantity.Of[U]{Mean: -q.Mean, SD: q.SD, Lo: -q.Hi, Hi: -q.Lo}
}

// times sets *q to the figure of this name, where the profile has it.
func (p *Profile) times(q *quantity.Of[quantity.Seconds], name string) {
	if f := p.figure(name); f != nil {
		*q = *f.Seconds
	}
}

// reaction is how long the fencer takes to answer to a cue, "visual" or "tactile", among
// this many answers equally likely. It panics if choices is below 1.
func (p Profile) reaction(cue string, choices int) timing.Reaction {
	r, name := timing.VisualAmong(choices), figVisual
	if cue == cueTactile {
		r, name = timing.TactileAmong(choices), figTactile
	}
	p.times(&r.Simple, name)
	p.times(&r.PerChoice, figChoice)
	return r
}

// Cues of a reaction.
const (
	cueVisual  = "visual"
	cueTactile = "tactile"
)

// defence is what the fencer brings against an attack from this gap between the own
// point and the attacker's target: timing.NewDefence with the figures of the profile.
func (p Profile) defence(gap quantity.Of[quantity.Metres]) timing.Defence {
	d := timing.NewDefence(gap)
	if m, err := p.movement(timing.Extension, bout.Fencer{}, nil); err == nil {
		d.Extension = m
	}
	if m, err := p.movement(timing.Retreat, bout.Fencer{}, nil); err == nil {
		d.StepBack = m
	}
	p.times(&d.Lateral, figLateral)
	p.times(&d.Semicircular, figSemicircular)
	p.times(&d.Circular, figCircular)
	choices := int(math.Round(math.Exp2(float64(d.Reaction.Bits))))
	d.Reaction = p.reaction(cueVisual, choices)
	return d
}

// disengage is the time of a disengage.
func (p Profile) disengage() quantity.Of[quantity.Seconds] {
	q := quantity.Normal(timing.DisengageTime, timing.DisengageTimeSD)
	p.times(&q, figDisengage)
	return q
}

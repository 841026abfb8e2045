package tell

import (
	"slices"
	"strings"

	"mesure/quantity"
	"mesure/show/handoff"
	"mesure/show/plate"
	"mesure/sport/mark"
	"mesure/study"
	"mesure/timing"
)

// Where numbers come from: the sections of the methods that every copy of the program has.
const (
	fromCamera  = "methods 3: placing the camera"
	fromMotion  = "methods 4: movement"
	fromGaps    = "methods 5: gaps and measure"
	fromRace    = "methods 6: the race"
	fromWindows = "methods 6.1: windows"
	fromParry   = "methods 6.3: the parry"
	fromBodies  = "methods 6.5: feet and starts"
	fromTime    = "methods 7: true time"
	fromTactics = "methods 8: tactics"
)

// Numbers lists every number of a reading that a breakdown shows, for other programs:
// mean, standard deviation and the interval that holds 95 %, not rounded, each in its
// unit and with where it was measured. Fencers are "left" and "right", as the camera
// sees them; nobody is named. What the reading does not know has no row; a number that
// has no doubt because it is a doubt itself (a chance that follows from an uncertain gap)
// has SD 0. A moment is called as the coach called it, with what stands for the names of
// the fencers.
func Numbers(r *study.Reading, names plate.Naming) []handoff.Number {
	n := numbers{call: callOf(r, names)}
	n.moments(r)
	n.gaps(r)
	if r.Race != nil {
		n.race(r.Race, "")
	}
	if x := r.Timing; x != nil {
		n.timing(x, r.Race)
	}
	if r.Tactics != nil {
		n.tactics(r.Tactics)
	}
	n.tracks(r.Tracks)
	for _, p := range r.Placings {
		add(&n, "focal length of the camera", p.Focal, fromCamera, p.Take, p.Frame)
		for i, axis := range []string{"along the piste", "across the piste", "above the floor"} {
			add(&n, "place of the camera "+axis, p.Position[i], fromCamera, p.Take, p.Frame)
		}
	}
	return n.rows
}

type numbers struct {
	rows []handoff.Number
	call plate.Calling
}

// callOf is what the fencers of a reading are called.
func callOf(r *study.Reading, n plate.Naming) plate.Calling {
	return plate.Call(n, [2]string{r.Touch.Bout.Left.Name, r.Touch.Bout.Right.Name})
}

// add keeps a number that is one.
func add[U quantity.Unit](n *numbers, name string, q quantity.Of[U], source, take string, f mark.Frame) {
	if !q.IsValid() {
		return
	}
	row := handoff.NumberOf(name, q, source)
	row.Take, row.Frame = take, f
	n.rows = append(n.rows, row)
}

func (n *numbers) moments(r *study.Reading) {
	for _, m := range r.Moments {
		name := m.Moment.Name
		if name == "" {
			name = m.Moment.ID
		}
		add(n, "instant of the moment "+n.call.Rename(name), m.At, fromTime, m.Moment.Take, m.Moment.By)
	}
}

func (n *numbers) gaps(r *study.Reading) {
	for _, in := range r.Told() {
		for _, g := range in.Gaps {
			add(n, "gap from "+g.Of.String()+"'s point to the "+plate.TargetWords(g.Target), g.Gap, fromGaps, in.Take, in.Frame)
			if g.Closing != nil {
				add(n, "speed at which "+g.Of.String()+"'s point nears the "+plate.TargetWords(g.Target), *g.Closing, fromMotion, in.Take, in.Frame)
			}
		}
		if in.Closing != nil {
			add(n, "speed at which the fencers near each other", *in.Closing, fromMotion, in.Take, in.Frame)
		}
	}
}

func (n *numbers) race(x *study.Race, before string) {
	say := func(name string, q quantity.Of[quantity.Chance]) { add(n, before+name, q, fromRace, x.Take, x.Frame) }
	say("chance of the left lamp alone", x.LeftOnly)
	say("chance of the right lamp alone", x.RightOnly)
	say("chance of both lamps", x.Both)
	say("chance of no lamp", x.Neither)
	say("chance that left arrives first", x.LeftFirst)
	add(n, before+"how much earlier left arrives", x.Margin, fromRace, x.Take, x.Frame)
	add(n, before+"blocking time of the apparatus", x.Window, fromRace, "", 0)
	for _, s := range mark.Sides {
		run := x.Runs[s]
		to := s.String() + "'s " + run.Action + " to the " + plate.TargetWords(run.Target) + ": "
		add(n, before+to+"start", run.Onset, fromRace, x.Take, x.Frame)
		add(n, before+to+"arrival", run.Arrival, fromRace, x.Take, x.Frame)
		add(n, before+to+"chance to arrive", quantity.Exactly(run.Arrives), fromRace, x.Take, x.Frame)
	}
}

func (n *numbers) timing(x *study.Timing, told *study.Race) {
	take, f := x.At.Take, x.At.Frame
	if x.Race != nil && (told == nil || x.Race.Take != told.Take || x.Race.Frame != told.Frame) {
		n.race(x.Race, "from here, ")
	}
	if w := x.Windows; w != nil {
		attack := x.Attacker.String() + "'s attack: "
		add(n, attack+"chance to arrive", w.Arrives, fromWindows, take, f)
		add(n, attack+"time to the hit", w.Hit, fromWindows, take, f)
		add(n, x.Attacker.Other().String()+" can act in", w.Ready, fromWindows, take, f)
		for _, a := range w.Each {
			add(n, "chance of being in time with “"+plate.AnswerWords(a.Answer)+"”", a.InTime, fromWindows, take, f)
		}
	}
	if p := x.Parry; p != nil {
		add(n, p.Defender.String()+"'s parry: least turn of the blade that serves", p.Asked.Needed, fromParry, take, f)
		if o := p.Observed; o != nil {
			add(n, p.Defender.String()+"'s parry as made: turn of the blade", o.Judged.Made, fromParry, take, f)
			for i, size := range timing.Sizes() {
				add(n, p.Defender.String()+"'s parry as made: chance that it is "+plate.SizeWords(size), o.Judged.Chances[i], fromParry, take, f)
			}
		}
		if p.Riposte != nil {
			add(n, "chance that the direct riposte lights alone", p.Riposte.Result.Direct.RiposteOnly, fromParry, take, f)
		}
	}
	for _, s := range mark.Sides {
		if c := x.Commits[s]; c != nil {
			for _, can := range c.Can {
				if can.Known {
					add(n, "time until "+s.String()+" can "+plate.DoesWords(can.Do), can.Next, fromBodies, take, f)
				}
			}
		}
	}
	if st := x.Started; st != nil {
		for _, s := range mark.Sides {
			if l := st.Lags[s]; l != nil {
				add(n, s.String()+": how much earlier the hand starts than the front foot", l.Time, fromBodies, take, f)
			}
		}
	}
}

func (n *numbers) tactics(x *study.Tactics) {
	for _, s := range mark.Sides {
		if h := x.Habits[s]; h != nil {
			for _, c := range h.Choices {
				add(n, s.String()+": share of “"+plate.ChoiceWords(c.Kind)+"”", c.Share, fromTactics, "", 0)
			}
		}
	}
	if p := x.Payoff; p != nil {
		for i, kind := range p.Mine {
			if i < len(p.Standings) {
				add(n, "chance to win the bout with “"+plate.ChoiceWords(kind)+"”", p.Standings[i].Worth, fromTactics, "", 0)
			}
		}
	}
}

func (n *numbers) tracks(all []study.Track) {
	for _, t := range all {
		if t.Peak == nil {
			continue
		}
		at := slices.IndexFunc(t.Steps, func(s study.TrackStep) bool { return s.At >= t.PeakAt })
		take, f := "", mark.Frame(0)
		if at >= 0 {
			take, f = t.Take, t.Steps[at].Frame
		}
		add(n, "greatest speed of "+t.Who.String()+"'s "+strings.ReplaceAll(string(t.What), "-", " ")+" in "+t.Take, *t.Peak, fromMotion, take, f)
	}
}

package study

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"mesure/quantity"
	"mesure/sport/bout"
	"mesure/sport/mark"
	"mesure/timing"
)

func TestNamesOfStarts(t *testing.T) {
	l, r := mark.Left, mark.Right
	for _, c := range []struct {
		id, name string
		want     string // part, kind, side when Left attacks; empty for nothing
	}{
		{"live-right-rear-foot-lifts-40", "Right's rear foot lifts", "rear-foot lifts right"},
		{"m", "Left's hand starts", "hand starts left"},
		{"m", "Right's front foot lifts for the half step", "front-foot lifts right"},
		{"m", "Left's front foot lands", "front-foot lands left"},
		{"m", "Right's parry starts", "hand starts right"},
		{"m", "The feint starts", "hand starts left"},
		{"m", "The disengage starts", "blade starts left"},
		{"m", "Right's counter-attack starts", "hand starts right"},
		{"m", "Left goes to take the blade", "blade starts left"},
		{"launch", "x", "launch starts left"},
		{"moment-3", "Launch", "launch starts left"},
		{"moment-3", "answer begins", "hand starts right"},
		{"moment-3", "Left's answer begins", "hand starts left"},
		{"moment-4", "riposte starts", "hand starts right"},
		{"moment-5", "front foot lands", "front-foot lands left"},
		{"m", "left launches", "launch starts left"},
		{"m", "Right lunges", "launch starts right"},
		{"m", "Right answers", "hand starts right"},
		{"m", "Right counter-attacks", "hand starts right"},
		{"m", "Right parries", ""},            // that is its end
		{"m", "Right's right foot lifts", ""}, // which one?
		{"m", "something else", ""},
		{"m", "blades meet", ""},
		{"m", "", ""},
	} {
		got := ""
		if n, ok := nameOf(mark.Moment{ID: c.id, Name: c.name}); ok {
			s, _ := n.by(&l)
			got = n.part + " " + n.kind + " " + s.String()
		}
		if got != c.want {
			t.Errorf("%q %q: %q, want %q", c.id, c.name, got, c.want)
		}
	}
	n, _ := nameOf(mark.Moment{ID: "launch"})
	if _, ok := n.by(nil); ok {
		t.Error("a launch is somebody's though nobody is said to attack")
	}
	if s, _ := n.by(&r); s != mark.Right {
		t.Error("the launch is the attacker's")
	}
	// Every usual moment is a start or an end, or is left alone on purpose.
	left := map[string]bool{"preparation": true, "contact": true, "parry": true}
	for _, u := range bout.UsualMoments() {
		m := mark.Moment{ID: "moment-1", Name: u.Word}
		_, starts := nameOf(m)
		_, ends := endsPhrase(m)
		if (starts || ends) == left[u.Name] {
			t.Errorf("%s: starts %v, ends %v", u.Word, starts, ends)
		}
	}
}

// Who starts first, the lag of foot behind hand (T6, common practice, no source: the
// hand goes first) and the step that the attack goes into, filmed, against the truth.
func TestStartedOfAFilmedLunge(t *testing.T) {
	if testing.Short() {
		t.Skip("counts one thing after the other")
	}
	hit := mark.Moment{ID: "hit", Name: "hit", Take: "live", After: 48, By: 49}
	for _, c := range []struct {
		name  string
		opp   dancer
		into  string
		least quantity.Chance
	}{
		{"forward", stepper(.34, .24), LaunchIntoAdvance, .75},
		{"back", stepper(.34, -.24), LaunchOnRetreat, .75},
		{"stand", dancer{x: 1.2, dir: -1}, LaunchOnStanding, .75},
		{"end", stepper(.15, .24), LaunchAtEndOfStep, .75},
	} {
		d := [2]dancer{lunger(), c.opp}
		r := filmed(t, d, hit)
		s, lack := readStarted(r.Touch, r, At{"live", 40}, mark.Left)
		if s == nil || lack != nil {
			t.Fatalf("%s: %+v", c.name, lack)
		}
		l := s.Launch
		if l == nil || l.Into != c.into || l.Chance < c.least {
			t.Errorf("%s: %+v", c.name, l)
			continue
		}
		// The onset is that of a minimum-jerk curve, with its own error.
		if math.Abs(float64(l.At.Mean)-.50) > 4*float64(l.At.SD)+.01 || l.At.SD > .03 {
			t.Errorf("%s: launched at %.3f ± %.3f s, truly 0.5", c.name, l.At.Mean, l.At.SD)
		}
		truth := speedOf(d[1].hip, float64(l.At.Mean))
		if v := l.OppSpeed; v == nil || math.Abs(float64(v.Mean)-truth) > 4*float64(v.SD)+.05 {
			t.Errorf("%s: the opponent comes at %+v, truly %.2f", c.name, v, truth)
		}
		if l.Tempi == nil || math.Abs(float64(l.Tempi.Mean)-(.97-float64(l.At.Mean))/float64(timing.ArmTime)) > .01 {
			t.Errorf("%s: %+v tempi", c.name, l.Tempi)
		}
		lag := s.Lags[mark.Left]
		if lag == nil || math.Abs(float64(lag.Time.Mean)-.06) > 4*float64(lag.Time.SD) || lag.HandFirst < .9 {
			t.Errorf("%s: lag %+v, truly 60 ms", c.name, lag)
		}
		sum := s.Order.SideFirst[0].Mean + s.Order.SideFirst[1].Mean
		if math.Abs(float64(sum)-1) > 1e-9 {
			t.Errorf("%s: sides sum to %v", c.name, sum)
		}
		if first := s.Order.SideFirst[mark.Right].Mean; (c.name != "stand") != (first > .9) {
			t.Errorf("%s: right first in %v", c.name, first)
		}
		for i, e := range s.Starts {
			if i > 0 && e.Time.Mean < s.Starts[i-1].Time.Mean || e.Kind == OnsetLands || e.Proposal == "" {
				t.Errorf("%s: %+v", c.name, e)
			}
		}
		again, _ := readStarted(r.Touch, r, At{"live", 40}, mark.Left)
		if again.Finding != s.Finding || again.Order.Likelihood != s.Order.Likelihood {
			t.Errorf("%s: another answer to the same question", c.name)
		}
	}
}

// The coach's moments stand before what the movement proposes, and an instant after
// the hit belongs to the phrase that ended with it.
func TestStartedByMoments(t *testing.T) {
	if testing.Short() {
		t.Skip("counts one thing after the other")
	}
	d := [2]dancer{lunger(), stepper(.34, .24)}
	r := filmed(t, d,
		mark.Moment{ID: "moment-1", Name: "Left's hand starts", Take: "live", After: 27, By: 28}, // 50 ms later than it does
		mark.Moment{ID: "moment-2", Name: "hit", Take: "live", After: 48, By: 49})
	for _, f := range []mark.Frame{10, 30, 49, 60} {
		s, _ := readStarted(r.Touch, r, At{"live", f}, mark.Left)
		if s == nil || s.Launch == nil {
			t.Fatalf("frame %d: %+v", f, s)
		}
		hands := 0
		for _, e := range s.Starts {
			if e.Side == int(mark.Left) && e.Part == "hand" {
				hands++
				if e.Moment != "moment-1" || math.Abs(float64(e.Time.Mean)-.55) > 1e-9 || !e.Uniform {
					t.Errorf("frame %d: %+v", f, e)
				}
			}
		}
		if hands != 1 || s.Launch.Tempi == nil {
			t.Errorf("frame %d: %d hands, %+v", f, hands, s.Launch)
		}
	}
	// The launch where the coach says so.
	r = filmed(t, d, mark.Moment{ID: "moment-1", Name: "launch", Take: "live", After: 24, By: 25})
	s, _ := readStarted(r.Touch, r, At{"live", 40}, mark.Left)
	if s == nil || s.Launch == nil || s.Launch.By != 25 || s.Launch.Tempi != nil {
		t.Errorf("%+v", s)
	}
	// Nothing starts: said, and how to mend it.
	still := filmedStill(t)
	if s, lack := readStarted(still.Touch, still, At{"live", 25}, mark.Left); s != nil || lack == nil || !strings.Contains(lack.Why, "no start") || lack.Mend == "" {
		t.Errorf("%+v %+v", s, lack)
	}
	if s, lack := readStarted(still.Touch, still, At{"other", 25}, mark.Left); s != nil || lack == nil {
		t.Errorf("%+v", s)
	}
	// The defender's start alone is told; that the attack's is missing is said.
	still.Proposals = []Proposal{{ID: "live-right-hand-starts-20", Who: mark.Right, Part: PartHand, Kind: OnsetStarts, Take: "live", After: 19, By: 20,
		At: quantity.Normal(quantity.Seconds(.39), .01), Sure: .9}}
	if s, lack := readStarted(still.Touch, still, At{"live", 25}, mark.Left); s == nil || len(s.Starts) != 1 || s.Launch != nil || lack == nil || lack.Side != mark.Left {
		t.Errorf("%+v %+v", s, lack)
	}
}

// Neither a feint before the lunge nor a remise after it is taken for its hand.
func TestHandOfTheLunge(t *testing.T) {
	d := [2]dancer{lunger(), {x: 1.2, dir: -1}}
	d[0].hand = append(d[0].hand, stride{1.05, .22, -.25, 0}, stride{1.30, .25, .3, 0})
	r := filmed(t, d, mark.Moment{ID: "hit", Name: "hit", Take: "live", After: 72, By: 73})
	hands := 0
	for _, p := range r.Proposals {
		if p.Who == mark.Left && p.Part == PartHand {
			hands++
		}
	}
	if hands < 2 {
		t.Fatalf("the movement shows %d starts of the hand", hands)
	}
	s, _ := readStarted(r.Touch, r, At{"live", 40}, mark.Left)
	if s == nil || s.Launch == nil || math.Abs(float64(s.Launch.At.Mean)-.50) > .04 || s.Lags[mark.Left] == nil {
		t.Errorf("%+v", s)
	}
}

// The rear foot of the step before the lunge starts nothing of the lunge.
func TestStepBeforeTheLunge(t *testing.T) {
	d := [2]dancer{lunger(), {x: 1.2, dir: -1}}
	for _, f := range []*[]stride{&d[0].front, &d[0].hip, &d[0].hand} {
		for i := range *f {
			(*f)[i].start += .3
		}
	}
	d[0].rear = []stride{{.18, .20, .2, .035}}
	r := filmed(t, d)
	lifts := false
	for _, p := range r.Proposals {
		lifts = lifts || p.Who == mark.Left && p.Part == PartRearFoot && p.Kind == OnsetLifts
	}
	s, _ := readStarted(r.Touch, r, At{"live", 60}, mark.Left)
	if !lifts || s == nil || s.Launch == nil {
		t.Fatalf("%v %+v", lifts, s)
	}
	for _, e := range s.Starts {
		if e.Part == "rear foot" {
			t.Errorf("%+v", e)
		}
	}
}

// The front foot of a step back launches nothing.
func TestRetreatLaunchesNothing(t *testing.T) {
	if testing.Short() {
		t.Skip("counts one thing after the other")
	}
	d := [2]dancer{{x: -1.5, dir: 1}, stepper(.5, -.24)}
	d[0].front, d[0].rear, d[0].hip = d[1].front, d[1].rear, d[1].hip
	r := filmed(t, d)
	s, lack := readStarted(r.Touch, r, At{"live", 60}, mark.Left)
	if s == nil || s.Launch != nil || lack == nil {
		t.Errorf("%+v", s)
	}
	for i := range d {
		d[i] = stepper(.5, .24)
	}
	d[0].x, d[0].dir = -1.5, 1
	r = filmed(t, d)
	if s, _ := readStarted(r.Touch, r, At{"live", 60}, mark.Left); s == nil || s.Launch == nil || math.Abs(float64(s.Launch.At.Mean)-.5) > .05 {
		t.Errorf("%+v", s)
	}
}

// Where the body was not followed, the foot that leads a step tells its way; nothing
// at all tells nothing.
func TestLaunchByFeetAlone(t *testing.T) {
	if testing.Short() {
		t.Skip("counts one thing after the other")
	}
	for by, into := range map[float64]string{.24: LaunchIntoAdvance, -.24: LaunchOnRetreat} {
		r := filmed(t, [2]dancer{lunger(), stepper(.34, by)})
		r.Tracks = slices.DeleteFunc(r.Tracks, func(k Track) bool { return k.Who == mark.Right && k.What == mark.Hip })
		r.Instants = nil
		s, _ := readStarted(r.Touch, r, At{"live", 40}, mark.Left)
		if s == nil || s.Launch == nil || s.Launch.OppSpeed != nil || s.Launch.Into != into || s.Launch.Chance > led || s.Launch.Chance < .5 {
			t.Errorf("%.2f m: %+v", by, s.Launch)
		}
		r.Proposals = slices.DeleteFunc(r.Proposals, func(p Proposal) bool { return p.Who == mark.Right })
		s, _ = readStarted(r.Touch, r, At{"live", 40}, mark.Left)
		if s == nil || s.Launch == nil || s.Launch.Into != LaunchNotFollowed || s.Launch.Chance != 0 || !strings.Contains(s.Launch.Finding, "cannot be told") {
			t.Errorf("%+v", s.Launch)
		}
	}
}

// An attack into an attack: the opponent's hand is on its way.
func TestLaunchIntoAttack(t *testing.T) {
	d := [2]dancer{lunger(), {x: 1.2, dir: -1, hand: []stride{{.36, .36, .34, 0}}}}
	r := filmed(t, d)
	s, _ := readStarted(r.Touch, r, At{"live", 40}, mark.Left)
	if s == nil || s.Launch == nil || s.Launch.Into != LaunchIntoAttack || s.Launch.Chance < .75 {
		t.Errorf("%+v", s.Launch)
	}
}

// filmedStill is a touch whose marks show nothing that begins.
func filmedStill(t *testing.T) *Reading {
	t.Helper()
	touch := stage(3, 1).touch
	touch.Moments, touch.Race = nil, RaceAsk{}
	r, err := Read(t.Context(), touch, reel{100}, ReadOptions{Draws: MinDraws})
	if err != nil {
		t.Fatal(err)
	}
	return r
}

// Moments and proposals in any order, contradicting ones too: nothing falls, chances
// stay chances, and the order is one of time.
func TestStartsInDisorder(t *testing.T) {
	r := filmed(t, [2]dancer{lunger(), stepper(.34, .24)})
	rng := rand.New(rand.NewPCG(8, 15))
	names := []string{"hit", "lamp", "halt", "launch", "answer begins", "riposte starts", "front foot lands", "Left's front foot lifts", "Left's front foot lands",
		"Right's rear foot lifts", "Right's hand starts", "The feint starts", "Right's counter-attack starts", "blades meet", "?"}
	parts := []string{PartHand, PartBlade, PartFrontFoot, PartRearFoot}
	kinds := []string{OnsetStarts, OnsetLifts, OnsetLands}
	told := 0
	for range 150 {
		q := *r
		q.Proposals, q.Draws, q.times = nil, MinDraws, nil
		q.Moments = nil
		for i := range rng.IntN(6) {
			f := mark.Frame(1 + rng.IntN(filmFrames-1))
			m := mark.Moment{ID: fmt.Sprint("m", i), Name: names[rng.IntN(len(names))], Take: "live", After: f - 1, By: f}
			q.Moments = append(q.Moments, MomentReading{m, quantity.Uniform(quantity.Seconds(f-1)/50, quantity.Seconds(f)/50)})
		}
		for range rng.IntN(8) {
			f := mark.Frame(1 + rng.IntN(filmFrames-1))
			q.Proposals = append(q.Proposals, Proposal{ID: "p", Who: mark.Side(rng.IntN(2)), Part: parts[rng.IntN(4)], Kind: kinds[rng.IntN(3)], Take: "live", After: f - 1, By: f,
				At: quantity.Normal(quantity.Seconds(f)/50, quantity.Seconds(.001+.02*rng.Float64())), Sure: .5 + .5*rng.Float64()})
		}
		at := At{"live", mark.Frame(rng.IntN(filmFrames))}
		attacker := mark.Side(rng.IntN(2))
		x := &Timing{At: at, Attacker: attacker}
		var lack *Lack
		for _, s := range mark.Sides {
			if x.Commits[s], lack = readCommit(q.Touch, &q, at, s); x.Commits[s] == nil {
				t.Fatalf("%+v", lack)
			}
			for _, c := range x.Commits[s].Can {
				if !(c.Now >= 0 && c.Now <= 1) || c.Next.Mean < 0 {
					t.Fatalf("%+v of %+v", c, q.Moments)
				}
			}
		}
		if x.Started, lack = readStarted(q.Touch, &q, at, attacker); x.Started == nil {
			if lack == nil || lack.Why == "" || lack.Mend == "" {
				t.Fatalf("nothing, and no reason: %+v", lack)
			}
			continue
		}
		told++
		s := x.Started
		for i := range s.Starts {
			if i > 0 && s.Starts[i].Time.Mean < s.Starts[i-1].Time.Mean {
				t.Fatalf("out of order: %+v", s.Starts)
			}
		}
		if l := s.Launch; l != nil && (!(l.Chance >= 0 && l.Chance <= 1) || l.Who != attacker || l.Tempi != nil && !(l.Tempi.Mean > 0)) {
			t.Fatalf("%+v", l)
		}
		for _, n := range readNotes(q.Touch, &q, x) {
			if !(n.Weight >= 0 && n.Weight <= 1) || strings.Contains(n.Text+n.Reference, "NaN") {
				t.Fatalf("%+v", n)
			}
		}
	}
	if told < 50 {
		t.Errorf("%d of 150 said anything", told)
	}
}

// The first answer that says whose it is says whose attack it answers.
func TestAttackerByTheNamesOfAnswers(t *testing.T) {
	for _, c := range []struct {
		names []string // 0.1 s apart
		want  string
	}{
		{[]string{"Right's parry starts"}, "left"},
		{[]string{"Left's hand starts", "Left's counter-attack starts"}, "right"},
		{[]string{"Left's parry starts", "Right's parry starts"}, "right"},
		{[]string{"answer begins", "The feint starts", "Left's hand starts", "hit"}, ""},
		{nil, ""},
	} {
		r := &Reading{}
		for i := len(c.names) - 1; i >= 0; i-- { // in no order of time
			r.Moments = append(r.Moments, MomentReading{mark.Moment{ID: fmt.Sprint("m", i), Name: c.names[i]}, quantity.Exactly(quantity.Seconds(.1 * float64(i)))})
		}
		s, why, ok := r.attackerNamed()
		if ok != (c.want != "") || ok && (s.String() != c.want || why == "") {
			t.Errorf("%q: %v %q %v, want %q", c.names, s, why, ok, c.want)
		}
	}
}

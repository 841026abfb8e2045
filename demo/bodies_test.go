package demo

import (
	"context"
	"math"
	"slices"
	"testing"

	"mesure/sport/mark"
	"mesure/study"
)

// footTravels is how far in metres both ends of a foot go in two frames at least that is
// truly in the air: a tenth of a step.
const footTravels = 0.003

// TestBodiesAgainstTruth: what every fencer's feet and hip are said to do at the moments
// of the four touches, marked by hand on single frames, against what they truly do.
func TestBodiesAgainstTruth(t *testing.T) {
	if testing.Short() {
		t.Skip("-short: numbers, not races")
	}
	var feet, brier, air float64
	var bases, baseHeld, speeds, speedHeld float64
	for touch := range Count {
		truth := TruthOf(touch)
		k := Marked(touch, 5, 1.5)
		k.Attacker = "left"
		r, err := study.Read(context.Background(), &k, reelFootage{}, study.ReadOptions{Draws: study.MinDraws})
		if err != nil {
			t.Fatal(err)
		}
		for _, m := range r.Moments {
			at := study.At{Take: m.Moment.Take, Frame: m.Moment.By}
			x, err := r.TimingAt(study.TimingAsk{At: at})
			if err != nil {
				t.Fatal(err)
			}
			now, before, after := truth.frame(at.Take, at.Frame), truth.frame(at.Take, at.Frame-1), truth.frame(at.Take, at.Frame+1)
			for s, c := range x.Commits {
				side := mark.Side(s)
				if c == nil {
					t.Errorf("touch %d, %s: %v has no footing: %+v", touch, m.Moment.ID, side, x.Lacks)
					continue
				}
				body := now.Of(side)
				dir := 1.0
				if side == mark.Right {
					dir = -1
				}
				middle := func(a, b mark.What) float64 { return (body.Point(a).X + body.Point(b).X) / 2 }
				for i, ends := range [2][2]mark.What{{mark.FrontToe, mark.FrontHeel}, {mark.RearToe, mark.RearHeel}} {
					up := 0.0
					if travels(before.Of(side), after.Of(side), ends[0]) && travels(before.Of(side), after.Of(side), ends[1]) {
						up = 1
					}
					p := 1 - float64([2]float64{float64(c.Stance.Front.OnFloor), float64(c.Stance.Rear.OnFloor)}[i])
					feet++
					air += up
					brier += (p - up) * (p - up)
				}
				base := dir * (middle(mark.FrontToe, mark.FrontHeel) - middle(mark.RearToe, mark.RearHeel))
				bases++
				if math.Abs(float64(c.Base.Mean)-base) < 1.96*float64(c.Base.SD) {
					baseHeld++
				}
				v := dir * (after.Of(side).Point(mark.Hip).X - before.Of(side).Point(mark.Hip).X) / float64(after.At-before.At)
				speeds++
				if math.Abs(float64(c.Stance.Speed.Mean)-v) < 1.96*float64(c.Stance.Speed.SD) {
					speedHeld++
				}
			}
		}
	}
	rate := air / feet
	t.Logf("%.0f feet, %.0f in the air: Brier %.3f (%.3f by the share alone); base held in %.0f of %.0f, speed of the hip in %.0f of %.0f",
		feet, air, brier/feet, rate*(1-rate), baseHeld, bases, speedHeld, speeds)
	if feet < 80 || air < 10 || brier/feet > 0.13 || brier/feet > 0.8*rate*(1-rate) {
		t.Errorf("Brier %.3f over %.0f feet, %.0f in the air", brier/feet, feet, air)
	}
	if baseHeld < 0.9*bases || speedHeld < 0.9*speeds {
		t.Errorf("the base is held in %.0f of %.0f, the speed in %.0f of %.0f", baseHeld, bases, speedHeld, speeds)
	}
}

// travels reports whether a point of a foot goes along the piste from one frame to the
// one after next: a foot on the floor only rolls.
func travels(before, after *TrueBody, w mark.What) bool {
	return math.Abs(after.Point(w).X-before.Point(w).X) > footTravels
}

// TestStartsAgainstTruth: who starts, the lag from hand to foot and the step into which
// the attack goes, as the moments of the four touches tell, against the scene's.
func TestStartsAgainstTruth(t *testing.T) {
	if testing.Short() {
		t.Skip("nothing in it runs side by side: the full run has it")
	}
	for touch, want := range []struct{ at, into string }{
		{"answer", study.LaunchIntoAdvance}, // into the half step
		{"answer", study.LaunchOnStanding},  // Right waits for it
		{"foot", study.LaunchOnStanding},    // Right parries on the spot
		{"foot", study.LaunchIntoAttack},    // counter-time
	} {
		k := Marked(touch, 5, 1.5) // whose attack it is follows from the names of the answers
		r, err := study.Read(context.Background(), &k, reelFootage{}, study.ReadOptions{Draws: 1000})
		if err != nil {
			t.Fatal(err)
		}
		truth := map[string]float64{}
		for _, m := range TruthOf(touch).Moments {
			truth[m.ID] = float64(m.At)
		}
		m, _ := k.Moment(want.at)
		x, err := r.TimingAt(study.TimingAsk{At: study.At{Take: m.Take, Frame: m.By}})
		if err != nil {
			t.Fatal(err)
		}
		s := x.Started
		if s == nil || s.Launch == nil {
			t.Errorf("touch %d: %+v", touch, x.Lacks)
			continue
		}
		if s.Launch.Into != want.into || s.Launch.Chance < .5 || s.Launch.Who != mark.Left {
			t.Errorf("touch %d: %s", touch, s.Launch.Finding)
		}
		first := truth["foot"]
		if h, ok := truth["hand"]; ok {
			first = h
			lag := s.Lags[mark.Left]
			if lag == nil || math.Abs(float64(lag.Time.Mean)-(truth["foot"]-h)) > 3*float64(lag.Time.SD) {
				t.Errorf("touch %d: lag %+v, truly %.3f s", touch, lag, truth["foot"]-h)
			}
		}
		if tempi := (truth["hit"] - first) / float64(s.Tempo[mark.Left].Mean); s.Launch.Tempi == nil || math.Abs(float64(s.Launch.Tempi.Mean)-tempi) > 3*float64(s.Launch.Tempi.SD) {
			t.Errorf("touch %d: %+v tempi, truly %.2f", touch, s.Launch.Tempi, tempi)
		}
		if _, ok := k.Moment("feint"); ok && !slices.ContainsFunc(s.Starts, func(e study.StartOf) bool { return e.Moment == "feint" }) {
			t.Errorf("touch %d: the feint starts nothing: %+v", touch, s.Starts)
		}
		if x.Attacker != mark.Left {
			t.Errorf("touch %d: %v attacks: %s", touch, x.Attacker, x.AttackerWhy)
		}
		for _, e := range s.Starts {
			if at, ok := truth[e.Moment]; !ok || math.Abs(float64(e.Time.Mean)-at) > 4*float64(e.Time.SD)+.01 {
				t.Errorf("touch %d: %s of %d at %.3f s, truly %.3f", touch, e.Part, e.Side, e.Time.Mean, at)
			}
		}
	}
}

package timing

import (
	"errors"
	"math"
	"math/rand/v2"
	"testing"

	"mesure/quantity"
)

// Whatever comes in: windows and a map of valid numbers, or a named error.
func FuzzExchange(f *testing.F) {
	f.Add(1.2, .04, .45, .05, .23, .04, 1.0, .1, .8, .1, .05, .04, .0, .045, 1.3, -.4, .35, .16, .2, .05, uint8(1))
	f.Add(0., 0., 0., 0., 0., 0., .4, .3, .3, .2, -.1, 1., 0., 0., 0., 0., 0., .2, 0., 0., uint8(2))
	f.Add(.3, .5, .4, .5, .1, .3, .4, .9, .3, .2, -.1, 1., -.3, .1, 0., -5., .001, .001, 0., 1., uint8(6))
	f.Add(math.NaN(), -1., 1e300, math.Inf(1), 1e-300, 5., 90., 99., 999., 999., -999., 999., 999., 999., 999., 9., -1., -1., -1., 9., uint8(7))
	f.Fuzz(func(t *testing.T, gap, gapSD, arm, armSD, armTime, armTimeSD, body, bodySD, bodyTime, bodyTimeSD, delay, delaySD, onset, window, own, back, backTime, parry, reaction, cue float64, bits uint8) {
		type m = quantity.Metres
		type s = quantity.Seconds
		x := lungeAt(t, 1, 1)
		x.Attack = Attack{Gap: quantity.Of[m]{Mean: m(gap), SD: m(gapSD)}, Cue: quantity.Exactly(quantity.Ratio(cue)), Movement: Movement{
			Arm: quantity.Of[m]{Mean: m(arm), SD: m(armSD)}, ArmTime: quantity.Of[s]{Mean: s(armTime), SD: s(armTimeSD)},
			Body: quantity.Of[m]{Mean: m(body), SD: m(bodySD)}, BodyTime: quantity.Of[s]{Mean: s(bodyTime), SD: s(bodyTimeSD)},
			Delay: quantity.Of[s]{Mean: s(delay), SD: s(delaySD)},
		}, Onset: Onset{Time: quantity.Of[s]{Mean: s(onset), SD: s(bodyTimeSD)}, Uniform: bits&1 > 0}}
		x.Defence.Gap.Mean, x.Defence.TargetOnArm = m(own), quantity.Ratio(bits&2)/2
		x.Defence.StepBack.Body.Mean, x.Defence.StepBack.BodyTime.Mean = m(back), s(backTime)
		x.Defence.Lateral.Mean, x.Defence.Reaction.Simple.Mean = s(parry), s(reaction)
		x.GapCorrelation = quantity.Ratio(bits&4) / 4
		app := Apparatus{Window: s(window)}
		named := func(err error) {
			var bad *InputError
			if err != nil && !errors.As(err, &bad) {
				t.Fatalf("not a named error: %v", err)
			}
		}
		w, err := x.Windows(app, 40, rand.NewPCG(uint64(bits), 1))
		named(err)
		if err == nil {
			for _, e := range w.Each {
				if !e.InTime.IsValid() || e.InTime.Mean < 0 || e.InTime.Mean > 1 || !e.Earliest.IsValid() || !e.Latest.IsValid() || !e.Spare.IsValid() {
					t.Fatalf("%+v", e)
				}
			}
			for _, q := range []quantity.Of[quantity.Seconds]{w.Hit, w.Ready, w.ReAim, w.Cue.At, w.Cue.Left} {
				if !q.IsValid() {
					t.Fatalf("%+v", w)
				}
			}
			if !w.Cue.Gone.IsValid() {
				t.Fatalf("%+v", w.Cue)
			}
		}
		mp, err := x.Map(app, Grid{GapTo: 2, Gaps: 5, LeadFrom: -.1, LeadTo: .5, Leads: 4}, 40, rand.NewPCG(uint64(bits), 1))
		named(err)
		for _, c := range mp.Cells {
			if sum := c.AttackerOnly.Mean + c.DefenderOnly.Mean + c.Both.Mean + c.Neither.Mean; math.Abs(float64(sum)-1) > 1e-9 || min(c.AttackerOnly.Mean, c.DefenderOnly.Mean, c.Both.Mean, c.Neither.Mean) < 0 {
				t.Fatalf("%+v", c)
			}
		}
	})
}

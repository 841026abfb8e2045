package timing

import (
	"math"
	"math/rand/v2"
	"testing"

	"gonum.org/v1/gonum/integrate/quad"

	"mesure/quantity"
)

// Second routes and properties of race and windows that hold for any two fencers.

// normalDensity of the standard normal law.
func normalDensity(z float64) float64 { return math.Exp(-z*z/2) / math.Sqrt(2*math.Pi) }

// over integrates f against the normal law of this mean and SD, cut below lo.
func over(mean, sd, lo float64, f func(x float64) float64) float64 {
	from, sum := max(lo, mean-8*sd), 0.0
	const parts = 12
	for k := range parts {
		a := from + (mean+8*sd-from)*float64(k)/parts
		b := from + (mean+8*sd-from)*float64(k+1)/parts
		sum += quad.Fixed(func(x float64) float64 { return normalDensity((x-mean)/sd) / sd * f(x) }, a, b, 24, quad.Legendre{}, 0)
	}
	return sum / (1 - normalCDF((lo-mean)/sd))
}

// Draws against quadrature where no closed form serves: the time and the way of the
// left arm are uncertain, the right arrival is normal. The left point arrives at
// 0.1 s + T·m⁻¹(gap/way), so that P(left alone) is an integral over both.
func TestRaceAgainstQuadrature(t *testing.T) {
	manyDraws(t)
	const draws, window, gap = 100_000, .045, .3
	right, after := still(t, seconds(.11, .03))
	left := Runner{Gap: quantity.Exactly(quantity.Metres(gap)), Movement: Movement{Arm: metres(.40, .05), ArmTime: seconds(.23, .04)}, Onset: Observed(seconds(.1, 0), false)}
	got, err := Race{Runners: [2]Runner{left, right}}.Run(Apparatus{Window: window}, draws, rand.NewPCG(4, 4))
	if err != nil {
		t.Fatal(err)
	}
	mean := .11 + float64(after)
	chance := func(of func(at float64) float64) float64 {
		return over(.40, .05, gap, func(way float64) float64 {
			share := MinimumJerkTime(gap / way)
			return over(.23, .04, .2*.23, func(whole float64) float64 { return of(.1 + whole*share) })
		}) * (1 - normalCDF((gap-.40)/.05)) / (1 - normalCDF(-.40/.05))
	}
	reaches := chance(func(float64) float64 { return 1 })
	approx(t, "reaches", float64(got.Runs[Left].Arrives.Mean), reaches, 4*math.Sqrt(reaches*(1-reaches)/draws)+1e-4)
	for what, c := range map[string]struct {
		got  quantity.Of[quantity.Chance]
		want float64
	}{
		"left alone":  {got.LeftOnly, chance(func(at float64) float64 { return 1 - normalCDF((at+window-mean)/.03) })},
		"right alone": {got.RightOnly, chance(func(at float64) float64 { return normalCDF((at - window - mean) / .03) }) + 1 - reaches},
		"left first":  {got.LeftFirst, chance(func(at float64) float64 { return 1 - normalCDF((at-mean)/.03) })},
	} {
		approx(t, what, float64(c.got.Mean), c.want, 4*math.Sqrt(c.want*(1-c.want)/draws))
		if c.want < .02 || c.want > .98 {
			t.Errorf("%s %.3f: nothing is tested", what, c.want)
		}
	}
}

// The windows by quadrature: only the attack's arm time is uncertain besides the
// reaction, P(in time) = ∫ φ(T)·Φ((hit(T) − cue(T) − parry − reaction)/SD) dT.
func TestInTimeAgainstQuadrature(t *testing.T) {
	manyDraws(t)
	x := sharp(lungeAt(t, 1, 1))
	x.Attack.Movement = Movement{Arm: metres(.6, 0), ArmTime: seconds(.95, .12)}
	x.Attack.Gap = metres(.5, 0)
	x.Defence.Reaction = VisualAmong(2)
	law := x.Defence.Reaction.Law()
	w := windows(t, x, 40_000, 6)
	share, cue := MinimumJerkTime(.5/.6), MinimumJerkTime(float64(x.Attack.Cue.Mean))
	for a, takes := range map[Answer]quantity.Seconds{ParryLateral: x.Defence.Lateral.Mean, ParryCircular: x.Defence.Circular.Mean, RemoveTarget: x.Defence.Removal.Mean} {
		want := over(.95, .12, .2*.95, func(whole float64) float64 {
			return normalCDF((whole*(share-cue) - float64(takes) - float64(law.Mean)) / float64(law.SD))
		})
		q := of(t, w, a).InTime
		approx(t, string(a), float64(q.Mean), want, 4*float64(q.SD))
		if want < .02 || want > .98 {
			t.Errorf("%s %.3f: nothing is tested", a, want)
		}
	}
}

// Figure table G15 once more, by draws of a race: its chances to three digits.
func TestRaceG15ByDraws(t *testing.T) {
	manyDraws(t)
	const draws = 60_000
	for delta, byS := range map[float64][3][3]float64{ // Δ in ms: for s = 20, 40, 60 ms
		0:   {{.012, .976, .012}, {.130, .739, .130}, {.227, .547, .227}},
		40:  {{.401, .599, .000}, {.450, .533, .017}, {.467, .455, .078}},
		80:  {{.960, .040, .000}, {.809, .190, .001}, {.720, .261, .019}},
		100: {{.997, .003, .000}, {.915, .084, .000}, {.820, .172, .008}},
	} {
		for i, want := range byS {
			s := float64(20*(i+1)) / 1000
			a, _ := still(t, seconds(.3, s*.6))
			b, _ := still(t, seconds(.3+delta/1000, s*.8))
			got, err := Race{Runners: [2]Runner{a, b}}.Run(Apparatus{Window: .045}, draws, rand.NewPCG(8, 8))
			if err != nil {
				t.Fatal(err)
			}
			for k, p := range []quantity.Of[quantity.Chance]{got.LeftOnly, got.Both, got.RightOnly} {
				approx(t, "chance", float64(p.Mean), want[k], 5.1e-4+4*math.Sqrt(want[k]*(1-want[k])/draws))
			}
		}
	}
}

// anyRace is a race of any two of the movements within what people do.
func anyRace(t testing.TB, r *rand.Rand) Race {
	var race Race
	for s := range race.Runners {
		m := movement(t, Actions()[r.IntN(len(Actions()))])
		race.Runners[s] = Runner{Gap: metres(.1+2*r.Float64(), .06*r.Float64()), Movement: m, TargetOnArm: quantity.Ratio(r.Float64()),
			Onset: Observed(seconds(.5*r.Float64()-.1, .02*r.Float64()), r.IntN(2) == 0)}
	}
	race.GapCorrelation = quantity.Ratio(2*r.Float64() - 1)
	return race
}

// Whatever the race: the lamps sum to 1 and who is first to what arrives, and closer
// no point arrives later or less often. Exact, on shared draws.
func TestRaceProperties(t *testing.T) {
	r := rand.New(rand.NewPCG(11, 1))
	for i := range 60 {
		race := anyRace(t, r)
		closer, err := Change{Closer: .05}.Race(race)
		if err != nil {
			t.Fatal(err)
		}
		w, err := race.WhatIf(epee(), 400, rand.NewPCG(uint64(i), 1), closer)
		if err != nil {
			t.Fatal(err)
		}
		for _, x := range w {
			approx(t, "lamps", float64(x.LeftOnly.Mean+x.RightOnly.Mean+x.Both.Mean+x.Neither.Mean), 1, 1e-12)
			approx(t, "first", float64(x.LeftFirst.Mean+x.RightFirst.Mean+x.Neither.Mean), 1, 1e-12)
		}
		for s := range race.Runners {
			was, now := w[0].Runs[s], w[1].Runs[s]
			if now.Arrives.Mean < was.Arrives.Mean {
				t.Errorf("race %d: from closer, side %d arrives less often", i, s)
			}
			if was.Arrives.Mean == 1 && now.Arrival.Mean > was.Arrival.Mean+1e-12 {
				t.Errorf("race %d: from closer, side %d arrives later", i, s)
			}
		}
		if w[1].Neither.Mean > w[0].Neither.Mean {
			t.Errorf("race %d: from closer fewer arrive", i)
		}
	}
}

// Who reacts later is never first more often, and never lights alone more often: with
// the arm alone, against a target that does not hang on that arm.
func TestLaterReactionNeverWins(t *testing.T) {
	r := rand.New(rand.NewPCG(12, 1))
	moved := 0
	for i := range 40 {
		race := anyRace(t, r)
		who := i % 2
		race.Runners[who].Movement = movement(t, Extension)
		race.Runners[who].Gap = metres(.2+.6*r.Float64(), .03)
		race.Runners[who].Onset = Reacting(Visual(), PerChoice(), 1+r.IntN(4))
		race.Runners[1-who].Movement, race.Runners[1-who].Gap = movement(t, Lunge), metres(.3+.7*r.Float64(), .03)
		race.Runners[1-who].TargetOnArm = 0
		later := race
		later.Runners[who].Onset.Time.Mean += .05
		w, err := race.WhatIf(epee(), 400, rand.NewPCG(uint64(i), 1), later)
		if err != nil {
			t.Fatal(err)
		}
		own := func(x Result) (first, alone quantity.Chance) {
			if who == Left {
				return x.LeftFirst.Mean, x.LeftOnly.Mean
			}
			return x.RightFirst.Mean, x.RightOnly.Mean
		}
		first, alone := own(w[0])
		f, a := own(w[1])
		if f > first+1e-12 || a > alone+1e-12 {
			t.Errorf("race %d: later by 50 ms first %v after %v, alone %v after %v", i, f, first, a, alone)
		}
		if f < first-.02 {
			moved++
		}
	}
	if moved < 8 {
		t.Errorf("only %d races hang on the reaction", moved)
	}
}

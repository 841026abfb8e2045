package timing

import (
	"errors"
	"math/rand/v2"
	"strings"
	"testing"

	"mesure/quantity"
)

func TestDefaults(t *testing.T) {
	for _, action := range Actions() {
		for _, sex := range []string{"", "f", "m"} {
			for _, level := range []string{"", "club", "elite"} {
				m, err := Default(action, sex, level)
				if err != nil {
					t.Fatal(err)
				}
				if m.Name != action || m.Source == "" {
					t.Errorf("%+v", m)
				}
				r := Race{Runners: [2]Runner{{Gap: quantity.Normal(quantity.Metres(1), .05), Movement: m}, {Movement: m}}}
				if _, err := r.Run(epee(), 10, rand.NewPCG(1, 1)); err != nil {
					t.Errorf("%s %s %s: %v", action, sex, level, err)
				}
			}
		}
	}
	var unknown *UnknownActionError
	if _, err := Default("somersault", "", ""); !errors.As(err, &unknown) || !strings.Contains(err.Error(), StepLunge) {
		t.Errorf("an unknown action: %v", err)
	}
}

// The defaults must agree with what was measured and did not go into them.
func TestDefaultsArePlausible(t *testing.T) {
	lunge, _ := Default(Lunge, "", "elite")
	peak := PeakSpeedFactor * float64(lunge.Body.Mean) / float64(lunge.BodyTime.Mean)
	// Centre of gravity 1.94 and 2.21 m/s, n = 2 (Rutkowska-Kucharska 2016); the
	// shoulder leans ahead of it. Lunge velocity of elite fencers 3.35 ± 0.70
	// (Turner 2016, recalled, not verified).
	if peak < 1.94 || peak > 3.35+.70 {
		t.Errorf("lunge peaks at %.2f m/s", peak)
	}
	// The usual lunge hits when HitShare of the body's way is done, at LungeTime.
	at, ok := lunge.TimeTo(lunge.Arm.Mean + lunge.Body.Mean*quantity.Metres(HitShare))
	approx(t, "start to hit", float64(at), float64(LungeTime), .001)
	if !ok {
		t.Error("does not hit")
	}
	// The flèche is quicker than the lunge at the same distance (Borysiuk 2019).
	fleche, _ := Default(Fleche, "", "elite")
	f, _ := fleche.TimeTo(lunge.Arm.Mean + lunge.Body.Mean*quantity.Metres(HitShare))
	if f >= at {
		t.Errorf("flèche %v, lunge %v", f, at)
	}
	// An extension of 0.45 m peaks at 3 to 5 m/s (derived in the figures).
	if p := PeakSpeedFactor * float64(ArmTravel) / float64(ArmTime); p < 3 || p > 5 {
		t.Errorf("the arm peaks at %.2f m/s", p)
	}
	club, _ := Default(Lunge, "", "club")
	if club.Body.Mean >= lunge.Body.Mean {
		t.Error("the novice lunges as far as the elite fencer")
	}
	men, _ := Default(StepLunge, "m", "")
	women, _ := Default(StepLunge, "f", "")
	if men.BodyTime.Mean >= women.BodyTime.Mean {
		t.Error("step and lunge: men are not quicker than women")
	}
}

// Step and lunge: 940 and 1030 ms from the light less 200 of reaction, when a
// tenth of the body's way is left (IJERPH 20:17, 2023).
func TestStepLungeTimes(t *testing.T) {
	for sex, want := range map[string]float64{"m": .740, "f": .830} {
		m, _ := Default(StepLunge, sex, "elite")
		at, ok := m.TimeTo(m.Arm.Mean + m.Body.Mean*quantity.Metres(HitShare))
		if !ok {
			t.Fatal("does not hit")
		}
		approx(t, "start to hit", float64(at), want, .001)
		approx(t, "reach", float64(m.Reach().Mean), .45+1.17*.9+.77, 1e-9)
	}
}

func TestReachBands(t *testing.T) {
	r := DefaultReach()
	for gap, want := range map[quantity.Metres]Band{.2: Short, .44: Short, .6: Medium, 1.4: Medium, 1.7: Long, 2.3: Long, 2.8: Out} {
		band, chance := r.Band(quantity.Normal(gap, .02))
		if band != want || chance <= .5 || chance > 1 {
			t.Errorf("%v m: %s with %v", gap, band, chance)
		}
		sum := quantity.Chance(0)
		for _, p := range r.Chances(quantity.Normal(gap, .3)) {
			sum += p
		}
		approx(t, "sum", float64(sum), 1, 1e-12)
	}
	// At a threshold known exactly, half and half.
	exact := Reach{Short: quantity.Exactly(ShortReach), Medium: quantity.Exactly(MediumReach), Long: quantity.Exactly(LongReach)}
	p := exact.Chances(quantity.Normal(ShortReach, .05))
	approx(t, "short", float64(p[0]), .5, 1e-12)
	if band, chance := exact.Band(quantity.Exactly(MediumReach)); band != Medium || chance != 1 {
		t.Errorf("exactly at the limit: %s %v", band, chance)
	}
	// The fencer's own reach moves the bands.
	own := ReachOf(movement(t, Extension), movement(t, Lunge), movement(t, StepLunge))
	approx(t, "own medium", float64(own.Medium.Mean), float64(movement(t, Lunge).Arm.Mean+movement(t, Lunge).Body.Mean), 1e-12)
	if own.Source == "" || r.Source == "" {
		t.Error("a reach without a source")
	}
}

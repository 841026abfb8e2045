package timing

import (
	"math"
	"testing"

	"mesure/quantity"
)

// More rules of thumb of the trade and measured figures as checks. Common practice,
// no source, unless said otherwise.

// T9: what the distance asks of an attack that is to beat a defence of 353 ms from its
// start (Gutiérrez-Dávila, J. Appl. Biomech. 32:548, 2016): 2.8 m/s of mean speed from
// 1 m, which is plausible, 4.25 m/s from 1.5 m, which only surprise makes good.
func TestTradeInsideWhatDistance(t *testing.T) {
	const defence, defenceSD = .353, .028
	approx(t, "speed from 1 m", 1.0/defence, 2.8, .05)
	approx(t, "speed from 1.5 m", 1.5/defence, 4.25, .005)
	lands := func(action string, gap, late float64) float64 {
		x := lungeAt(t, gap, gap)
		x.Attack.Movement = movement(t, action)
		x.Attack.Cue = quantity.Exactly(quantity.Ratio(0)) // the defence starts with the attack
		x.Defence.Reaction = Reaction{Simple: seconds(late, 0)}
		x.Defence.Lateral = seconds(defence, defenceSD)
		return 1 - inTime(t, windows(t, x, 4000, 1), ParryLateral)
	}
	last := 1.0
	for _, gap := range []float64{.3, .6, .8, 1.0, 1.2, 1.5, 2, 3} {
		p := lands(Lunge, gap, 0)
		if p > last {
			t.Errorf("from %g m a lunge beats the defence more often than from closer", gap)
		}
		last = p
	}
	near, far, surprised := lands(Fleche, 1.0, 0), lands(Fleche, 1.5, 0), lands(Fleche, 1.5, .4)
	if near < .01 || near > .6 || near < 3*far {
		t.Errorf("a flèche from 1 m beats the defence with %.3f, from 1.5 m with %.3f", near, far)
	}
	if far > .02 || surprised < .3 {
		t.Errorf("from 1.5 m %.3f, and %.3f against one who starts 400 ms late", far, surprised)
	}
}

// T11: a single light asks the own hit at least the window before the other's; so the
// advanced target or a step back that delays the other's.
func TestTradeSingleLightNeedsTheAdvancedTarget(t *testing.T) {
	counter := func(own float64, back string) Result {
		r := duel(t)
		r.Runners[Left].Gap, r.Runners[Right].Gap = metres(.50, .03), metres(own, .03)
		r.Runners[Right].Movement.Body, r.Runners[Right].Movement.BodyTime = quantity.Exactly(quantity.Metres(0)), seconds(1, 0)
		if back != None {
			m := movement(t, back)
			r.Runners[Right].Movement.Body, r.Runners[Right].Movement.BodyTime = m.Body, m.BodyTime
		}
		return run(t, r, 8000, 2)
	}
	hand, trunk := counter(.45, None), counter(.75, None)
	if hand.RightOnly.Mean < trunk.RightOnly.Mean+.2 {
		t.Errorf("single light at the hand %v, at the trunk %v", hand.RightOnly.Mean, trunk.RightOnly.Mean)
	}
	// The step back delays the attack by what it carries the target away; the own point
	// goes back with it, so that the counter alone is not quicker for it.
	back := counter(.45, Retreat)
	if l, was := back.Runs[Left], hand.Runs[Left]; l.Arrival.Mean < was.Arrival.Mean+.02 || l.Arrives.Mean > was.Arrives.Mean {
		t.Errorf("with a step back the attack arrives at %v (%v), without at %v (%v)", l.Arrival, l.Arrives.Mean, was.Arrival, was.Arrives.Mean)
	}
}

// T14: an attack to the toe is answered with a counter to the arm while the front foot
// slides back: of two fencers of equal reach the counter has the shorter way.
func TestTradeToeAttackMeetsACounter(t *testing.T) {
	const reach, ahead, high = 1.655, .30, 1.25 // as in T13
	const guard = reach - float64(ArmTravel)    // shoulder to point with the arm bent
	checked := 0
	for apart := 1.9; apart <= 2.75; apart += .05 { // shoulder to shoulder
		attacker := [3]quantity.Metres{0, 0, high}
		toe := [3]quantity.Metres{quantity.Metres(apart - ahead), 0, 0}
		elbow := [3]quantity.Metres{.25, 0, high - .2} // of the attacker, as the arm comes out
		defender := [3]quantity.Metres{quantity.Metres(apart), 0, high}
		attack, counter := distance(attacker, toe)-guard, distance(defender, elbow)-guard
		if counter >= attack {
			t.Errorf("%.2f m apart the counter has %.3f m to go, the attack %.3f", apart, counter, attack)
		}
		r := Race{Runners: [2]Runner{
			{Gap: metres(attack, .03), Movement: movement(t, Lunge)},
			{Gap: metres(max(0, counter), .03), Movement: movement(t, Extension), TargetOnArm: .5, Onset: Reacting(Visual(), PerChoice(), 2)},
		}}
		stays := run(t, r, 3000, 4)
		slides := r
		slides.Runners[Right].Movement.Body = metres(-.30, .05) // the foot alone: the own point stays
		slides.Runners[Right].Movement.BodyTime = seconds(.25, .03)
		slides.Runners[Right].Movement.Arm.Mean += .30
		away := run(t, slides, 3000, 4)
		if stays.BothArrive.Mean > .5 && away.LeftOnly.Mean+away.Both.Mean > stays.LeftOnly.Mean+stays.Both.Mean+.02 {
			t.Errorf("%.2f m apart sliding the foot back helps the attack: %v after %v", apart, away.LeftOnly.Mean+away.Both.Mean, stays.LeftOnly.Mean+stays.Both.Mean)
		}
		checked++
	}
	if checked < 15 {
		t.Fatalf("checked %d", checked)
	}
}

// T16: the hand behind a guard of 13.5 cm (rule of the equipment) cannot be hit on a
// straight central line, which meets the guard; a line round it comes from a hand that
// stands aside (angulation). By plane trigonometry and by the lines of the parry.
func TestTradeAngulationReachesRoundTheGuard(t *testing.T) {
	const rim, behind, wrist = .135 / 2, .12, .03 // of the guard; wrist behind it and its half-width
	passes := func(aside, turn, at, radius float64) float64 {
		const blade = .9
		places := make([]float64, 18)
		hand := [3]float64{0, aside, 1.1}
		copy(places[3*AttackersHand:], hand[:])
		copy(places[3*AttackersPoint:], []float64{blade * math.Cos(turn), aside - blade*math.Sin(turn), 1.1})
		copy(places[3*DefendersHand:], []float64{2, 0, 1.1})
		copy(places[3*DefendersPoint:], []float64{1.1, 0, 1.1})
		for _, spot := range []Spot{ZoneFrom, ZoneTo} {
			copy(places[3*spot:], []float64{at, 0, 1.1})
		}
		got, ok := LinePasses(places, quantity.Metres(radius))
		if !ok {
			t.Fatalf("no line: hand %g aside, turn %g", aside, turn)
		}
		return float64(got)
	}
	const guard = 1.2 // from the attacker's hand to the guard, along the piste
	// On the axis: every line that clears the rim has gone too wide for the wrist.
	if passes(0, 0, guard, rim) >= 0 {
		t.Error("a straight central line clears the guard")
	}
	for turn := 0.0; turn < .3; turn += .001 {
		clears, hits := guard*math.Tan(turn) > rim, passes(0, turn, guard+behind, wrist) < 0
		if clears && hits {
			t.Fatalf("from the axis a line turned by %.3f rad reaches the wrist", turn)
		}
	}
	// From a hand aside: rim and the far edge of the wrist give the least angle.
	least := math.Atan2(rim, behind) - math.Asin(wrist/math.Hypot(behind, rim))
	for _, more := range []float64{-.01, .01} {
		turn := least + more
		aside := rim + guard*math.Tan(turn) // just over the rim
		if hits := passes(aside, turn, guard+behind, wrist) < 0; hits != (more > 0) {
			t.Errorf("turned by %.3f rad, least %.3f: hits %v", turn, least, hits)
		}
	}
	if deg := least * 180 / math.Pi; deg < 10 || deg > 30 {
		t.Errorf("angulation asks %.0f°", deg)
	}
}

// T21: who lunges from where the opponent's extension reaches is met first, from any
// distance within that reach; the flag is worth the less the farther the arm is.
func TestTradeArmWithinReachAtLaunch(t *testing.T) {
	last := 1.0
	for own := .10; own < float64(ArmTravel)-.05; own += .05 {
		p := inTime(t, windows(t, lungeAt(t, 1.2, own), 3000, 2), ExtendSingle)
		if p < .9 {
			t.Errorf("the arm at %.2f m: single light with %.3f", own, p)
		}
		if p > last+1e-12 {
			t.Errorf("a farther arm is hit more often: %.3f after %.3f", p, last)
		}
		last = p
	}
}

// T27 ("most fencers can lunge further than they can hit", from a coaching text): the
// last tenth of the body's way costs a quarter of its time, so that reach is counted
// to 0.9 of it.
func TestTradeLastOfTheLungeIsSlow(t *testing.T) {
	m := fixed(t, Lunge)
	at := func(share float64) float64 {
		s, ok := m.TimeTo(m.Arm.Mean + quantity.Metres(share)*m.Body.Mean)
		if !ok {
			t.Fatalf("does not reach %g", share)
		}
		return float64(s)
	}
	whole := float64(m.BodyTime.Mean)
	approx(t, "last tenth", (at(1)-at(float64(HitShare)))/whole, 1-.7534, 2e-4)
	if last, middle := at(1)-at(.95), at(.55)-at(.5); last < 4*middle {
		t.Errorf("the last twentieth takes %.3f s, one in the middle %.3f", last, middle)
	}
}

// B30 (Zeuwts, Archives of Budo 13(1), 2017, 8 elite épéeists): half of the running
// lunges are re-aimed 277 ms before contact, more of them at 310 and 380 ms, fewer at
// 240, 170 and 100.
func TestFigureReAim(t *testing.T) {
	x := sharp(lungeAt(t, 1.1, 1.2))
	x.Attack.Movement.Delay.SD = 1e-9 // more than one draw
	w := windows(t, x, 20_000, 3)
	before := quantity.Normal(w.Hit.Mean-w.ReAim.Mean, w.ReAim.SD)
	approx(t, "half", float64(before.Mean), .277, .002)
	last := 0.0
	for _, c := range []struct {
		at   float64
		more bool
	}{{.100, false}, {.170, false}, {.240, false}, {.310, true}, {.380, true}} {
		p := normalCDF((c.at - float64(before.Mean)) / float64(before.SD))
		if p > .5 != c.more || p < last {
			t.Errorf("%g s before the hit %.3f are re-aimed", c.at, p)
		}
		last = p
	}
	if last < .95 {
		t.Errorf("at 380 ms only %.3f are re-aimed", last)
	}
}

// B32 (as in T9) as a reference point for windows: an attack that leaves two spreads
// more than 353 ms from its cue is nearly always parried, one that leaves two spreads
// less hardly ever.
func TestFigureDefenceTimeOnWindows(t *testing.T) {
	for _, c := range []struct{ left, from, to float64 }{{.353 + 2*.028, .8, 1}, {.353, .3, .7}, {.353 - 2*.028, 0, .2}} {
		x := sharp(lungeAt(t, 1, 1))
		x.Attack.Movement = Movement{Arm: metres(.45, 0), ArmTime: seconds(1, 0)}
		x.Attack.Gap = metres(.225, 0)                  // half-way
		cue := quantity.Ratio(MinimumJerk(.5 - c.left)) // so that it is seen this long before
		x.Attack.Cue = quantity.Exactly(cue)
		x.Defence.Reaction, x.Defence.Lateral = VisualAmong(1), seconds(float64(ParryTime), float64(ParryTimeSD))
		w := windows(t, x, 4000, 5)
		approx(t, "left from the cue", float64(w.Cue.Left.Mean), c.left, 1e-6)
		if p := inTime(t, w, ParryLateral); p < c.from || p > c.to {
			t.Errorf("%.3f s from the cue: parried with %.3f", c.left, p)
		}
	}
}

// Tables 3a, 3b and 3d of the figures as bounds that the defaults must keep.
func TestDefaultsWithinTheFigures(t *testing.T) {
	within := func(what string, v, lo, hi float64) {
		t.Helper()
		if !(v >= lo && v <= hi) {
			t.Errorf("%s %.3f is not in [%g, %g]", what, v, lo, hi)
		}
	}
	// 3a. A step adds 0.77 m in elite and 1.09 m in junior fencers (Turner and Marshall).
	within("step and lunge less lunge", float64(movement(t, StepLunge).Body.Mean-movement(t, Lunge).Body.Mean), .77-1e-9, 1.09)
	// From the light 0.92 to 0.96 s, ± 0.07 (Wang 2024), with a reaction of 200 to 280 ms.
	m := fixed(t, Lunge)
	hit, _ := m.TimeTo(m.Arm.Mean + quantity.Metres(HitShare)*m.Body.Mean)
	within("reaction and lunge", float64(VisualReaction+hit), .92-.07-.02, .96+.07)
	// Peak speed of the point in a lunge 3 to 5 m/s (derived from the minimum-jerk curve).
	peak := 0.0
	for k := range 800 {
		s := quantity.Seconds(k) / 1000
		peak = max(peak, float64(m.Travel(s+.001)-m.Travel(s))/.001)
	}
	within("peak speed of the point", peak, 3, 5)
	// Wrist before body (Rutkowska-Kucharska 2016), or both at once (stereophotogrammetry).
	within("delay of the body", float64(LungeDelay), 0, .1)
	// Steps 0.2 to 0.6 m in 0.25 to 0.5 s (trade).
	within("step back", float64(RetreatStep), .2, .6)
	within("time of a step", float64(RetreatTime), .25, .5)
	// 3b. Touch is quicker than sight by nothing (JOSAM 2021) to 120 ms (Borysiuk and
	// Waskiewicz 2008); a choice costs nothing (Williams and Walmsley 2000) to 155 ms.
	within("touch before sight", float64(VisualReaction-TactileReaction), 0, .120)
	within("a choice", float64(ChoiceCost), 0, .155)
	// Aiming 94.7 ms a bit with a stylus (Fitts 1954), 100 to 150 with the arm.
	within("a bit of aim", float64(AimPerBit), .0946, .150)
	// 3d. A foot is 0.152 of the stature (Drillis and Contini 1964), 1.75 m.
	approx(t, "half a foot", float64(FootHalf), .152*1.75/2, 1e-3)
	// The arm straightens by less than it is long: shoulder to grip 0.386 of the stature.
	within("travel of the arm", float64(ArmTravel), .1, .386*1.65)
	// Ten centimetres of stature are 3.9 cm of arm, within the spread of the travel.
	within("taller by 10 cm", .386*.10, 0, float64(ArmTravelSD))
	// The elite fencer lunges further than the novice: 1.17 ± 0.17 and 1.02 ± 0.10 m of foot.
	within("body by foot", float64(BodyPerFoot), (2.226-1.655)/1.17, 1)
}

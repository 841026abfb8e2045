package study

import (
	"fmt"
	"math"
	"strings"

	"mesure/quantity"
	"mesure/sport/mark"
	"mesure/timing"
)

// What is supposed where the hip is not known.
const (
	// hipBetween is the spread of the hip about the middle of the feet, in metres (a
	// fencer stands between two thirds back and two thirds front).
	hipBetween = 0.12
	// hipSpeedSD is the spread in m/s of the speed of a hip that nobody followed: a
	// step is taken at about 1 m/s (common practice, no source).
	hipSpeedSD = 1.0
	// hipHeight over the floor in metres, on guard (common practice, no source).
	hipHeight = 0.85
)

// readCommit reads what one fencer's body is able to do at an instant, from feet and
// hip: marked on the frame, or followed through it. A Lack beside a Commit says what
// was supposed because it was not seen; without a Commit, what is missing.
//
// Whether a foot is in the air follows from the contacts that lie about the instant,
// the coach's before the movement's, else from its height and speed (stanceAt.foot);
// the speed of the hip from its track, else from marks close by. The rest is that of
// timing.Commit.
func readCommit(t *Touch, r *Reading, at At, s mark.Side) (*Commit, *Lack) {
	a := r.stanceAt(at)
	attacker := attackerSaid(t, r)
	who := called(s)
	var feet [2]standing
	for i, part := range [2]string{PartFrontFoot, PartRearFoot} {
		f, ok := a.foot(s, part, attacker)
		if !ok {
			return nil, &Lack{Part: PartCommit, Side: s,
				Why:  fmt.Sprintf("%s's %s is not known on frame %d", who, plain(part), at.Frame),
				Mend: fmt.Sprintf("mark toe or heel of the %s on it, or follow it through the take", plain(part))}
		}
		feet[i] = f
	}
	dir := towards(s)
	stance := timing.Stance{Front: feet[0].timing(dir), Rear: feet[1].timing(dir), Height: hipHeight}
	var supposed []string
	hip, seen := a.point(s, mark.Hip)
	if seen {
		stance.Hip = scaled(hip.x, dir)
		if h := hip.z.Mean; h >= 0.2 && h <= 1.5 {
			stance.Height = h
		}
	} else {
		stance.Hip = quantity.Normal((stance.Front.At.Mean+stance.Rear.At.Mean)/2, hipBetween)
		supposed = append(supposed, "the hip is not marked: it is taken to be between the feet")
	}
	if v, ok := a.speed(s, mark.Hip); ok {
		stance.Speed = scaled(v, dir)
	} else {
		stance.Speed = quantity.Normal(quantity.MetresPerSecond(0), hipSpeedSD)
		supposed = append(supposed, fmt.Sprintf("how fast the hip goes was not seen: its speed is taken as 0 ± %.0f m/s", hipSpeedSD))
	}
	c, err := timing.Commit(stance)
	if err != nil {
		return nil, &Lack{Part: PartCommit, Side: s, Why: err.Error(), Mend: fmt.Sprintf("look at the marks of %s's feet and hip on frame %d", who, at.Frame)}
	}
	if !seen {
		c.OverBase = quantity.Of[quantity.Ratio]{}
	}
	out := &Commit{Commitment: c, Stance: stance, Base: less(stance.Front.At, stance.Rear.At)}
	out.Finding = commitFinding(s, out)
	if len(supposed) == 0 {
		return out, nil
	}
	return out, &Lack{Part: PartCommit, Side: s, Why: strings.Join(supposed, "; "),
		Mend: "mark the hip on this frame and on one before or after it, or follow it"}
}

// attackerSaid is the attacker as the coach says, or as the names of the answers do; nil
// where nothing is said.
func attackerSaid(t *Touch, r *Reading) *mark.Side {
	for _, s := range mark.Sides {
		if t.Attacker == s.String() {
			return &s
		}
	}
	if s, _, ok := r.attackerNamed(); ok {
		return &s
	}
	return nil
}

// timing is the foot as the commitment takes it, counted towards the opponent.
func (f standing) timing(dir float64) timing.Foot {
	return timing.Foot{At: scaled(f.at, dir), OnFloor: quantity.Chance(1 - f.air), Lands: f.lands}
}

// commitFinding says what is free and what is not in one sentence.
func commitFinding(s mark.Side, c *Commit) string {
	who := called(s)
	can := map[timing.Does]timing.Can{}
	for _, x := range c.Can {
		can[x.Do] = x
	}
	front, rear := 1-float64(c.Stance.Front.OnFloor), 1-float64(c.Stance.Rear.OnFloor)
	switch back, lunge := can[timing.DoTurnBack], can[timing.DoLunge]; {
	case c.Flight >= 0.5:
		return fmt.Sprintf("%s %s: nothing but the arm before %s", who, sureIn(float64(c.Flight), "is in the air with both feet", "may be in the air with both feet"), firstLanding(c))
	case back.Bar == timing.BarFrontAir:
		return fmt.Sprintf("%s's front foot %s: no way back before %s", who, sureIn(front, "is in the air", "is likely in the air"), landing("it lands", back))
	case lunge.Bar == timing.BarRearAir:
		return fmt.Sprintf("%s's rear foot %s: neither step forward nor lunge before %s", who, sureIn(rear, "is in the air", "is likely in the air"), landing("it lands", lunge))
	case back.Bar == timing.BarOverFront:
		return fmt.Sprintf("%s runs on over the front foot at %s: the way back takes one more step, about %s", who, plusMinus(c.Stance.Speed, inSpeed), plusMinus(back.Next, inMS))
	case can[timing.DoTurnForward].Bar == timing.BarOverRear:
		return fmt.Sprintf("%s runs back over the rear foot at %s: the way forward takes one more step, about %s", who, plusMinus(scaled(c.Stance.Speed, -1), inSpeed), plusMinus(can[timing.DoTurnForward].Next, inMS))
	case front > 1-sureFree || rear > 1-sureFree:
		foot := "front"
		if rear > front {
			foot = "rear"
		}
		return fmt.Sprintf("%s most likely stands on both feet and can go either way; the %s foot may be in the air, in %s of 100", who, foot, in100(quantity.Chance(max(front, rear))))
	}
	lean := ""
	if c.OverBase.SD > 0 && math.Abs(float64(c.Stance.Speed.Mean)) < restSpeed && c.Stance.Speed.SD < hipSpeedSD {
		lean = fmt.Sprintf(", %s of the weight on the front foot", plusMinus(c.OverBase, inPct))
	}
	return fmt.Sprintf("%s stands on both feet%s: forward and back are both open", who, lean)
}

const (
	// sureFree is how sure both feet must be on the floor to be called so.
	sureFree = 0.75
	// restSpeed is the speed of the hip in m/s below which the law of the lever holds:
	// the place where the body would have to be caught is then within 9 cm of the hip.
	restSpeed = 0.3
)

// sureIn chooses the words by how sure something is.
func sureIn(p float64, surely, likely string) string {
	if p >= sureFree {
		return surely
	}
	return likely
}

// landing says when what bars the way ends.
func landing(what string, c timing.Can) string {
	if !c.Known {
		return what + " (its landing was not seen)"
	}
	return what + ", in " + plusMinus(c.Next, inMS)
}

// firstLanding is which foot of a flight lands first, and when.
func firstLanding(c *Commit) string {
	best, name := quantity.Of[quantity.Seconds]{}, ""
	for _, f := range []struct {
		name string
		at   quantity.Of[quantity.Seconds]
	}{{"front", c.Stance.Front.Lands}, {"rear", c.Stance.Rear.Lands}} {
		if (f.at != quantity.Of[quantity.Seconds]{}) && (name == "" || f.at.Mean < best.Mean) {
			best, name = f.at, f.name
		}
	}
	if name == "" {
		return "a foot lands (the landing was not seen)"
	}
	return fmt.Sprintf("the %s foot lands, in %s", name, plusMinus(best, inMS))
}

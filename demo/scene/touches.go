package scene

import (
	"math"

	"mesure/sport/bout"
	"mesure/sport/mark"
)

// Statures of the two invented fencers, in metres.
const (
	LeftStature  = 1.84
	RightStature = 1.76
)

// Films returns the four touches in a row, in order: simple attack,
// parry-riposte, compound attack, counter-time against the counter-attack.
func Films() []*Film {
	return []*Film{simpleAttack(), parryRiposte(), compoundAttack(), counterTime()}
}

// pair sets the two fencers on guard with their front feet at these places
// along the piste.
func pair(leftFront, rightFront float64) [2]*performer {
	return [2]*performer{
		newPerformer(mark.Left, bout.RightHand, LeftStature, leftFront, 0.52),
		newPerformer(mark.Right, bout.RightHand, RightStature, -rightFront, 0.49),
	}
}

// simpleAttack: the left fencer closes with two steps and lunges straight into
// the right fencer's half step; the parry starts too late.
func simpleAttack() *Film {
	f := &Film{Number: 6, Title: "Simple attack", Before: bout.Score{Left: 2, Right: 3}, Lamps: bout.Lamps{Left: true},
		Note: "Left lunges straight into Right's half step; the parry starts too late."}
	f.performers = pair(-1.64, 1.18)
	l, r := f.performers[0], f.performers[1]
	const step, hand, foot, took, answer, at = 0.784, 1.023, 1.071, 0.48, 1.366, 1.503
	l.advance(0.06, 0.36, 0.33)
	r.retreat(0.16, 0.38, 0.28)
	l.advance(0.52, 0.36, 0.37)
	r.advance(step, 0.36, 0.15)

	l.hand(hand, hand+0.40, 0.56, 0.03, 0.02)
	l.blade(hand, hand+0.40, 1, -3)
	l.lunge(foot, took, 1.04)
	// The late parry of quarte.
	r.hand(answer, answer+0.24, 0.34, -0.10, -0.16)
	r.blade(answer, answer+0.24, 24, -16)
	r.lean.add(answer, answer+0.3, -rad(5))
	r.pelvisX.add(answer, answer+0.35, -0.05)
	f.strike(mark.Left, mark.Chest, 1.12, at, 0.05, 0.06, Vec{0, -0.11, 0.10})
	r.guardOn(1.85, 2.25)
	r.retreat(1.80, 0.40, 0.22)
	l.recover(1.84, 0.78, 0.52)
	l.guardOn(1.84, 2.30)

	f.Moments = []Named{
		{"step", "Right's front foot lifts for the half step", step},
		{"hand", "Left's hand starts", hand},
		{"foot", "Left's front foot lifts", foot},
		{"answer", "Right's parry starts", answer},
		{"hit", "The point arrives on Right's chest", at},
		{"land", "Left's front foot lands", foot + took},
	}
	f.finish(at, 115, liveShot(0.30))
	return f
}

// parryRiposte: the same attack again, but now the right fencer waits for it,
// parries quarte on the spot and ripostes with a half lunge.
func parryRiposte() *Film {
	f := &Film{Number: 7, Title: "Parry and riposte", Before: bout.Score{Left: 3, Right: 3}, Lamps: bout.Lamps{Right: true},
		Note: "Left repeats the attack; Right has waited for it, parries quarte and ripostes with a half lunge."}
	f.performers = pair(-1.50+driven, 1.33+driven)
	l, r := f.performers[0], f.performers[1]
	drive(l, r)
	r.advance(0.08, 0.36, 0.20)
	l.retreat(0.14, 0.36, 0.22)
	l.advance(0.54, 0.38, 0.40)

	const hand, foot, took, answer, contact, at = 0.987, 1.045, 0.50, 1.232, 1.447, 1.767
	l.hand(hand, hand+0.36, 0.63, 0.03, 0.02)
	l.blade(hand, hand+0.34, 1, -3)
	l.lunge(foot, took, 1.04)
	r.meet0(answer)
	f.meet(mark.Right, answer, contact+0.05, contact, 0.17, 0.54, 14, -15)
	// The attacker's blade is carried out of line, to his outside and down.
	l.bladeOut.add(contact-0.02, contact+0.14, rad(11))
	l.bladeUp.add(contact-0.02, contact+0.16, -rad(7))
	l.handO.add(contact, contact+0.18, 0.05)
	l.handU.add(contact+0.02, contact+0.2, -0.08)
	r.handO.add(contact, contact+0.12, -0.05)
	// The riposte.
	r.lean.add(contact+0.02, at+0.1, rad(11))
	r.pelvisX.add(contact, at+0.10, 0.25)
	r.stepFront(contact+0.04, at+0.05, 0.27, 0.03)
	r.frontPitch.bump(contact+0.04, at+0.05, rad(12))
	r.pelvisZ.add(contact, at+0.10, -0.05)
	r.shoulderYaw.add(contact, at, -rad(15))
	r.hand(contact+0.03, at+0.08, 0.50, 0.00, 0.00)
	r.blade(contact+0.02, at+0.04, -15, -1)
	f.strike(mark.Right, mark.Chest, contact+0.10, at, 0.02, 0.03, Vec{0, 0.10, 0.04})
	l.recover(2.00, 0.78, 0.52)
	l.guardOn(2.0, 2.4)
	r.stepFront(1.98, 2.24, -0.30, stepHeight)
	r.pelvisX.add(1.96, 2.30, -0.26)
	r.pelvisZ.add(1.96, 2.30, 0.05)
	r.lean.to(2.0, 2.4, rad(4))
	r.guardOn(2.02, 2.42)

	f.Moments = []Named{
		{"hand", "Left's hand starts", hand},
		{"foot", "Left's front foot lifts", foot},
		{"answer", "Right's parry starts", answer},
		{"contact", "The blades meet in quarte", contact},
		{"land", "Left's front foot lands", foot + took},
		{"hit", "The riposte arrives on Left's chest", at},
	}
	f.finish(at, 118, liveShot(0.10))
	f.openAt(driveStart)
	f.Passers = []*Passer{
		{x: -0.10, y: 2.75, speed: 1.30, stature: 1.74},
		// Before the phrase somebody crosses the picture before the piste.
		{x: -3.00, y: -3.10, speed: -1.90, stature: 1.68},
	}
	return f
}

// Before the phrase of the second touch the right fencer drives the left one back
// along the piste: the camera follows for as long as a coach waits for the touch.
// The clock of the touch is zero when the phrase begins, as in the others.
const (
	driveStart = -3.50 // seconds
	driven     = 2.10  // metres from right to left
)

// drive is the right fencer's pressure: five steps of each, of unequal size, and
// hands that do not stay still.
func drive(l, r *performer) {
	at := driveStart + 0.06
	for i, by := range [...]float64{0.43, 0.41, 0.44, 0.40, 0.42} {
		took := 0.55 - 0.01*float64(i%3)
		r.advance(at, took, by)
		l.retreat(at+0.07, took, by)
		r.handF.bump(at+0.10, at+0.56, 0.05)
		r.bladeUp.bump(at+0.05, at+0.60, -rad(4))
		l.handU.bump(at+0.15, at+0.60, 0.03)
		l.bladeOut.bump(at+0.20, at+0.62, rad(3))
		at += 0.66
	}
}

// openAt makes the live shot begin at this instant, many frames earlier than the
// clock's zero.
func (f *Film) openAt(start float64) {
	s := &f.Shots[0]
	s.Frames += int(math.Round(-start * FrameRate))
	s.Start = seconds(start)
}

// meet0 prepares a parry: weight a little back, before the blade moves.
func (p *performer) meet0(start float64) {
	p.pelvisX.add(start-0.04, start+0.30, -0.05)
	p.lean.add(start, start+0.25, -rad(3))
}

// compoundAttack: a feint to the inside draws the quarte that has just scored;
// the left fencer disengages under it and lands outside.
func compoundAttack() *Film {
	f := &Film{Number: 8, Title: "Compound attack", Before: bout.Score{Left: 3, Right: 4}, Lamps: bout.Lamps{Left: true},
		Note: "Left feints inside, Right goes for quarte again, Left disengages and lands outside."}
	f.performers = pair(-1.70, 1.09)
	l, r := f.performers[0], f.performers[1]
	l.advance(0.06, 0.36, 0.30)
	r.retreat(0.14, 0.36, 0.22)

	const step, feint, answer, under, foot, took, at = 0.643, 0.707, 0.961, 1.066, 1.134, 0.49, 1.567
	l.advance(step, 0.38, 0.44)
	l.hand(feint, feint+0.30, 0.53, 0.00, 0.01)
	l.blade(feint, feint+0.28, 2, -4)
	// The parry of quarte that finds nothing.
	r.hand(answer, answer+0.24, 0.37, -0.12, -0.17)
	r.blade(answer, answer+0.24, 22, -20)
	// The disengage.
	l.circle(under, under+0.24, 15, 1, -11)
	l.hand(under+0.04, under+0.42, 0.57, 0.02, 0.05)
	l.lunge(foot, took, 1.00)
	// Too late, the right fencer comes back towards sixte and leans away.
	r.hand(1.50, 1.74, 0.40, 0.00, -0.12)
	r.blade(1.50, 1.74, 15, -6)
	r.lean.add(1.34, 1.7, -rad(6))
	r.pelvisX.add(1.32, 1.7, -0.07)
	f.strike(mark.Left, mark.UpperArm, 1.30, at, -0.11, 0.10, Vec{0, 0.03, 0.03})
	l.recover(1.86, 0.78, 0.52)
	l.guardOn(1.88, 2.3)
	r.retreat(1.84, 0.4, 0.25)
	r.guardOn(1.86, 2.26)

	f.Moments = []Named{
		{"step", "Left's front foot lifts for the step", step},
		{"feint", "The feint starts", feint},
		{"answer", "Right's parry starts", answer},
		{"under", "The disengage starts", under},
		{"foot", "Left's front foot lifts for the lunge", foot},
		{"hit", "The point arrives on Right's arm", at},
	}
	f.finish(at, 115, liveShot(0.15))
	return f
}

// counterTime: the same feint draws the counter-attack that answers it; the
// left fencer takes the blade and lunges with opposition.
func counterTime() *Film {
	f := &Film{Number: 9, Title: "Counter-attack and counter-time", Before: bout.Score{Left: 4, Right: 4}, Lamps: bout.Lamps{Left: true},
		Note: "Right stops into the feint; the feint was second intention: Left takes quarte and lunges with opposition."}
	f.performers = pair(-1.42, 1.11)
	l, r := f.performers[0], f.performers[1]
	r.retreat(0.06, 0.36, 0.20)
	l.advance(0.10, 0.36, 0.32)

	const step, feint, counter, take, contact, foot, took, at = 0.563, 0.626, 0.884, 0.989, 1.167, 1.103, 0.48, 1.528
	l.advance(step, 0.38, 0.30)
	l.hand(feint, feint+0.26, 0.50, 0.03, -0.02)
	l.blade(feint, feint+0.26, 3, -4)
	// The counter-attack to the hand, leaning in.
	r.hand(counter, counter+0.30, 0.60, 0.05, 0.04)
	r.blade(counter, counter+0.28, -5, -6)
	r.lean.add(counter, counter+0.34, rad(7))
	r.shoulderYaw.add(counter, counter+0.3, -rad(14))
	// The taking of the blade.
	f.meet(mark.Left, take, contact+0.05, contact, 0.19, 0.62, 19, -12)
	r.bladeOut.add(contact-0.02, contact+0.16, rad(12))
	r.bladeUp.add(contact-0.02, contact+0.16, rad(9))
	r.handO.add(contact, contact+0.2, 0.06)
	// Lunge with opposition: hand high and inside.
	l.hand(contact+0.02, at, 0.54, -0.10, 0.08)
	l.blade(contact+0.02, at-0.04, -4, 5)
	l.lunge(foot, took, 1.02)
	r.lean.add(1.24, 1.60, -rad(9))
	r.retreat(1.24, 0.42, 0.17)
	f.strike(mark.Left, mark.Chest, contact+0.10, at, -0.09, 0.07, Vec{0, 0, 0.06})
	r.hand(1.56, 1.80, 0.42, 0.10, -0.05)
	r.blade(1.56, 1.80, 22, 12)
	l.recover(1.84, 0.78, 0.52)
	l.guardOn(1.86, 2.3)
	r.lean.to(1.8, 2.2, rad(5))
	r.shoulderYaw.to(1.8, 2.2, rad(31))
	r.guardOn(1.88, 2.3)

	f.Moments = []Named{
		{"feint", "The feint starts", feint},
		{"counter", "Right's counter-attack starts", counter},
		{"take", "Left goes to take the blade", take},
		{"foot", "Left's front foot lifts", foot},
		{"contact", "The blades meet in quarte", contact},
		{"hit", "The point arrives on Right's chest", at},
	}
	f.finish(at, 115, liveShot(0.20))
	f.Shots[0].cutTo()
	f.Shots = append(f.Shots, replayShot(0.84, 156))
	f.Passers = []*Passer{{x: 2.60, y: 2.95, speed: -1.42, stature: 1.81}}
	return f
}

// contactTime is how long the point is held down before the apparatus signals,
// in seconds: inside the 2 to 10 ms of the rules.
const contactTime = 0.005

func (f *Film) finish(hit float64, frames int, live Shot) {
	f.LampsAt = seconds(hit + contactTime)
	live.Frames = frames
	f.Shots = []Shot{live}
}

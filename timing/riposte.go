package timing

import (
	"math"

	"mesure/quantity"
)

// Riposte is the outcome of a riposte after a parry, against the remise of the
// attacker.
type Riposte struct {
	// Direct, AlongTheBlade and Indirect (with a disengage) are the ways to riposte.
	Direct, AlongTheBlade, Indirect RiposteWay
	Draws                           int
}

// RiposteWay is one way to riposte in the race against the remise.
type RiposteWay struct {
	// Time from the end of the parry to the hit of the riposte, and of the remise in the
	// same clock, each over the draws in which it arrives; the zero value where it never
	// does.
	Hit, Remise quantity.Of[quantity.Seconds]
	// Arrives and RemiseArrives are the chances that either point gets there at all.
	Arrives, RemiseArrives quantity.Of[quantity.Chance]
	// RiposteOnly, RemiseOnly, Both and Neither are the lamps; they sum to 1.
	RiposteOnly, RemiseOnly, Both, Neither quantity.Of[quantity.Chance]
	// Delay is the longest hold after the parry with which the riposte still lights
	// alone: its Mean is that at even chance, negative where none does, and at most
	// RiposteWithin either way. SD and interval are those of the single phrase.
	Delay quantity.Of[quantity.Seconds]
}

// Times of the riposte.
const (
	// RemiseTime is the time from a parry to the hit of a remise that was meant from the
	// start (common practice, no source: 120 to 200 ms).
	RemiseTime = quantity.Seconds(0.160)
	// RemiseTimeSD is the spread of RemiseTime: its range is the central nine tenths.
	RemiseTimeSD = quantity.Seconds(0.0243)
	// RiposteWithin is the time after a parry within which a riposte has to come: after
	// it the initiative is the opponent's (common practice, no source: half a second).
	RiposteWithin = quantity.Seconds(0.5)
)

// AfterParry is the state at the end of a parry. All times count from there.
type AfterParry struct {
	// Gap from the defender's point to the target of the riposte, and Movement of that
	// point: the arm, by default, with a body where feet help.
	Gap      quantity.Of[quantity.Metres]
	Movement Movement
	// Hold is how long the defender waits before the riposte starts.
	Hold quantity.Of[quantity.Seconds]
	// Disengage is what an indirect riposte takes more: the point goes under or over the
	// blade before it goes forward.
	Disengage quantity.Of[quantity.Seconds]
	// RemiseGap from the attacker's point to its target, and RemiseReach how far the
	// remise can go: where the gap is larger it does not arrive.
	RemiseGap, RemiseReach quantity.Of[quantity.Metres]
	// Remise is the time to the hit of the remise once the blade is free.
	Remise quantity.Of[quantity.Seconds]
	// Holds is the chance that the parry holds the blade for as long as the riposte goes
	// along it: that there is contact with leverage.
	Holds quantity.Chance
	// Escape is how long a held blade takes to come free: the attacker feels the contact
	// and disengages.
	Escape quantity.Of[quantity.Seconds]
	// Recovers is the chance that the attacker goes back instead of the remise, and
	// Recovery the movement, with a negative body, after RecoveryOnset.
	Recovers      quantity.Chance
	Recovery      Movement
	RecoveryOnset quantity.Of[quantity.Seconds]
}

// NewAfterParry returns the state of which only the gaps are known: an immediate
// riposte with the arm, a remise that was meant from the start with the reach of an
// arm, a parry that holds.
func NewAfterParry(gap, remiseGap quantity.Of[quantity.Metres]) AfterParry {
	arm, err := Default(Extension, "", "")
	if err != nil {
		panic("timing: " + err.Error())
	}
	back, err := Default(Retreat, "", "")
	if err != nil {
		panic("timing: " + err.Error())
	}
	felt := Tactile()
	return AfterParry{
		Gap: gap, Movement: arm,
		Disengage: quantity.Normal(DisengageTime, DisengageTimeSD),
		RemiseGap: remiseGap, RemiseReach: quantity.Normal(ArmTravel, ArmTravelSD),
		Remise: quantity.Normal(RemiseTime, RemiseTimeSD),
		Holds:  1,
		Escape: quantity.Normal(felt.Mean+DisengageTime, quantity.Seconds(math.Hypot(float64(felt.SD), float64(DisengageTimeSD)))),
		// No reaction before the recovery: who sees the attack fail goes back at once.
		Recovery: back,
	}
}

package timing

import "mesure/quantity"

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
	// same clock.
	Hit, Remise quantity.Of[quantity.Seconds]
	// RiposteOnly, RemiseOnly, Both and Neither are the lamps; they sum to 1.
	RiposteOnly, RemiseOnly, Both, Neither quantity.Of[quantity.Chance]
	// Delay is the longest hold after the parry with which the riposte still lights
	// alone, at even chance; negative where none does.
	Delay quantity.Of[quantity.Seconds]
}

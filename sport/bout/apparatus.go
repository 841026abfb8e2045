package bout

// Apparatus is the timing of the scoring apparatus for one weapon, in
// milliseconds.
type Apparatus struct {
	// Window is how long after the first hit a second one still lights
	// (blocking time), with its tolerance: inside Window ± Tolerance the rules
	// leave the outcome to the single apparatus.
	WindowMS, ToleranceMS float64
	// ContactMin and ContactMax bound how long the tip must be held down.
	ContactMinMS, ContactMaxMS float64
	// Source of the numbers.
	Source string
}

// ApparatusOf returns the apparatus of a weapon; the second result is false for
// a weapon that is not one of the three.
func ApparatusOf(w Weapon) (Apparatus, bool) {
	switch w {
	case Epee:
		return Apparatus{45, 5, 2, 10, "FIE rules for épée apparatus: double hits within 40 to 50 ms, contact 2 to 10 ms"}, true
	case Foil:
		return Apparatus{300, 25, 13, 15, "FIE rules for foil apparatus since 2004/05: blocking 300 ± 25 ms, contact 14 ± 1 ms"}, true
	case Sabre:
		return Apparatus{170, 10, 0.1, 1, "FIE rules for sabre apparatus since 2016/17: blocking 170 ± 10 ms, contact 0.1 to 1 ms"}, true
	}
	return Apparatus{}, false
}

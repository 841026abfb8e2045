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
	// Edition says since when the rule holds, as a season or year; Source of the numbers.
	Edition, Source string
}

// Timing of the apparatus in milliseconds: how long after the first hit a second
// one still lights, with its tolerance, and how long the tip must be held down.
const (
	// EpeeWindowMS: a second hit lights within 40 to 50 ms in épée (FIE rules of
	// the apparatus; as constants of public apparatus firmware and in coaching
	// text).
	EpeeWindowMS = 45.0
	// EpeeToleranceMS is the half-width of the band that the rules leave open.
	EpeeToleranceMS = 5.0
	// EpeeContactMinMS and EpeeContactMaxMS: a hit of 2 ms may, one of 10 ms must
	// register (same sources).
	EpeeContactMinMS = 2.0
	// EpeeContactMaxMS: see EpeeContactMinMS.
	EpeeContactMaxMS = 10.0
	// FoilWindowMS: blocking time in foil since 2004/05 (same sources).
	FoilWindowMS = 300.0
	// FoilToleranceMS is the tolerance of FoilWindowMS.
	FoilToleranceMS = 25.0
	// FoilContactMinMS: contact of 14 ± 1 ms in foil (same sources).
	FoilContactMinMS = 13.0
	// FoilContactMaxMS: see FoilContactMinMS.
	FoilContactMaxMS = 15.0
	// SabreWindowMS: blocking time in sabre since the season 2016/17 (circular of
	// a national federation).
	SabreWindowMS = 170.0
	// SabreToleranceMS is the tolerance of SabreWindowMS.
	SabreToleranceMS = 10.0
	// SabreContactMinMS: contact of 0.1 to 1 ms in sabre (same sources as épée).
	SabreContactMinMS = 0.1
	// SabreContactMaxMS: see SabreContactMinMS.
	SabreContactMaxMS = 1.0
)

// Timing of the sabre apparatus before the season 2016/17.
const (
	// SabreOldWindowMS: blocking time in sabre from 2004/05 until the season 2016/17
	// (circular of a national federation).
	SabreOldWindowMS = 120.0
	// sabreChanged is the day from which the longer time is taken to hold: the first of
	// the season.
	sabreChanged = "2016-09-01"
)

// ApparatusOf returns the apparatus of a weapon by the rules that hold now; the second
// result is false for a weapon that is not one of the three.
func ApparatusOf(w Weapon) (Apparatus, bool) { return ApparatusOn(w, "") }

// ApparatusOn returns the apparatus of a weapon by the rules of a day, written
// 2016-09-01; an empty or unreadable day takes those that hold now. Only changes with a
// known value are told apart: the sabre of before 2016/17. Foil of before 2004/05 is not
// known well enough and takes the present rule.
func ApparatusOn(w Weapon, day string) (Apparatus, bool) {
	switch w {
	case Epee:
		return Apparatus{EpeeWindowMS, EpeeToleranceMS, EpeeContactMinMS, EpeeContactMaxMS, "in force", "FIE rules for épée apparatus: double hits within 40 to 50 ms, contact 2 to 10 ms"}, true
	case Foil:
		return Apparatus{FoilWindowMS, FoilToleranceMS, FoilContactMinMS, FoilContactMaxMS, "since 2004/05", "FIE rules for foil apparatus since 2004/05: blocking 300 ± 25 ms, contact 14 ± 1 ms"}, true
	case Sabre:
		if len(day) == len(sabreChanged) && day < sabreChanged {
			return Apparatus{SabreOldWindowMS, SabreToleranceMS, SabreContactMinMS, SabreContactMaxMS, "before 2016/17", "FIE rules for sabre apparatus before 2016/17: blocking 120 ± 10 ms, contact 0.1 to 1 ms"}, true
		}
		return Apparatus{SabreWindowMS, SabreToleranceMS, SabreContactMinMS, SabreContactMaxMS, "since 2016/17", "FIE rules for sabre apparatus since 2016/17: blocking 170 ± 10 ms, contact 0.1 to 1 ms"}, true
	}
	return Apparatus{}, false
}

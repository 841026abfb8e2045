package clip

import (
	"mesure/show/report"
	"mesure/show/script"
	"mesure/study"
)

// Trouble says why a shot cannot be shown, or not all of it, and what mends it.
type Trouble struct {
	// Shot is the ID of the shot; empty for the storyboard as a whole.
	Shot string `json:"shot,omitempty"`
	// Kind is one of the Trouble constants.
	Kind string `json:"kind"`
	What string `json:"what"`
	Mend string `json:"mend"`
	// Out is true where the shot is left out; else only a part of it is missing.
	Out bool `json:"out,omitempty"`
}

// Error is one line: where, what, how to mend it.
func (t *Trouble) Error() string {
	s := t.What
	if t.Shot != "" {
		s = "shot " + t.Shot + ": " + s
	}
	return s + ": " + t.Mend
}

// Kinds of troubles.
const (
	TroubleForm  = "form"
	TroubleShot  = "shot"
	TroubleTake  = "take"
	TroubleFrame = "frame"
	TroublePlate = "plate"
	TroubleLine  = "line"
	TroubleOther = "other"
	TroubleLayer = "layer"
)

// Check says what of a storyboard cannot be shown. The script, the plates and the others
// may be nil: what would need them is then told as missing.
func Check(b Board, r *study.Reading, s *script.Script, plates []report.Plate, others map[string]*study.Reading) []Trouble {
	return nil
}

// Draft makes the storyboard of a script.
func Draft(r *study.Reading, s *script.Script, plates []report.Plate, f Form) (Board, error) {
	return Board{}, errNotYet
}

// Refresh fits a storyboard to a newer script: one that the coach has not edited is
// drafted anew, of an edited one only the lines go that are gone.
func Refresh(b Board, now *script.Script, r *study.Reading, plates []report.Plate) (Board, error) {
	return Board{}, errNotYet
}

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
	TroubleGlyph = "glyph"
)

// Check says what of a storyboard cannot be shown. The script, the plates and the others
// may be nil: what would need them is then told as missing. Equal boards give equal
// troubles, in the order of the shots.
func Check(b Board, r *study.Reading, s *script.Script, plates []report.Plate, others map[string]*study.Reading) []Trouble {
	form, err := b.Form.Whole()
	if err != nil {
		t, _ := err.(*Trouble)
		return []Trouble{*t}
	}
	if r == nil || r.Touch == nil {
		return []Trouble{{Kind: TroubleShot, What: "there is no touch to tell", Mend: "read one first", Out: true}}
	}
	if s == nil {
		s = &script.Script{}
	}
	x := newBinder(Input{Reading: r, Script: s, Board: b, Plates: plates, Others: others}, form)
	x.all()
	return x.troubles
}

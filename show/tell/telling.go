package tell

import (
	"mesure/show/clip"
	"mesure/show/script"
)

// Telling is how one touch is told. The reading is not in it: every number of the script
// is bound to a fact and follows the measurement.
type Telling struct {
	// Script has the level, the way to call fencers and the language with it.
	Script *script.Script `json:"script"`
	Board  clip.Board     `json:"board"`
	// Lesson adds to the sheet what a class needs: questions, drills, what to watch for.
	Lesson bool `json:"lesson,omitempty"`
	// Paper of the sheet: "a4" or "letter"; empty is A4.
	Paper string `json:"paper,omitempty"`
}

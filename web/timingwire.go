package web

import (
	"github.com/danielgtaylor/huma/v2"

	"mesure/show/summary"
	"mesure/study"
)

type inTiming struct {
	OfID
	Body struct {
		Touch study.Touch `json:"touch" doc:"The touch as it stands on the desk, saved or not."`
		At    *study.At   `json:"at,omitempty" doc:"The frame that is looked at; without it, the start of the race."`
		// Draws of the races; zero means the default.
		Draws      int             `json:"draws,omitempty"`
		Map        bool            `json:"map,omitempty" doc:"Answer with the distance map, which takes the longest."`
		WhatIf     *study.Change   `json:"what_if,omitempty" doc:"What would be different."`
		WhatIfOnly bool            `json:"what_if_only,omitempty" doc:"Answer with what the change does and nothing else: for a slider that moves."`
		Pictures   []TimingPicture `json:"pictures,omitempty" maxItems:"8" doc:"The pictures that are wanted."`
		Night      bool            `json:"night,omitempty" doc:"Draw for a dark page."`
		Phone      bool            `json:"phone,omitempty" doc:"Draw for a narrow column."`
	}
}

// TimingPicture names a picture of a timing.
type TimingPicture string

// The pictures.
const (
	picWindows TimingPicture = "windows"
	picMap     TimingPicture = "map"
	picParry   TimingPicture = "parry"
	picStand   TimingPicture = "stand"
	picStarted TimingPicture = "started"
	picWhatIf  TimingPicture = "what_if"
	// picFits asks for one picture a movement that was fitted, named "fit-left-0" and on.
	picFits TimingPicture = "fits"
)

// Schema lists them.
func (TimingPicture) Schema(huma.Registry) *huma.Schema {
	return &huma.Schema{Type: huma.TypeString, Enum: []any{string(picWindows), string(picMap), string(picParry), string(picStand), string(picStarted), string(picWhatIf), string(picFits)}}
}

// TimingAnswer is what one instant of a touch tells, in printed parts and pictures.
type TimingAnswer struct {
	Timing   *summary.Timing   `json:"timing,omitempty"`
	Profiles []summary.Profile `json:"profiles"`
	// Pictures are SVG elements to be set into the page, by name; one that the marks do
	// not carry is not there.
	Pictures map[string]string `json:"pictures"`
}

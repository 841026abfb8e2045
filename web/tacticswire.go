package web

import (
	"fmt"

	"github.com/danielgtaylor/huma/v2"

	"mesure/show/summary"
)

// inTactics asks about one touch of a bout; all that is left out is left to the sheet.
type inTactics struct {
	OfID
	At       int              `query:"at" minimum:"0" doc:"The number of the touch; 0 is the touch after the last line."`
	For      string           `query:"for" enum:"left,right" default:"left" doc:"Whose coach asks."`
	Weight   float64          `query:"weight" minimum:"0" maximum:"1" default:"0.5" doc:"Weight of race and windows against the counts."`
	Mine     []string         `query:"mine,explode" maxItems:"12" doc:"The choices of the coach's fencer; without, all that were seen and the trade's."`
	Theirs   []string         `query:"theirs,explode" maxItems:"12" doc:"The choices of the other."`
	Gap      float64          `query:"gap" minimum:"0" maximum:"14" doc:"Point to chest in metres, where the touch was not measured; 0 leaves it to the sheet."`
	Clock    float64          `query:"clock" minimum:"-1" maximum:"3600" default:"-1" doc:"Fencing time left in seconds; below 0 leaves the clock out."`
	Priority string           `query:"priority" enum:",left,right" doc:"Who has the priority, once the lot was drawn."`
	Seeded   string           `query:"seeded" enum:",left,right" doc:"Who is the higher initial seed."`
	Draws    int              `query:"draws" minimum:"0" maximum:"2000" doc:"Draws of payoffs and habits; 0 means the default."`
	Pictures []TacticsPicture `query:"pictures,explode" maxItems:"8" doc:"The pictures that are wanted."`
	Night    bool             `query:"night" doc:"Draw for a dark page."`
	Phone    bool             `query:"phone" doc:"Draw for a narrow column."`

	Unwillingness bool `query:"unwillingness" doc:"Count minutes without a hit as unwillingness to fence."`
}

// whole tells what the reading of the whole bout hangs on.
func (in *inTactics) whole() string {
	return fmt.Sprintf("%q %d %v %s %s %v", in.ID, in.At, in.Clock, in.Priority, in.Seeded, in.Unwillingness)
}

// key tells what is asked from every other question, pictures aside.
func (in *inTactics) key() string {
	return fmt.Sprintf("%s %s %v %q %q %v %d", in.whole(), in.For, in.Weight, in.Mine, in.Theirs, in.Gap, in.Draws)
}

// TacticsPicture names a picture of tactics.
type TacticsPicture string

// The pictures.
const (
	picThread     TacticsPicture = summary.ChartThread
	picHabitLeft  TacticsPicture = summary.ChartHabitLeft
	picHabitRight TacticsPicture = summary.ChartHabitRight
	// picBalance asks for one picture a balance, named "balance-0" and on.
	picBalance TacticsPicture = summary.ChartBalance
	picPayoff  TacticsPicture = summary.ChartPayoff
	picBout    TacticsPicture = summary.ChartBout
)

// Schema lists them.
func (TacticsPicture) Schema(huma.Registry) *huma.Schema {
	var all []any
	for _, name := range summary.TacticsCharts {
		all = append(all, name)
	}
	return &huma.Schema{Type: huma.TypeString, Enum: all}
}

// TacticsAnswer is what the earlier touches and the score make of one touch, in
// printed parts and pictures.
type TacticsAnswer struct {
	Tactics *summary.Tactics `json:"tactics"`
	// Kinds are the trade's kinds of choice.
	Kinds []Word `json:"kinds"`
	// Pictures are SVG elements to be set into the page, by name; one that the sheet does
	// not carry is not there.
	Pictures map[string]string `json:"pictures"`
}

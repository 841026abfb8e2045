package bundle

// boutSheetFile is a bout with its videos as its file spells it.
type boutSheetFile struct {
	Format   string      `json:"format" one:"mesure-bout" say:"Always \"mesure-bout\"."`
	Version  int         `json:"version" min:"1" max:"1" say:"Version of the format."`
	Invented bool        `json:"invented,omitempty" say:"True for material that shows no real person, such as the demo."`
	Bout     *boutFile   `json:"bout,omitempty" say:"Who fenced, where, and the score sheet."`
	Videos   []videoFile `json:"videos,omitempty" most:"64" say:"The video files that show the bout."`
	Words    []wordFile  `json:"words,omitempty" most:"500" say:"The coach's own words for actions."`
	Note     string      `json:"note,omitempty" match:"text" say:"Free text."`
}

type boutFile struct {
	Event            string       `json:"event,omitempty" match:"line" say:"Name of the event."`
	Round            string       `json:"round,omitempty" match:"line" say:"Round of the event, such as pool 3 or table of 16."`
	Date             string       `json:"date,omitempty" match:"date" say:"Day of the bout, YYYY-MM-DD."`
	Weapon           string       `json:"weapon,omitempty" one:"epee|foil|sabre" say:"The weapon; left out: epee."`
	Touches          int          `json:"touches,omitempty" min:"1" max:"99" say:"How many hits win the bout: 5, 10, 15 or 45 as a rule."`
	LastDoubleCounts bool         `json:"last_double_counts,omitempty" say:"True where a double at one hit from the end for both counts; left out: it is void."`
	First            int          `json:"first,omitempty" min:"0" max:"9999" say:"Number of the first line of the sheet, for a sheet that begins in mid-bout; left out: that of the first line, or 1."`
	Start            *scoreFile   `json:"start,omitempty" say:"The score before the first line; left out: that of the first line, or 0 to 0."`
	Team             *teamFile    `json:"team,omitempty" say:"The order of a team relay."`
	Left             *fencerFile  `json:"left,omitempty" say:"The fencer on the left of the picture."`
	Right            *fencerFile  `json:"right,omitempty" say:"The fencer on the right of the picture."`
	Sheet            []phraseFile `json:"sheet,omitempty" most:"999" say:"The score sheet, one line a halt."`
}

type fencerFile struct {
	Name    string  `json:"name,omitempty" match:"line" say:"Name as it should be printed."`
	Club    string  `json:"club,omitempty" match:"line" say:"Club as it should be printed."`
	Hand    string  `json:"hand,omitempty" one:"right|left" say:"The weapon hand."`
	Sex     string  `json:"sex,omitempty" one:"f|m" say:"Only chooses the default movement times."`
	Level   string  `json:"level,omitempty" one:"club|elite" say:"Only chooses the default movement times."`
	Grip    string  `json:"grip,omitempty" one:"orthopaedic|french" say:"Grip of the weapon."`
	Stature float64 `json:"stature_m,omitempty" min:"0.5" max:"2.6" say:"Height of the fencer in metres."`
	Reach   float64 `json:"reach_m,omitempty" min:"0.5" max:"3" say:"Shoulder to point with a straight arm, in metres."`
	Lunge   float64 `json:"lunge_m,omitempty" min:"0.1" max:"3" say:"Travel of the front foot in a lunge, in metres."`

	Own []ownFile `json:"own,omitempty" most:"64" say:"Lengths and times of the fencer's own, in place of the defaults."`
}

// ownFile is one number of a fencer's own; which unit and which bounds it has follows
// from its name (see checkOwn).
type ownFile struct {
	Name  string  `json:"name" match:"word" say:"Which number it is, such as extension-time: see the list of own numbers."`
	Value float64 `json:"value" min:"-0.5" max:"4" say:"The number, in metres or in seconds as its name asks, within the bounds of its name."`
	SD    float64 `json:"sd,omitempty" min:"0" max:"4" say:"Standard deviation of value; left out: that of the default."`
}

type scoreFile struct {
	Left  int `json:"left" min:"0" max:"999" say:"Hits of the fencer on the left."`
	Right int `json:"right" min:"0" max:"999" say:"Hits of the fencer on the right."`
}

type lampsFile struct {
	Left  bool `json:"left" say:"True when the fencer on the left scored."`
	Right bool `json:"right" say:"True when the fencer on the right scored."`
}

type phraseFile struct {
	ID       string       `json:"id,omitempty" match:"id" say:"Name of the line, by which touches refer to it."`
	Number   int          `json:"number,omitempty" min:"0" max:"9999" say:"Number of the line. It follows from the lines above; left out: not worked out yet."`
	Before   *scoreFile   `json:"before,omitempty" say:"The score before it. It follows from the lines above; left out: 0 to 0."`
	Lamps    lampsFile    `json:"lamps" say:"What the apparatus showed."`
	Given    string       `json:"given,omitempty" one:"left|right|nobody" say:"Foil and sabre: to whom the referee gave the hit; left out: to the fencer of the only lamp."`
	Annulled bool         `json:"annulled,omitempty" say:"True where the referee annulled what the lamps showed."`
	Cards    []cardFile   `json:"cards,omitempty" most:"99" say:"Cards given at this halt, in their order."`
	After    *scoreFile   `json:"after,omitempty" say:"The score after it. It follows from the lines above; left out: 0 to 0."`
	Choices  *choicesFile `json:"choices,omitempty" say:"What each fencer chose to do; left out: not known."`
	Measure  string       `json:"measure,omitempty" one:"short|medium|long|out" say:"The measure at which the phrase began: the arm reaches, a lunge, a step and a lunge, or neither."`
	Period   int          `json:"period,omitempty" min:"0" max:"99" say:"Period of the bout, or relay of a team match."`
	Clock    string       `json:"clock,omitempty" match:"clock" say:"The time left as the apparatus shows it, such as 1:23."`
	Video    string       `json:"video,omitempty" match:"id" say:"The video that shows it; in a touch file a name of the bout's own list."`
	Halt     float64      `json:"halt_s,omitempty" min:"-1000000" max:"1000000" say:"Instant of the video at which the line was recorded, in seconds."`
	From     float64      `json:"from_s,omitempty" min:"-1000000" max:"1000000" say:"Where the stretch that shows the touch begins, in seconds of the video."`
	To       float64      `json:"to_s,omitempty" min:"-1000000" max:"1000000" say:"Where it ends."`
	Note     string       `json:"note,omitempty" match:"text" say:"Free text."`
}

type cardFile struct {
	To     string `json:"to" one:"left|right" say:"The fencer who got it."`
	Colour string `json:"colour" one:"yellow|red|black|p-yellow|p-red|p-black" say:"The card; p- for unwillingness to fight."`
}

type teamFile struct {
	Left  []string `json:"left,omitempty" match:"line" most:"99" say:"The fencers on the left, relay by relay."`
	Right []string `json:"right,omitempty" match:"line" most:"99" say:"The fencers on the right, relay by relay."`
}

// choicesFile has the words of a sheet as they were written: the trade's or the coach's
// own.
type choicesFile struct {
	Left  string `json:"left,omitempty" match:"line" say:"What the fencer on the left chose, such as counter-attack."`
	Right string `json:"right,omitempty" match:"line" say:"What the fencer on the right chose."`
}

// wordFile is one of the coach's own words.
type wordFile struct {
	Word    string `json:"word" match:"line" say:"The word as it is written on the stave."`
	Line    string `json:"line,omitempty" one:"feet|hand|blade" say:"The line of the stave on which it stands; left out: blade."`
	Kind    string `json:"kind,omitempty" one:"footwork|evasion|arm|preparation|feint|point in line|attack|counter-attack|parry|riposte|counter-riposte|renewal|counter-time|way of hitting|attack on blade|taking|engagement|escape|end of the phrase" say:"What it does in a phrase; left out: anything."`
	About   string `json:"about,omitempty" match:"line" say:"One sentence about it."`
	French  string `json:"french,omitempty" match:"line" say:"The word in French."`
	German  string `json:"german,omitempty" match:"line" say:"The word in German."`
	Italian string `json:"italian,omitempty" match:"line" say:"The word in Italian."`
}

// phraseNoteFile says of one action what its word does not.
type phraseNoteFile struct {
	Action    string `json:"action" match:"id" say:"Name of the action."`
	Line      string `json:"line,omitempty" match:"line" say:"The trade's line, such as sixte, or the coach's own."`
	Target    string `json:"target,omitempty" one:"hand|forearm|upper-arm|mask|chest|thigh|knee|foot" say:"Where it went."`
	Nature    string `json:"nature,omitempty" one:"real|feint|false|invitation" say:"What it was meant to be."`
	Intention string `json:"intention,omitempty" one:"first|second" say:"First: it was to hit; second: it was to draw an answer that the next action beats."`
	Result    string `json:"result,omitempty" one:"hit|miss|short|parried|avoided|off-target|drew" say:"How it ended; drew: the opponent gave the answer that was to be drawn."`
}

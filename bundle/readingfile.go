package bundle

// readingFile is a reading as its file spells it. It is written, never read: a
// reading follows from its touch.
type readingFile struct {
	Format   string        `json:"format" one:"mesure-reading" say:"Always \"mesure-reading\"."`
	Version  int           `json:"version" min:"4" max:"4" say:"Version of the format."`
	Rules    string        `json:"rules_version" match:"line" say:"Version of the rules by which the reading was computed."`
	Inputs   string        `json:"inputs" match:"line" say:"SHA-256 of touch, seed and rules in hexadecimal: equal inputs, equal reading."`
	Seed     uint64        `json:"seed" min:"0" say:"Seed of the draws, a whole number below 2^64."`
	Draws    int           `json:"draws" min:"0" say:"How many draws there were."`
	Title    string        `json:"title" match:"line" say:"Title of the touch."`
	Invented bool          `json:"invented" say:"True for material that shows no real person."`
	Fencers  fencersFile   `json:"fencers" say:"Names of the two, empty where none is known."`
	Race     *raceFile     `json:"race" say:"Whose point would arrive first; null where the marks do not allow a race: the warnings then say why."`
	Timing   *timingFile   `json:"timing" say:"What one instant tells; null where none was asked for."`
	Tactics  *tacticsFile  `json:"tactics" say:"What the bout makes of this touch; null where it is not known."`
	Profiles profilesFile  `json:"profiles" say:"What is known of the reach and the times of the two fencers."`
	Gaps     []gapFile     `json:"gaps" say:"Distance from each point to each target of the opponent, of all instants in the order of time."`
	Clocks   []clockFile   `json:"clocks" say:"The clock of each take: how the time stamps of its file follow the bout."`
	Moments  []momentRead  `json:"moments" say:"Moments on the clock of the bout."`
	Orders   []orderFile   `json:"orders" say:"Which of two moments came first, for those within 0.3 s of each other."`
	Instants []instantFile `json:"instants" say:"Frames on which enough is marked to measure."`
	Tracks   []trackFile   `json:"tracks" say:"Points through a take, frame by frame; empty where nothing was followed."`
	Onsets   []onsetRead   `json:"proposals" say:"Moments that the movement shows and the coach has not set."`
	Next     []nextFile    `json:"next_marks" say:"The marks by hand that would sharpen the tracks most, the most useful first."`
	Placings []placedFile  `json:"placings" say:"The camera of each placed frame."`
	Drifts   []driftFile   `json:"drifts" say:"How far the followed camera had come off where it met a placed frame."`
	Videos   []clipFile    `json:"videos" say:"The videos as they decode, by name."`
	Warnings []warningFile `json:"warnings" say:"Doubts that go with the values."`
}

type fencersFile struct {
	Left  string `json:"left" match:"line" say:"Name of the fencer on the left."`
	Right string `json:"right" match:"line" say:"Name of the fencer on the right."`
}

type raceFile struct {
	Moment    string      `json:"moment" match:"line" say:"The moment from which the race is run; empty where it has no name."`
	Take      string      `json:"take" match:"line" say:"The take."`
	Frame     int         `json:"frame" min:"0" say:"The frame."`
	Weapon    string      `json:"weapon" one:"epee|foil|sabre" say:"The weapon whose apparatus decides."`
	Window    float64     `json:"window_ms" min:"0" say:"Blocking time of the apparatus in milliseconds."`
	WindowSD  float64     `json:"window_sd_ms" min:"0" say:"Its standard deviation."`
	Left      float64     `json:"left" min:"0" max:"1" say:"Chance that only the left fencer's lamp lights."`
	LeftSD    float64     `json:"left_sd" min:"0" say:"Its standard deviation."`
	Right     float64     `json:"right" min:"0" max:"1" say:"Chance that only the right fencer's lamp lights."`
	RightSD   float64     `json:"right_sd" min:"0" say:"Its standard deviation."`
	Both      float64     `json:"both" min:"0" max:"1" say:"Chance of a double."`
	BothSD    float64     `json:"both_sd" min:"0" say:"Its standard deviation."`
	Neither   float64     `json:"neither" min:"0" max:"1" say:"Chance that no lamp lights."`
	NeitherSD float64     `json:"neither_sd" min:"0" say:"Its standard deviation."`
	First     *float64    `json:"left_first" min:"0" max:"1" say:"Chance that the left point arrives first, whatever the lamps show; null where no draw tells."`
	FirstSD   *float64    `json:"left_first_sd" min:"0" say:"Its standard deviation."`
	Margin    *float64    `json:"margin_ms" say:"By how many milliseconds the left point arrives earlier (negative: later), over the draws in which both arrive; null where none does."`
	MarginSD  *float64    `json:"margin_sd_ms" min:"0" say:"Its standard deviation."`
	Interval  *[2]float64 `json:"margin_ms_interval" say:"Its 95 % interval."`
	Finding   string      `json:"finding" match:"text" say:"The race in one sentence."`
	Runs      runsFile    `json:"runs" say:"Each fencer's half of the race."`
	Matters   []matterOf  `json:"matters" say:"The uncertainties by their share in the variance of the margin, the greatest first."`
}

type runsFile struct {
	Left  runFile `json:"left" say:"The fencer on the left."`
	Right runFile `json:"right" say:"The fencer on the right."`
}

type runFile struct {
	Action     string    `json:"action" match:"line" say:"The movement."`
	From       string    `json:"parameters_from" match:"text" say:"What its movement times rest on."`
	Target     string    `json:"target" match:"line" say:"Where the point goes."`
	Gap        float64   `json:"gap_m" say:"Distance to it at the start of the race, in metres."`
	GapSD      float64   `json:"gap_sd_m" min:"0" say:"Its standard deviation."`
	Onset      float64   `json:"onset_ms" say:"When the movement starts, from the start of the race, in milliseconds."`
	OnsetSD    float64   `json:"onset_sd_ms" min:"0" say:"Its standard deviation."`
	OnsetText  string    `json:"onset_text" match:"text" say:"What the onset rests on."`
	Arrival    *float64  `json:"arrival_ms" say:"When the point arrives, from the start of the race, over the draws that arrive; null where none does."`
	ArrivalSD  *float64  `json:"arrival_sd_ms" min:"0" say:"Its standard deviation."`
	ArrivalLo  *float64  `json:"arrival_lo95_ms" say:"Lower end of its 95 % interval."`
	ArrivalHi  *float64  `json:"arrival_hi95_ms" say:"Upper end of its 95 % interval."`
	Arrives    float64   `json:"arrives" min:"0" max:"1" say:"Chance to arrive at all."`
	TravelStep float64   `json:"travel_step_ms" above:"0" say:"Spacing of travel_m and closing_m."`
	Travel     []float64 `json:"travel_m" say:"Predicted travel of the point, in metres."`
	Closing    []float64 `json:"closing_m" say:"What the opponent's own movement takes off the gap, in metres."`
}

type matterOf struct {
	Name  string  `json:"name" match:"line" say:"The uncertainty."`
	Share float64 `json:"share" say:"Its share in the variance of the margin."`
	Mend  string  `json:"mend" match:"text" say:"What would make it smaller."`
}

type gapFile struct {
	Of        string     `json:"of" one:"left|right" say:"The fencer whose point it is."`
	To        string     `json:"to" one:"left|right" say:"The opponent, who has the target."`
	Target    string     `json:"target" match:"line" say:"The target."`
	Mean      float64    `json:"mean_m" say:"The distance in metres."`
	SD        float64    `json:"sd_m" min:"0" say:"Its standard deviation."`
	Lo        float64    `json:"lo95_m" say:"Lower end of its 95 % interval."`
	Hi        float64    `json:"hi95_m" say:"Upper end of its 95 % interval."`
	Band      string     `json:"band" match:"line" say:"The measure: short, medium, long or out."`
	Chance    float64    `json:"band_chance" min:"0" max:"1" say:"Chance that this is the measure."`
	Nearest   bool       `json:"nearest" say:"True for the smallest gap of this fencer at this instant."`
	Closing   *float64   `json:"closing_m_per_s,omitempty" say:"How fast the gap shrinks, in metres a second; left out where point or target was not followed."`
	ClosingSD *float64   `json:"closing_sd_m_per_s,omitempty" min:"0" say:"Its standard deviation."`
	Take      string     `json:"take" match:"line" say:"The take."`
	Frame     int        `json:"frame" min:"0" say:"The frame."`
	Moment    string     `json:"moment" match:"line" say:"The moment whose by_frame this is; empty where there is none."`
	At        float64    `json:"at_s" say:"The instant on the clock of the bout."`
	From      [2]float64 `json:"from_px" say:"The point in the picture as [u, v]."`
	End       [2]float64 `json:"to_px" say:"The target in the picture as [u, v]."`
}

type momentRead struct {
	ID    string     `json:"id" match:"line" say:"Name of the moment."`
	Name  string     `json:"name" match:"line" say:"What happened."`
	Take  string     `json:"take" match:"line" say:"The take."`
	After int        `json:"after_frame" min:"0" say:"Last frame on which it had not happened yet."`
	By    int        `json:"by_frame" min:"0" say:"First frame on which it had happened."`
	Also  []alsoRead `json:"also" say:"The same instant as other takes show it."`
	At    float64    `json:"at_s" say:"The instant on the clock of the bout, in seconds."`
	SD    float64    `json:"sd_s" min:"0" say:"Its standard deviation."`
	Lo    float64    `json:"lo95_s" say:"Lower end of its 95 % interval."`
	Hi    float64    `json:"hi95_s" say:"Upper end of its 95 % interval."`
}

type instantFile struct {
	Take      string     `json:"take" match:"line" say:"The take."`
	Frame     int        `json:"frame" min:"0" say:"The frame."`
	Moment    string     `json:"moment" match:"line" say:"The moment whose by_frame this is; empty where there is none."`
	At        float64    `json:"at_s" say:"The instant on the clock of the bout, in seconds."`
	AtSD      float64    `json:"at_sd_s" min:"0" say:"Its standard deviation."`
	Bodies    bodiesFile `json:"bodies" say:"Where the marked points of both fencers are."`
	Closing   *float64   `json:"closing_m_per_s,omitempty" say:"How fast the fencers come nearer to each other, in metres a second; left out where they were not followed."`
	ClosingSD *float64   `json:"closing_sd_m_per_s,omitempty" min:"0" say:"Its standard deviation."`
}

type bodiesFile struct {
	Left  bodyFile `json:"left" say:"The fencer on the left."`
	Right bodyFile `json:"right" say:"The fencer on the right."`
}

type bodyFile struct {
	ArmLeft   *float64    `json:"arm_left_m" say:"By how much the weapon arm can still extend, in metres; null where it is not known."`
	ArmLeftSD *float64    `json:"arm_left_sd_m" min:"0" say:"Its standard deviation."`
	Points    []pointRead `json:"points" say:"The marked points."`
}

type pointRead struct {
	What     string     `json:"what" match:"line" say:"The point of interest."`
	U        float64    `json:"u" say:"Place in the picture in pixels, to the right."`
	V        float64    `json:"v" say:"Place in the picture in pixels, down."`
	SD       float64    `json:"sd_px" min:"0" say:"Marking error in pixels."`
	Place    [3]float64 `json:"place_m" say:"Place in the world as [x, y, z] in metres."`
	PlaceSD  [3]float64 `json:"place_sd_m" say:"Standard deviation of each coordinate."`
	Followed bool       `json:"followed" say:"True where the point was followed to this frame, not marked on it."`
}

type placedFile struct {
	Take       string         `json:"take" match:"line" say:"The take."`
	Frame      int            `json:"frame" min:"0" say:"The frame."`
	Focal      float64        `json:"focal_px" say:"Focal length in pixels."`
	FocalSD    float64        `json:"focal_sd_px" min:"0" say:"Its standard deviation."`
	Position   [3]float64     `json:"position_m" say:"Place of the camera as [x, y, z] in metres."`
	PositionSD [3]float64     `json:"position_sd_m" say:"Standard deviation of each coordinate."`
	Roll       float64        `json:"roll_rad" say:"Roll of the camera in radians."`
	RollSD     float64        `json:"roll_sd_rad" min:"0" say:"Its standard deviation."`
	K1         *float64       `json:"k1" say:"Radial distortion; null where it was not fitted."`
	K1SD       *float64       `json:"k1_sd" min:"0" say:"Its standard deviation."`
	RMS        float64        `json:"rms_px" min:"0" say:"Root mean square of the residuals in pixels."`
	Residuals  []residualFile `json:"residuals" say:"How far each point lies from where the camera puts it."`
	Warnings   []warningFile  `json:"warnings" say:"Doubts about this placing."`
}

type residualFile struct {
	Name   string     `json:"name" match:"line" say:"Name of the point; empty for a free one."`
	At     [2]float64 `json:"at_px" say:"Where it was marked, as [u, v]."`
	Fitted [2]float64 `json:"fitted_px" say:"Where the camera puts it, as [u, v]."`
	Off    float64    `json:"off_px" min:"0" say:"The distance between the two."`
	Share  *float64   `json:"share" min:"0" say:"Its ratio to what the marking noise leads one to expect; null where it is not known."`
}

type clipFile struct {
	Video      string  `json:"video" match:"line" say:"Name of the video in the touch."`
	Width      int     `json:"width_px" min:"0" say:"Width of the picture."`
	Height     int     `json:"height_px" min:"0" say:"Height of the picture."`
	Rotation   int     `json:"rotation_deg" say:"Rotation that was applied, clockwise."`
	Frames     int     `json:"frames" min:"0" say:"Number of frames shown."`
	First      float64 `json:"first_s" say:"Time stamp of the first frame in the file; 0 where there is none."`
	Last       float64 `json:"last_s" say:"Time stamp of the last frame in the file; 0 where there is none."`
	Fields     bool    `json:"fields" say:"True where each frame is one field of the file's frames."`
	Interlaced bool    `json:"interlaced" say:"True when the stream carries two fields a frame."`
	BitDepth   int     `json:"bit_depth" min:"0" say:"Bits of a luma sample."`
	Codec      string  `json:"codec" match:"line" say:"Codec of the stream."`
	Container  string  `json:"container" match:"line" say:"Container of the file."`
}

type warningFile struct {
	Code  string   `json:"code" match:"line" say:"Stable word for the kind of doubt."`
	About string   `json:"about" match:"line" say:"What is doubted."`
	Doubt *float64 `json:"doubt" say:"Measure of doubt, in the unit that text states; null where it has no number."`
	Text  string   `json:"text" match:"text" say:"What is doubtful and what would mend it."`
}

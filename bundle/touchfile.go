package bundle

// touchFile is a touch as its file spells it.
type touchFile struct {
	Format     string           `json:"format" one:"mesure-touch" say:"Always \"mesure-touch\"."`
	Version    int              `json:"version" min:"1" max:"1" say:"Version of the format."`
	Title      string           `json:"title,omitempty" match:"line" say:"One line that names the touch."`
	Invented   bool             `json:"invented,omitempty" say:"True for material that shows no real person, such as the demo."`
	Bout       *boutFile        `json:"bout,omitempty" say:"What the score sheet says of the bout."`
	Line       string           `json:"line,omitempty" match:"id" say:"Name of the line of the bout's sheet that this touch is."`
	Number     int              `json:"number,omitempty" min:"0" max:"9999" say:"Which touch of the bout this is, from 1."`
	Before     *scoreFile       `json:"before,omitempty" say:"The score before the touch; left out: 0 to 0."`
	Lamps      *lampsFile       `json:"lamps,omitempty" say:"What the apparatus showed; left out where it is not known."`
	PisteWidth float64          `json:"piste_width_m,omitempty" above:"0" max:"10" say:"Width of the piste in metres; left out: 1.5, the width now prescribed."`
	Videos     []videoFile      `json:"videos,omitempty" most:"64" say:"The video files that the takes are cut from."`
	Takes      []takeFile       `json:"takes,omitempty" most:"256" say:"The stretches of video that show the touch."`
	Placings   []placingOf      `json:"placings,omitempty" most:"10000" say:"Known points of the piste, frame by frame."`
	Marks      []markFile       `json:"marks,omitempty" say:"Points of the fencers, frame by frame."`
	Hidden     []hiddenFile     `json:"hidden,omitempty" most:"10000" say:"Stretches on which a point of a fencer cannot be seen."`
	Moments    []momentFile     `json:"moments,omitempty" most:"1000" say:"Instants of the phrase, each bracketed by two frames."`
	Actions    []actionFile     `json:"actions,omitempty" most:"10000" say:"What each fencer did, as the coach wrote it on the stave."`
	Notes      []phraseNoteFile `json:"notes,omitempty" most:"10000" say:"What the words of the actions do not say."`
	Priority   string           `json:"priority,omitempty" one:"left|right|nobody" say:"Foil and sabre: the coach's own call of the priority."`
	Race       *raceAskFile     `json:"race,omitempty" say:"From when the race is run and what each fencer is taken to do."`
	Attacker   string           `json:"attacker,omitempty" one:"left|right" say:"Whose attack the answers are answers to; left out: it follows from the movements."`
	Dismissed  []string         `json:"dismissed,omitempty" match:"line" most:"1000" say:"Names of notes of the reading that the coach does not want to see."`
	Note       string           `json:"note,omitempty" match:"text" say:"Free text."`
}

type videoFile struct {
	ID     string `json:"id" match:"id" say:"Name by which takes refer to the video."`
	File   string `json:"file" match:"path" say:"Path of the video, relative to the touch file where it is not absolute."`
	SHA256 string `json:"sha256,omitempty" match:"sha256" say:"SHA-256 of the file, so that another file of the same name is noticed."`
	Fields bool   `json:"fields,omitempty" say:"Whether each frame is read as two pictures, one for each field of interlaced video."`
}

type takeFile struct {
	ID       string  `json:"id" match:"id" say:"Name by which placings, marks and moments refer to the take."`
	Video    string  `json:"video" match:"id" say:"The video it is cut from."`
	From     int     `json:"from" min:"0" max:"100000000" say:"First frame shown, counted from 0 in order of presentation."`
	To       int     `json:"to" min:"0" max:"100000000" say:"Last frame shown."`
	Factor   float64 `json:"factor,omitempty" min:"0.01" max:"1000" say:"Seconds of the file that show one second of the bout: 1 live, 4 for a replay at a quarter of the speed. Left out: 1."`
	FactorSD float64 `json:"factor_sd,omitempty" min:"0" max:"1000" say:"Standard deviation of factor."`
	Offset   float64 `json:"offset_s,omitempty" min:"-1000000" max:"1000000" say:"Instant of the bout that the first frame shows, in seconds."`
	OffsetSD float64 `json:"offset_sd_s,omitempty" min:"0" max:"1000000" say:"Standard deviation of offset_s, in seconds."`
	Steady   bool    `json:"steady,omitempty" say:"True where the camera neither panned nor zoomed during the take, so that one placed frame serves all its frames."`
	Rate     float64 `json:"capture_rate,omitempty" above:"0" max:"100000" say:"Frames a second that the camera took, where the file shows them slower or faster; it gives the factor, which is then left out."`
	Tied     bool    `json:"tied,omitempty" say:"True where the clock of the take follows from moments that were also seen in another take: a factor that is given is kept, offset_s is not used."`
}

type placingOf struct {
	Take       string      `json:"take" match:"id" say:"The take."`
	Frame      int         `json:"frame" min:"0" max:"100000000" say:"The frame of the video, inside the take."`
	Points     []pointFile `json:"points,omitempty" most:"1000" say:"Known points of the floor and where the picture shows them."`
	Lines      []lineMark  `json:"lines,omitempty" most:"1000" say:"Places in the picture that lie somewhere on a known line of the piste; a line may be marked at several places."`
	Distortion bool        `json:"distortion,omitempty" say:"True to fit the radial distortion k1 as well."`
	Cropped    bool        `json:"cropped,omitempty" say:"True for a picture that was cut from a larger one: its centre may then lie elsewhere."`
}

type pointFile struct {
	Name string   `json:"name,omitempty" match:"word" say:"Name of a point of the piste, such as left-on-guard-near; then x_m and y_m are left out."`
	X    *float64 `json:"x_m,omitempty" min:"-1000" max:"1000" say:"Place along the piste in metres from the centre line, + to the right of the picture."`
	Y    *float64 `json:"y_m,omitempty" min:"-1000" max:"1000" say:"Place across the piste in metres from the long axis, + away from the camera."`
	U    float64  `json:"u" min:"-100000" max:"100000" say:"Place in the picture in pixels, to the right from the centre of the top left pixel."`
	V    float64  `json:"v" min:"-100000" max:"100000" say:"Place in the picture in pixels, down from the centre of the top left pixel."`
	SD   float64  `json:"sd_px,omitempty" above:"0" max:"1000" say:"Marking error in pixels, alike in both directions; left out: 1.5."`
}

type lineMark struct {
	Line string  `json:"line" match:"word" say:"Name of a line of the piste, such as left-on-guard or far-edge."`
	U    float64 `json:"u" min:"-100000" max:"100000" say:"Place in the picture in pixels, to the right from the centre of the top left pixel."`
	V    float64 `json:"v" min:"-100000" max:"100000" say:"Place in the picture in pixels, down from the centre of the top left pixel."`
	SD   float64 `json:"sd_px,omitempty" above:"0" max:"1000" say:"Marking error in pixels, across the line; left out: 1.5."`
}

type markFile struct {
	Take  string  `json:"take" match:"id" say:"The take."`
	Frame int     `json:"frame" min:"0" max:"100000000" say:"The frame of the video, inside the take."`
	Who   string  `json:"who" one:"left|right" say:"The fencer, as the camera sees them."`
	What  string  `json:"what" match:"word" say:"The point of interest: point, guard, elbow, shoulder, mask, hip, front-knee, front-toe, front-heel, rear-toe, rear-heel, or a free name."`
	U     float64 `json:"u" min:"-100000" max:"100000" say:"Place in the picture in pixels, to the right from the centre of the top left pixel."`
	V     float64 `json:"v" min:"-100000" max:"100000" say:"Place in the picture in pixels, down from the centre of the top left pixel."`
	SD    float64 `json:"sd_px,omitempty" above:"0" max:"1000" say:"Marking error in pixels, alike in both directions; left out: 1.5."`
}

type momentFile struct {
	ID    string        `json:"id" match:"id" say:"Name by which the race refers to the moment."`
	Name  string        `json:"name,omitempty" match:"line" say:"What happened, as it should be printed."`
	Take  string        `json:"take" match:"id" say:"The take."`
	After int           `json:"after_frame" min:"0" max:"100000000" say:"Last frame on which it had not happened yet."`
	By    int           `json:"by_frame" min:"0" max:"100000000" say:"First frame on which it had happened."`
	Also  []bracketFile `json:"also,omitempty" least:"1" most:"256" say:"The same instant as other takes show it."`
}

type bracketFile struct {
	Take  string `json:"take" match:"id" say:"The other take."`
	After int    `json:"after_frame" min:"0" max:"100000000" say:"Last frame on which it had not happened yet."`
	By    int    `json:"by_frame" min:"0" max:"100000000" say:"First frame on which it had happened."`
}

type hiddenFile struct {
	Take string `json:"take" match:"id" say:"The take."`
	Who  string `json:"who" one:"left|right" say:"The fencer, as the camera sees them."`
	What string `json:"what" match:"word" say:"The point of interest, as in marks."`
	From int    `json:"from" min:"0" max:"100000000" say:"First frame on which it cannot be seen."`
	To   int    `json:"to" min:"0" max:"100000000" say:"Last frame on which it cannot be seen."`
}

type actionFile struct {
	ID   string `json:"id" match:"id" say:"Name of the action."`
	Who  string `json:"who" one:"left|right" say:"The fencer, as the camera sees them."`
	Line string `json:"line" one:"feet|hand|blade" say:"The line of the stave on which it stands."`
	Word string `json:"word,omitempty" match:"line" say:"The word for it, such as riposte."`
	Take string `json:"take" match:"id" say:"The take."`
	From int    `json:"from_frame" min:"0" max:"100000000" say:"First frame on which it goes on."`
	To   int    `json:"to_frame" min:"0" max:"100000000" say:"Last frame on which it goes on."`
}

type raceAskFile struct {
	From  string      `json:"from,omitempty" match:"id" say:"The moment from which the race is run; left out: the first at which both points are marked."`
	Left  *runAskFile `json:"left,omitempty" say:"What the fencer on the left is taken to do."`
	Right *runAskFile `json:"right,omitempty" say:"What the fencer on the right is taken to do."`
}

type runAskFile struct {
	Action string     `json:"action,omitempty" match:"word" say:"The movement: extension, step-in, lunge, step-lunge, fleche, step-back-extension, retreat or none; left out: the one that the measure asks for."`
	Target string     `json:"target,omitempty" one:"hand|forearm|upper-arm|mask|chest|thigh|knee|foot" say:"Where the point goes; left out: the nearest target."`
	Onset  *onsetFile `json:"onset,omitempty" say:"When the movement starts; left out: with the race."`
}

type onsetFile struct {
	Kind    string `json:"kind,omitempty" one:"simultaneous|observed|reaction" say:"simultaneous: with the race; observed: at a moment; reaction: a reaction time after the opponent's onset. Left out: simultaneous."`
	Moment  string `json:"moment,omitempty" match:"id" say:"The moment of an observed onset."`
	Cue     string `json:"cue,omitempty" one:"visual|tactile" say:"What a reaction answers to; left out: visual."`
	Choices int    `json:"choices,omitempty" min:"1" max:"20" say:"Among how many answers the fencer chose; left out: 1."`
}

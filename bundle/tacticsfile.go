package bundle

// tacticsFile is what a bout makes of one touch.
type tacticsFile struct {
	At     int            `json:"at" min:"0" say:"Number of the touch that is told of."`
	Score  scoreRead      `json:"score" say:"The score before it."`
	For    string         `json:"for" one:"left|right" say:"The fencer from whom the payoffs are seen."`
	Fenced bool           `json:"fenced" say:"Whether it stands on the sheet; else it is the touch to come."`
	Bout   *boutRead      `json:"bout" say:"The whole bout; null where nobody hit yet."`
	Thread []threadRead   `json:"thread" say:"The touches before it, the oldest first, and the touch itself last where it was fenced."`
	Left   *habitRead     `json:"left_habit" say:"What the fencer on the left tended to do before it; null where no choice is written."`
	Right  *habitRead     `json:"right_habit" say:"The same of the fencer on the right."`
	Payoff *payoffRead    `json:"payoff" say:"What each choice was worth before it; null where that cannot be said."`
	Story  []sentenceRead `json:"story" say:"The thread as a coach would tell it."`
	Next   []sentenceRead `json:"next" say:"What to do at this touch."`
	Source []sourceRead   `json:"sources" say:"Where the numbers of the sentences come from."`
	Doubts []warningFile  `json:"doubts" say:"What does not follow on the sheet."`
	Lacks  []lackFile     `json:"lacks" say:"What cannot be told, and what would mend it."`
	Draws  int            `json:"draws" min:"0" say:"How many draws of payoffs and habits there were."`
	Seed   uint64         `json:"seed" min:"0" say:"Their seed."`
}

type scoreRead struct {
	Left  int `json:"left" min:"0" say:"Hits of the fencer on the left."`
	Right int `json:"right" min:"0" say:"Hits of the fencer on the right."`
}

type sentenceRead struct {
	Text   string      `json:"text" match:"text" say:"The sentence."`
	Pieces []pieceRead `json:"pieces" say:"The same in pieces: words, and numbers that come from somewhere."`
}

type pieceRead struct {
	Text string `json:"text" match:"text" say:"The words, or the number as it is said."`
	From string `json:"from" match:"line" say:"The id of its source; empty for plain words."`
}

type sourceRead struct {
	ID      string           `json:"id" match:"line" say:"What pieces and values call it."`
	Title   string           `json:"title" match:"text" say:"What the number is."`
	How     string           `json:"how" match:"text" say:"How it was computed."`
	Touches []int            `json:"touches" say:"Numbers of the touches of this bout that are in it."`
	Bouts   []sourceBoutRead `json:"bouts" say:"Earlier bouts that are in it."`
	Reading string           `json:"reading" match:"line" say:"The touch of the library whose measurement is in it; empty for none."`
	Prior   string           `json:"prior" match:"text" say:"What was assumed before anything was seen; empty for nothing."`
	Method  string           `json:"method" match:"line" say:"Where doc/methods.md tells of it."`
}

type sourceBoutRead struct {
	ID    string `json:"id" match:"line" say:"The bout in the library."`
	Day   string `json:"day" match:"line" say:"Its day; empty where not known."`
	With  string `json:"with" match:"line" say:"The opponent."`
	Count int    `json:"count" min:"0" say:"How many of its touches are in it."`
}

type boutRead struct {
	Weapon   string          `json:"weapon" one:"epee|foil|sabre" say:"The weapon."`
	To       int             `json:"to" min:"1" say:"How many hits win."`
	LastDbl  bool            `json:"last_double_counts" say:"Whether a double at one hit from the end for both counts."`
	Relay    bool            `json:"relay" say:"Whether it is a team relay."`
	Final    scoreRead       `json:"final" say:"The score after the last line of the sheet."`
	Over     bool            `json:"over" say:"Whether the bout is over there."`
	Left     *spreadFile     `json:"rate_left" say:"Share of the phrases with a hit in which the fencer on the left hits alone."`
	Right    *spreadFile     `json:"rate_right" say:"The same of the fencer on the right."`
	Double   *spreadFile     `json:"rate_double" say:"Share of the doubles."`
	Clock    *boutClockRead  `json:"clock" say:"The time; null where it is not in the values."`
	Touches  []boutTouchRead `json:"touches" say:"The lines of the sheet."`
	Now      *standRead      `json:"now" say:"The score after the last line; null where the bout is over."`
	Heaviest int             `json:"heaviest" min:"0" say:"Index in touches of the one on which most hung."`
	Stages   []stageRead     `json:"stages" say:"The stages of a relay whose order is noted; else empty."`
	Said     []string        `json:"said" match:"text" say:"The bout in sentences."`
	Doubts   []warningFile   `json:"doubts" say:"What does not follow."`
}

type boutClockRead struct {
	Total    float64     `json:"total_s" min:"0" say:"Fencing time of the format, in seconds."`
	Left     *float64    `json:"left_s" min:"0" say:"What is left after the last line; null where not known."`
	Pace     *spreadFile `json:"pace_per_minute" say:"Touches with a hit in a minute of fencing."`
	Whole    bool        `json:"whole" say:"Whether every score is valued with its clock; else only the one asked about."`
	Priority string      `json:"priority" one:"left|right|" say:"Who has the priority; empty before the lot."`
	Cards    bool        `json:"unwillingness" say:"Whether minutes without a hit are counted."`
}

type standRead struct {
	Score  scoreRead   `json:"score" say:"The score."`
	Win    *spreadFile `json:"win" say:"Chance that the fencer on the left wins the bout."`
	Weight *spreadFile `json:"importance" say:"What hangs on the next single hit: the chance after one of the left less that after one of the right."`
	Double *spreadFile `json:"double_worth" say:"What a double changes in it."`
	Void   bool        `json:"double_void" say:"Whether a double counts for nobody."`
	Left   *float64    `json:"left_s" min:"0" say:"The time left with which it is valued; null without a clock."`
	Extra  bool        `json:"extra_minute" say:"Whether that is of the extra minute."`
}

type boutTouchRead struct {
	Number  int         `json:"number" say:"Number of the touch."`
	Outcome string      `json:"outcome" one:"left|right|double|none" say:"Who hit."`
	Before  standRead   `json:"before" say:"What stood at stake."`
	Score   scoreRead   `json:"score" say:"The score after it."`
	Win     *spreadFile `json:"win" say:"Chance that the fencer on the left wins, after it."`
	Changed *spreadFile `json:"changed" say:"What it changed in that chance."`
	Gap     bool        `json:"gap" say:"True where the score before is not the one after the line above."`
}

type stageRead struct {
	Number  int         `json:"number" min:"1" say:"Number of the stage."`
	Left    string      `json:"left" match:"line" say:"Who fences it on the left; empty where not noted."`
	Right   string      `json:"right" match:"line" say:"Who fences it on the right."`
	Fenced  bool        `json:"fenced" say:"Whether the sheet has a line of it."`
	RateL   *spreadFile `json:"rate_left" say:"Share of the phrases with a hit in which the left hits alone."`
	RateR   *spreadFile `json:"rate_right" say:"The same of the right."`
	RateD   *spreadFile `json:"rate_double" say:"Share of the doubles."`
	Changed *spreadFile `json:"changed" say:"What the stage changed in the left team's chance to win; null where it is not fenced."`
	Swing   *spreadFile `json:"swing" say:"How much such a stage changes on average, in whichever direction; null where it is not fenced."`
}

type threadRead struct {
	Number  int           `json:"number" say:"Number of the touch."`
	Line    string        `json:"line" match:"line" say:"Name of its line on the sheet."`
	Score   scoreRead     `json:"score" say:"The score before it."`
	Outcome string        `json:"outcome" one:"left|right|double|none" say:"Who hit."`
	Left    chosenRead    `json:"left" say:"What the fencer on the left chose."`
	Right   chosenRead    `json:"right" say:"What the fencer on the right chose."`
	Measure string        `json:"measure" match:"line" say:"The measure at which the phrase began; empty where not known."`
	Note    string        `json:"note" match:"text" say:"What the sheet notes."`
	Touch   string        `json:"touch" match:"line" say:"The touch of the library that shows it; empty where it was not taken apart."`
	Phrase  string        `json:"phrase" match:"text" say:"The phrase as it stands on the stave; empty where nothing is written."`
	Bears   []bearingRead `json:"bears" say:"Why it bears on the touch that is told of; empty where it does not."`
	Said    sentenceRead  `json:"said" say:"One line on it."`
}

type chosenRead struct {
	Choice  string    `json:"choice" match:"line" say:"The word as written; empty where nothing is."`
	Kind    string    `json:"kind" match:"line" say:"The kind of choice for which it stands, or the word itself."`
	From    string    `json:"from" one:"sheet|stave|" say:"Where it is written."`
	Changed string    `json:"changed" one:"same|changed|back|" say:"Against the fencer's last choice; back to the one before; empty where not known."`
	Knew    *knewRead `json:"knew" say:"What this fencer could have known of the other at that moment; null where nothing was written before."`
}

type knewRead struct {
	Likely    string      `json:"likely" match:"line" say:"The kind of choice of the other that was likeliest."`
	Share     *spreadFile `json:"share" say:"How likely it was."`
	Seen      int         `json:"seen" min:"0" say:"How many choices of the other had been seen."`
	TooLittle bool        `json:"too_little" say:"Whether that is too few to know anything."`
	Came      bool        `json:"came" say:"Whether it came."`
	ShareCame *spreadFile `json:"share_of_came" say:"How likely the choice that came had been."`
	Source    string      `json:"source" match:"line" say:"The id of the source."`
}

type bearingRead struct {
	Why  string `json:"why" match:"line" say:"The reason: same-choice, same-answer, same-measure, same-score or lesson."`
	Who  string `json:"who" one:"left|right" say:"Whose choice, where it is one side's."`
	Text string `json:"text" match:"text" say:"The reason in words."`
}

type habitRead struct {
	Score     string         `json:"score_state" match:"line" say:"The state of the score for this fencer: ahead, level or behind, with -last at one hit from the end."`
	Measure   string         `json:"measure" match:"line" say:"The measure; empty where not known."`
	Must      string         `json:"must" one:"me|them|" say:"Who has to act in the time that is left: this fencer, the other, or nobody."`
	Last      string         `json:"last" one:"hit|against|double|nothing|" say:"How this fencer's last choice ended; empty at the first touch."`
	LastKind  string         `json:"last_kind" match:"line" say:"The kind of that choice."`
	Choices   []likelyRead   `json:"choices" say:"The kinds of choice, the likeliest first."`
	Weight    float64        `json:"weight" min:"0" say:"What all that was seen weighs, in choices."`
	TooLittle bool           `json:"too_little" say:"Whether that is too little to speak of a habit."`
	Order     repeatsRead    `json:"order" say:"Whether choices repeat or alternate more than chance has it."`
	Change    *shiftRead     `json:"change" say:"The touch since which the habit is likely another one; null where nothing says so."`
	Said      []sentenceRead `json:"said" say:"The habit in sentences."`
}

type likelyRead struct {
	Kind     string      `json:"kind" match:"line" say:"The kind of choice."`
	Word     string      `json:"word" match:"line" say:"The word for it."`
	Share    *spreadFile `json:"share" say:"How likely it is at this touch."`
	Here     int         `json:"here" min:"0" say:"How often it was seen in this situation of this bout."`
	Bout     int         `json:"bout" min:"0" say:"How often in this bout."`
	Opponent int         `json:"opponent" min:"0" say:"How often in earlier bouts of the two."`
	Others   int         `json:"others" min:"0" say:"How often in bouts with others."`
	Prior    float64     `json:"prior" min:"0" say:"What it was credited with before."`
	Source   string      `json:"source" match:"line" say:"The id of the source."`
}

type repeatsRead struct {
	Repeats  int     `json:"repeats" min:"0" say:"How often a choice was that of the touch before."`
	Expected float64 `json:"expected" min:"0" say:"The mean of that over all orders of the same choices."`
	SoMany   float64 `json:"so_many" min:"0" max:"1" say:"Chance of at least so many."`
	SoFew    float64 `json:"so_few" min:"0" max:"1" say:"Chance of at most so many."`
	Says     string  `json:"says" one:"repeats|alternates|" say:"What that says; empty for nothing."`
}

type shiftRead struct {
	Since  int         `json:"since" say:"Number of the first touch of the new habit."`
	From   int         `json:"from" say:"The first of the touches between which it lies in 95 %."`
	To     int         `json:"to" say:"The last of them."`
	Sure   *spreadFile `json:"sure" say:"How likely there was a change at all."`
	Kind   string      `json:"kind" match:"line" say:"The choice that changed most."`
	Before *spreadFile `json:"before" say:"Its share before."`
	After  *spreadFile `json:"after" say:"Its share after."`
}

package bundle

// payoffRead is what each choice is worth. Choices are numbered from 0 in mine and
// theirs.
type payoffRead struct {
	Mine      []optionRead    `json:"mine" say:"The choices of the fencer from whom it is seen."`
	Theirs    []optionRead    `json:"theirs" say:"Those of the opponent, each with how likely it is."`
	Gap       *spreadFile     `json:"gap_m" say:"The measure at which the phrase begins, point to chest in metres."`
	GapFrom   string          `json:"gap_from" match:"line" say:"Where that is known from: measured, asked, sheet or usual."`
	Weight    float64         `json:"weight" min:"0" max:"1" say:"Weight of race and windows against the counts: at 0.5 both count in full."`
	Draws     int             `json:"draws" min:"0" say:"How many draws there were."`
	Cells     []cellRead      `json:"cells" say:"Each pair of choices, row by row."`
	After     endsRead        `json:"after" say:"Chance to win the bout after each end of the phrase."`
	Value     *spreadFile     `json:"value" say:"Value of the game: the chance to win if both mix as well as can be."`
	TooLittle bool            `json:"too_little" say:"Whether too little is known of the opponent's habit."`
	Reply     replyRead       `json:"reply" say:"The choice that is worth most against the opponent's habit."`
	Even      []float64       `json:"even" min:"0" max:"1" say:"The mix of the game, in the order of mine: it asks for no knowledge of the opponent."`
	Mix       []float64       `json:"mix" min:"0" max:"1" say:"The mix to fence with: even, leaning to the reply."`
	Lean      float64         `json:"lean" min:"0" max:"1" say:"How far it leans."`
	Floor     *spreadFile     `json:"floor" say:"What even is worth whatever the opponent does."`
	MixWorth  *spreadFile     `json:"mix_worth" say:"What the mix is worth against the habit."`
	Standings []standingRead  `json:"standings" say:"How each of mine stands against the habit, in their order."`
	Balance   []balanceRead   `json:"balance" say:"Shares of the opponent's choices at which the answer tips, the nearest to the habit first."`
	Drivers   []driverRead    `json:"drivers" say:"The numbers on which the answer hangs, the weightiest first."`
	Next      []nextChoice    `json:"next" say:"The best choices, the best first."`
	Expected  *expectedRead   `json:"expected" say:"What the opponent will likely expect; null where nothing is known of what was shown."`
	Said      []sentenceRead  `json:"said" say:"It in sentences."`
	Courses   []balanceCourse `json:"courses" say:"What mine are worth over the share of one choice of the opponent, to draw."`
}

type optionRead struct {
	Kind  string      `json:"kind" match:"line" say:"The kind of choice."`
	Word  string      `json:"word" match:"line" say:"The word for it."`
	Habit *spreadFile `json:"habit" say:"How likely it is; null for choices of mine."`
}

type endsRead struct {
	Me       *spreadFile `json:"me" say:"A hit for me alone."`
	Double   *spreadFile `json:"double" say:"A double."`
	Opponent *spreadFile `json:"opponent" say:"A hit for the opponent alone."`
	Nothing  *spreadFile `json:"nothing" say:"Nobody hits."`
}

type cellRead struct {
	Mine    int         `json:"mine" min:"0" say:"My choice."`
	Theirs  int         `json:"theirs" min:"0" say:"The opponent's."`
	Ends    endsRead    `json:"ends" say:"How the phrase ends, model and counts together."`
	Worth   *spreadFile `json:"worth" say:"Chance to win the bout if these two meet."`
	Model   []float64   `json:"model" min:"0" max:"1" say:"What race and windows say: me, double, opponent, nothing."`
	Sure    float64     `json:"model_worth" min:"0" say:"How many phrases that weighs; 0 where there is no model."`
	Seen    []float64   `json:"seen" min:"0" say:"What was seen, fading with age: me, double, opponent, nothing."`
	Touches []int       `json:"touches" say:"Numbers of those touches of this bout."`
	How     string      `json:"how" match:"text" say:"What happens, in one sentence."`
	Source  string      `json:"source" match:"line" say:"The id of the source."`
}

type replyRead struct {
	Choice  int         `json:"choice" min:"0" say:"The choice."`
	Worth   *spreadFile `json:"worth" say:"What it is worth against the habit."`
	Second  int         `json:"second" say:"The next best."`
	Ahead   *spreadFile `json:"ahead" say:"By how much that is behind."`
	Apart   bool        `json:"apart" say:"Whether the two can be told apart."`
	Regret  *spreadFile `json:"regret" say:"What is lost by not knowing payoffs and habit better."`
	Exposed *spreadFile `json:"exposed" say:"How far it falls behind the mix of the game if the opponent has seen through it."`
	Counter int         `json:"counter" min:"0" say:"The opponent's best answer to it."`
	Left    *spreadFile `json:"left" say:"What that leaves me."`
}

type standingRead struct {
	Worth *spreadFile `json:"worth" say:"Chance to win the bout if I make it now."`
	Best  *spreadFile `json:"best" say:"Share of the draws in which no other is worth more."`
	Alike bool        `json:"alike" say:"Whether it cannot be told apart from the reply."`
	Worst int         `json:"worst" min:"0" say:"The choice of the opponent that meets it best."`
	Least *spreadFile `json:"least" say:"What that leaves me."`
}

type balanceRead struct {
	Choice int         `json:"choice" min:"0" say:"The opponent's choice."`
	Below  int         `json:"below" min:"0" say:"My best choice at smaller shares of it."`
	Above  int         `json:"above" min:"0" say:"My best choice at larger shares."`
	Share  *spreadFile `json:"share" say:"Where they cross."`
	Inside *spreadFile `json:"inside" say:"How often they cross at all."`
	Habit  *spreadFile `json:"habit" say:"How often the opponent makes it."`
	Past   *spreadFile `json:"past" say:"How likely the habit lies above."`
}

type driverRead struct {
	Kind   string      `json:"kind" one:"cell|habit|score" say:"What kind of number: how a meeting ends, how often a choice comes, what an end is worth."`
	Mine   int         `json:"mine" min:"-1" say:"My choice; -1 where none is meant."`
	Theirs int         `json:"theirs" min:"-1" say:"The opponent's; -1 where none is meant."`
	End    string      `json:"end" one:"me|double|opponent|nothing|" say:"The end, of a number of the score."`
	Value  *spreadFile `json:"value" say:"The number."`
	Part   float64     `json:"part" min:"0" max:"1" say:"Which part of the spread of the answer goes with it."`
	Tips   *float64    `json:"tips" say:"The nearest value at which another choice would be as good; null where none is."`
}

type nextChoice struct {
	Choice   int         `json:"choice" min:"0" say:"The choice."`
	Worth    *spreadFile `json:"worth" say:"Chance to win the bout if I make it now."`
	Ends     endsRead    `json:"ends" say:"How the phrase ends if the opponent follows the habit."`
	Pays     int         `json:"pays" min:"0" say:"The choice of the opponent to which it owes most."`
	Risk     *spreadFile `json:"risk" say:"How much of the chance to win is lost on average by a hit for the opponent."`
	Double   *spreadFile `json:"double" say:"What a double changes at this score."`
	Shown    *spreadFile `json:"shown" say:"How often the opponent has seen me make it; null where not known."`
	Foreseen *spreadFile `json:"foreseen" say:"What it is worth if the opponent answers what I have shown; null where not known."`
}

type expectedRead struct {
	Choice    int         `json:"choice" min:"0" say:"The choice that I made most."`
	Answer    int         `json:"answer" min:"0" say:"The opponent's best reply to what was shown."`
	Likely    *spreadFile `json:"likely" say:"How likely that reply is their best."`
	TooLittle bool        `json:"too_little" say:"Whether too little was shown to expect anything."`
}

type balanceCourse struct {
	Their  int         `json:"theirs" min:"0" say:"The opponent's choice over whose share it is drawn."`
	Mine   []int       `json:"mine" min:"0" say:"My choices that are best somewhere."`
	Shares []float64   `json:"shares" min:"0" max:"1" say:"The shares."`
	Worth  [][]float64 `json:"worth" min:"0" max:"1" say:"Of each of mine, what it is worth at each share."`
	Habit  *spreadFile `json:"habit" say:"How often the opponent makes it."`
	Said   string      `json:"said" match:"text" say:"The crossing in a sentence."`
}

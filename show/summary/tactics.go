package summary

import (
	"mesure/sport/bout"
	"mesure/sport/mark"
	"mesure/study"
)

// Tactics is what the earlier touches and the score make of one touch, in printed
// parts. Lists are never null. A part that the sheet does not carry is nil, and Lacks
// says why.
type Tactics struct {
	// At is the number of the touch asked about, Score the one before it, For whose
	// coach asks, Fenced whether it stands on the sheet.
	At     int        `json:"at"`
	Score  bout.Score `json:"score"`
	For    mark.Side  `json:"for"`
	Fenced bool       `json:"fenced"`
	// Names by side, "Left" and "Right" where none is written.
	Names [2]string `json:"names"`
	// HasBout says whether the bout itself could be read; Charts which pictures there
	// are, by the names of TacticsCharts.
	HasBout bool     `json:"has_bout"`
	Charts  []string `json:"charts"`
	Weapon  string   `json:"weapon"`
	To      int      `json:"to"`

	Thread []ThreadTouch `json:"thread"`
	// Habits, the left fencer's first; one that is not known is left out.
	Habits []Habit `json:"habits"`
	Payoff *Payoff `json:"payoff,omitempty"`

	Story   []Sentence      `json:"story"`
	Next    []Sentence      `json:"next"`
	Sources []TacticsSource `json:"sources"`
	Doubts  []study.Warning `json:"doubts"`
	Lacks   []Lack          `json:"lacks"`
	Draws   int             `json:"draws"`
	Seed    string          `json:"seed"`
}

// TacticsCharts are the names of the pictures of tactics, in their order.
var TacticsCharts = []string{ChartThread, ChartHabitLeft, ChartHabitRight, ChartBalance, ChartPayoff, ChartBout}

// Names of the pictures of tactics.
const (
	ChartThread     = "thread"
	ChartHabitLeft  = "habit-left"
	ChartHabitRight = "habit-right"
	ChartBalance    = "balance"
	ChartPayoff     = "payoff"
	ChartBout       = "bout"
)

// Sentence is words and numbers in their order; joined, they read as one sentence.
type Sentence []Piece

// Piece is a part of a sentence. From is the ID of a source; empty for plain words.
type Piece struct {
	Text string `json:"text"`
	From string `json:"from,omitempty"`
}

// TacticsSource says where a number comes from: see study.Source.
type TacticsSource struct {
	ID      string       `json:"id"`
	Title   string       `json:"title"`
	How     string       `json:"how"`
	Touches []int        `json:"touches"`
	Bouts   []SourceBout `json:"bouts"`
	Reading study.ID     `json:"reading,omitempty"`
	Prior   string       `json:"prior,omitempty"`
	Method  string       `json:"method,omitempty"`
}

// SourceBout is an earlier bout in a source.
type SourceBout struct {
	ID    study.ID `json:"id"`
	Day   string   `json:"day,omitempty"`
	With  string   `json:"with,omitempty"`
	Count int      `json:"count"`
}

// ThreadTouch is one touch in the thread.
type ThreadTouch struct {
	Number int        `json:"number"`
	Line   string     `json:"line"`
	Score  bout.Score `json:"score"` // before it
	// Outcome is "left", "right", "double" or "none", Word the same in words.
	Outcome string `json:"outcome"`
	Word    string `json:"word"`
	// Asked says that this is the touch asked about.
	Asked bool `json:"asked"`
	// Sides are what each fencer chose and could have known, the left one first.
	Sides       []ThreadSide `json:"sides"`
	Measure     string       `json:"measure,omitempty"`
	MeasureWord string       `json:"measure_word,omitempty"`
	Note        string       `json:"note,omitempty"`
	Touch       study.ID     `json:"touch,omitempty"`
	Sentence    string       `json:"sentence,omitempty"`
	Bears       []Bearing    `json:"bears"`
	Said        Sentence     `json:"said"`
}

// ThreadSide is one fencer at one touch.
type ThreadSide struct {
	Who mark.Side `json:"who"`
	// Choice as written, Kind what it counts as, Word the word of that kind; empty where
	// nothing is written. From is "sheet" or "stave".
	Choice string `json:"choice,omitempty"`
	Kind   string `json:"kind,omitempty"`
	Word   string `json:"word,omitempty"`
	From   string `json:"from,omitempty"`
	// Changed is "same", "changed", "back" or empty where not known.
	Changed string `json:"changed,omitempty"`
	Knew    *Knew  `json:"knew,omitempty"`
}

// Bearing is one reason why an earlier touch bears on the touch asked about.
type Bearing struct {
	Why  string    `json:"why"`
	Word string    `json:"word"`
	Who  mark.Side `json:"who"`
	Text string    `json:"text"`
}

// Knew is what a fencer could have known of the opponent's habit at one moment.
type Knew struct {
	Likely      string `json:"likely"`
	LikelyWord  string `json:"likely_word"`
	Share       Number `json:"share"`
	Seen        int    `json:"seen"`
	TooLittle   bool   `json:"too_little"`
	Came        bool   `json:"came"`
	ShareOfCame Number `json:"share_of_came"`
	Source      string `json:"source"`
}

// Habit is how likely one fencer is to make each kind of choice at this touch.
type Habit struct {
	Who       mark.Side       `json:"who"`
	Situation study.Situation `json:"situation"`
	Choices   []HabitChoice   `json:"choices"`
	// Weight is what all that was seen weighs, in choices.
	Weight    Number `json:"weight"`
	TooLittle bool   `json:"too_little"`
	// Order is "repeats", "alternates" or empty; Repeats were seen where chance has
	// Expected.
	Order    string       `json:"order,omitempty"`
	Repeats  int          `json:"repeats"`
	Expected Number       `json:"expected"`
	Change   *HabitChange `json:"change,omitempty"`
	Said     []Sentence   `json:"said"`
}

// HabitChoice is one kind of choice in a habit, the likeliest first.
type HabitChoice struct {
	Kind     string `json:"kind"`
	Word     string `json:"word"`
	Share    Number `json:"share"`
	Here     int    `json:"here"`
	Bout     int    `json:"bout"`
	Opponent int    `json:"opponent"`
	Others   int    `json:"others"`
	Prior    Number `json:"prior"`
	Source   string `json:"source"`
}

// HabitChange is the touch since which a habit is likely to be another one.
type HabitChange struct {
	Since  int    `json:"since"`
	Sure   Number `json:"sure"`
	From   int    `json:"from"`
	To     int    `json:"to"`
	Kind   string `json:"kind"`
	Word   string `json:"word"`
	Before Number `json:"before"`
	After  Number `json:"after"`
}

// Payoff is what each choice is worth, as a grid with a row for each of mine.
type Payoff struct {
	Mine   []MyChoice    `json:"mine"`
	Theirs []TheirChoice `json:"theirs"`
	Grid   [][]Cell      `json:"grid"`
	// Value of the game if both mix at their best.
	Value Number `json:"value"`
	// After is what the bout is worth after each end of the phrase.
	After FourEnds `json:"after"`
	// Weight is that of race and windows against the counts.
	Weight    Number `json:"weight"`
	Gap       Number `json:"gap"`
	GapFrom   string `json:"gap_from"`
	TooLittle bool   `json:"too_little"`
	// Reply is the index in Mine of the choice that is worth the most, Second of the
	// next best, by Ahead behind; Apart whether the two can be told apart. Counter is the
	// opponent's best answer to it and Left what that leaves me.
	Reply   int    `json:"reply"`
	Worth   Number `json:"worth"`
	Second  int    `json:"second"`
	Ahead   Number `json:"ahead"`
	Apart   bool   `json:"apart"`
	Regret  Number `json:"regret"`
	Exposed Number `json:"exposed"`
	Counter int    `json:"counter"`
	Left    Number `json:"left"`
	// Floor is what my even mix is worth whatever the opponent does, Lean how far Mix
	// leans from it to the reply, MixRegret what that risks at the most.
	Floor     Number         `json:"floor"`
	Lean      Number         `json:"lean"`
	MixWorth  Number         `json:"mix_worth"`
	MixRegret Number         `json:"mix_regret"`
	Next      []NextChoice   `json:"next"`
	Balances  []BalancePoint `json:"balances"`
	Said      []Sentence     `json:"said"`
}

// MyChoice is one row of the grid.
type MyChoice struct {
	Kind string `json:"kind"`
	Word string `json:"word"`
	// Worth against the habit, Best in which share of draws no other is worth more, Alike
	// whether it cannot be told apart from the best reply.
	Worth Number `json:"worth"`
	Best  Number `json:"best"`
	Alike bool   `json:"alike"`
	// Worst is the opponent's choice that meets it best, Least what that leaves.
	Worst int    `json:"worst"`
	Least Number `json:"least"`
	// Even is its share in the mix that asks for no knowledge of the opponent, Mix in
	// the one to fence with.
	Even Number `json:"even"`
	Mix  Number `json:"mix"`
}

// TheirChoice is one column of the grid.
type TheirChoice struct {
	Kind  string `json:"kind"`
	Word  string `json:"word"`
	Habit Number `json:"habit"`
	// Even is its share in the opponent's best mix.
	Even Number `json:"even"`
}

// FourEnds is how a phrase may end, or what each end is worth.
type FourEnds struct {
	Me       Number `json:"me"`
	Double   Number `json:"double"`
	Opponent Number `json:"opponent"`
	Nothing  Number `json:"nothing"`
}

// Cell is one pair of choices.
type Cell struct {
	Worth Number   `json:"worth"`
	Ends  FourEnds `json:"ends"`
	// Model is how it ends by race and windows alone; nil where there is no model. Sure
	// is how many phrases that is worth.
	Model *FourEnds `json:"model,omitempty"`
	Sure  Number    `json:"sure"`
	// Seen are the phrases in which the two met, the older ones weighing less; SeenAll is
	// their sum, Touches their numbers in this bout.
	Seen    Counts `json:"seen"`
	SeenAll Number `json:"seen_all"`
	Touches []int  `json:"touches"`
	How     string `json:"how"`
	Source  string `json:"source"`
}

// Counts are phrases that were seen to end so.
type Counts struct {
	Me       Number `json:"me"`
	Double   Number `json:"double"`
	Opponent Number `json:"opponent"`
	Nothing  Number `json:"nothing"`
}

// NextChoice is one of the best choices for the touch.
type NextChoice struct {
	Choice int      `json:"choice"`
	Word   string   `json:"word"`
	Worth  Number   `json:"worth"`
	Best   Number   `json:"best"`
	Alike  bool     `json:"alike"`
	Ends   FourEnds `json:"ends"`
	// Pays is the choice of the opponent to which it owes the most.
	Pays      int    `json:"pays"`
	PaysWorth Number `json:"pays_worth"`
	// Cost is what a hit against me takes from the chance to win, Risk how much of that
	// is lost on average, Double what a double changes.
	Cost   Number `json:"cost"`
	Risk   Number `json:"risk"`
	Double Number `json:"double"`
	// Shown is how often the opponent has seen it, Foreseen what it is worth if they
	// answer what I have shown.
	Shown    *Number `json:"shown,omitempty"`
	Foreseen *Number `json:"foreseen,omitempty"`
}

// BalancePoint is a balance picture in numbers.
type BalancePoint struct {
	Their int    `json:"their"`
	Word  string `json:"word"`
	Habit Number `json:"habit"`
	// Crossings in the order of the share.
	Crossings []Crossing `json:"crossings"`
	Said      Sentence   `json:"said"`
}

// Crossing is a share of one choice of the opponent at which the answer tips.
type Crossing struct {
	Below     int    `json:"below"`
	BelowWord string `json:"below_word"`
	Above     int    `json:"above"`
	AboveWord string `json:"above_word"`
	Share     Number `json:"share"`
	Inside    Number `json:"inside"`
	Worth     Number `json:"worth"`
	// Past is how likely the habit lies beyond it.
	Past Number `json:"past"`
}

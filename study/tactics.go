package study

import (
	"mesure/quantity"
	"mesure/sport/bout"
	"mesure/sport/mark"
	"mesure/tactics/habit"
	"mesure/tactics/payoff"
)

// TacticsAsk is one touch of a bout about which tactics are asked: what the earlier
// touches taught, what each choice was worth, what to do. Everything is seen from the
// fencer For.
type TacticsAsk struct {
	// ID of the bout in the library; empty for a file.
	ID   ID
	Bout bout.Bout
	// Words are the coach's own.
	Words []bout.OwnWord
	// At is the number of the touch asked about; 0, and any number past the sheet, is the
	// touch after the last line.
	At  int
	For mark.Side
	// Seen are the touches of this bout that were taken apart, in any order.
	Seen []SeenTouch
	// Past are choices of both fencers in other bouts, the oldest first.
	Past []Act
	// Reading of the touch asked about, with a race or an instant from which payoffs are
	// computed at its measure; nil takes the measure of Gap, or the usual one.
	Reading *Reading
	// Gap in metres at which the touch begins, where no reading says it: point to chest.
	Gap *quantity.Of[quantity.Metres]
	// Weight is that of race and windows against the counts, 0 to 1; nil is ½.
	Weight *quantity.Chance
	// Mine and Theirs are the kinds of choice of both sides, own words among them; nil
	// takes all that were seen and the trade's kinds.
	Mine, Theirs []string
	Clock        *ClockAsk
	// Draws of payoffs and habits, zero means payoff.Draws; Seed, zero means DefaultSeed.
	Draws int
	Seed  uint64
	// Whole is the bout's reading where a former ask about the same sheet, touch and clock
	// gave it: Tactics.Bout. Nil reads it anew.
	Whole *BoutReading
	// Doubts found while the sheet was taken; they are handed on.
	Doubts []Warning
}

// ClockAsk is what is known of the time; nil leaves the clock out.
type ClockAsk struct {
	// Left is the fencing time that is left, all periods together.
	Left quantity.Seconds
	// Priority is "left" or "right" once the lot was drawn, else empty.
	Priority string
	// Unwillingness counts minutes without a hit as the rules of t.124 do.
	Unwillingness bool
	// Seeded names who loses if both are black-carded at a level score: "left" or "right"
	// is the higher initial seed; empty: an even lot.
	Seeded string
}

// SeenTouch is one touch of the bout that was taken apart.
type SeenTouch struct {
	ID    ID
	Line  string // ID of the line of the sheet
	Title string
	// Phrase is what is written on the stave, When tells its order.
	Phrase bout.WrittenPhrase
	When   bout.When
	// Gap from the nearest point to the opponent's chest when the attack was launched;
	// nil where it was not measured.
	Gap *quantity.Of[quantity.Metres]
	// Band of that gap: one of bout.Measures; empty where not measured.
	Band string
}

// Act is one choice of one fencer at one touch, as the index of the library has it. It
// is seen from that fencer.
type Act struct {
	Bout     ID
	Day      string // YYYY-MM-DD; empty where not known
	Line     string // ID of the line of the sheet
	Number   int
	Fencer   string
	Opponent string
	Weapon   bout.Weapon
	// Choice and Answer are what the fencer and the opponent chose, as the sheet has it;
	// Answer may be empty.
	Choice, Answer string
	// Mine and Theirs is the score before, To how many hits win.
	Mine, Theirs, To int
	Measure          string // see bout.Measures; may be empty
	Outcome          string // one of the Outcome constants
}

// ActQuery says which acts are wanted. Names are compared without regard to capitals,
// accents and spaces at the ends (see bout.SameName).
type ActQuery struct {
	Fencer string
	// Opponent, where it is not empty, leaves out bouts with others.
	Opponent string
	// Weapon leaves out the others; empty takes all.
	Weapon bout.Weapon
	// Without leaves out one bout: the one at hand.
	Without ID
	// Before leaves out bouts of this day and later; empty takes all. A bout without a day
	// counts as older than any.
	Before string
	// SameDay keeps, of the day Before, the bouts that were put into the library before
	// the bout Without.
	SameDay bool
	// Newest keeps only so many; zero keeps all.
	Newest int
}

// Outcomes of an act, seen from its fencer.
const (
	OutcomeHit     = "hit"
	OutcomeAgainst = "against"
	OutcomeDouble  = "double"
	OutcomeNothing = "nothing"
)

// Situation is what stands when a fencer chooses, seen from that fencer.
type Situation struct {
	// Score is "ahead", "level" or "behind", with "-last" where one of the two is a hit
	// from the end.
	Score string `json:"score"`
	// Measure is one of bout.Measures; empty where not known.
	Measure string `json:"measure,omitempty"`
	// Must says who has to act: "me" who is behind with little time, or without the
	// priority; "them"; empty where nobody must.
	Must string `json:"must,omitempty"`
	// Last is how the fencer's last choice ended: one of the Outcome constants; empty at
	// the first touch. LastChoice is its kind.
	Last       string `json:"last,omitempty"`
	LastChoice string `json:"last_choice,omitempty"`
}

// Piece is a part of a sentence: plain words, or a number that comes from somewhere.
type Piece struct {
	Text string `json:"text"`
	// From is a name in Tactics.Sources; empty for plain words.
	From string `json:"from,omitempty"`
}

// Sentence is words and numbers in their order. Joined, they read as one sentence.
type Sentence []Piece

// String joins the pieces.
func (s Sentence) String() string {
	n := ""
	for _, p := range s {
		n += p.Text
	}
	return n
}

// Source says where a number comes from.
type Source struct {
	// ID is what pieces call it.
	ID string `json:"id"`
	// Title is what the number is, How how it was computed: one sentence each.
	Title string `json:"title"`
	How   string `json:"how"`
	// Touches are the numbers of the touches of this bout that are in it.
	Touches []int `json:"touches,omitempty"`
	// Bouts are earlier bouts that are in it.
	Bouts []SourceBout `json:"bouts,omitempty"`
	// Reading names the touch document whose measurement is in it; empty for none.
	Reading ID `json:"reading,omitempty"`
	// Prior says what was assumed before anything was seen; empty for nothing.
	Prior string `json:"prior,omitempty"`
	// Method is the section of doc/methods.md.
	Method string `json:"method,omitempty"`
}

// SourceBout is an earlier bout in a source.
type SourceBout struct {
	ID    ID     `json:"id"`
	Day   string `json:"day,omitempty"`
	With  string `json:"with,omitempty"`
	Count int    `json:"count"`
}

// Tactics is what the earlier touches and the score make of one touch. Derived, never
// edited.
type Tactics struct {
	// At is the number of the touch asked about, Score the one before it, For whose
	// coach asks. Fenced is whether it stands on the sheet.
	At     int        `json:"at"`
	Score  bout.Score `json:"score"`
	For    mark.Side  `json:"for"`
	Fenced bool       `json:"fenced"`
	// Names of the fencers by side, as the sheet has them; empty where it has none.
	Names [2]string `json:"names"`
	// Bout is the whole bout: the chance to win after each touch, what hung on each.
	// Nil where nobody hit yet.
	Bout *BoutReading `json:"bout,omitempty"`
	// Thread has the touches before At, oldest first, and At itself last where it was
	// fenced.
	Thread []ThreadTouch `json:"thread"`
	// Habits of both fencers as they stood before At, by mark.Side; nil where no choice
	// is written.
	Habits [2]*Habit `json:"habits"`
	// Payoff is what each choice was worth before At, seen from For; nil where it cannot
	// be said: Lacks says why.
	Payoff *Payoff `json:"payoff,omitempty"`
	// Story is the thread as a coach would tell it, Next what to do at this touch.
	Story []Sentence `json:"story"`
	Next  []Sentence `json:"next"`
	// Sources of every number in a sentence, by ID in order.
	Sources []Source `json:"sources"`
	// Doubts of the sheet; Lacks says what cannot be told and what would mend it: it is
	// where too little was seen.
	Doubts []Warning `json:"doubts"`
	Lacks  []Lack    `json:"lacks"`
	Draws  int       `json:"draws"`
	Seed   uint64    `json:"seed"`
}

// NameOf is a fencer's name, else the side.
func (x *Tactics) NameOf(s mark.Side) string {
	if x.Names[s] != "" {
		return x.Names[s]
	}
	return [2]string{"Left", "Right"}[s]
}

// Parts of Tactics, as Lack names them.
const (
	PartThread = "thread"
	PartHabit  = "habit" // of one side
	PartPayoff = "payoff"
	PartBout   = "bout"
)

// Why an earlier touch bears on another.
const (
	BearsSameChoice  = "same-choice"  // of the fencer Who
	BearsSameAnswer  = "same-answer"  // the same pair of choices met
	BearsSameMeasure = "same-measure" // at the same measure
	BearsSameScore   = "same-score"   // in the same state of the score
	BearsLesson      = "lesson"       // its outcome is the likeliest reason for a change of choice
)

// ThreadTouch is one touch in the thread.
type ThreadTouch struct {
	Number int        `json:"number"`
	Line   string     `json:"line"`
	Score  bout.Score `json:"score"` // before it
	// Outcome is that of BoutTouch: "left", "right", "double" or "none".
	Outcome string `json:"outcome"`
	// Choices by side, as written; Kinds are the kinds of choice they stand for, or the
	// word itself; ChoiceFrom is "sheet", "stave" or empty.
	Choices    [2]string `json:"choices"`
	Kinds      [2]string `json:"kinds"`
	ChoiceFrom [2]string `json:"choice_from"`
	Measure    string    `json:"measure,omitempty"`
	Note       string    `json:"note,omitempty"` // what the sheet notes
	// Touch is the document of the touch where it was taken apart.
	Touch ID `json:"touch,omitempty"`
	// Sentence is the phrase as written on the stave; empty where nothing is written.
	Sentence string `json:"sentence,omitempty"`
	// Bears says why it bears on the touch asked about; empty where it does not.
	Bears []Bearing `json:"bears"`
	// Line is one line a coach would say of it.
	Said Sentence `json:"said"`
	// Changed is how the choice of each side differs from their last one: "same",
	// "changed", "back" (to the one before) or empty where not known.
	Changed [2]string `json:"changed"`
	// Knew is what each fencer could have known of the other at that moment, by the side
	// of who knows; nil where nothing was written before.
	Knew [2]*Knew `json:"knew"`
}

// Bearing is one reason why an earlier touch bears on the touch asked about.
type Bearing struct {
	Why  string    `json:"why"`
	Who  mark.Side `json:"who"` // whose choice, where it is one side's
	Text string    `json:"text"`
}

// Knew is what a fencer could have known of the opponent's habit at one moment.
type Knew struct {
	// Likely is the kind of choice of the opponent that was likeliest, Share how likely.
	Likely string                       `json:"likely"`
	Share  quantity.Of[quantity.Chance] `json:"share"`
	// Seen is how many choices of the opponent had been seen; TooLittle see habit.
	Seen      int  `json:"seen"`
	TooLittle bool `json:"too_little"`
	// Came is whether the likeliest one came.
	Came bool `json:"came"`
	// Share0 is how likely the choice that came had been.
	ShareOfCame quantity.Of[quantity.Chance] `json:"share_of_came"`
	Source      string                       `json:"source"`
}

// Habit is how likely one fencer is to make each kind of choice at one touch, from this
// bout, earlier bouts with this opponent, all bouts and the prior, in that order of
// weight.
type Habit struct {
	Who       mark.Side `json:"who"`
	Situation Situation `json:"situation"`
	// Choices, the likeliest first.
	Choices []HabitChoice `json:"choices"`
	// Weight is what all that was seen weighs; TooLittle where it is less than
	// habit.LeastSeen.
	Weight    float64 `json:"weight"`
	TooLittle bool    `json:"too_little"`
	// Order is whether choices repeat or alternate more than chance has it; since Change,
	// where there is one.
	Order BoutOrder `json:"order"`
	// Change is the touch since which the habit is likeliest to be another one; nil where
	// nothing says so.
	Change *HabitChange `json:"change,omitempty"`
	// Course is the habit after each touch of the bout, for the picture.
	Course []HabitStand `json:"course"`
	Said   []Sentence   `json:"said"`
	// Law is the estimate, choices in the order of Kinds.
	Law   habit.Habit `json:"-"`
	Kinds []string    `json:"-"`
}

// HabitChoice is one kind of choice in a habit.
type HabitChoice struct {
	Kind string `json:"kind"`
	Word string `json:"word"`
	// Share is how likely it comes at the touch asked about, in this situation.
	Share quantity.Of[quantity.Chance] `json:"share"`
	// Here, Bout, Opponent and Others count what was seen: in this situation of this
	// bout, in this bout, in earlier bouts with this opponent, with others. Prior is what
	// it was credited with before.
	Here     int     `json:"here"`
	Bout     int     `json:"bout"`
	Opponent int     `json:"opponent"`
	Others   int     `json:"others"`
	Prior    float64 `json:"prior"`
	Source   string  `json:"source"`
}

// HabitChange is a touch since which a habit is likely to be another one.
type HabitChange struct {
	// Since is the number of the first touch of the new habit, Sure how likely there was
	// a change at all, From and To the touches between which it lies in 95 %.
	Since int                          `json:"since"`
	Sure  quantity.Of[quantity.Chance] `json:"sure"`
	From  int                          `json:"from"`
	To    int                          `json:"to"`
	// Kind is the choice that changed most, Before and After its share.
	Kind   string                       `json:"kind"`
	Before quantity.Of[quantity.Chance] `json:"before"`
	After  quantity.Of[quantity.Chance] `json:"after"`
}

// HabitStand is a habit after one touch: the shares of Habit.Choices, in their order. The
// first of a course may be that before any touch, with Number 0.
type HabitStand struct {
	Number int                            `json:"number"`
	Shares []quantity.Of[quantity.Chance] `json:"shares"`
	// Chose is the index in Habit.Choices of what was chosen at this touch; −1 where it
	// is not written.
	Chose int `json:"chose"`
	// TooLittle is true where less had been seen by then than habit.LeastSeen.
	TooLittle bool `json:"too_little,omitempty"`
}

// Payoff is what each choice is worth at this measure and this score.
type Payoff struct {
	payoff.Advice
	// MineWords and TheirWords are the words for the kinds of choice.
	MineWords  []string `json:"mine_words"`
	TheirWords []string `json:"their_words"`
	// Gap is the measure at which the phrase begins, GapFrom where it is known from:
	// "measured" on this touch, "asked", "sheet" or "usual".
	Gap     quantity.Of[quantity.Metres] `json:"gap_m"`
	GapFrom string                       `json:"gap_from"`
	// Cells say how each pair of choices was valued.
	Cells [][]PayoffCell `json:"cells"`
	Said  []Sentence     `json:"said"`
	// Balances are pictures of the advice over the share of one choice of the opponent:
	// the ones that decide.
	Balances []BalanceCourse `json:"balances"`
}

// PayoffCell is one pair of choices: what race and windows say, what was seen.
type PayoffCell struct {
	// Model is how it ends by race and windows; Sure what it is worth in phrases. Sure is
	// 0 where there is no model: an own word.
	Model payoff.Shares `json:"model"`
	Sure  float64       `json:"sure"`
	// Seen are the phrases in which the two met, fading with age; Touches their numbers
	// in this bout.
	Seen    payoff.Counts `json:"seen"`
	Touches []int         `json:"touches,omitempty"`
	// How says in one sentence what happens.
	How    string `json:"how"`
	Source string `json:"source"`
}

// BalanceCourse is what my choices are worth over the share of one choice of the
// opponent, the others keeping their proportions.
type BalanceCourse struct {
	// Their is the opponent's choice, Mine the choices of mine that are drawn: those that
	// are best somewhere.
	Their int   `json:"their"`
	Mine  []int `json:"mine"`
	// Shares of Their from 0 to 1, and the worth of each of Mine at each.
	Shares []quantity.Chance                `json:"shares"`
	Worth  [][]quantity.Of[quantity.Chance] `json:"worth"`
	// Habit is how often the opponent makes it, Path how that was after each of the last
	// touches, the newest last.
	Habit quantity.Of[quantity.Chance] `json:"habit"`
	Path  []HabitStand                 `json:"path"`
	// Said names the crossing in a sentence.
	Said Sentence `json:"said"`
}

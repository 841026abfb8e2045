package timing

import "mesure/quantity"

// Answer is what a defender can do about an attack.
type Answer string

// The answers that have a window.
const (
	ExtendSingle    Answer = "extend-single"
	ExtendDouble    Answer = "extend-double"
	ParryLateral    Answer = "parry-lateral"
	ParrySemi       Answer = "parry-semicircular"
	ParryCircular   Answer = "parry-circular"
	ParryStepBack   Answer = "parry-step-back"
	RetreatOut      Answer = "retreat"
	RemoveTarget    Answer = "remove-target"
	OpposeInTheLine Answer = "opposition"
)

const answers = 9 // how many

// Answers lists the answers in the order in which Windows has them.
func Answers() [answers]Answer {
	return [answers]Answer{ExtendSingle, ExtendDouble, ParryLateral, ParrySemi, ParryCircular,
		ParryStepBack, RetreatOut, RemoveTarget, OpposeInTheLine}
}

// Asks says in words what must be true for the answer to serve.
func (a Answer) Asks() string {
	switch a {
	case ExtendSingle:
		return "the own point registers more than the window of the apparatus before the attack does"
	case ExtendDouble:
		return "the own point registers at the latest within the window after the attack"
	case ParryLateral:
		return "the blade has crossed to the attacked line before the point arrives"
	case ParrySemi:
		return "the blade has made its half circle, high to low or back, before the point arrives"
	case ParryCircular:
		return "the blade has made its whole circle before the point arrives"
	case ParryStepBack:
		return "hand and rear foot start together, and the lateral parry is there before the point, which the step delays; the feet must be free to step"
	case RetreatOut:
		return "the target goes back so early and so far that the attack ends short of it; the feet must be free to step"
	case RemoveTarget:
		return "the target has left the line before the point arrives"
	case OpposeInTheLine:
		return "the blade has closed the line before the point arrives, and the own point reaches; it need not be early"
	}
	return ""
}

// Times of the answers that the defaults of the race do not have.
const (
	// SemicircularParryTime is the time of a semicircular parry (common practice,
	// no source: between the lateral and the circular one).
	SemicircularParryTime = quantity.Seconds(0.190)
	// SemicircularParryTimeSD is the spread of SemicircularParryTime (common
	// practice, no source).
	SemicircularParryTimeSD = quantity.Seconds(0.035)
	// OppositionTime is the time in which an extension with opposition closes the
	// line (common practice, no source: a little slower than the lateral parry,
	// since the arm straightens at the same time).
	OppositionTime = quantity.Seconds(0.180)
	// OppositionTimeSD is the spread of OppositionTime (common practice, no source).
	OppositionTimeSD = quantity.Seconds(0.035)
	// RemovalTime is the time in which a hand, a foot or a shoulder leaves the line
	// (common practice, no source; about that of an extension of the arm).
	RemovalTime = quantity.Seconds(0.220)
	// RemovalTimeSD is the spread of RemovalTime (common practice, no source).
	RemovalTimeSD = quantity.Seconds(0.040)
)

// Attack is what the defender has to answer. All times count from the instant at
// which the gaps were measured, as in Race.
type Attack struct {
	// Gap from the attacker's point to the defender's target.
	Gap quantity.Of[quantity.Metres]
	// Movement of the attacker's point, towards the defender.
	Movement Movement
	// Onset of the attack; it may lie before the instant of the gaps. It cannot be
	// a reaction: the attack is what is reacted to.
	Onset Onset
	// Cue is the share of its travel at which arm or body is seen, anywhere in
	// Cue.Mean ± √3·Cue.SD.
	Cue quantity.Of[quantity.Ratio]
	// TargetOnArm is how far the defender's target goes along when the arm of one who
	// is Coming straightens: 1 for the hand, 0 for the trunk. It does not count for a
	// defender who stands.
	TargetOnArm quantity.Ratio
}

// Defence is what the defender brings.
type Defence struct {
	// Gap from the defender's point to the attacker's target.
	Gap quantity.Of[quantity.Metres]
	// TargetOnArm is how far that target goes along when the attacker's arm
	// straightens, as in Runner: 1 for the hand, 0 for the trunk.
	TargetOnArm quantity.Ratio
	// Extension of the defender's arm: a movement without body.
	Extension Movement
	// StepBack carries the defender's target away: a movement without arm.
	StepBack Movement
	// Times from the start of the hand to the finished parry, by kind; to the
	// closed line; and to the removed target. The kinds of parry share their luck:
	// a hand quick in one is quick in all.
	Lateral, Semicircular, Circular, Opposition, Removal quantity.Of[quantity.Seconds]
	Reaction                                             Reaction
	// Coming is the body of a defender who comes forward by a decision made before the
	// attack: it brings the target to the attacking point, and the own point with it.
	// The arm counts as far as it carries the target. The zero value is one who stands.
	Coming Runner
}

// Exchange is an attack and the defence against it. GapCorrelation is how much
// the errors of the two gaps go together, from −1 to 1.
type Exchange struct {
	Attack         Attack
	Defence        Defence
	GapCorrelation quantity.Ratio
}

// NewAttack returns an attack at once from this gap, seen after 5 to 10 % of its
// travel.
func NewAttack(gap quantity.Of[quantity.Metres], m Movement) Attack {
	return Attack{Gap: gap, Movement: m, Cue: quantity.Uniform(CueShareLow, CueShareHigh)}
}

// NewDefence returns the defence of a fencer of whom nothing is known, whose point
// is this far from the attacker's target: the default extension, step back, times
// and the visual reaction among two answers (defend or hit).
func NewDefence(gap quantity.Of[quantity.Metres]) Defence {
	extension, err := Default(Extension, "", "")
	if err != nil {
		panic("timing: " + err.Error())
	}
	back, err := Default(Retreat, "", "")
	if err != nil {
		panic("timing: " + err.Error())
	}
	return Defence{
		Gap: gap, Extension: extension, StepBack: back,
		Lateral:      quantity.Normal(ParryTime, ParryTimeSD),
		Semicircular: quantity.Normal(SemicircularParryTime, SemicircularParryTimeSD),
		Circular:     quantity.Normal(CircularParryTime, CircularParryTimeSD),
		Opposition:   quantity.Normal(OppositionTime, OppositionTimeSD),
		Removal:      quantity.Normal(RemovalTime, RemovalTimeSD),
		Reaction:     VisualAmong(2),
	}
}

// Windows is when each answer can still be started against an attack. Seconds
// count from the instant of the gaps.
type Windows struct {
	// Arrives is the chance that the attack reaches a target that stays, and Hit
	// when, over the draws in which it does (the zero value where it never does).
	Arrives quantity.Of[quantity.Chance]
	Hit     quantity.Of[quantity.Seconds]
	Cue     Sight
	// Ready is the cue plus the reaction, and not before the instant of the gaps: the
	// first start that answers the attack and not a guess. A defender who guesses may
	// start earlier.
	Ready quantity.Of[quantity.Seconds]
	// ReAim is the last instant at which the attack can still be aimed elsewhere.
	ReAim quantity.Of[quantity.Seconds]
	Each  [answers]Window
	// Draws is how many were made: 1 where nothing is uncertain.
	Draws int
}

// Sight is what an attack shows, and when.
type Sight struct {
	// At is when the attack can be seen.
	At quantity.Of[quantity.Seconds]
	// Gone is the share of the attack's time, from onset to hit, that is over by
	// then, and Left the time from the cue to the hit; over the draws in which it
	// hits.
	Gone quantity.Of[quantity.Ratio]
	Left quantity.Of[quantity.Seconds]
}

// Window is the span in which one answer can be started.
type Window struct {
	Answer Answer
	// Asks says what must be true for the answer to serve.
	Asks string
	// Earliest sensible start: Ready; for answers that the attack could be led
	// round (parries, opposition, removal) not before it can no longer be re-aimed,
	// unless that is too late for the answer itself.
	Earliest quantity.Of[quantity.Seconds]
	// Latest start that still serves, over the draws in which the attack arrives
	// and some start serves (the zero value where there are none).
	Latest quantity.Of[quantity.Seconds]
	// Possible is the chance that some start serves at all, however early.
	Possible quantity.Of[quantity.Chance]
	// InTime is the chance that a start at Ready serves. A draw in which the attack
	// falls short counts for the answers that only defend; an answer that hits must
	// reach.
	InTime quantity.Of[quantity.Chance]
	// Spare is Latest less Ready, over the draws of Latest: negative where the
	// answer comes too late.
	Spare quantity.Of[quantity.Seconds]
}

// Of returns the window of one answer, and false for an answer not listed by
// Answers.
func (w Windows) Of(a Answer) (Window, bool) {
	for _, e := range w.Each {
		if e.Answer == a {
			return e, true
		}
	}
	return Window{}, false
}

package summary

import (
	"mesure/sport/mark"
	"mesure/study"
)

// Timing is what one instant of the touch tells, in printed parts. A part that the
// marks do not carry is nil, and Lacks says why. All times that are not "at" count
// from this instant.
type Timing struct {
	Take   string     `json:"take"`
	Frame  mark.Frame `json:"frame"`
	Moment string     `json:"moment,omitempty"`
	At     Number     `json:"at"`
	// Finding is the weightiest sentence of all parts; empty where there is none.
	Finding string `json:"finding,omitempty"`
	// Race from here.
	Race *Race `json:"race,omitempty"`
	// Attacker is whose attack the answers are answers to, and AttackerWhy how that is
	// known; where AttackerWhy is empty, nobody's.
	Attacker    mark.Side `json:"attacker"`
	AttackerWhy string    `json:"attacker_why,omitempty"`
	Windows     *Windows  `json:"windows,omitempty"`
	Parry       *Parry    `json:"parry,omitempty"`
	Map         *Map      `json:"map,omitempty"`
	// Bodies is what each fencer's body can do, the left one first.
	Bodies  []BodyNow `json:"bodies"`
	Started *Started  `json:"started,omitempty"`
	WhatIf  *WhatIf   `json:"what_if,omitempty"`
	// Notes, the weightiest first, dismissed ones too.
	Notes []Note `json:"notes"`
	Lacks []Lack `json:"lacks"`
}

// Windows is when each answer to the attack can still be started.
type Windows struct {
	Finding string `json:"finding"`
	// What the attack is taken to be, its gap, and the gap of the answer's point.
	Action       string      `json:"action"`
	Target       mark.Target `json:"target"`
	Gap          Number      `json:"gap"`
	AnswerTarget mark.Target `json:"answer_target,omitempty"`
	AnswerGap    Number      `json:"answer_gap"`
	// Arrives is the chance that the attack reaches a target that stays, Hit when.
	Arrives Number `json:"arrives"`
	Hit     Number `json:"hit"`
	// Seen is when the attack can first be seen, Gone how much of its time is over by
	// then, Left the time from there to the hit: the reading time.
	Seen Number `json:"seen"`
	Gone Number `json:"gone"`
	Left Number `json:"left"`
	// Reaction of the defender, Ready the first start that answers and does not guess,
	// ReAim until when the attack can be led elsewhere.
	Reaction Number   `json:"reaction"`
	Ready    Number   `json:"ready"`
	ReAim    Number   `json:"re_aim"`
	Answers  []Answer `json:"answers"`
	// Deciding is the answer nearest to even, and Matters on which inputs it hangs.
	Deciding string   `json:"deciding,omitempty"`
	Matters  []Matter `json:"matters"`
	Draws    int      `json:"draws"`
}

// Answer is the window of one answer.
type Answer struct {
	Name string `json:"name"`
	Word string `json:"word"`
	// Asks says what must be true for it to serve.
	Asks string `json:"asks"`
	// Earliest and Latest start, and Spare time between being ready and the latest
	// start: negative where the answer comes too late.
	Earliest Number `json:"earliest"`
	Latest   Number `json:"latest"`
	Spare    Number `json:"spare"`
	// InTime is the chance that a start when ready serves, Possible that any does.
	InTime   Number `json:"in_time"`
	Possible Number `json:"possible"`
	// State is "open", "doubtful" or "shut", by InTime: from three in four on open, up to
	// one in four shut.
	State string `json:"state"`
}

// Parry is what a parry has to do at this instant, and what an observed one did.
type Parry struct {
	Defender mark.Side   `json:"defender"`
	Zone     mark.Target `json:"zone"`
	Finding  string      `json:"finding"`
	// Threatens is the chance that the point's line meets the target with its margin,
	// Arrived that the point is in it, TooClose that the hand is so near that no turn
	// of the blade serves.
	Threatens  Number `json:"threatens"`
	Arrived    Number `json:"arrived"`
	TooClose   Number `json:"too_close"`
	HandToZone Number `json:"hand_to_zone"`
	// Smallest turn of the attacking blade that leads its line past the target.
	Smallest Number `json:"smallest"`
	// Best is the way that asks least of the defending blade; nil where nothing
	// threatens or no place has leverage.
	Best       *ParryWay   `json:"best,omitempty"`
	Opposition *Opposition `json:"opposition,omitempty"`
	Ceding     *Ceding     `json:"ceding,omitempty"`
	// AtHit is what is asked at the latest, with the point at the target; nil where it is
	// there already or the line leads past.
	AtHit *ParryAtHit `json:"at_hit,omitempty"`
	// Course is what is asked as the attack comes on, up to its hit.
	Course []ParryStep `json:"course"`
	// Kind is the answer that the least parry is, such as "parry-lateral", and Word the
	// same in words; Time how long it takes, by its size, and Usual the fencer's usual
	// one of that kind.
	Kind     string    `json:"kind,omitempty"`
	Word     string    `json:"word,omitempty"`
	Time     Number    `json:"time"`
	Usual    Number    `json:"usual"`
	Observed *Observed `json:"observed,omitempty"`
	Riposte  *Riposte  `json:"riposte,omitempty"`
}

// ParryAtHit is what a parry has to do with the point at the target.
type ParryAtHit struct {
	// Needed is the turn that an attack on its target asks for.
	Needed     Number    `json:"needed"`
	HandToZone Number    `json:"hand_to_zone"`
	Best       *ParryWay `json:"best,omitempty"`
}

// ParryStep is what is asked when the attack has come on by Closed; Path, Travel and
// Sweep are not known where no parry serves.
type ParryStep struct {
	Closed     Number `json:"closed"`
	HandToZone Number `json:"hand_to_zone"`
	Turn       Number `json:"turn"`
	Path       Number `json:"path"`
	Travel     Number `json:"travel"`
	Sweep      Number `json:"sweep"`
}

// ParryWay is one way to push the attacking blade out.
type ParryWay struct {
	// Hour is the direction of the push as on the face of a clock that the attacker
	// looks at, from 1 to 12.
	Hour int `json:"hour"`
	// Around says that the blade must first go around the other one.
	Around bool `json:"around,omitempty"`
	// Turn of the attacking blade.
	Turn Number `json:"turn"`
	// Path is the greatest travel of any point of the defending blade, Travel that of
	// the hand, Sweep the turn of the blade.
	Path   Number `json:"path"`
	Travel Number `json:"travel"`
	Sweep  Number `json:"sweep"`
	// Where the blades meet, from each hand, and who has the better of it: above 1 the
	// defender.
	OnAttacker   Number `json:"on_attacker"`
	OnDefender   Number `json:"on_defender"`
	AttackerPart string `json:"attacker_part"`
	DefenderPart string `json:"defender_part"`
	Leverage     Number `json:"leverage"`
}

// Opposition is what it takes to close the line and hit in it.
type Opposition struct {
	Path     Number `json:"path"`
	Travel   Number `json:"travel"`
	Sweep    Number `json:"sweep"`
	Leverage Number `json:"leverage"`
	Hold     Number `json:"hold"`
	ToGo     Number `json:"to_go"`
}

// Ceding is what yielding needs where the blades are in contact.
type Ceding struct {
	Needed   bool   `json:"needed"`
	Leverage Number `json:"leverage"`
	// Path and Sweep lead to a place with leverage; nil where none has it or none is
	// needed.
	Path  *Number `json:"path,omitempty"`
	Sweep *Number `json:"sweep,omitempty"`
}

// Observed is a parry that was seen, held against the one asked for.
type Observed struct {
	Action string   `json:"action,omitempty"`
	From   study.At `json:"from"`
	To     study.At `json:"to"`
	// Size is the likeliest of timing's sizes, Word the same in words, Chance how likely
	// it is, and Sizes how likely each of them.
	Size    string `json:"size"`
	Word    string `json:"word"`
	Chance  Number `json:"chance"`
	Sizes   []Fact `json:"sizes"`
	Finding string `json:"finding"`
	Reason  string `json:"reason"`
	// Made is the turn that was seen, Asked the smallest that would have served after
	// it, AskedBefore before it, and Clear by how much the line passes the target.
	Made        Number `json:"made"`
	Asked       Number `json:"asked"`
	AskedBefore Number `json:"asked_before"`
	Clear       Number `json:"clear"`
	Travel      Number `json:"travel"`
	Sweep       Number `json:"sweep"`
	// Touching is the chance that the blades are in contact after it.
	Touching     Number `json:"touching"`
	Leverage     Number `json:"leverage"`
	AttackerPart string `json:"attacker_part"`
	DefenderPart string `json:"defender_part"`
	// HandPath is the way of the hand through the followed frames, RiposteAfter the
	// time until the riposte starts.
	HandPath     *Number `json:"hand_path,omitempty"`
	RiposteAfter *Number `json:"riposte_after,omitempty"`
}

// Riposte is the race of the riposte against the remise, each way.
type Riposte struct {
	Finding string      `json:"finding"`
	Target  mark.Target `json:"target,omitempty"`
	// Seen says that it is raced from the end of the parry that was seen, and not from
	// where the attack would have it.
	Seen bool         `json:"seen,omitempty"`
	Ways []RiposteWay `json:"ways"`
}

// RiposteWay is one way to riposte. Times count from the end of the parry.
type RiposteWay struct {
	// Name is "direct", "along-the-blade" or "indirect".
	Name string `json:"name"`
	Word string `json:"word"`
	// Hit and Remise are when either point arrives, Arrives and RemiseArrives the
	// chances that they do.
	Hit           Number `json:"hit"`
	Remise        Number `json:"remise"`
	Arrives       Number `json:"arrives"`
	RemiseArrives Number `json:"remise_arrives"`
	RiposteOnly   Number `json:"riposte_only"`
	RemiseOnly    Number `json:"remise_only"`
	Both          Number `json:"both"`
	Neither       Number `json:"neither"`
	// Delay is the longest hold with which the riposte still lights alone, at even
	// chance.
	Delay Number `json:"delay"`
}

// Map is the distance map and the way of the touch through it.
type Map struct {
	Finding  string      `json:"finding"`
	Attacker mark.Side   `json:"attacker"`
	Target   mark.Target `json:"target"`
	Stops    []Stop      `json:"stops"`
	// Here is which of Stops this instant is; −1 where none.
	Here int `json:"here"`
}

// Stop is an instant of the touch on the map.
type Stop struct {
	Name string `json:"name"`
	At   Number `json:"at"`
	Gap  Number `json:"gap"`
	// Lead is by how much the attacker is ahead.
	Lead Number `json:"lead"`
	Zone string `json:"zone"`
	Word string `json:"word"`
	// What an extension against the attack lights, and the chance that the attack
	// outruns a parry.
	AttackerOnly Number `json:"attacker_only"`
	DefenderOnly Number `json:"defender_only"`
	Both         Number `json:"both"`
	Neither      Number `json:"neither"`
	Outruns      Number `json:"outruns"`
	// Outside says that the stop lies beyond the edge of the map.
	Outside bool `json:"outside,omitempty"`
}

// WhatIf is what a change would do, from the same draws.
type WhatIf struct {
	Change  study.Change `json:"change"`
	Finding string       `json:"finding"`
	Refused string       `json:"refused,omitempty"`
	Race    *Race        `json:"race,omitempty"`
	Windows *Windows     `json:"windows,omitempty"`
	// Differences are the numbers of race and windows, before and after.
	Differences []Difference `json:"differences"`
}

// Difference is one number as it is and as it would be.
type Difference struct {
	// Name is the field of the race ("left_only", …, "margin") or the answer.
	Name string `json:"name"`
	Word string `json:"word"`
	Was  Number `json:"was"`
	Then Number `json:"then"`
	// By is Then less Was, of the means. The same draws serve both, so that it is the
	// change and not luck; it has no doubt of its own.
	By Number `json:"by"`
}

// Note is one observation of the technique.
type Note struct {
	ID        string     `json:"id"`
	Kind      string     `json:"kind"`
	Who       mark.Side  `json:"who"`
	Text      string     `json:"text"`
	Reference string     `json:"reference"`
	Take      string     `json:"take"`
	Frame     mark.Frame `json:"frame"`
	Dismissed bool       `json:"dismissed,omitempty"`
}

// Lack says why a part is missing, and what would mend it.
type Lack struct {
	Part string `json:"part"`
	// Who is "left", "right" or "both".
	Who  string `json:"who"`
	Why  string `json:"why"`
	Mend string `json:"mend"`
}

package bundle

// spreadFile is a number with its doubt. The unit stands in the name of the field that
// has it.
type spreadFile struct {
	Mean float64 `json:"mean" say:"The number."`
	SD   float64 `json:"sd" min:"0" say:"Its standard deviation."`
	Lo   float64 `json:"lo95" say:"Lower end of its 95 % interval."`
	Hi   float64 `json:"hi95" say:"Upper end of its 95 % interval."`
}

type timingFile struct {
	Take     string       `json:"take" match:"line" say:"The take; empty where no instant was found."`
	Frame    int          `json:"frame" min:"0" say:"The frame."`
	Moment   string       `json:"moment" match:"line" say:"The moment whose by_frame this is; empty where there is none."`
	At       *spreadFile  `json:"at_s" say:"The instant on the clock of the bout, in seconds. All times without at in their name count from it."`
	Attacker string       `json:"attacker" one:"left|right|" say:"Whose attack the answers are answers to; empty where nobody's is known."`
	Why      string       `json:"attacker_why" match:"text" say:"How that is known."`
	Race     *raceFile    `json:"race" say:"Whose point would arrive first from here."`
	Windows  *windowsFile `json:"windows" say:"When each answer can still be started."`
	Parry    *parryFile   `json:"parry" say:"What a parry has to do here, and what an observed one did."`
	Map      *mapFile     `json:"map" say:"The distance map; null also where it was not asked for."`
	Left     *stanceFile  `json:"left" say:"What the body of the fencer on the left can do."`
	Right    *stanceFile  `json:"right" say:"What the body of the fencer on the right can do."`
	Started  *startedFile `json:"started" say:"Who started what, when."`
	WhatIf   *whatIfFile  `json:"what_if" say:"What a change would do; null where none was asked for."`
	Notes    []noteFile   `json:"notes" say:"Observations of the technique, the weightiest first."`
	Lacks    []lackFile   `json:"lacks" say:"Which parts are missing or incomplete, and what would mend it."`
}

type windowsFile struct {
	Action       string       `json:"action" match:"line" say:"The movement of the attack."`
	Target       string       `json:"target" match:"line" say:"Where it goes."`
	AnswerTarget string       `json:"answer_target" match:"line" say:"Where the defender's point would go."`
	Gap          *spreadFile  `json:"gap_m" say:"From the attacker's point to its target, in metres."`
	AnswerGap    *spreadFile  `json:"answer_gap_m" say:"From the defender's point to its target."`
	Arrives      *spreadFile  `json:"arrives" say:"Chance that the attack reaches a target that stays."`
	Hit          *spreadFile  `json:"hit_ms" say:"When it does, in milliseconds."`
	Seen         *spreadFile  `json:"seen_ms" say:"When the attack can first be seen."`
	Gone         *spreadFile  `json:"gone" say:"Share of the attack's time that is over by then."`
	Left         *spreadFile  `json:"left_ms" say:"Time from there to the hit."`
	Reaction     *spreadFile  `json:"reaction_ms" say:"Reaction of the defender."`
	Ready        *spreadFile  `json:"ready_ms" say:"The first start that answers the attack and does not guess."`
	ReAim        *spreadFile  `json:"re_aim_ms" say:"Until when the attack can still be aimed elsewhere."`
	Answers      []answerFile `json:"answers" say:"The answers."`
	Deciding     string       `json:"deciding" match:"line" say:"The answer that is nearest to even; empty where each is clearly open or shut."`
	Matters      []matterOf   `json:"matters" say:"The uncertainties that decide it, by their share, the greatest first."`
	TravelStep   float64      `json:"travel_step_ms" above:"0" say:"Spacing of travel_m."`
	Travel       []float64    `json:"travel_m" say:"Predicted travel of the attacker's point from the instant, in metres, at the mean of every input."`
	Draws        int          `json:"draws" min:"0" say:"How many draws there were."`
	Finding      string       `json:"finding" match:"text" say:"All of it in one sentence."`
}

type answerFile struct {
	Name     string      `json:"name" match:"line" say:"The answer."`
	Asks     string      `json:"asks" match:"text" say:"What must be true for it to serve."`
	Earliest *spreadFile `json:"earliest_ms" say:"Earliest sensible start, in milliseconds."`
	Latest   *spreadFile `json:"latest_ms" say:"Latest start that still serves, over the draws in which some start does; null where none does."`
	Spare    *spreadFile `json:"spare_ms" say:"Latest start less ready; negative where the answer comes too late."`
	InTime   *spreadFile `json:"in_time" say:"Chance that a start when ready serves."`
	Possible *spreadFile `json:"possible" say:"Chance that some start serves, however early."`
}

type mapFile struct {
	Attacker     string      `json:"attacker" one:"left|right" say:"The attacker."`
	Target       string      `json:"target" match:"line" say:"Where the attack goes."`
	Ahead        float64     `json:"ahead_m" say:"By how much the defender's gap is greater than the attacker's, in metres, everywhere on the map."`
	GapFrom      float64     `json:"gap_from_m" say:"The least gap, in metres."`
	GapTo        float64     `json:"gap_to_m" say:"The greatest."`
	Gaps         int         `json:"gaps" min:"0" say:"How many there are, evenly spaced, ends included."`
	LeadFrom     float64     `json:"lead_from_ms" say:"The least lead of the attacker, in milliseconds."`
	LeadTo       float64     `json:"lead_to_ms" say:"The greatest."`
	Leads        int         `json:"leads" min:"0" say:"How many there are. The cell of gap i and lead j, counted from 0, is at i·leads + j in the lists."`
	Short        *spreadFile `json:"short_m" say:"The greatest gap that the attacker's extension closes, in metres; null where it is not known."`
	Medium       *spreadFile `json:"medium_m" say:"The same of the lunge."`
	Long         *spreadFile `json:"long_m" say:"The same of step and lunge."`
	AttackerOnly []float64   `json:"attacker_only" min:"0" max:"1" say:"Chance that only the attack lights, where the defender extends. With n draws its standard deviation is √(p(1−p)/n), and so for the others."`
	DefenderOnly []float64   `json:"defender_only" min:"0" max:"1" say:"Chance that only the extension lights."`
	Both         []float64   `json:"both" min:"0" max:"1" say:"Chance of a double."`
	Neither      []float64   `json:"neither" min:"0" max:"1" say:"Chance that no lamp lights."`
	Outruns      []float64   `json:"outruns" min:"0" max:"1" say:"Chance that the attack hits before a lateral parry, started instead, is there."`
	Zones        []string    `json:"zones" match:"line" say:"What places of this map mean for the defender."`
	Zone         []int       `json:"zone" min:"0" say:"Which of zones each cell is, counted from 0."`
	Stops        []stopFile  `json:"stops" say:"The way of the touch through the map."`
	Here         *int        `json:"here" min:"0" say:"Which of stops this instant is, counted from 0; null where it is none."`
	Draws        int         `json:"draws" min:"0" say:"How many draws there were."`
	Finding      string      `json:"finding" match:"text" say:"What it says in one sentence."`
}

type stopFile struct {
	Name         string      `json:"name" match:"line" say:"The moment."`
	At           *spreadFile `json:"at_s" say:"When, on the clock of the bout, in seconds."`
	Gap          *spreadFile `json:"gap_m" say:"From the attacker's point to its target, in metres."`
	Lead         *spreadFile `json:"lead_ms" say:"By how much the attacker is ahead, in milliseconds."`
	Zone         string      `json:"zone" match:"line" say:"What this place means for the defender."`
	AttackerOnly float64     `json:"attacker_only" say:"Chance that only the attack lights, by straight lines between the cells."`
	DefenderOnly float64     `json:"defender_only" say:"Chance that only the extension lights."`
	Both         float64     `json:"both" say:"Chance of a double."`
	Neither      float64     `json:"neither" say:"Chance that no lamp lights."`
	Outruns      float64     `json:"outruns" say:"Chance that the attack outruns a parry."`
	Inside       bool        `json:"inside" say:"False beyond the edge of the map, where the nearest edge is told."`
}

type whatIfFile struct {
	Change  changeFile   `json:"change" say:"The change."`
	Race    *raceFile    `json:"race" say:"The race with it, from the same draws; null where there is none."`
	Windows *windowsFile `json:"windows" say:"The windows with it."`
	Refused string       `json:"refused" match:"text" say:"Why a part of the change makes no sense here; else empty."`
	Finding string       `json:"finding" match:"text" say:"What it does in one sentence."`
}

type changeFile struct {
	Who     string  `json:"who" one:"left|right" say:"The fencer of whom earlier, longer and target speak."`
	Closer  float64 `json:"closer_m" say:"By how much both gaps are smaller, in metres."`
	Earlier float64 `json:"earlier_s" say:"By how much that fencer starts earlier, in seconds."`
	Longer  float64 `json:"longer_m" say:"By how much that fencer's arm reaches further, in metres."`
	Target  string  `json:"target" match:"line" say:"Another target; empty where it stays."`
}

type noteFile struct {
	ID        string  `json:"id" match:"line" say:"Name of the note, the same for equal inputs."`
	Kind      string  `json:"kind" match:"line" say:"What kind of observation."`
	Who       string  `json:"who" one:"left|right" say:"The fencer."`
	Text      string  `json:"text" match:"text" say:"The observation, with number and doubt."`
	Reference string  `json:"reference" match:"text" say:"What it is held against, and the source."`
	Take      string  `json:"take" match:"line" say:"The take."`
	Frame     int     `json:"frame" min:"0" say:"The frame."`
	Weight    float64 `json:"weight" min:"0" max:"1" say:"How sure and how large."`
	Dismissed bool    `json:"dismissed" say:"True where the coach set it aside."`
}

type lackFile struct {
	Part string `json:"part" match:"line" say:"The part: race, windows, parry, map, commit, started or what-if of the timing; bout, thread, habit or payoff of the tactics."`
	Who  string `json:"who" one:"left|right|both" say:"Whose marks are missing."`
	Why  string `json:"why" match:"text" say:"Why it is missing."`
	Mend string `json:"mend" match:"text" say:"What would mend it."`
}

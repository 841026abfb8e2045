package bundle

type parryFile struct {
	Defender string        `json:"defender" one:"left|right" say:"The fencer who parries."`
	Zone     string        `json:"zone" match:"line" say:"The target that is attacked."`
	Asked    askedFile     `json:"asked" say:"What a parry has to do at this instant."`
	AtHit    *askedFile    `json:"at_hit" say:"What it has to do at the latest, with the point at the target; null where it is there already or the line leads past."`
	Course   []courseFile  `json:"course" say:"What is asked as the attack comes on, from this instant to its hit."`
	Kind     string        `json:"kind" match:"line" say:"The answer that the least parry is; empty where it is not known."`
	Time     *spreadFile   `json:"time_ms" say:"How long a parry of this size takes, in milliseconds."`
	Usual    *spreadFile   `json:"usual_ms" say:"How long the fencer's usual one of that kind takes."`
	Observed *observedFile `json:"observed" say:"The parry that was seen; null where none can be measured."`
	Riposte  *riposteFile  `json:"riposte" say:"The race after it; null where the gaps do not allow one."`
	Finding  string        `json:"finding" match:"text" say:"All of it in one sentence."`
}

type askedFile struct {
	Threatens  *spreadFile     `json:"threatens" say:"Chance that the line of the attacking blade meets the target with its margin."`
	Arrived    *spreadFile     `json:"arrived" say:"Chance that the point is in it already."`
	TooClose   *spreadFile     `json:"too_close" say:"Chance that the hand is so near that no turn of the blade serves."`
	HandToZone *spreadFile     `json:"hand_to_zone_m" say:"From the attacker's hand to the target, in metres."`
	Smallest   *spreadFile     `json:"smallest_rad" say:"The smallest turn of the attacking blade with which its line misses, in radians; 0 in the draws in which it misses already."`
	Needed     *spreadFile     `json:"needed_rad" say:"The same over the draws in which it threatens: what an attack on its target asks for; null where none does."`
	Ways       []wayFile       `json:"ways" say:"The ways to push the attacking blade out, at the means: the smallest turn first, then all round."`
	Best       *bestFile       `json:"best" say:"The way that asks least of the defending blade; null where nothing threatens or no place has leverage."`
	Kinds      []kindFile      `json:"kinds" say:"The smallest lateral, semicircular and circular parry."`
	Opposition *oppositionFile `json:"opposition" say:"What it takes to close the line and hit in it; null where that was not asked."`
	Ceding     *cedingFile     `json:"ceding" say:"What yielding needs; null where the blades are not in contact."`
}

type kindFile struct {
	Kind   string      `json:"kind" match:"line" say:"The answer that it is."`
	Path   *spreadFile `json:"path_m" say:"Greatest travel of any point of the defending blade, in metres; null where this kind does not serve."`
	Travel *spreadFile `json:"travel_m" say:"Travel of the hand in it."`
}

type courseFile struct {
	Closed     *spreadFile `json:"closed_m" say:"By how much the attack has come on, in metres."`
	HandToZone *spreadFile `json:"hand_to_zone_m" say:"From the attacker's hand to the target then."`
	Turn       *spreadFile `json:"turn_rad" say:"The smallest turn of the attacking blade with which an attack on its target misses it, in radians."`
	Path       *spreadFile `json:"path_m" say:"Greatest travel of any point of the defending blade in the least parry; null where none serves."`
	Travel     *spreadFile `json:"travel_m" say:"Travel of the hand in it."`
	Sweep      *spreadFile `json:"sweep_rad" say:"Turn of the defending blade in it."`
}

type wayFile struct {
	Clock    float64  `json:"clock_rad" min:"0" say:"Direction of the push as the attacker sees it, from upward clockwise, in radians."`
	Turn     float64  `json:"turn_rad" min:"0" say:"The turn of the attacking blade."`
	Around   bool     `json:"around" say:"True where the defending blade must first go around the other one."`
	Path     *float64 `json:"path_m" min:"0" say:"Greatest travel of any point of the defending blade, in metres; null where no place has leverage."`
	Leverage *float64 `json:"leverage" min:"0" say:"Who has the better of it: above 1 the defender."`
}

type bestFile struct {
	Clock        float64     `json:"clock_rad" min:"0" say:"Direction of the push, as in ways."`
	Around       bool        `json:"around" say:"True where the defending blade must first go around the other one."`
	Turn         *spreadFile `json:"turn_rad" say:"The turn of the attacking blade."`
	Path         *spreadFile `json:"path_m" say:"Greatest travel of any point of the defending blade, in metres."`
	Travel       *spreadFile `json:"travel_m" say:"Travel of the hand in it."`
	Sweep        *spreadFile `json:"sweep_rad" say:"Turn of the defending blade in it."`
	Leverage     *spreadFile `json:"leverage" say:"Who has the better of it: above 1 the defender."`
	OnAttacker   *float64    `json:"on_attacker_m" say:"Where the blades meet, from the attacker's hand."`
	OnDefender   *float64    `json:"on_defender_m" say:"The same from the defender's hand."`
	AttackerPart string      `json:"attacker_part" match:"line" say:"The part of the attacking blade: forte, medium or foible."`
	DefenderPart string      `json:"defender_part" match:"line" say:"The part of the defending blade."`
}

type oppositionFile struct {
	Path     *spreadFile `json:"path_m" say:"Greatest travel of hand and point, in metres."`
	Travel   *spreadFile `json:"travel_m" say:"Travel of the hand."`
	Sweep    *spreadFile `json:"sweep_rad" say:"Turn of the blade."`
	Leverage *spreadFile `json:"leverage" say:"Above 1 the defender has the better of it."`
	Hold     *spreadFile `json:"hold" say:"Share of the press that pushes the attacking blade out."`
	ToGo     *spreadFile `json:"to_go_m" say:"How far the point then is from its aim; negative where it would have arrived."`
}

type cedingFile struct {
	Needed   bool        `json:"needed" say:"True where the attacker has the leverage."`
	Leverage *spreadFile `json:"leverage" say:"Above 1 the defender has the better of it."`
	Path     *float64    `json:"path_m" min:"0" say:"The smallest travel to a place with leverage; null where none is needed or none has it."`
	Sweep    *float64    `json:"sweep_rad" min:"0" say:"Turn of the blade in it."`
}

type observedFile struct {
	Action       string      `json:"action" match:"line" say:"The action on the stave; empty where moments set it."`
	From         frameFile   `json:"from" say:"Before it."`
	To           frameFile   `json:"to" say:"At its end."`
	Size         string      `json:"size" one:"nothing-asked|too-small|enough|larger-than-needed|" say:"The most likely size against what the distance asked for."`
	Nothing      *spreadFile `json:"nothing_asked" say:"Chance that the line missed the target before."`
	Small        *spreadFile `json:"too_small" say:"Chance that it was too small."`
	Enough       *spreadFile `json:"enough" say:"Chance that it was enough."`
	Large        *spreadFile `json:"larger_than_needed" say:"Chance that it was larger than needed."`
	Made         *spreadFile `json:"made_rad" say:"The turn of the attacking blade that was seen, in radians."`
	Asked        *spreadFile `json:"asked_rad" say:"The smallest that would have served, from where the attacker's hand is after it."`
	AskedBefore  *spreadFile `json:"asked_before_rad" say:"The same from where it was before."`
	Clear        *spreadFile `json:"clear_m" say:"By how much the line passes the target after it, in metres; negative where it meets it."`
	Travel       *spreadFile `json:"travel_m" say:"How far the defender's hand went, straight."`
	Sweep        *spreadFile `json:"sweep_rad" say:"How far the defending blade turned."`
	Touching     *spreadFile `json:"touching" say:"Chance that the blades are in contact after it."`
	Leverage     *spreadFile `json:"leverage" say:"Above 1 the defender has the better of it, where they are nearest."`
	AttackerPart string      `json:"attacker_part" match:"line" say:"The part of the attacking blade there."`
	DefenderPart string      `json:"defender_part" match:"line" say:"The part of the defending blade."`
	HandPath     *spreadFile `json:"hand_path_m" say:"Way of the hand through the followed frames; null where it was not followed."`
	After        *spreadFile `json:"riposte_after_ms" say:"Time until the riposte starts, in milliseconds; null where none was seen."`
	Reason       string      `json:"reason" match:"text" say:"Why."`
	Finding      string      `json:"finding" match:"text" say:"The verdict in one sentence."`
}

type frameFile struct {
	Take  string `json:"take" match:"line" say:"The take."`
	Frame int    `json:"frame" min:"0" say:"The frame."`
}

type riposteFile struct {
	Target  string       `json:"target" match:"line" say:"Where the riposte goes."`
	Seen    bool         `json:"seen" say:"True where it is raced from the end of the parry that was seen, not from where the attack would have it."`
	Ways    []riposteWay `json:"ways" say:"Direct, along the blade, and indirect with a disengage."`
	Finding string       `json:"finding" match:"text" say:"All of it in one sentence."`
}

type riposteWay struct {
	Name          string      `json:"name" one:"direct|along-the-blade|indirect" say:"The way."`
	Hit           *spreadFile `json:"hit_ms" say:"From the end of the parry to the hit of the riposte, in milliseconds; null where it never arrives."`
	Remise        *spreadFile `json:"remise_ms" say:"The same of the remise."`
	Arrives       *spreadFile `json:"arrives" say:"Chance that the riposte arrives."`
	RemiseArrives *spreadFile `json:"remise_arrives" say:"Chance that the remise does."`
	RiposteOnly   *spreadFile `json:"riposte_only" say:"Chance that only the riposte lights."`
	RemiseOnly    *spreadFile `json:"remise_only" say:"Chance that only the remise does."`
	Both          *spreadFile `json:"both" say:"Chance of a double."`
	Neither       *spreadFile `json:"neither" say:"Chance that no lamp lights."`
	Delay         *spreadFile `json:"delay_ms" say:"The longest hold with which the riposte still lights alone; negative where none does."`
}

type stanceFile struct {
	Base     *spreadFile `json:"base_m" say:"Distance between the feet, in metres."`
	OverBase *spreadFile `json:"over_base" say:"Where the hip stands over them: 0 over the rear foot, 1 over the front one."`
	Speed    *spreadFile `json:"speed_m_s" say:"Speed of the hip towards the opponent, in metres a second."`
	Flight   float64     `json:"flight" min:"0" max:"1" say:"Chance that both feet are in the air."`
	Front    footFile    `json:"front" say:"The front foot."`
	Rear     footFile    `json:"rear" say:"The rear foot."`
	Can      []canDoFile `json:"can" say:"What can be done."`
	Finding  string      `json:"finding" match:"text" say:"All of it in one sentence."`
}

type footFile struct {
	OnFloor float64     `json:"on_floor" min:"0" max:"1" say:"Chance that it is on the floor."`
	Lands   *spreadFile `json:"lands_ms" say:"When it will be, in milliseconds; null where it stands or that was not seen."`
}

type canDoFile struct {
	Do     string      `json:"do" match:"line" say:"What: extend, lunge, step-forward, step-back, turn-back or turn-forward."`
	Now    float64     `json:"now" min:"0" max:"1" say:"Chance that it can start now."`
	Next   *spreadFile `json:"next_ms" say:"When it can start, in milliseconds; null where that cannot be told."`
	Bar    string      `json:"bar" match:"line" say:"What most likely stands in the way; empty where nothing does."`
	Reason string      `json:"reason" match:"text" say:"The same in words."`
}

type startedFile struct {
	Starts     []startFile `json:"starts" say:"The starts, the earliest first."`
	Likelihood *spreadFile `json:"likelihood" say:"Chance of exactly this order."`
	LeftFirst  *spreadFile `json:"left_first" say:"Chance that the first start of all is the left fencer's."`
	RightFirst *spreadFile `json:"right_first" say:"Chance that it is the right fencer's."`
	Lags       []lagFile   `json:"lags" say:"By how much the front foot started after the hand."`
	Launch     *launchFile `json:"launch" say:"The start of the attack, in the opponent's step; null where it was not seen."`
	Tempo      []tempoFile `json:"tempo" say:"The length of one simple extension, in which the phrase is counted."`
	Finding    string      `json:"finding" match:"text" say:"All of it in one sentence."`
}

type startFile struct {
	Who      string      `json:"who" one:"left|right" say:"The fencer."`
	Part     string      `json:"part" match:"line" say:"What started."`
	Kind     string      `json:"kind" match:"line" say:"starts, lifts or lands."`
	Moment   string      `json:"moment" match:"line" say:"The moment of the coach's that says so; else empty."`
	Proposal string      `json:"proposal" match:"line" say:"The proposal of the movement that says so; else empty."`
	Take     string      `json:"take" match:"line" say:"The take."`
	By       int         `json:"by_frame" min:"0" say:"First frame on which it had started."`
	At       *spreadFile `json:"at_s" say:"When, on the clock of the bout, in seconds."`
	First    *spreadFile `json:"first" say:"Chance that it is the first of all."`
	Before   []float64   `json:"before" min:"0" max:"1" say:"Chance that it came before each of the starts, in their order; 0 for itself."`
}

type lagFile struct {
	Who       string      `json:"who" one:"left|right" say:"The fencer."`
	Time      *spreadFile `json:"time_ms" say:"Foot less hand, in milliseconds; negative where the foot led."`
	HandFirst float64     `json:"hand_first" min:"0" max:"1" say:"Chance that the hand led."`
	FootLeads float64     `json:"foot_leads" min:"0" max:"1" say:"Chance that the foot led by more than is usual."`
	Reason    string      `json:"reason" match:"text" say:"The same in words."`
}

type launchFile struct {
	Who      string      `json:"who" one:"left|right" say:"The attacker."`
	At       *spreadFile `json:"at_s" say:"When, on the clock of the bout, in seconds."`
	Take     string      `json:"take" match:"line" say:"The take."`
	By       int         `json:"by_frame" min:"0" say:"First frame on which it had started."`
	Into     string      `json:"into" match:"line" say:"The move of the opponent; empty where it was not followed."`
	Chance   float64     `json:"chance" min:"0" max:"1" say:"How likely that is."`
	Opponent *spreadFile `json:"opponent_m_s" say:"How fast the opponent came, in metres a second; negative where they went back, null where that was not followed."`
	Tempi    *spreadFile `json:"tempi" say:"Time to the hit in the attacker's own simple extensions; null where it is not known."`
	Finding  string      `json:"finding" match:"text" say:"All of it in one sentence."`
}

type tempoFile struct {
	Who  string      `json:"who" one:"left|right" say:"The fencer."`
	Time *spreadFile `json:"time_ms" say:"The time, in milliseconds."`
}

type profilesFile struct {
	Left  profileFile `json:"left" say:"The fencer on the left."`
	Right profileFile `json:"right" say:"The fencer on the right."`
}

type profileFile struct {
	Figures []figureFile `json:"figures" say:"Reach and times."`
	Fits    []fitFile    `json:"fits" say:"Movements fitted to what was followed."`
}

type figureFile struct {
	Name        string      `json:"name" match:"line" say:"The figure."`
	Metres      *spreadFile `json:"value_m" say:"Its value in metres; null where it is a time."`
	Seconds     *spreadFile `json:"value_s" say:"Its value in seconds; null where it is a length."`
	From        string      `json:"from" one:"default|stated|fitted" say:"Where it comes from."`
	Source      string      `json:"source" match:"text" say:"On what it rests."`
	PriorMetres *spreadFile `json:"prior_m" say:"What it was before the movement was fitted; null where nothing was."`
	PriorSecs   *spreadFile `json:"prior_s" say:"The same of a time."`
}

type fitFile struct {
	Action   string       `json:"action" match:"line" say:"The movement."`
	Touch    string       `json:"touch" match:"line" say:"Another touch of the fencer; empty for this one."`
	Take     string       `json:"take" match:"line" say:"The take."`
	From     int          `json:"from_frame" min:"0" say:"First frame."`
	To       int          `json:"to_frame" min:"0" say:"Last frame."`
	Onset    *spreadFile  `json:"onset_s" say:"When it began, on the clock of the take, in seconds."`
	RMS      float64      `json:"rms_m" min:"0" say:"Root mean square of the residuals, in metres."`
	SeenArm  float64      `json:"seen_arm" min:"0" say:"Share of the travel of the arm that was followed from rest; 0 where it was not."`
	SeenBody float64      `json:"seen_body" min:"0" say:"The same of the body."`
	Unlike   float64      `json:"unlike" min:"0" say:"How many of its standard deviations the number that is least like the prior lies from it."`
	Widened  float64      `json:"widened" min:"0" say:"By how much the errors of the followed places had to be taken as larger than stated."`
	Uses     []string     `json:"uses" match:"line" say:"The figures that it informs."`
	Unused   string       `json:"unused" match:"text" say:"Why it informs none; else empty."`
	At       []float64    `json:"at_s" say:"Seconds from the onset. The two lists after it have an entry for each."`
	Travel   []float64    `json:"travel_m" say:"Travel of the point that was followed, in metres."`
	SD       []float64    `json:"travel_sd_m" min:"0" say:"Its standard deviation."`
	CurveAt  []float64    `json:"curve_at_s" say:"Seconds from the onset of curve_m."`
	Curve    []float64    `json:"curve_m" say:"Travel of the fitted movement."`
	Fitted   movementFile `json:"fitted" say:"The fitted movement."`
	Prior    movementFile `json:"prior" say:"What it was taken to be before."`
}

type movementFile struct {
	Arm      *spreadFile `json:"arm_m" say:"Travel of the arm, in metres."`
	ArmTime  *spreadFile `json:"arm_time_s" say:"Its time, in seconds."`
	Body     *spreadFile `json:"body_m" say:"Travel of the body."`
	BodyTime *spreadFile `json:"body_time_s" say:"Its time."`
	Delay    *spreadFile `json:"delay_s" say:"How much later than the arm the body starts."`
}

package timing

import "mesure/quantity"

// Arm. Bent to straight, from the guard to full extension.
const (
	// ArmTravel is how far the point goes when the arm straightens (common
	// practice, no source: about 0.45 m).
	ArmTravel = quantity.Metres(0.45)
	// ArmTravelSD is our spread of ArmTravel between fencers and guards (no
	// source).
	ArmTravelSD = quantity.Metres(0.05)
	// ArmTime is the time of the extension alone (common practice, no source:
	// 180 to 320 ms).
	ArmTime = quantity.Seconds(0.230)
	// ArmTimeSD is the spread of ArmTime (common practice, no source).
	ArmTimeSD = quantity.Seconds(0.040)
)

// Lunge.
const (
	// LungeFootElite is the travel of the front foot of elite foilists, n = 8:
	// 1.17 ± 0.17 m (stereophotogrammetry of the lunge, abstract).
	LungeFootElite = quantity.Metres(1.17)
	// LungeFootEliteSD is the spread of LungeFootElite (same source).
	LungeFootEliteSD = quantity.Metres(0.17)
	// LungeFootClub is the travel of the front foot of novices: 1.02 ± 0.10 m
	// (same source).
	LungeFootClub = quantity.Metres(1.02)
	// LungeFootClubSD is the spread of LungeFootClub (same source).
	LungeFootClubSD = quantity.Metres(0.10)
	// BodyPerFoot is how far the lunge carries the shoulder, as a share of the
	// travel of the front foot. Derived: a lunge that reaches 1.5 m with 0.45 m
	// of arm carries the shoulder 1.05 m while the foot goes 1.17 m.
	BodyPerFoot = quantity.Ratio(0.9)
	// LungeTime is the time from the start of the lunge to the hit. Derived:
	// light to hit 930 ms (Wang, Front. Bioeng. Biotechnol. 2024, 13 women) less
	// 200 to 280 ms of reaction.
	LungeTime = quantity.Seconds(0.650)
	// LungeTimeSD is the spread of LungeTime (derived likewise: 500 to 750 ms).
	LungeTimeSD = quantity.Seconds(0.080)
	// LungeDelay is how much later than the arm the body starts. Common practice,
	// no source: the hand goes before the foot; measurements disagree by how much.
	LungeDelay = quantity.Seconds(0.050)
	// LungeDelaySD is our spread of LungeDelay (no source).
	LungeDelaySD = quantity.Seconds(0.040)
	// HitShare is the share of the body's travel that is done when a lunge of the
	// usual length hits: the hit lands before the movement is over (common
	// practice, no source). With it the body takes (0.650 − 0.050)/0.753 s for the
	// whole lunge, and its peak speed of 2.5 m/s agrees with the 1.94 and 2.21 m/s
	// measured at the centre of gravity of two épéeists (Rutkowska-Kucharska, Pol.
	// J. Sport Tourism 23:181, 2016).
	HitShare = quantity.Ratio(0.9)
	// HitTau is the share of the time at which MinimumJerk is HitShare (derived).
	HitTau = quantity.Ratio(0.75336)
)

// Step and lunge.
const (
	// StepReach is what a step adds to the reach of the lunge. Derived: reach of
	// elite fencers 2.99 m with the step and 2.23 m without (Turner and Marshall,
	// Human Kinetics).
	StepReach = quantity.Metres(0.77)
	// StepReachSD is our spread of StepReach (no source; juniors of the same
	// study added 1.09 m).
	StepReachSD = quantity.Metres(0.15)
	// StepLungeMen is the time from the light to the hit: 940 ± 80 ms (15 Korean
	// national foilists, IJERPH 20:17, 2023).
	StepLungeMen = quantity.Seconds(0.940)
	// StepLungeMenSD is the spread of StepLungeMen (same source).
	StepLungeMenSD = quantity.Seconds(0.080)
	// StepLungeWomen is the same for women: 1030 ± 50 ms (same source).
	StepLungeWomen = quantity.Seconds(1.030)
	// StepLungeWomenSD is the spread of StepLungeWomen (same source).
	StepLungeWomenSD = quantity.Seconds(0.050)
	// StepLungeDelaySD is our spread of the instant at which the arm starts, which
	// goes with the body here (no source).
	StepLungeDelaySD = quantity.Seconds(0.050)
)

// Flèche.
const (
	// FlecheBody is how far a flèche carries the shoulder towards the opponent
	// (common practice, no source).
	FlecheBody = quantity.Metres(1.50)
	// FlecheBodySD is our spread of FlecheBody (no source).
	FlecheBodySD = quantity.Metres(0.20)
	// FlecheSpeed is the peak speed of the centre of gravity: 2.64 and 2.89 m/s,
	// n = 2 épéeists (Rutkowska-Kucharska 2016). The time of the body follows:
	// 1.875·travel/speed.
	FlecheSpeed = quantity.MetresPerSecond(2.77)
	// FlecheTimeSD is our spread of that time (no source).
	FlecheTimeSD = quantity.Seconds(0.120)
)

// Retreat.
const (
	// RetreatStep is how far one step back carries the body (common practice, no
	// source: 0.2 to 0.6 m).
	RetreatStep = quantity.Metres(0.40)
	// RetreatStepSD is the spread of RetreatStep (common practice, no source).
	RetreatStepSD = quantity.Metres(0.10)
	// RetreatTime is the time of one step back (common practice, no source: 250 to
	// 500 ms).
	RetreatTime = quantity.Seconds(0.350)
	// RetreatTimeSD is the spread of RetreatTime (common practice, no source).
	RetreatTimeSD = quantity.Seconds(0.060)
)

// Reaction.
const (
	// VisualReaction is the simple reaction time of a trained fencer to something
	// seen (recalled, not verified: 160 to 260 ms; the general public needs 250).
	VisualReaction = quantity.Seconds(0.200)
	// VisualReactionSD is the spread of VisualReaction (recalled, not verified).
	VisualReactionSD = quantity.Seconds(0.025)
	// TactileReaction is the same to contact of the blades (150 ms in the general
	// public, popular source; fencers are said to gain 100 ms and more over the
	// eye, while accurate hardware showed no difference between the senses).
	TactileReaction = quantity.Seconds(0.150)
	// TactileReactionSD is the spread of TactileReaction (popular source).
	TactileReactionSD = quantity.Seconds(0.020)
	// ChoiceCost is the time added for each doubling of the number of answers
	// (150 ms in general, Hick 1952 and Hyman 1953; none found in fencers by
	// Williams and Walmsley 2000: 50 ms lies between).
	ChoiceCost = quantity.Seconds(0.050)
	// ChoiceCostSD is our spread of ChoiceCost (no source; range 0 to 150 ms).
	ChoiceCostSD = quantity.Seconds(0.025)
)

// Parry, as far as the race needs it for comparison.
const (
	// ParryTime is the time of a lateral parry (common practice, no source: 100 to
	// 220 ms).
	ParryTime = quantity.Seconds(0.160)
	// ParryTimeSD is the spread of ParryTime (common practice, no source).
	ParryTimeSD = quantity.Seconds(0.030)
	// CircularParryTime is the time of a circular parry (common practice, no
	// source: 160 to 300 ms).
	CircularParryTime = quantity.Seconds(0.220)
	// CircularParryTimeSD is the spread of CircularParryTime (common practice, no
	// source).
	CircularParryTimeSD = quantity.Seconds(0.040)
)

// Measure bands where a fencer's own reach is not known: gaps from the own
// point, arm bent, to the target. Derived from 0.45 m of arm, the lunge and the
// step above; to be tuned for each fencer.
const (
	// ShortReach is the greatest gap that an extension closes.
	ShortReach = quantity.Metres(0.45)
	// ShortReachSD is our spread of ShortReach (no source).
	ShortReachSD = quantity.Metres(0.05)
	// MediumReach is the greatest gap that a lunge closes.
	MediumReach = quantity.Metres(1.5)
	// MediumReachSD is our spread of MediumReach (no source).
	MediumReachSD = quantity.Metres(0.15)
	// LongReach is the greatest gap that a step and lunge close.
	LongReach = quantity.Metres(2.4)
	// LongReachSD is our spread of LongReach (no source).
	LongReachSD = quantity.Metres(0.20)
)

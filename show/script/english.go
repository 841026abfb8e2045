package script

import (
	"mesure/show/plate"
	"mesure/timing"
)

// english is the language of the house. Paces: lectures in British English were measured
// at 125 to 160 words a minute, 140 in the mean (Tauroza and Allison 1990, Speech rates
// in British English, Applied Linguistics 11, 90–105; recalled from memory, not seen).
var english = &Language{
	Tag: "en", TakesStudy: true, Lines: englishLines, Titles: englishTitles, List: [2]string{", ", " and "}, Hedge: "most likely ", Next: "A word to {who}.",
	Target: plate.TargetWords, Band: plate.TakesWords, Action: plate.ActionWords, Answer: englishAnswer, Does: plate.DoesWords,
	Size: englishSize, Launched: plate.LaunchWords, Choice: plate.ChoiceWords, Spoken: englishSpoken,
	Slow: 125, Usual: 140, Fast: 160,
}

// englishLines: beginner, club, competitor. A level leaves a number out, but none says
// another thing than the others.
var englishLines = map[string]Wording{
	"which/alone": all("Touch {number}, at {before}."),
	"which/event": all("{event}: touch {number}, at {before}."),
	"fencers":     all("{left} fences on the left, {right} on the right."),
	"lamps/one":   all("One lamp: {who} hits."),
	"lamps/both":  {"Both lamps: both fencers hit.", "Both lamps: a double.", "Both lamps: a double."},

	"why": all("By time alone {who}’s point {hedge}arrives first, and {other} hits: why?"),

	"gap/unbanded": all("{who}’s point is {gap} from {other}’s {target}."),
	"gap/likely": {
		"{who}’s point is {gap} from {other}’s {target}. Most likely that asks for {band}.",
		"{who}’s point is {gap} from {other}’s {target}: most likely {band} away.",
		"{who}’s point is {gap} from {other}’s {target}: most likely {band} away.",
	},
	"gap/clear": {
		"{who}’s point is {gap} from {other}’s {target}. That asks for {band}.",
		"{who}’s point is {gap} from {other}’s {target}: {band} away.",
		"{who}’s point is {gap} from {other}’s {target}: {band} away.",
	},
	"chest": {"", "", "To {other}’s chest {who} has {gap}."},
	"lag/hand": {
		"{who}’s hand goes first, and the front foot follows.",
		"{who}’s hand starts {hand} before the front foot.",
		"{who}’s hand starts {hand} before the front foot.",
	},
	"lag/foot": {
		"{who}’s front foot goes first, and the hand follows.",
		"{who}’s front foot lifts {foot} before the hand starts.",
		"{who}’s front foot lifts {foot} before the hand starts.",
	},
	"lag/open": {
		"Whether {who}’s hand or front foot starts first, the picture does not tell.",
		"Whether {who}’s hand or front foot starts first, the picture does not tell.",
		"Whether {who}’s hand or front foot starts first, the picture does not tell: the foot comes {hand} after the hand.",
	},
	"commit/flight": all("{who} is {hedge}in the air. Only the arm is free."),
	"commit/front-air": {
		"{who}’s front foot is {hedge}in the air: there is no way back until it lands.",
		"{who}’s front foot is {hedge}in the air: there is no way back until it lands, in {next}.",
		"{who}’s front foot is {hedge}in the air: there is no way back until it lands, in {next}.",
	},
	"commit/front-air-unseen": all("{who}’s front foot is {hedge}in the air: there is no way back until it lands."),
	"commit/rear-air": {
		"{who}’s rear foot is {hedge}in the air: there is no lunge until it lands.",
		"{who}’s rear foot is {hedge}in the air: there is no lunge until it lands, in {next}.",
		"{who}’s rear foot is {hedge}in the air: there is no lunge until it lands, in {next}.",
	},
	"commit/rear-air-unseen": all("{who}’s rear foot is {hedge}in the air: there is no lunge until it lands."),
	"commit/no-back": {
		"{who} {hedge}cannot turn back at once.",
		"{who} {hedge}cannot turn back before {next} have passed.",
		"{who} {hedge}cannot turn back before {next} have passed.",
	},
	"commit/no-back-unseen": all("{who} {hedge}cannot turn back at once."),
	"commit/free":           all("{who} can {hedge}lunge or turn back from here."),
	"commit/open":           {"", "What {who}’s feet still allow cannot be told.", "What {who}’s feet still allow cannot be told."},
	"parry/clear": {
		"{who}’s parry is {size}.",
		"{who}’s parry is {size}: it turns the blade by {made}, and {asked} would serve.",
		"{who}’s parry is {size}: it turns the blade by {made}, and {asked} would serve.",
	},
	"parry/likely": {
		"{who}’s parry is most likely {size}.",
		"{who}’s parry is most likely {size}: it turns the blade by {made}, and {asked} would serve.",
		"{who}’s parry is most likely {size}, with a chance of {chance}: it turns the blade by {made}, and {asked} would serve.",
	},
	"parry/open": {
		"How good {who}’s parry is, the picture does not tell.",
		"How good {who}’s parry is, the picture does not tell: it turns the blade by {made}, and {asked} would serve.",
		"How good {who}’s parry is, the picture does not tell: it turns the blade by {made}, and {asked} would serve.",
	},
	"parry/asked": {
		"A parry from here can be small.",
		"To keep the point off the {target}, {who}’s parry has to turn the blade by {needed}.",
		"To keep the point off the {target}, {who}’s parry has to turn the blade by {needed}.",
	},
	"riposte/seen":     {"", "From that parry, the direct riposte lights alone in {only} of the computed runs.", "From that parry, the direct riposte lights alone in {only} of the computed runs."},
	"riposte/computed": {"", "", "From a parry as small as that, the direct riposte lights alone in {only} of the computed runs."},

	"before": {"So far the bout stands {score}.", "Before touch {number}, the bout stands {score}.", "Before touch {number}, the bout stands {score}."},
	"habit-opponent/little": {
		"How {who} likes to fence cannot be told yet: too little is seen.",
		"Too little is seen of {who} to speak of a habit.",
		"Too little is seen of {who} to speak of a habit.",
	},
	"habit-opponent/clear": {
		"{who}’s favourite is the {choice}, {share}.",
		"{who}’s favourite is the {choice}, {share}.",
		"{who}’s favourite is the {choice}, {share}, seen in this bout: {count}.",
	},
	"habit-opponent/open": {
		"{who} has no clear favourite.",
		"{who} has no clear favourite. The {choice} comes at {share}.",
		"{who} has no clear favourite. The {choice} comes at {share}, the {second} at {share2}.",
	},
	// Both fencers in one sentence: it would be said twice else.
	"habit-opponent/little-both": {
		"How each of them likes to fence cannot be told yet: too little is seen.",
		"Too little is seen of {who} and of {other} to speak of a habit.",
		"Too little is seen of {who} and of {other} to speak of a habit.",
	},
	"habit-own/little": {"", "", "Too little is seen of {who} to speak of a habit."},
	"habit-own/clear":  {"", "{who} shows a favourite too: the {choice}, {share}.", "{who} shows a favourite too: the {choice}, {share}, seen in this bout: {count}."},
	"habit-own/open":   {"", "", "{who} shows no clear favourite: the {choice} comes at {share}, the {second} at {share2}."},
	"change-opponent/clear": {
		"", "Between touches {from} and {to}, {who}’s habit changes.",
		"Between touches {from} and {to}, {who}’s habit changes. The {choice} stood at {was} before, and at {is} after.",
	},
	"change-opponent/likely": {
		"", "Between touches {from} and {to}, {who}’s habit most likely changes.",
		"Between touches {from} and {to}, {who}’s habit most likely changes, {sure}. The {choice} stood at {was} before, and at {is} after.",
	},
	"change-own/clear":  {"", "", "Between touches {from} and {to}, {who}’s habit changes. The {choice} stood at {was} before, and at {is} after."},
	"change-own/likely": {"", "", "Between touches {from} and {to}, {who}’s habit most likely changes, {sure}. The {choice} stood at {was} before, and at {is} after."},
	"payoff/little":     {"", "Which choice pays for {who} cannot be told yet.", "Which choice pays for {who} cannot be told yet."},
	"payoff/clear": {
		"Against that, the {choice} pays best for {who}.",
		"Against that, the {choice} pays best for {who}: a chance of {worth} to win the bout.",
		"Against that, the {choice} pays best for {who}: a chance of {worth} to win the bout. The {second} has {worth2}.",
	},
	"payoff/open": {
		"Against that, no choice stands out for {who}.",
		"Against that, no choice stands out for {who}: the {choice} and the {second} cannot be told apart.",
		"Against that, no choice stands out for {who}: the {choice}, {worth} to win the bout, and the {second}, {worth2}, cannot be told apart.",
	},

	"started/clear": {"{who} starts first.", "{who} starts first.", "{who} starts first, in {chance} of the computed runs."},
	"started/likely": {
		"{who} most likely starts first.",
		"{who} most likely starts first, in {chance} of the computed runs.",
		"{who} most likely starts first, in {chance} of the computed runs.",
	},
	"started/open": {
		"Who starts first, the picture does not tell.",
		"Who starts first, the picture does not tell.",
		"Who starts first, the picture does not tell: {who}, in {chance} of the computed runs.",
	},
	"launch/clear":  all("{who} launches {into}."),
	"launch/likely": {"{who} most likely launches {into}.", "{who} most likely launches {into}.", "{who} most likely launches {into}, with a chance of {chance}."},
	"launch/open":   {"", "", "{who} may launch {into}, with a chance of {chance}."},
	"tempi":         {"", "", "From there to the hit it takes {tempi} of {who}’s own simple extensions."},
	"race/clear": {
		"From here {who}’s point arrives first.",
		"From here {who}’s {action} arrives first, {margin} ahead of {other}’s {answer}.",
		"From here {who}’s {action} arrives first, {margin} ahead of {other}’s {answer}: in {first} of the computed runs.",
	},
	"race/likely": {
		"From here {who}’s point most likely arrives first.",
		"From here {who}’s {action} most likely arrives first, ahead of {other}’s {answer}: in {first} of the computed runs.",
		"From here {who}’s {action} most likely arrives first, ahead of {other}’s {answer}: in {first} of the computed runs. Where both arrive, the lead is {between}.",
	},
	"race/open": {
		"Whose point arrives first from here cannot be told.",
		"Whose point arrives first from here cannot be told: {who}’s {action}, in {first} of the computed runs, and nobody’s in {neither}.",
		"Whose point arrives first from here cannot be told: {who}’s {action}, in {first} of the computed runs, and nobody’s in {neither}.",
	},
	"race/alone": {
		"From here {hedge}only {who}’s point arrives.",
		"From here {hedge}only {who}’s {action} arrives, in {first} of the computed runs.",
		"From here {hedge}only {who}’s {action} arrives, in {first} of the computed runs, and {other}’s {answer} does not.",
	},
	"race/neither": {
		"From here {hedge}nobody’s point arrives.",
		"From here {hedge}nobody’s point arrives, in {neither} of the computed runs.",
		"From here {hedge}nobody’s point arrives, in {neither} of the computed runs; {who}’s {action} is there first in {first}.",
	},
	"race/mostly-neither": {
		"From here, more often than not, nobody’s point arrives.",
		"From here, more often than not, nobody’s point arrives: in {neither} of the computed runs.",
		"From here, more often than not, nobody’s point arrives: in {neither} of the computed runs; {who}’s {action} is there first in {first}.",
	},
	"race-came": all("That is so while no blade is met. It came otherwise: {who} hits."),
	"short/falls": {
		"If the target stays, {who}’s attack {hedge}falls short.",
		"If the target stays, {who}’s attack {hedge}falls short: it arrives in {arrives} of the computed runs.",
		"If the target stays, {who}’s attack {hedge}falls short: it arrives in {arrives} of the computed runs.",
	},
	"lights": {
		"", "One light for {who} in {only} of the runs, a double in {both}.",
		"One light for {who} in {only} of the runs, one for {other} in {only2}, a double in {both}: the box waits {window} for the second hit.",
	},
	"clock": {
		"", "{who} can answer what is seen only after {ready}. {other}’s point is there after {hit}.",
		"{who} can answer what is seen only after {ready}. {other}’s point is there after {hit}.",
	},
	"windows/open": {"Most likely in time for {who}: {list}.", "Most likely in time for {who}, without guessing: {list}.", "Most likely in time for {who}, without guessing: {list}."},
	"windows/shut": {"Most likely too late for {who}: {list}.", "Most likely too late for {who}, without guessing: {list}.", "Most likely too late for {who}, without guessing: {list}."},
	"windows/even": {"", "", "Neither safe nor lost: {list}."},

	// Whether an answer is in time says nothing of the blades: where the lamps went the
	// other way it is no advice.
	"keep-answer/open": {
		"Against this attack there is {hedge}time for {answer}, by time alone.",
		"Against this attack there is {hedge}time for {answer}: {chance}, by time alone.",
		"Against this attack there is {hedge}time for {answer}: {chance}, by time alone.",
	},
	"keep-answer/won": {
		"Keep this: against this attack there is {hedge}time for {answer}.",
		"Keep this: against this attack there is {hedge}time for {answer}, {chance}.",
		"Keep this: against this attack there is {hedge}time for {answer}, {chance}.",
	},
	"keep-answer/lost": {
		"{answer} is {hedge}in time, and yet {other} hits. Keep this: time alone does not win.",
		"{answer} is {hedge}in time ({chance}), and yet {other} hits. Keep this: time alone does not win.",
		"{answer} is {hedge}in time ({chance}), and yet {other} hits. Keep this: time alone does not win. Look at the blades.",
	},
	"keep-answer/short":             all("Keep this: if the target stays where it is, {who}’s attack {hedge}falls short."),
	"keep-answer/short-hit":         all("If the target stays where it is, {who}’s attack {hedge}falls short. It hits all the same: look at what closed the distance."),
	"keep-answer/none":              all("Keep this: against this attack, most likely no answer is in time without a guess."),
	"keep-answer/none-known":        all("Against this attack, most likely no answer is in time once it is seen. {who} hits all the same: look at when {who} began."),
	"keep-parry/too-small":          {"The parry {hedge}has to be larger.", "The parry {hedge}has to be larger: {asked} would serve.", "The parry {hedge}has to be larger: {asked} would serve."},
	"keep-parry/larger-than-needed": {"The parry can {hedge}be smaller.", "The parry can {hedge}be smaller: {asked} would serve.", "The parry can {hedge}be smaller: {asked} would serve."},
}

func englishAnswer(a timing.Answer) string {
	switch a {
	case timing.ExtendSingle:
		return "the extension for one light"
	case timing.ExtendDouble:
		return "the extension for a double"
	case timing.ParryLateral:
		return "the lateral parry"
	case timing.ParrySemi:
		return "the semicircular parry"
	case timing.ParryCircular:
		return "the circular parry"
	case timing.ParryStepBack:
		return "the parry with a step back"
	case timing.RetreatOut:
		return "the retreat out of reach"
	case timing.RemoveTarget:
		return "taking the target away"
	case timing.OpposeInTheLine:
		return "the extension with opposition"
	}
	return "the " + plate.AnswerWords(a)
}

func englishSize(s timing.Size) string {
	switch s {
	case timing.SizeNone:
		return "not needed"
	case timing.SizeSmall:
		return "too small"
	case timing.SizeEnough:
		return "large enough"
	case timing.SizeLarge:
		return "larger than it has to be"
	}
	return plate.SizeWords(s)
}

package sheet

// The teaching forms, their set-up, repeats and what counts as done are common practice
// of the trade; no source. What is measured stands in slots.
const (
	formLesson  = "Individual lesson: the coach gives the cue"
	formPartner = "Partner drill with fixed roles"
	formChoice  = "Choice-reaction drill"
	formGame    = "Distance game"
	formSecond  = "Second-intention exercise"
	formTheme   = "Bout with a theme"
)

var (
	often  = wording{"3 times 5, then change roles. Rest between.", "5 times 6, then change roles.", "6 times 6, then change roles; the last set at full speed."}
	played = wording{"4 rounds of one minute, a new partner each.", "5 rounds of two minutes, a new partner each.", "To 5 hits, three times, a new partner each."}
)

var englishDrills = map[string]drillWords{
	"measure/reach": {
		Title: "Know this distance",
		Form:  wording{formGame, formPartner, formTheme},
		SetUp: wording{
			"In pairs, without blades at first. One leads with small steps, the other keeps the distance.",
			"In pairs, on guard. The leader steps forward and back; the other holds the measure.",
			"A bout in which a hit counts only where the attack began at this measure. The coach calls it.",
		},
		Cue:    wording{"The leader stops.", "The leader stops with both feet down.", "The opponent stops, or comes one step in."},
		Action: wording{"Hand out first, then {band}. Come back on guard.", "Hand first, then {band} to the {target}. Recover on guard at once.", "Hand first, then {band} to the {target}, or leave at once: nothing in between."},
		Success: wording{
			"The point arrives with {band} and no extra step, 3 times of 5.", "The point arrives with {band} and no extra step, 5 times of 6.", "Nobody attacks from outside this measure for a whole bout.",
		},
		Progress: wording{"Take the blades, at half speed.", "The leader changes the rhythm; then both may hit.", "The leader may break the distance as the attack comes."}, Repeats: often,
	},
	"measure/out": {
		Title: "Win the distance first",
		Form:  wording{formGame, formGame, formTheme},
		SetUp: wording{
			"In pairs, without blades. One tries to come a step closer, the other keeps away.",
			"In pairs, on guard. One has to win a step of distance; the other may only step.",
			"A bout in which an attack from out of measure gives a hit to the other side.",
		},
		Cue:     all("The opponent’s front foot lifts, or the opponent stops."),
		Action:  wording{"Step in, stop, and show with the hand that you could hit.", "Win the step, then attack. No attack from here.", "Win the step with a change of rhythm, then attack in the same movement."},
		Success: wording{"You are close enough 3 times of 5.", "The attack starts inside lunging measure, 5 times of 6.", "No attack from out of measure in a whole bout."}, Progress: wording{"The other may step away faster.", "The other may extend as you come in.", "The other may attack as you come in."}, Repeats: played,
	},
	"parry/too-small": {
		Title: "A parry that is large enough",
		Form:  wording{formLesson, formLesson, formChoice},
		SetUp: wording{
			"The coach extends slowly to the {target}; the student parries and holds still until both have looked.",
			"The coach lunges to the {target} at half speed; the student parries and holds until the coach lets go.",
			"The coach attacks the {target}, or shows it and stops; the student parries the attack only.",
		},
		Action: wording{
			"Carry the blade further aside, with the strong part of yours.", "Turn the blade by {asked}: in this touch it was {made}.", "Turn the blade by {asked}: in this touch it was {made}. The hand leads, the point stays in front.",
		},
		Success:  wording{"The coach straightens the arm and the point passes you, 3 times of 5.", "The coach’s point passes the target with the arm left straight, 5 times of 6.", "The point passes with the arm left straight, 5 times of 6, and nothing moves on the false ones."},
		Progress: wording{"A hit after the parry.", "Add the riposte; then full speed.", "Add the riposte, then a remise by the coach."}, Repeats: often,
	},
	"parry/larger-than-needed": {
		Title: "A smaller parry",
		Form:  wording{formLesson, formLesson, formChoice},
		SetUp: wording{
			"The coach extends slowly to the {target}; the student parries and holds still until both have looked.",
			"The coach lunges to the {target} at half speed. The coach’s free hand marks how far the blade may go.",
			"The coach attacks the {target} in one of two lines; the student parries no further than the line asks.",
		},
		Action: wording{
			"Close the line and stop there: less is enough.", "Turn the blade by {asked} and no more: in this touch it was {made}.", "Turn the blade by {asked} and no more: in this touch it was {made}. The riposte leaves from there.",
		},
		Success:  wording{"The blade stays in front of you, 3 times of 5.", "The riposte leaves without a pause, 5 times of 6.", "The riposte leaves without a pause in both lines, 5 times of 6."},
		Progress: wording{"A hit after the parry.", "Add the riposte; then full speed.", "The coach feints and changes the line."}, Repeats: often,
	},
	"parry/enough": {
		Title: "Parry, and the riposte at once",
		Form:  wording{formPartner, formPartner, formSecond},
		SetUp: wording{
			"In pairs. One extends slowly to the {target}, the other parries.", "In pairs. One lunges to the {target} and stays there; the other parries and ripostes.", "In pairs. One attacks the {target} to be parried; the other parries and ripostes; the first is ready for it.",
		},
		Action:   wording{"A parry as in this touch, and hit from there.", "Turn the blade by {asked}, and riposte from there.", "Turn the blade by {asked}, and riposte before the attacker is back on guard."},
		Success:  wording{"The hit follows without a stop, 3 times of 5.", "The riposte arrives alone, 5 times of 6.", "The riposte arrives alone, 5 times of 6; else the attacker’s answer does."},
		Progress: wording{"The attacker lunges.", "The attacker may remise.", "The defender chooses riposte or a held parry."}, Repeats: often,
	},
	"parry-asked/needed": {
		Title: "How small a parry can be",
		Form:  wording{formLesson, formLesson, formLesson},
		SetUp: wording{
			"The coach extends slowly to the {target} and stops a hand before it.", "The coach extends to the {target} and stops a hand before it; the student finds the smallest parry that clears it.", "The coach lunges to the {target}; the student finds the smallest parry that clears it.",
		},
		Action:   wording{"Push the blade aside until it passes you, and no further.", "Turn the blade by {needed}, and no further.", "Turn the blade by {needed}, and no further: the hand hardly moves."},
		Success:  wording{"The point passes, 3 times of 5.", "The point just passes, 5 times of 6.", "The point just passes at full speed, 5 times of 6."},
		Progress: wording{"The coach comes from the other side.", "Add the riposte.", "The coach begins from further away, then from closer."}, Repeats: often,
	},
	"hand-foot/foot": {
		Title: "Hand before foot",
		Form:  wording{formLesson, formLesson, formPartner},
		SetUp: wording{"The coach stands still with the glove as a target.", "The coach gives the distance and opens the {target}.", "One gives the distance and opens the {target}; the other attacks. The giver stops what starts with the foot."},
		Cue:   wording{"The coach lowers the glove.", "The coach’s blade leaves the line.", "The partner’s blade leaves the line; now and then it does not."},
		Action: wording{
			"Hand out, then lunge. Say it aloud: hand, foot.", "The hand starts, the front foot follows. In this touch the foot lifted {foot} before the hand.", "The hand starts, the front foot follows. In this touch the foot lifted {foot} before the hand: time in which the other could go.",
		},
		Success:  wording{"The hand is seen first, 3 times of 5.", "The coach sees the hand first, 5 times of 6.", "The hand is first on the film as well, 5 times of 6."},
		Progress: wording{"A little faster.", "A step before the lunge.", "The partner may extend into whatever starts with the foot."}, Repeats: often,
	},
	"hand-foot/hand": {
		Title: "Keep the hand first",
		Form:  wording{formPartner, formPartner, formChoice},
		SetUp: wording{"In pairs. One shows the glove as a target.", "In pairs. One gives the distance and opens the {target}.", "In pairs. One opens the {target}, or only seems to."},
		Cue:   wording{"The glove goes down.", "The partner’s blade leaves the line.", "The partner’s blade leaves the line and stays away."},
		Action: wording{
			"Hand out, then lunge: as in this touch.", "The hand starts {hand} before the front foot in this touch. Keep that order from further away.", "The hand starts {hand} before the front foot in this touch. Keep that order at full speed, and stop the hand where the target closes.",
		},
		Success:  wording{"The hand is seen first, 3 times of 5.", "The hand is first, 5 times of 6.", "The hand is first, 5 times of 6, and no attack into a closed line."},
		Progress: wording{"A little faster.", "A step before the lunge.", "The partner steps back as the hand starts."}, Repeats: often,
	},
	"commit/timed": {
		Title: "While the other cannot go back",
		Form:  wording{formPartner, formPartner, formSecond},
		SetUp: wording{
			"In pairs. One lunges slowly and says “now” as the foot lifts.", "In pairs. One attacks on the coach’s word; the other waits for the foot.", "In pairs. One draws the attack with a small step in; the other attacks as soon as it seems to pay.",
		},
		Cue: wording{"The other’s front foot leaves the floor.", "The other’s front foot leaves the floor. In this touch there was no way back for {next}.", "The other’s front foot leaves the floor. In this touch there was no way back for {next}."},
		Action: wording{
			"One step back, hand out.", "Step back so that the attack ends short, and extend as the foot lands.", "Break the distance as the foot lifts, and hit on its landing; or take the blade and go.",
		},
		Success:  wording{"The attack ends short of you, 3 times of 5.", "The attack ends short and your point arrives, 5 times of 6.", "One light for you, 5 times of 6."},
		Progress: wording{"The other goes when they like.", "The attacker may stop after half a step.", "The attacker may make a second attack on landing."}, Repeats: often,
	},
	"answers/open": {
		Title: "The answer that is still in time",
		Form:  wording{formPartner, formChoice, formChoice},
		SetUp: wording{
			"In pairs. One attacks slowly, always in the same way.", "In pairs. One attacks, or steps and stops; the other answers the attack only.", "In pairs. One attacks in one of two ways, or not at all; the other answers what is seen.",
		},
		Action: wording{
			"Answer with {answer}.", "Answer with {answer}: in this touch it is in time with a chance of {chance}.", "Answer with {answer}: in this touch it is in time with a chance of {chance}. No guess before the cue.",
		},
		Success:  wording{"The answer comes after the start, and in time, 3 times of 5.", "In time on the attack, still on the stop, 5 times of 6.", "In time on the attack, still on the others, 5 times of 6."},
		Progress: wording{"A little faster.", "Full speed; then a hand’s breadth closer.", "A hand’s breadth closer after each good set, until it no longer serves."}, Repeats: often,
	},
	"answers/beaten": {
		Title: "In time, and the blade free as well",
		Form:  wording{formPartner, formChoice, formSecond},
		SetUp: wording{
			"In pairs. One attacks slowly and may push the blade aside; the other answers with {answer}.",
			"In pairs. One attacks, and takes the blade or not; the other answers with {answer}.",
			"In pairs. One draws the answer and takes the blade, or attacks straight; the other answers with {answer}.",
		},
		Action: wording{
			"Answer, and keep your blade free of the other one.",
			"Answer with {answer}, and keep the blade free: in this touch there is time for it ({chance}), and {other} hits all the same.",
			"Answer with {answer}, and keep the blade free, or hit with opposition: in this touch there is time for it ({chance}), and {other} hits all the same.",
		},
		Success:  wording{"Your point arrives, 3 times of 5.", "Your point arrives whether the blade is looked for or not, 5 times of 6.", "One light for you whether the blade is looked for or not, 5 times of 6."},
		Progress: wording{"A little faster.", "The attacker chooses when to look for the blade.", "The answer may be a false one, to draw the blade first."}, Repeats: often,
	},
	"answers/none": {
		Title: "More room, so that an answer is in time",
		Form:  wording{formGame, formGame, formChoice},
		SetUp: wording{
			"In pairs, without blades. One reaches for the other’s shoulder; the other keeps away.", "In pairs. One attacks from this distance; the other finds the distance at which a parry serves.", "In pairs. One attacks; the other parries from this distance, then from a step further.",
		},
		Action:   wording{"A step more distance than you think.", "From here most likely nothing serves without a guess: give a step before the attack comes.", "From here most likely nothing serves without a guess: give a step, or choose to guess and know that you do."},
		Success:  wording{"You are not reached, 3 times of 5.", "The parry serves from the new distance, 5 times of 6.", "You can say each time whether you saw it or guessed."},
		Progress: wording{"Take the blades, at half speed.", "The attacker may step first.", "The attacker changes the rhythm."}, Repeats: often,
	},
	"short/falls": {
		Title: "Close the distance before the attack",
		Form:  wording{formGame, formPartner, formTheme},
		SetUp: wording{
			"In pairs. One stands; the other finds from where a lunge arrives.", "In pairs. One gives the distance of this touch; the other has to win what is missing.", "A bout in which an attack that falls short gives a hit to the other side.",
		},
		Cue:     all("The opponent stops, or comes in."),
		Action:  wording{"A step first, then the lunge.", "A step first, then the lunge: from here the attack arrives in {arrives} of the computed runs.", "Win the step, then attack: from here it arrives in {arrives} of the computed runs."},
		Success: wording{"The point arrives, 3 times of 5.", "The point arrives without a reach of the shoulder, 5 times of 6.", "No attack falls short in a whole bout."}, Progress: wording{"The other takes one step back.", "The other may step back as you step.", "The other may hit into a step that is too long."}, Repeats: often,
	},
	"double/both": {
		Title: "One light, not two",
		Form:  wording{formPartner, formPartner, formTheme},
		SetUp: wording{
			"In pairs. One extends slowly; the other closes the line and hits.", "In pairs. One attacks, the other extends; the attacker has to arrive alone.", "A bout in which a double counts for whoever did not attack.",
		},
		Cue:    wording{"The other’s arm starts.", "The other’s arm starts.", "The other’s arm starts, into your attack."},
		Action: wording{"Push the other blade aside as you hit.", "Hit with opposition, or take the blade first: from here it is a double in {both} of the computed runs.", "Hit with opposition, take the blade, or wait for the arm: from here it is a double in {both} of the computed runs, the box waits {window}."},
		Success: wording{
			"Only your point arrives, 3 times of 5.", "One light, 5 times of 6.", "Fewer doubles than single lights in each bout.",
		},
		Progress: wording{"The other is a little faster.", "The other chooses when.", "The other may change the target."}, Repeats: often,
	},
	"race/from-here": {
		Title: "Who arrives first from here",
		Form:  wording{formGame, formPartner, formTheme},
		SetUp: wording{
			"In pairs, gloves against the wall or a target each. Both go on the clap.", "In pairs, a target each. Both go on the coach’s clap from this distance.", "A bout from this distance: each phrase begins on the coach’s clap.",
		},
		Cue: all("The coach’s clap, and now and then none."),
		Action: wording{
			"Hand first, straight to the target.", "Straight to the target, hand first: {who}’s point arrives first in {first} of the computed runs while no blade is met.", "Straight, or wait and take the blade: while no blade is met {who}’s point arrives first in {first} of the computed runs.",
		},
		Success:  wording{"The hand is first, 3 times of 5.", "The hand is first and the point arrives, 5 times of 6.", "You can say before the box does who was first."},
		Progress: wording{"A step further apart.", "One of the two may wait.", "One of the two chooses the distance."}, Repeats: often,
	},
	"launch/into": {
		Title: "The tempo to go",
		Form:  wording{formLesson, formPartner, formSecond},
		SetUp: wording{
			"The coach moves slowly up and down; the student holds the distance.", "In pairs. One moves; the other holds the distance and waits for the one moment.", "In pairs. One moves and may invite; the other goes in that moment only.",
		},
		Action:   wording{"Go in that moment: hand, then lunge.", "Launch {into}, as {who} {hedge}did.", "Launch {into}, as {who} {hedge}did (chance {chance}); let every other moment pass."},
		Success:  wording{"Off at the right moment, 3 times of 5.", "Off within the move, 5 times of 6, and no start outside it.", "Off within the move, 5 times of 6, and no start on a false one."},
		Progress: wording{"A little faster.", "The partner changes the rhythm.", "The partner may make it an invitation and answer."}, Repeats: often,
	},
	"habit/clear": {
		Title: "Draw the {choice}",
		Form:  wording{formPartner, formSecond, formSecond},
		SetUp: wording{
			"In pairs. One always answers with the {choice}; the other knows it.", "In pairs. One answers a good invitation with the {choice}, and a bad one with nothing.", "In pairs. One answers as {who} does here: the {choice} at {share}, else what they like.",
		},
		Cue:    all("The partner’s {choice} starts."),
		Action: wording{"Invite, wait for it, and answer it.", "Invite the {choice}, which comes at {share}, and be ready for it: that is the action.", "Invite the {choice}, be ready for it, and have the second choice where it does not come."},
		Success: wording{
			"It comes, and your answer arrives, 3 times of 5.", "It comes on the invitation and your answer arrives, 5 times of 6.", "More hits of your second intention than of your first.",
		},
		Progress: wording{"A smaller invitation.", "The partner may not fall for it.", "The partner changes the habit after three hits: find it."}, Repeats: often,
	},
	"habit/open": {
		Title: "Two choices of the other, one plan",
		Form:  wording{formPartner, formChoice, formChoice},
		SetUp: wording{
			"In pairs. One answers with the {choice} or the {second} and says which.", "In pairs. One answers with the {choice} or the {second} and does not say which.", "In pairs. One mixes the {choice} ({share}) and the {second} ({share2}) about as {who} does here, as far as that can be told.",
		},
		Cue:     all("The partner’s answer starts."),
		Action:  wording{"See it, then answer it.", "A start that is good against both; the end is chosen on what is seen.", "A start that is good against both; the end is chosen on what is seen. There is no favourite to bet on."},
		Success: wording{"The right answer, 3 times of 5.", "The right answer to both, 5 times of 6.", "The right answer to both, 5 times of 6, at full speed."}, Progress: wording{"A little faster.", "A third choice.", "The partner begins to prefer one: say so as soon as you see it."}, Repeats: often,
	},
	"payoff/clear": {
		Title: "A bout on the {choice}",
		Form:  wording{formPartner, formTheme, formTheme},
		SetUp: wording{
			"In pairs. One tries the {choice}; the other answers as the coach says.", "A bout at the score of this touch. A hit with the {choice} counts double.", "A bout at the score of this touch, one as {who}, one as {other}. A hit with the {choice} counts double.",
		},
		Cue:     all("The opponent offers the distance."),
		Action:  wording{"Make the {choice}, whole and without hurry.", "Look for the {choice}: it gives {worth} to win the bout.", "Look for the {choice}: it gives {worth} to win the bout. Leave it where the other begins to wait for it."},
		Success: wording{"It arrives, 3 times of 5.", "Half of your hits come from it.", "Half of your hits come from it, and none of theirs does."}, Progress: wording{"The other may step away.", "The other knows it.", "Change roles and score."}, Repeats: played,
	},
}

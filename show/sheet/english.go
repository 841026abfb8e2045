package sheet

import (
	"mesure/show/plate"
	"mesure/show/report"
	"mesure/show/script"
	"mesure/study"
	"mesure/timing"
)

// english is the language of the house.
var english = &language{
	Tag: "en", Say: englishSay, Parts: englishParts, Plates: englishPlates, Drills: englishDrills, Watch: englishWatch, Questions: englishQuestions,
	Cautions: englishCautions, Blades: englishBlades, Rights: englishRights,
	Target: plate.TargetWords, Band: plate.TakesWords, Answer: englishAnswer, Choice: plate.ChoiceWords, Into: plate.LaunchWords, Gives: englishGives,
}

var englishSay = map[string]string{
	"untitled": "The measured touch", "standing": "Touch {number}, at {before}",
	"invented": "Invented for demonstration: this shows no real person and no real event.",
	"sheet":    "Sheet of one touch", "lesson": "Lesson sheet",
	"level/beginner": "for beginners", "level/club": "for club fencers", "level/competitor": "for competitors",
	"lamp/red": "red lamp: left scores", "lamp/green": "green lamp: right scores", "lamp/none": "no lamp",
	"finding": "What was found", "no-finding": "Nothing of this touch could be measured yet.",
	"take-measure": "Place the piste and mark both points on one frame; then there is something to tell.",
	"numbers":      "The numbers", "numbers/caption": "Every number of this sheet", "numbers/none": "There is no number yet.",
	"what": "What", "number": "Number", "how": "How it was found",
	"doubt": "± is one standard deviation. Square brackets, and “x to y”, hold 95 %.",
	"watch": "What to watch for", "watch/lead": "Show the touch first, without a word. Then again, one look at a time.",
	"ask": "Three questions for the class", "ask/lead": "Ask before anything that follows is shown.",
	"ask/few": "Questions for the class", "answer": "The answer", "answers": "The answers",
	"ask/under": "Let the class commit to an answer before it is shown: a show of hands will do.",
	"drills":    "The drills", "drills/lead": "One drill for each finding. Distances and cues are those of this touch. Roles, repeats and what counts as done are common practice of the trade and were not measured: change them for your class.",
	"drills/none": "No drill follows from this reading: too little of it can be told.",
	"before":      "Before the first drill", "missing": "What this sheet cannot tell", "doubts": "What is doubtful, and what would mend it",
	"doubts/more": "{n} more stand in the report.", "measured": "How it was measured", "cautions": "Rights and cautions",
	"measured/text": "The camera is fitted to known points of the piste. Each mark is carried into metres through it, with the doubt of the mark, of the camera and of how far the point lies from the plane of action. Chances are shares of {draws} draws over everything that is uncertain.",
	"measured/made": "Seed {seed}, rules of reading version {version}, inputs {inputs}.",
	"where":         "Take {take}, frame {frame}, at {when}", "where/untimed": "Take {take}, frame {frame}", "where/bout": "The touches before this one",
	"plate":    "Plate {n}: {what}",
	"written":  "Written by {program}.",
	"letters":  "Letters that the fonts of this file lack are left out, and a fencer whose name has some is called by the side; the HTML sheet has them all.",
	"supposes": "A race supposes that each fencer does this from here on and that no blade is met on the way.", "came": "What came of the touch:",
	"fact/seen": "When the attack can be seen", "fact/seen/how": "From the instant of the frame: arm or body have gone a small share of their way.",
	"page":       "{page} of {pages}",
	"drill/form": "Form", "drill/for": "Because", "drill/set-up": "Set-up", "drill/distance": "Distance", "drill/cue": "Cue", "drill/action": "Action",
	"drill/success": "Done when", "drill/progress": "Then", "drill/repeats": "How often",
	"distance/clear":  "Point {gap} from the {target}, {band} away, as in this touch. Another pair takes what is {band} for them, not the number.",
	"distance/likely": "Point {gap} from the {target}, most likely {band} away, as in this touch. Another pair takes what is {band} for them, not the number.",
	"distance/none":   "Point {gap} from the {target}, as in this touch.", "distance/unknown": "Not measured here: begin a lunge apart, and say that this is your choice.",
	"cue/read":        "The start of the coach’s movement. In this touch the attack could be seen after {seen}, and an answer that is no guess could start after {ready}.",
	"cue/unknown":     "The start of the movement. When it could be seen in this touch was not measured.",
	"missing/race":    "Who would arrive first: no race could be run. Mark both points and a target of each on one frame that is placed.",
	"missing/timing":  "Answers, parry, feet and starts: no instant of this touch could be timed. Mark the points and feet of both fencers around the attack.",
	"missing/windows": "Which answers were still open: the marks do not carry it at this instant.",
	"missing/tactics": "Why it was chosen: the touch is not on the sheet of a bout. Write the bout’s sheet and say which line this touch is.",
	"missing/plates":  "Pictures: none was made for this sheet.",
	"kept":            "The script keeps {was}; measured now: {now}.", "kept/gone": "The script keeps {was}, which is no longer measured.", "kept/claim": "A sentence of the script no longer says what is found: “{was}”",
}

var englishParts = map[string]string{
	script.PartOpening: "Opening", script.PartTechnique: "Technique", script.PartTactics: "Tactics", script.PartTiming: "Timing", script.PartTakeAway: "Take-away",
}

var englishPlates = map[string]string{
	string(report.KindRace): "the race", string(report.KindStave): "the phrase in time", string(report.KindGaps): "the distances", string(report.KindPlacing): "the placing of the piste",
	string(report.KindThread): "the touches that bear on this one", string(report.KindHabit): "the habit", string(report.KindBalance): "the balance", string(report.KindPayoff): "what each choice is worth",
	string(report.KindBout): "the bout", string(report.KindWindows): "the answers", string(report.KindMap): "distance and lead", string(report.KindParry): "the parry that is asked for", string(report.KindSeen): "the parry that was seen",
	string(report.KindFrame): "the reach at this instant", string(report.KindGhosts): "the movement", string(report.KindPlan): "seen from above", string(report.KindSide): "seen from the side", string(report.KindLadder): "the score up to this touch",
	string(report.KindStand): "what each body can still do", string(report.KindStarted): "who started", string(report.KindFit): "a fitted movement",
}

// englishCautions are the usual ones of the trade (safety and rights).
var englishCautions = []string{
	"Full regulation kit and mask, for everyone who holds a blade and everyone who faces one.",
	"Homologated and tested equipment only.",
	"A qualified coach is present throughout.",
	"Warm up first.",
	"The rules of your federation and of safeguarding come before anything on this sheet.",
	"These are estimates for coaching: no medical advice, and no referee’s decision.",
}

// englishBlades are rules for drills with blades (common practice, no source).
var englishBlades = []string{
	"Check every blade before the first drill, and again after a hard hit: no crack, no kink, a tight point.",
	"Start at half speed, first without hitting; full speed comes last.",
	"Points down until both are ready. Whoever says halt is obeyed.",
	"Keep the distance that the drill names. Who comes closer hits harder: stop and set it again.",
}

var englishRights = []string{
	"Use footage, and pictures made of it, only with the right to use them; minors need consent.",
	"Names can be left out of this sheet.",
}

func englishAnswer(a timing.Answer) string {
	switch a {
	case timing.ExtendSingle:
		return "an extension for one light"
	case timing.ExtendDouble:
		return "an extension for a double"
	case timing.ParryLateral, timing.ParrySemi, timing.ParryCircular, timing.ParryStepBack:
		return "a " + plate.AnswerWords(a)
	case timing.RetreatOut:
		return "a retreat out of reach"
	case timing.RemoveTarget:
		return "taking the target away"
	case timing.OpposeInTheLine:
		return "an extension with opposition"
	}
	return plate.AnswerWords(a)
}

// englishGives is what a partner does so that the move of the touch is there.
func englishGives(into string) string {
	switch into {
	case study.LaunchIntoAdvance:
		return "The partner steps forward: go as the front foot leaves the floor."
	case study.LaunchAtEndOfStep:
		return "The partner steps: go as the step ends, before the next one begins."
	case study.LaunchOnRetreat:
		return "The partner steps back: go with the step, not after it."
	case study.LaunchIntoAttack:
		return "The partner begins a slow attack: go as the arm starts."
	}
	return "The partner’s feet stand: the coach claps, and both see it at once."
}

// englishWatch says where to look, and gives nothing away.
var englishWatch = map[string]wording{
	"measure":     {"Look at {who}’s point and {other}’s {target}: how far apart are they?", "{who}’s point and {other}’s {target}: how far apart, and what would it take to get there?", "{who}’s point and {other}’s {target}: which measure is it?"},
	"parry":       {"Look at {who}’s blade: how far does it push the other one away?", "{who}’s parry: by how much does it turn the blade, and how much would do?", "{who}’s parry: turn made against turn asked."},
	"parry-asked": all("{who}’s blade and {other}’s point: how small could a parry be?"),
	"hand-foot":   {"Look at {who}: what moves first, hand or front foot?", "{who}’s hand and front foot: which one starts?", "{who}’s hand and front foot: which one starts, and by how much?"},
	"commit":      {"Look at {who}’s feet: which one is on the floor?", "{who}’s feet and hip: can {who} still go back from here?", "{who}’s feet and hip: what is still free, and from when on?"},
	"answers":     {"Look at {who} as the attack starts: what can {who} still do?", "{who}, as the attack starts: which answers are left?", "{who}, as the attack starts: which answers are left without a guess?"},
	"short":       all("{who}’s attack: would it arrive if the target stayed?"),
	"double":      {"Look at both points at the end: do both arrive?", "Both points at the end: how far apart in time?", "Both points at the end: inside the box’s time for the second hit?"},
	"race":        {"Look at both points: which one is on its way first?", "Both points from here on: which one arrives first?", "Both points from here on: which one arrives first, and by how much?"},
	"launch":      {"Look at {other}’s feet as {who} goes.", "{other}’s feet at the instant {who} launches: coming, going or standing?", "{other}’s feet at {who}’s launch: in which part of the step?"},
	"habit":       {"What has {who} done before in this place?", "What did {who} choose in the touches before?", "What did {who} choose in the touches before, and what had it brought?"},
	"payoff":      {"What has {who} tried so far, and what worked?", "What did {who} try so far, and what did it bring?", "{who}’s choices so far against what {other} likes to do."},
}

var englishQuestions = map[string]wording{
	"measure":     all("How far is {who}’s point from {other}’s {target}, and what does that ask for: an extension, a lunge, or a step and a lunge?"),
	"parry":       all("Is {who}’s parry too small, large enough, or larger than it has to be?"),
	"parry-asked": all("How far would {who} have to turn the blade to keep the point off?"),
	"hand-foot":   all("What starts first in {who}’s attack: the hand or the front foot?"),
	"commit":      all("Can {who} still turn back at this instant?"),
	"answers":     all("Which answers are still in time for {who}, once the attack is seen?"),
	"short":       all("If the target stays where it is: does {who}’s attack reach it?"),
	"double":      all("One lamp or two, if both go from here?"),
	"race":        all("If both go from here and no blade is met: whose point arrives first?"),
	"launch":      all("What is {other} doing at the instant {who} launches?"),
	"habit":       all("What does {who} like to choose here, and can that be told?"),
	"payoff":      all("What would you choose next for {who}, and why?"),
}

package script

var englishTitles = map[string]Title{
	PartOpening: {"Opening", ""}, PartTechnique: {"Technique", ""}, PartTactics: {"Tactics", ""}, PartTiming: {"Timing", ""}, PartTakeAway: {"Take-away", ""},

	"page": {"Script of one touch", ""}, "numbers": {"Where the numbers come from", ""},
	"doubts":         {"", "± is one standard deviation. Square brackets, and “x to y”, hold 95 %."},
	"level/beginner": {"For beginners", ""}, "level/club": {"For club fencers", ""}, "level/competitor": {"For competitors", ""},
	"stale": {"now", ""}, "gone": {"no longer measured", ""}, "claim": {"The measurement no longer says this.", ""},
	"takes": {"To say it takes", ""},

	"number": {"Number of the touch", "From the sheet."},
	"before": {"Score before the touch", "From the sheet."},
	"sheet":  {"From the sheet of the bout", ""},
	"note":   {"A note on the technique", ""},

	"gap":          {"From {who}’s point to {other}’s {target}", "Measured on the frame from which the race is run."},
	"race-window":  {"How long the box waits for the second hit", "The rule of the weapon."},
	"race-first":   {"How often {who}’s point arrives first", "The race, run over draws of every doubt; ± is that of the number of draws."},
	"race-margin":  {"How much earlier {who}’s point arrives", "The race, over the draws in which both arrive; negative where later."},
	"race-between": {"How much earlier {who}’s point arrives, in 95 %", "The race, over the draws in which both arrive; negative where later."},
	"race-only":    {"How often {who} alone has a light", "The race, run over draws of every doubt; ± is that of the number of draws."},
	"race-both":    {"How often both have a light", "The race, run over draws of every doubt; ± is that of the number of draws."},

	"race-neither": {"How often nobody arrives", "The race, run over draws of every doubt; ± is that of the number of draws."},
	"arrives":      {"How often {who}’s attack reaches a target that stays", "From the instant of the frame, over draws of every doubt."},
	"hit":          {"When {who}’s point is there", "From the instant of the frame, where the target stays."},
	"ready":        {"When {who} can answer what was seen", "From the instant of the frame: the cue and the reaction to it."},
	"in-time":      {"How often {answer} is in time", "Started as soon as the reaction is over; ± is that of the number of draws."},
	"commit":       {"When {who} can {does} at the earliest", "From where hip and feet are and how fast they go."},
	"started":      {"How often {who} starts first", "The order of the starts, over draws of when each frame was taken."},
	"lag-hand":     {"How much later than the hand {who}’s front foot starts", "The difference of two starts."},
	"lag-foot":     {"How much earlier than the hand {who}’s front foot starts", "The difference of two starts."},
	"launch":       {"How likely it is that {who} launches {into}", "From the movement of the opponent at the launch."},
	"tempi":        {"From {who}’s launch to the hit, in simple extensions", "The time to the hit over that of one extension."},

	"parry-needed": {"By how much {who} has to turn the blade", "The geometry of both blades and the target at this instant."},
	"parry-asked":  {"By how much {who}’s parry had to turn the blade", "The smallest turn that would have served, from where the attacker’s hand is after it."},
	"parry-made":   {"By how much {who}’s parry turned the blade", "Seen between two frames."},
	"parry-size":   {"How likely the parry is {size}", "The turn that was made against the one that would have served."},
	"riposte":      {"How often {who}’s direct riposte lights alone", "The race of the riposte against the remise."},

	"habit-share":   {"How often {who} chooses the {choice}", "Counted, newer choices weighing more, with a weak prior."},
	"habit-count":   {"How often {who} chose the {choice} in this bout", "Counted on the sheet."},
	"change-at":     {"Where {who}’s habit changed", "The touches between which the change lies in 95 %."},
	"change-sure":   {"How likely {who}’s habit changed at all", "The counts with a change against those without."},
	"change-before": {"How often {who} chose the {choice} before the change", "Counted, with a weak prior."},
	"change-after":  {"How often {who} chose the {choice} after the change", "Counted, with a weak prior."},
	"worth":         {"{who}’s chance to win the bout with the {choice}", "Race, windows and counts at this measure and score, against the opponent’s habit."},
}

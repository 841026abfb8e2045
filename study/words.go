package study

import (
	"mesure/sport/bout"
	"mesure/timing"
)

// Movements lists the movements that a race can be asked for, by the names that a
// touch uses, from the shortest.
func Movements() []bout.Term {
	about := map[string]bout.Term{
		timing.Extension:      {Word: "extension", About: "The arm alone stretches."},
		timing.Lunge:          {Word: "lunge", About: "The arm stretches and the front foot is thrown forward."},
		timing.StepLunge:      {Word: "step and lunge", About: "A step forward that runs into a lunge."},
		timing.Fleche:         {Word: "flèche", About: "A run at the target: the rear foot passes the front foot."},
		timing.StepIn:         {Word: "extension with a step forward", About: "The arm stretches and one step follows it."},
		timing.StepBackExtend: {Word: "extension with a step back", About: "The arm stretches while the target goes away: it buys time for a single light."},
		timing.Retreat:        {Word: "retreat", About: "The target goes away; the point does not go forward."},
		timing.None:           {Word: "stand", About: "Nothing moves."},
	}
	var all []bout.Term
	for _, name := range timing.Actions() {
		term := about[name]
		term.Name = name
		all = append(all, term)
	}
	return all
}

package study

import (
	"fmt"

	"mesure/quantity"
	"mesure/sport/bout"
	"mesure/tactics/payoff"
)

// goingWords name the movement with which an attack goes from this measure.
func goingWords(movement string) string {
	switch movement {
	case "extension":
		return "the arm alone"
	case "step-lunge":
		return "a step and lunge"
	}
	return "a " + movement
}

// howWords says in one sentence what happens where two choices meet, by race and
// windows. Mine is the left one of the timing, served see timing.Meets.
func howWords(mine, theirs string, m payoff.Shares, served quantity.Chance, goes [2]string) string {
	goer, waiter, by := "you", "they", goes[0]
	first, answer := mine, theirs
	switch a, b := planOf(mine).Goes(), planOf(theirs).Goes(); {
	case !a && !b:
		return "Both wait: nothing happens."
	case a && b:
		return bothGoWords(mine, theirs, served, goes)
	case b:
		goer, waiter, by = "they", "you", goes[1]
		first, answer = theirs, mine
	}
	often := percentWords(float64(served))
	if first == bout.ChoiceCounterTime {
		switch answer {
		case bout.ChoiceCounter:
			return fmt.Sprintf("%s show an attack and take the counter-attack that it draws before it arrives in %s of phrases.", upper(goer), often)
		case bout.ChoiceParry:
			return fmt.Sprintf("%s show an attack, %s parry what does not come: nothing happens.", upper(goer), waiter)
		}
		return fmt.Sprintf("%s show an attack, %s go back from it: nothing happens.", upper(goer), waiter)
	}
	head := fmt.Sprintf("%s go with %s", upper(goer), goingWords(by))
	switch first {
	case bout.ChoiceFeint:
		head += ", a disengage late"
	case bout.ChoiceBlade:
		head += " and look for the blade first"
	}
	switch answer {
	case bout.ChoiceCounter:
		return fmt.Sprintf("%s; %s extend to the hand that comes, and arrive first in %s of phrases.", head, waiter, often)
	case bout.ChoiceParry:
		return fmt.Sprintf("%s; the parry meets the blade in %s of phrases, then the riposte races the remise.", head, often)
	}
	return fmt.Sprintf("%s; the step back lets it fall short in %s of phrases.", head, often)
}

// bothGoWords is howWords for two who both go.
func bothGoWords(mine, theirs string, served quantity.Chance, goes [2]string) string {
	counterTime := func(kind string) bool { return kind == bout.ChoiceCounterTime }
	switch {
	case counterTime(mine) && counterTime(theirs):
		return "Both show an attack and wait for the other's: nothing happens."
	case counterTime(mine):
		return fmt.Sprintf("You step in to draw a counter-attack and their attack comes with %s; you hit first in %s of phrases.", goingWords(goes[1]), percentWords(float64(served)))
	case counterTime(theirs):
		return fmt.Sprintf("They step in to draw a counter-attack and your attack comes with %s; you hit first in %s of phrases.", goingWords(goes[0]), percentWords(float64(served)))
	case mine == bout.ChoiceBlade || theirs == bout.ChoiceBlade:
		return fmt.Sprintf("Both go, and who looks for the blade meets it on the way or not; you hit first in %s of phrases.", percentWords(float64(served)))
	}
	return fmt.Sprintf("Both go and run onto each other's point; you hit first in %s of phrases.", percentWords(float64(served)))
}

package demo

import (
	"fmt"

	"mesure/demo/scene"
	"mesure/quantity"
	"mesure/sport/bout"
	"mesure/sport/mark"
	"mesure/study"
)

// Count is how many touches of the bout are shown.
const Count = 4

// sheet is the whole bout, phrase by phrase: L and R are single lights, D is a
// double.
const sheet = "RLRLR" + "LRLL" + "DLRLDRLLRLRDRLL"

// notes says in a few words how the phrases scored.
var notes = [len(sheet)]string{
	"stop hit to the hand", "straight hit after a step", "remise to the arm", "counter-attack with opposition", "hit to the foot",
	"simple attack into the half step", "parry of quarte and riposte", "feint and disengage", "counter-time with opposition",
	"both extend", "attack to the forearm", "riposte from octave", "redoublement", "both lunge", "stop hit with a step back",
	"bind and hit", "attack on the preparation", "counter-riposte", "hit to the thigh", "flèche", "both at close measure",
	"parry of sixte and riposte", "feint to the hand, hit to the chest", "straight attack",
}

// Bout returns what the score sheet says: an invented event, two invented
// fencers and their complete bout to 15.
func Bout() bout.Bout {
	b := bout.Bout{
		Event: "Autumn Épée of Orrelund", Round: "Quarter-final, Kornhalle, piste 3", Date: "2025-10-18",
		Weapon: bout.Epee, Touches: 15,
		Left:  fencer("Matthis Orlen", "Cercle d'Armes de Vauselle", scene.LeftStature, 1.04),
		Right: fencer("Timo Harrak", "Fechtclub Brannfurt", scene.RightStature, 0.98),
	}
	periods, left := clock()
	for i := range len(sheet) {
		b.Sheet = append(b.Sheet, bout.Phrase{
			ID: lineID(i + 1), Lamps: lamps(sheet[i]), Note: notes[i], Period: periods[i], Clock: left[i],
			Choices: &bout.Choices{Left: chosen[i][0], Right: chosen[i][1]}, Measure: chosen[i][2],
		})
	}
	return b.Scored()
}

// lineID names a line of the sheet by its number.
func lineID(number int) string { return fmt.Sprintf("line-%d", number) }

func fencer(name, club string, stature, lunge float64) bout.Fencer {
	return bout.Fencer{
		Name: name, Club: club, Hand: bout.RightHand, Sex: "m", Level: "club", Grip: "orthopaedic",
		Stature: stature, Reach: float64(scene.ReachOf(quantity.Metres(stature))), Lunge: lunge,
	}
}

// Touches returns the four touches as they are before a coach has marked
// anything: the bout, the lamps, the videos and the takes, and what is asked of
// the race.
func Touches() []study.Touch {
	var all []study.Touch
	b := Bout()
	for i, f := range scene.Films() {
		t := study.Touch{
			Title: f.Title, Bout: b, Line: lineID(f.Number), Number: f.Number, Before: f.Before,
			Lamps: &bout.Lamps{Left: f.Lamps.Left, Right: f.Lamps.Right},
			Race:  askOf(i), Invented: true, Note: f.Note,
		}
		for k := range f.Shots {
			s := &f.Shots[k]
			t.Videos = append(t.Videos, study.Video{ID: s.ID, File: fileOf(i, s)})
			t.Takes = append(t.Takes, mark.Take{
				ID: s.ID, Video: s.ID, From: 0, To: mark.Frame(s.Frames - 1),
				Factor: s.Factor, Offset: mark.TrueTime(s.Start),
			})
		}
		all = append(all, t)
	}
	return all
}

// askOf returns what is asked of the race of a touch: body against body at the
// first lunge, then each time whether a straight hit to the hand would have come
// before the attack.
func askOf(i int) study.RaceAsk {
	seen := func(moment string) study.OnsetAsk {
		return study.OnsetAsk{Kind: study.OnsetObserved, Moment: moment}
	}
	reacts := func(cue string, choices int) study.OnsetAsk {
		return study.OnsetAsk{Kind: study.OnsetReaction, Cue: cue, Choices: choices}
	}
	return [Count]study.RaceAsk{
		{From: "hand",
			Left:  study.RunAsk{Action: "lunge", Target: mark.Chest, Onset: seen("hand")},
			Right: study.RunAsk{Action: "extension", Target: mark.Chest, Onset: reacts("visual", 0)}},
		{From: "hand",
			Left:  study.RunAsk{Action: "lunge", Target: mark.Chest, Onset: seen("hand")},
			Right: study.RunAsk{Action: "extension", Target: mark.Hand, Onset: reacts("visual", 0)}},
		{From: "under",
			Left:  study.RunAsk{Action: "lunge", Target: mark.UpperArm, Onset: seen("under")},
			Right: study.RunAsk{Action: "extension", Target: mark.Hand, Onset: reacts("visual", 2)}},
		{From: "counter",
			Left:  study.RunAsk{Action: "lunge", Target: mark.Chest, Onset: seen("take")},
			Right: study.RunAsk{Action: "extension", Target: mark.Hand, Onset: seen("counter")}},
	}[i]
}

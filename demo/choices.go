package demo

import (
	"fmt"

	"mesure/sport/bout"
	"mesure/study"
)

// chosen is what each fencer chose, line by line: left, right, and the measure at which
// the phrase began.
//
// The story is an old one of the salle: the attack that works teaches the parry, the
// parry teaches the feint, the feint teaches the stop hit, and the stop hit is drawn and
// taken (the tactical wheel).
var chosen = [len(sheet)][3]string{
	{"step and lunge", "stop hit", "long"},
	{"step and lunge", "step back", "medium"},
	{"parry", "remise", "medium"},
	{"counter-attack", "attack", "medium"},
	{"parry", "attack", "medium"},
	{"attack", "quarte", "medium"},
	{"attack", "quarte", "medium"},
	{"compound attack", "quarte", "medium"},
	{"counter-time", "stop hit", "medium"},
	{"attack", "stop hit", "medium"},
	{"attack", "stop hit", "short"},
	{"attack", "octave", "medium"},
	{"redoublement", "octave", "medium"},
	{"attack", "attack", "medium"},
	{"compound attack", "stop hit", "long"},
	{"bind", "point in line", "medium"},
	{"attack on preparation", "attack", "long"},
	{"parry", "counter-riposte", "short"},
	{"counter-attack", "attack", "medium"},
	{"parry", "flèche", "long"},
	{"counter-attack", "attack", "short"},
	{"attack", "sixte", "medium"},
	{"compound attack", "sixte", "medium"},
	{"attack", "sixte", "short"},
}

// fenced is how long each phrase of the bout took, in seconds of effective time: the
// clock of the filmed ones stands in their pictures.
var fenced = [len(sheet)]int{6, 5, 7, 5, 5, 3, 11, 12, 11, 8, 18, 17, 15, 9, 26, 17, 20, 24, 12, 10, 7, 16, 14, 9}

// periodLength is that of direct elimination, in seconds (t.39 of the FIE's Technical
// Rules).
const periodLength = 180

// clock is the apparatus: the period and the time left in it after each phrase. A phrase
// that would run over the end of a period is taken as the first of the next.
func clock() (periods [len(sheet)]int, left [len(sheet)]string) {
	period, rest := 1, periodLength
	for i, s := range fenced {
		if s > rest {
			period, rest = period+1, periodLength
		}
		rest -= s
		periods[i], left[i] = period, fmt.Sprintf("%d:%02d", rest/60, rest%60)
	}
	return periods, left
}

// earlier is an invented bout that was fenced before, known by its sheet alone.
type earlier struct {
	id          study.ID
	event, day  string
	left, right string
	clubs       [2]string
	to          int
	// lines are who hit and what both chose.
	lines [][3]string
}

// earlierBouts are what the library knows of the two before: one bout with each other,
// in a pool, and one of each with somebody else.
var earlierBouts = []earlier{
	{"demo-bout-pool", "Spring Cup of Vauselle", "2025-04-12", "Matthis Orlen", "Timo Harrak",
		[2]string{"Cercle d'Armes de Vauselle", "Fechtclub Brannfurt"}, 5, [][3]string{
			{"L", "attack", "quarte"}, {"R", "attack", "quarte"}, {"D", "attack", "stop hit"}, {"R", "parry", "attack"},
			{"L", "compound attack", "quarte"}, {"R", "attack", "quarte"}, {"L", "compound attack", "quarte"}, {"L", "counter-attack", "attack"},
		}},
	{"demo-bout-orlen", "Autumn Épée of Orrelund", "2025-10-18", "Matthis Orlen", "Jory Tamsel",
		[2]string{"Cercle d'Armes de Vauselle", "Salle Norrwick"}, 15, [][3]string{
			{"L", "attack", "parry"}, {"R", "attack", "parry"}, {"L", "compound attack", "parry"}, {"D", "attack", "counter-attack"},
			{"L", "attack", "step back"}, {"R", "parry", "attack"}, {"L", "attack", "counter-attack"}, {"L", "bind", "point in line"},
			{"D", "attack", "attack"}, {"L", "compound attack", "parry"}, {"R", "compound attack", "stop hit"}, {"L", "counter-time", "stop hit"},
			{"L", "attack", "parry"}, {"L", "counter-attack", "attack"}, {"R", "attack", "parry"}, {"L", "attack", "step back"},
			{"D", "attack", "counter-attack"}, {"L", "compound attack", "parry"}, {"L", "attack", "parry"},
		}},
	{"demo-bout-harrak", "Autumn Épée of Orrelund", "2025-10-18", "Ansel Dorv", "Timo Harrak",
		[2]string{"Escrime Sallonde", "Fechtclub Brannfurt"}, 15, [][3]string{
			{"R", "attack", "quarte"}, {"R", "attack", "stop hit"}, {"L", "compound attack", "quarte"}, {"R", "attack", "quarte"},
			{"D", "attack", "attack"}, {"R", "parry", "flèche"}, {"L", "attack", "stop hit"}, {"R", "attack", "octave"},
			{"R", "compound attack", "stop hit"}, {"D", "attack", "stop hit"}, {"L", "counter-attack", "attack"}, {"R", "attack", "quarte"},
			{"R", "attack", "sixte"}, {"R", "step back", "attack"}, {"L", "compound attack", "sixte"}, {"R", "attack", "quarte"},
			{"R", "attack", "stop hit"}, {"D", "attack", "counter-attack"}, {"R", "attack", "quarte"},
		}},
}

// sheetOf writes an earlier bout as its sheet.
func (e earlier) sheetOf() *study.BoutSheet {
	b := bout.Bout{Event: e.event, Date: e.day, Weapon: bout.Epee, Touches: e.to,
		Left: bout.Fencer{Name: e.left, Club: e.clubs[0]}, Right: bout.Fencer{Name: e.right, Club: e.clubs[1]}}
	b.Round = "Table of 16"
	if e.to == 5 {
		b.Round = "Pool 2"
	}
	for i, l := range e.lines {
		b.Sheet = append(b.Sheet, bout.Phrase{ID: lineID(i + 1), Lamps: lamps(l[0][0]), Choices: &bout.Choices{Left: l[1], Right: l[2]}})
	}
	return &study.BoutSheet{Bout: b.Scored(), Invented: true, Note: "A sheet alone: nothing of it was filmed."}
}

// lamps is who hit, by a letter of a sheet.
func lamps(who byte) bout.Lamps { return bout.Lamps{Left: who != 'R', Right: who != 'L'} }

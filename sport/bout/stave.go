package bout

import (
	"slices"
	"strings"
)

// Lean says which way an action goes: towards the opponent, away, or neither.
type Lean int8

// The three ways.
const (
	Back    Lean = -1
	Level   Lean = 0
	Forward Lean = 1
)

// StaveWord is one of the trade's words for an action.
type StaveWord struct {
	Word string
	// About says what it is, in one sentence.
	About string
	Lean  Lean
}

// staveWords are the usual words by line, the most usual first: the common
// language of the salle (no single source).
var staveWords = map[string][]StaveWord{
	"feet": {
		{"step forward", "The front foot goes first, the rear foot follows.", Forward},
		{"step back", "The rear foot goes first, the front foot follows.", Back},
		{"half step forward", "One foot goes forward, the other has not followed yet.", Forward},
		{"half step back", "One foot goes back, the other has not followed yet.", Back},
		{"jump forward", "Both feet leave the floor and land together, closer.", Forward},
		{"jump back", "Both feet leave the floor and land together, further away.", Back},
		{"lunge", "The front foot is thrown forward by the stretch of the rear leg.", Forward},
		{"half lunge", "A lunge that stops short, to draw an answer or to keep balance.", Forward},
		{"step and lunge", "A step forward that runs into a lunge.", Forward},
		{"flèche", "A run that leaves the guard: the rear foot passes the front foot.", Forward},
		{"cross forward", "The rear foot passes in front.", Forward},
		{"cross back", "The front foot passes behind.", Back},
		{"recovery", "Back to guard from a lunge.", Back},
		{"recovery forward", "To guard from a lunge, with the rear foot brought up.", Forward},
		{"appel", "The front foot strikes the floor without going anywhere.", Level},
		{"stop", "The feet stand.", Level},
	},
	"hand": {
		{"extension", "The arm stretches and the point threatens.", Forward},
		{"half extension", "The arm stretches part of the way.", Forward},
		{"withdrawal", "The arm draws back.", Back},
		{"invitation", "A line is opened on purpose.", Level},
		{"feint", "A threat that is meant to be answered, not to hit.", Forward},
		{"duck", "The target is taken away downwards.", Level},
		{"sidestep", "The target is taken away sideways.", Level},
		{"prime", "Parry to the low inside line, point down, hand turned in.", Level},
		{"seconde", "Parry to the low outside line, hand turned down.", Level},
		{"tierce", "Parry to the high outside line, hand turned down.", Level},
		{"quarte", "Parry to the high inside line.", Level},
		{"quinte", "Parry upwards, or low inside, as the school has it.", Level},
		{"sixte", "Parry to the high outside line.", Level},
		{"septime", "Parry to the low inside line.", Level},
		{"octave", "Parry to the low outside line.", Level},
		{"yielding parry", "A parry that gives way to the opponent's hold on the blade.", Back},
	},
	"blade": {
		{"attack", "The first threat, with the arm stretching.", Forward},
		{"counter-attack", "A threat into the opponent's attack.", Forward},
		{"stop hit", "A counter-attack that arrives before the end of the attack.", Forward},
		{"time hit", "A counter-attack that closes the line of the attack.", Forward},
		{"riposte", "The threat after one's own parry.", Forward},
		{"counter-riposte", "The threat after parrying a riposte.", Forward},
		{"remise", "Again in the same line, without drawing back the arm.", Forward},
		{"redoublement", "Again, in another line or with another action, without a riposte to answer.", Forward},
		{"reprise", "Again after a return to guard.", Forward},
		{"counter-time", "An action against the counter-attack that was drawn.", Forward},
		{"point in line", "Arm straight, point threatening, before the opponent begins.", Level},
		{"parry", "The blade turns the attack aside.", Level},
		{"counter parry", "A parry round the opponent's blade.", Level},
		{"beat", "A short blow on the blade.", Forward},
		{"pressure", "The blade presses the other aside.", Forward},
		{"engagement", "The blades meet and stay.", Level},
		{"opposition", "The thrust keeps the line closed with the blade.", Forward},
		{"bind", "The blade is carried from one line into another.", Forward},
		{"croisé", "The blade is carried down in the line on the same side.", Forward},
		{"envelopment", "The blade is carried round in a full circle.", Forward},
		{"glide", "The thrust slides along the blade.", Forward},
		{"disengage", "The point passes under the blade into another line.", Forward},
		{"cut-over", "The point passes over the blade into another line.", Forward},
		{"counter-disengage", "The point follows the blade that follows it.", Forward},
		{"double", "A feint and a full turn round the parry.", Forward},
		{"derobement", "The blade escapes one that seeks it.", Level},
		{"feint", "A threat that is meant to be answered, not to hit.", Forward},
		{"hit", "The point arrives.", Forward},
		{"miss", "The point passes by.", Forward},
	},
}

// StaveWords returns the trade's words for one line of the stave, the most usual
// first; nil for a line that is not one of StaveLines.
func StaveWords(line string) []StaveWord { return slices.Clone(staveWords[line]) }

// LeanOf returns which way an action goes, from its word: that of the trade's
// word, on whatever line; for the coach's own words Back or Forward where they
// say so, else Level.
func LeanOf(word string) Lean {
	word = strings.ToLower(strings.TrimSpace(word))
	for _, line := range StaveLines {
		for _, w := range staveWords[line] {
			if w.Word == word {
				return w.Lean
			}
		}
	}
	for _, part := range strings.FieldsFunc(word, func(r rune) bool { return r == ' ' || r == '-' || r == ',' }) {
		switch part {
		case "back", "backwards", "retreat", "retreats", "recovery", "withdrawal", "break":
			return Back
		case "forward", "advance", "advances", "attack", "lunge", "flèche", "fleche", "extension", "riposte", "remise", "hit", "thrust":
			return Forward
		}
	}
	return Level
}

package bout

// Term is a name that files use, the trade's word for it, and one sentence about
// it where the word does not say it all.
type Term struct{ Name, Word, About string }

// Weapons lists the three weapons.
func Weapons() []Term {
	return []Term{
		{string(Epee), "épée", "The whole body is target; whoever hits first, or both, score."},
		{string(Foil), "foil", "The trunk is target; the referee says who had the priority."},
		{string(Sabre), "sabre", "All above the hips is target; the referee says who had the priority."},
	}
}

// Grips lists the grips that change what a point can do.
func Grips() []Term {
	return []Term{
		{"orthopaedic", "pistol grip", "Shaped to the fingers, held close behind the guard; the rules call it orthopaedic."},
		{"french", "French grip", "Straight; it can be held at the pommel, for reach."},
	}
}

// Cards lists the cards by their weight.
func Cards() []Term {
	return []Term{
		{string(Yellow), "yellow card", "A warning."},
		{string(Red), "red card", "A hit for the opponent."},
		{string(Black), "black card", "Out of the event."},
		{string(PYellow), "P-yellow card", "Unwillingness to fight: a warning, on a scale of its own."},
		{string(PRed), "P-red card", "Unwillingness to fight: a hit for the opponent."},
		{string(PBlack), "P-black card", "Unwillingness to fight: the bout is lost."},
	}
}

// UsualMoments lists the instants of a phrase that are most often set, in the order
// in which they tend to happen.
func UsualMoments() []Term {
	return []Term{
		{"preparation", "preparation begins", "The first movement of the feet, hand or blade that the action grows from."},
		{"search", "blade goes out", "A blade leaves its line to look for the other one."},
		{"launch", "launch", "The first movement that cannot be taken back: the arm goes, or the front foot leaves the floor."},
		{"answer", "answer begins", "The first movement of the opponent that answers."},
		{"contact", "blades meet", "The first touch of steel, in a beat, a taking or a parry."},
		{"parry", "parry", "The attacking point has been turned past its target."},
		{"riposte", "riposte starts", "The point that parried begins to go forward."},
		{"landing", "front foot lands", "The front foot of the lunge is down again."},
		{"hit", "hit", "The point arrives, as far as the picture shows it."},
		{"lamp", "lamp", "The first frame on which a lamp is lit."},
		{"halt", "halt", "Both stop."},
	}
}

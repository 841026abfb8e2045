package demo

import (
	"fmt"
	"math"

	"mesure/demo/scene"
	"mesure/quantity"
	"mesure/sport/bout"
	"mesure/sport/mark"
	"mesure/study"
)

// deed is one action of a phrase as a coach writes it: who, on which line, which word,
// from when to when on the clock of the scene, and what is noted of it. The times are
// those of the scene's own script (package scene).
type deed struct {
	who      mark.Side
	line     string
	word     string
	from, to quantity.Seconds
	note     bout.PhraseNote
}

// deeds are the phrases of the four touches.
var deeds = [Count][]deed{
	{ // a lunge straight into the half step; the parry of quarte is late
		{mark.Left, "feet", "step forward", 0.06, 0.42, bout.PhraseNote{}},
		{mark.Right, "feet", "step back", 0.16, 0.54, bout.PhraseNote{}},
		{mark.Left, "feet", "step forward", 0.52, 0.88, bout.PhraseNote{}},
		{mark.Right, "feet", "half step forward", 0.784, 1.144, bout.PhraseNote{}},
		{mark.Left, "blade", "attack on preparation", 1.023, 1.503, bout.PhraseNote{Target: mark.Chest, Nature: bout.Real, Intention: bout.FirstIntention, Result: bout.Arrived}},
		{mark.Left, "feet", "lunge", 1.071, 1.551, bout.PhraseNote{}},
		{mark.Right, "hand", "quarte", 1.366, 1.606, bout.PhraseNote{Nature: bout.Real, Result: bout.Missed}},
	},
	{ // the same attack again; quarte, and the riposte with a half lunge
		{mark.Right, "feet", "step forward", 0.08, 0.44, bout.PhraseNote{}},
		{mark.Left, "feet", "step back", 0.14, 0.50, bout.PhraseNote{}},
		{mark.Left, "feet", "step forward", 0.54, 0.92, bout.PhraseNote{}},
		{mark.Left, "blade", "attack", 0.987, 1.447, bout.PhraseNote{Target: mark.Chest, Nature: bout.Real, Intention: bout.FirstIntention, Result: bout.Parried}},
		{mark.Left, "feet", "lunge", 1.045, 1.545, bout.PhraseNote{}},
		{mark.Right, "hand", "quarte", 1.232, 1.497, bout.PhraseNote{}},
		{mark.Right, "blade", "riposte", 1.477, 1.767, bout.PhraseNote{Target: mark.Chest, Nature: bout.Real, Result: bout.Arrived}},
		{mark.Right, "feet", "half lunge", 1.487, 1.817, bout.PhraseNote{}},
	},
	{ // a feint inside draws quarte; the disengage goes under it and lands outside
		{mark.Left, "feet", "step forward", 0.06, 0.42, bout.PhraseNote{}},
		{mark.Right, "feet", "step back", 0.14, 0.50, bout.PhraseNote{}},
		{mark.Left, "feet", "step forward", 0.643, 1.023, bout.PhraseNote{}},
		{mark.Left, "blade", "feint", 0.707, 1.007, bout.PhraseNote{Line: "quarte", Target: mark.Chest, Nature: bout.Feigned, Result: bout.Drew}},
		{mark.Right, "hand", "quarte", 0.961, 1.201, bout.PhraseNote{Nature: bout.Real, Result: bout.Missed}},
		{mark.Left, "blade", "disengage", 1.066, 1.567, bout.PhraseNote{Line: "sixte", Target: mark.UpperArm, Nature: bout.Real, Result: bout.Arrived}},
		{mark.Left, "feet", "lunge", 1.134, 1.624, bout.PhraseNote{}},
		{mark.Right, "hand", "sixte", 1.50, 1.74, bout.PhraseNote{Nature: bout.Real, Result: bout.Missed}},
	},
	{ // the same feint in second intention draws the stop hit; quarte, and the hit with opposition
		{mark.Right, "feet", "step back", 0.06, 0.42, bout.PhraseNote{}},
		{mark.Left, "feet", "step forward", 0.10, 0.46, bout.PhraseNote{}},
		{mark.Left, "feet", "step forward", 0.563, 0.943, bout.PhraseNote{}},
		{mark.Left, "blade", "feint", 0.626, 0.886, bout.PhraseNote{Target: mark.Chest, Nature: bout.Feigned, Intention: bout.SecondIntention, Result: bout.Drew}},
		{mark.Right, "blade", "stop hit", 0.884, 1.184, bout.PhraseNote{Target: mark.Hand, Nature: bout.Real, Intention: bout.FirstIntention, Result: bout.Parried}},
		{mark.Left, "hand", "quarte", 0.989, 1.217, bout.PhraseNote{}},
		{mark.Left, "feet", "lunge", 1.103, 1.583, bout.PhraseNote{}},
		{mark.Left, "blade", "counter-time", 1.187, 1.528, bout.PhraseNote{Target: mark.Chest, Nature: bout.Real, Result: bout.Arrived}},
		{mark.Right, "feet", "step back", 1.24, 1.66, bout.PhraseNote{}},
	},
}

// writePhrase puts the phrase of a film on the stave of its touch, on the live take: an action
// goes from the first frame on which it has begun to the first on which it is done.
func writePhrase(t *study.Touch, touch int, f *scene.Film) {
	live := &f.Shots[0]
	frame := func(at quantity.Seconds) mark.Frame {
		n := mark.Frame(math.Ceil(float64(at-live.Start)*scene.FrameRate*live.Factor - 1e-9))
		return max(0, min(n, mark.Frame(live.Frames-1)))
	}
	for i, d := range deeds[touch] {
		a := bout.Action{ID: fmt.Sprintf("action-%d", i+1), Who: d.who, Line: d.line, Word: d.word, Take: live.ID, From: frame(d.from), To: frame(d.to)}
		t.Actions = append(t.Actions, a)
		if d.note != (bout.PhraseNote{}) {
			d.note.ActionID = a.ID
			t.Notes = append(t.Notes, d.note)
		}
	}
}

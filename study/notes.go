package study

import (
	"cmp"
	"fmt"
	"slices"

	"mesure/sport/mark"
)

// Kinds of notes beside those of the contract.
const (
	NoteNoRiposte = "parry-without-riposte"
	NoteReachBand = "only-one-reaches"
	NoteRoom      = "room-to-retreat"
	NoteBodySpeed = "peak-body-speed"
	NoteCompound  = "cost-of-the-feint"
	NoteInTime    = "answer-in-time"
	NoteGuess     = "answer-before-the-cue"
)

// noteSure is how likely an observation must be to be noted; below it and above even
// chance only the questions that a coach asks of every attack are answered, with "may".
const noteSure = 0.75

// noting gathers the notes of one instant.
type noting struct {
	t    *Touch
	r    *Reading
	x    *Timing
	list []Note
}

// readNotes are the observations that the numbers of an instant allow, the weightiest
// first; of equal weight by their IDs. A note rests on a measure and holds it against a
// reference that it names; where the chance that it holds is below noteSure there is no
// note, or one that says "may". What the distance asked for is never held against a
// fencer. Parts of the timing that are missing give no notes. Notes that the coach has
// dismissed are in the list and say so.
func readNotes(t *Touch, r *Reading, x *Timing) []Note {
	if t == nil || r == nil || x == nil {
		return nil
	}
	n := &noting{t: t, r: r, x: x}
	n.order()
	n.launch()
	n.bodies()
	n.parry()
	n.answer()
	n.measure()
	n.movement()
	slices.SortStableFunc(n.list, func(a, b Note) int {
		return cmp.Or(cmp.Compare(b.Weight, a.Weight), cmp.Compare(a.ID, b.ID))
	})
	return n.list
}

// add notes something of a fencer at a frame. Weight is how sure it is times how large
// it is, both from 0 to 1.
func (n *noting) add(kind string, who mark.Side, at At, sure, size float64, text, reference string) {
	id := fmt.Sprintf("%s-%s-%s-%d", kind, who, at.Take, at.Frame)
	if slices.ContainsFunc(n.list, func(o Note) bool { return o.ID == id }) {
		return
	}
	w := min(1, max(0, sure)) * min(1, max(0, size))
	n.list = append(n.list, Note{ID: id, Kind: kind, Who: who, Text: text, Reference: reference, At: at, Weight: w,
		Dismissed: slices.Contains(n.t.Dismissed, id)})
}

// launchAt is the frame of the launch, where one is known.
func (n *noting) launchAt() (At, *Launch, bool) {
	if n.x.Started == nil || n.x.Started.Launch == nil {
		return At{}, nil, false
	}
	l := n.x.Started.Launch
	return At{l.Take, l.By}, l, true
}

// startOf is the start of one part of a fencer in the phrase.
func (n *noting) startOf(s mark.Side, part string) (StartOf, bool) {
	if n.x.Started != nil {
		for _, e := range n.x.Started.Starts {
			if e.Side == int(s) && e.Part == plain(part) {
				return e, true
			}
		}
	}
	return StartOf{}, false
}

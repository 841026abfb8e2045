package study

import (
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"fmt"
	"slices"
)

// Refusal says why an input of a touch cannot be used: where, what, and how to
// mend it.
type Refusal struct {
	// At is the JSON pointer (RFC 6901) of the place in the touch file.
	At string
	// What is wrong there, and how to mend it.
	What, Mend string
	// Because is the error of another room, or nil.
	Because error
}

// Error returns the refusal in one line.
func (r *Refusal) Error() string {
	s := r.What
	if r.At != "" {
		s = r.At + ": " + s
	}
	if r.Mend != "" {
		s += ": " + r.Mend
	}
	return s
}

// Unwrap returns the error of the other room.
func (r *Refusal) Unwrap() error { return r.Because }

// inputsHash names everything that a reading follows from. A video whose content
// is known counts by its content, wherever the file lies.
func inputsHash(t *Touch, o ReadOptions) string {
	same := *t
	same.Videos = slices.Clone(t.Videos)
	for i := range same.Videos {
		if same.Videos[i].SHA256 != "" {
			same.Videos[i].File = ""
		}
	}
	body, err := json.Marshal(struct {
		Touch   *Touch
		Seed    uint64
		Draws   int
		Version string
		// Followed is left out where nothing is, so that such readings keep their name.
		Followed []string `json:",omitempty"`
		// Known likewise.
		Known []string `json:",omitempty"`
		// Bout likewise.
		Bout *boutInputs `json:",omitempty"`
	}{&same, o.Seed, o.Draws, Version, o.Following.keys(), knownKeys(o.Known), boutAsked(o.Tactics)})
	if err != nil {
		// Only a NaN can do this; no reader lets one through, and the reading of
		// such a touch is refused by the placing.
		body = fmt.Appendf(nil, "%v", err)
	}
	sum := sha256.Sum256(body)
	return hex.EncodeToString(sum[:])
}

// boutInputs are the inputs of the tactics: without the reading, which follows from the
// touch, and the order of the actions, which follows from the touches.
type boutInputs struct {
	TacticsAsk
	Reading struct{} `json:",omitzero"`
	Seen    []seenInputs
}

type seenInputs struct {
	SeenTouch
	When struct{} `json:",omitzero"`
}

func boutAsked(a *TacticsAsk) *boutInputs {
	if a == nil {
		return nil
	}
	in := &boutInputs{TacticsAsk: *a}
	for _, s := range a.Seen {
		in.Seen = append(in.Seen, seenInputs{SeenTouch: s})
	}
	return in
}

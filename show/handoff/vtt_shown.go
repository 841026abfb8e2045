package handoff

import "mesure/quantity"

// Screen is what of a caption stands at one time: at most ScreenLines lines of at most
// LineLetters letters.
type Screen struct {
	From, To quantity.Seconds
	Lines    []string
}

// Screens lays captions out as WriteVTT does, for a picture that has them burnt in. A
// cue without words has none. It returns the error of WriteVTT.
func Screens(cues []Cue) ([]Screen, error) {
	all, err := screens(cues)
	if err != nil {
		return nil, err
	}
	var out []Screen
	for _, s := range all {
		if len(s.lines) > 0 {
			out = append(out, Screen{quantity.Seconds(s.from) / 1000, quantity.Seconds(s.to) / 1000, s.lines})
		}
	}
	return out, nil
}

package study

import "mesure/quantity"

// BoutOrder holds the repeats of a sequence against every order of the same choices.
type BoutOrder struct {
	Repeats  int            `json:"repeats"`
	Expected quantity.Ratio `json:"expected"`
	// SoMany and SoFew are the chances of at least and at most so many repeats.
	SoMany quantity.Chance `json:"so_many"`
	SoFew  quantity.Chance `json:"so_few"`
	// Says is "repeats", "alternates" or empty.
	Says string `json:"says,omitempty"`
}

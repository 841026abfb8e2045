package timing

import "fmt"

// InputError says which number of a race cannot be used, and why.
type InputError struct {
	// Field is where, such as "left gap".
	Field string
	Value float64
	// Want says what would do.
	Want string
}

// Error says where, what and how to mend it.
func (e *InputError) Error() string {
	return fmt.Sprintf("%s is %g: it must be %s", e.Field, e.Value, e.Want)
}

// BothReactError says that each fencer was said to react to the other, so that
// nobody starts.
type BothReactError struct{}

// Error says what would mend it.
func (*BothReactError) Error() string {
	return "both fencers are said to react to the other: let one of them start at an observed moment or with the race"
}

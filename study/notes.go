package study

// readNotes are the observations that the numbers of an instant allow.
func readNotes(t *Touch, r *Reading, x *Timing) []Note { return nil }

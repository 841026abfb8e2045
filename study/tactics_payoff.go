package study

// payoffs values every pair of choices before the touch asked about.
func (x *tacticsRun) payoffs() error { return nil }

package study

// thread lists the earlier touches and why they bear on the one asked about.
func (x *tacticsRun) thread() error { return nil }

// tell writes the story.
func (x *tacticsRun) tell() error { return nil }

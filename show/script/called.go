package script

import (
	"mesure/sport/mark"
	"mesure/study"
)

// Called is how the fencers of a reading are called, for what stands beside a script: a
// sheet calls them as the script does.
type Called struct{ c calling }

// CalledIn takes the names of a reading; an empty Naming is Named.
func CalledIn(r *study.Reading, n Naming) Called {
	if n == "" {
		n = Named
	}
	return Called{callingOf(r, n)}
}

// Say is what sentences call a fencer, Full what presents one.
func (c Called) Say(s mark.Side) string { return c.c.say[s] }

// Full is the whole name where names may be said, else what Say returns.
func (c Called) Full(s mark.Side) string { return c.c.full[s] }

// Title is the coach's title of the touch; empty where it may not be said.
func (c Called) Title(r *study.Reading) string { return c.c.title(r.Touch.Title) }

// Hide puts what the fencers are called in the place of their names; it leaves a text
// alone where names may be said.
func (c Called) Hide(text string) string { return c.c.hide(text) }

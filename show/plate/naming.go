package plate

import (
	"slices"
	"strings"
	"unicode"
	"unicode/utf8"

	"golang.org/x/text/unicode/norm"

	"mesure/show/draw"
	"mesure/sport/mark"
)

// Naming is how fencers are called.
type Naming string

// The ways to call a fencer; the empty one is Named. With Anonymous the sides stand for the
// fencers, and the names of clubs and events are left out too.
const (
	Named     Naming = "names"
	Initials  Naming = "initials"
	Anonymous Naming = "anonymous"
)

// IsValid says that this is a way to call a fencer.
func (n Naming) IsValid() bool {
	return n == "" || n == Named || n == Initials || n == Anonymous
}

// Hides says that names must not be written out.
func (n Naming) Hides() bool { return n == Initials || n == Anonymous }

// Calling is what the two fencers are called in a picture.
type Calling struct {
	Naming Naming
	// Say is what stands for each side: always letters that the fonts have, of which there
	// are at most 32.
	Say [2]string
	// Lacking are the characters of each name that the fonts lack; where there are some,
	// Say is less than the name.
	Lacking [2][]rune
	names   [2]string
}

// Call finds what to call two fencers of these names, by side; an empty name is not known.
// A name with letters that the fonts lack is told by its initials as far as they have
// those, else by the side; a sign that is no letter is left out. Where both would be called
// alike, the sides stand.
func Call(n Naming, names [2]string) Calling {
	c := Calling{Naming: n, names: names}
	for _, s := range mark.Sides {
		name := OneName(names[s])
		c.Say[s] = Name(s)
		if n == Anonymous || name == "" {
			continue
		}
		written := writable(name)
		c.Lacking[s] = draw.Lacks(name, draw.Sans)
		switch {
		case n == Initials || len(draw.Lacks(written, draw.Sans)) > 0:
			i := strings.Map(func(r rune) rune {
				if slices.Contains(c.Lacking[s], r) {
					return -1
				}
				return r
			}, InitialsOf(norm.NFC.String(name)))
			if i != "" {
				c.Say[s] = i
			}
		case written != "":
			c.Say[s] = ShortName(Typeset(written), Name(s))
		}
	}
	if c.Say[mark.Left] == c.Say[mark.Right] {
		c.Say = [2]string{Name(mark.Left), Name(mark.Right)}
	}
	return c
}

// Rename puts what the fencers are called in the place of their names in a sentence that
// was written with them, whole names and single words of them.
func (c Calling) Rename(s string) string {
	if c.Naming == Anonymous {
		return Unnamed(s, c.names)
	}
	return renamed(s, c.names, c.Say, c.Naming == Initials)
}

// Note says in one sentence which name the pictures could not write, and what stands for
// it; empty where they could.
func (c Calling) Note() string {
	var all []string
	for _, s := range mark.Sides {
		if len(c.Lacking[s]) == 0 || c.Naming == Anonymous || c.Say[s] == OneName(c.names[s]) {
			continue
		}
		all = append(all, "the fonts of the pictures lack "+SignsOf(c.Lacking[s])+": there “"+c.Say[s]+"” stands for "+s.String()+"’s name")
	}
	return Sentences(all...)
}

// SignsOf lists the first of some characters, for a sentence about them.
func SignsOf(all []rune) string {
	const most = 3
	if len(all) > most {
		return "“" + string(all[:most]) + "” and others"
	}
	return "“" + string(all) + "”"
}

// writable leaves out what the fonts lack and is no letter: pictures, signs, invisible
// characters.
func writable(s string) string {
	lacks := map[rune]bool{}
	for _, r := range draw.Lacks(s, draw.Sans) {
		lacks[r] = true
	}
	return OneName(strings.Map(func(r rune) rune {
		if lacks[r] && !unicode.IsLetter(r) && !unicode.IsMark(r) || unicode.In(r, unicode.Cf, unicode.Cc, unicode.Variation_Selector) && !unicode.IsSpace(r) {
			return -1
		}
		return r
	}, norm.NFC.String(s)))
}

// OneName makes one line of a name.
func OneName(s string) string { return strings.Join(strings.Fields(s), " ") }

// InitialsOf are the first letters of the words of a name, as capitals and without full
// stops, because a sentence may end with them.
func InitialsOf(name string) string {
	s := ""
	for _, w := range strings.Fields(name) {
		if first, _ := utf8.DecodeRuneInString(w); unicode.IsLetter(first) {
			s += string(unicode.ToUpper(first))
		}
	}
	return s
}

// mostOfName is how many letters of a name are told: more would hide what is said of it.
const mostOfName = 32

// ShortName keeps the last words of a long name; instead, where not even one is short
// enough.
func ShortName(name, instead string) string {
	ws := strings.Fields(name)
	for len(ws) > 1 && utf8.RuneCountInString(strings.Join(ws, " ")) > mostOfName {
		ws = ws[1:]
	}
	if name = strings.Join(ws, " "); utf8.RuneCountInString(name) > mostOfName {
		return instead
	}
	return name
}

// mostOfEvent is how many letters of an event stand in a source line.
const mostOfEvent = 60

// EventName is the name of an event as a source line has it: on one line, and cut at its
// end where it is long.
func EventName(s string) string {
	s = OneName(s)
	if utf8.RuneCountInString(s) <= mostOfEvent {
		return s
	}
	return strings.TrimRightFunc(string([]rune(s)[:mostOfEvent-1]), unicode.IsSpace) + "…"
}

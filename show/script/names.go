package script

import (
	"slices"
	"strings"
	"unicode"
	"unicode/utf8"

	"mesure/show/plate"
	"mesure/sport/mark"
	"mesure/study"
)

// calling is how the two fencers are called, and what must not be said.
type calling struct {
	naming Naming
	// say is used in every line but the one that presents the fencers, which has full.
	say, full [2]string
	// known are names by side as touch and sheet have them, the whole ones first.
	known []knownName
}

type knownName struct {
	name string
	side mark.Side
}

// callingOf takes the names of the touch, else of the tactics.
func callingOf(r *study.Reading, n Naming) calling {
	c := calling{naming: n}
	var initial [2]string
	for _, s := range mark.Sides {
		all := []string{plate.OneName(r.Touch.Bout.Fencer(s).Name)}
		if r.Tactics != nil {
			all = append(all, plate.OneName(r.Tactics.Names[s]))
		}
		c.say[s], c.full[s] = plate.Name(s), plate.Name(s)
		for i := len(all) - 1; i >= 0; i-- {
			if all[i] == "" {
				continue
			}
			initial[s] = plate.InitialsOf(all[i])
			if n == Named {
				c.say[s] = short(all[i])
				c.full[s] = plate.ShortName(all[i], c.full[s])
			}
			c.known = append(c.known, knownName{all[i], s})
			for _, w := range strings.Fields(all[i]) {
				if first, _ := utf8.DecodeRuneInString(w); !unicode.IsLower(first) && utf8.RuneCountInString(w) > 1 { // not "von", "de", nor an initial
					c.known = append(c.known, knownName{w, s})
				}
			}
		}
	}
	for _, s := range mark.Sides {
		if n == Named && (c.say[0] == c.say[1] || c.say[s] == "") {
			c.say = c.full
		}
	}
	// Initials that are alike tell nobody apart: then the sides stand.
	if n == Initials && initial[0] != initial[1] {
		for _, s := range mark.Sides {
			if initial[s] != "" {
				c.say[s], c.full[s] = initial[s], initial[s]
			}
		}
	}
	slices.SortStableFunc(c.known, func(a, b knownName) int {
		if d := len(b.name) - len(a.name); d != 0 {
			return d
		}
		return strings.Compare(a.name, b.name)
	})
	return c
}

// short is the family name of two words: the one in capitals, as results are printed,
// else the second. Any other name is said whole; empty is one that is too long.
func short(name string) string {
	ws := strings.Fields(name)
	if len(ws) != 2 {
		return plate.ShortName(name, "")
	}
	loud := func(w string) bool {
		return utf8.RuneCountInString(w) > 2 && w == strings.ToUpper(w) && w != strings.ToLower(w)
	}
	if loud(ws[0]) && !loud(ws[1]) {
		return plate.ShortName(ws[0], "")
	}
	return plate.ShortName(ws[1], "")
}

// title is the coach's title of the touch, where it may be said.
func (c calling) title(s string) string {
	if c.naming == Anonymous {
		return ""
	}
	return plate.Typeset(c.hide(plate.OneName(s)))
}

// hide puts what the fencers are called in the place of their names, whole ones and
// single words of them, as they are written and in capitals. It leaves a text alone
// where names may be said.
func (c calling) hide(s string) string {
	if c.naming == Named {
		return s
	}
	var b strings.Builder
	for i := 0; i < len(s); {
		n, side := c.nameAt(s, i)
		if n == 0 {
			_, n = utf8.DecodeRuneInString(s[i:])
			b.WriteString(s[i : i+n])
		} else {
			b.WriteString(c.say[side])
		}
		i += n
	}
	return b.String()
}

// nameAt is how long the longest name is that stands at i as a word, and whose. A word
// that both are called by is given to the left: it is hidden all the same.
func (c calling) nameAt(s string, i int) (int, mark.Side) {
	before, _ := utf8.DecodeLastRuneInString(s[:i])
	inside := i > 0 && inWord(before)
	for _, k := range c.known {
		// A script without capitals sets no spaces about a name either: there it is hidden
		// wherever it stands.
		first, _ := utf8.DecodeRuneInString(k.name)
		cased := unicode.IsUpper(first) || unicode.IsLower(first)
		if cased && inside {
			continue
		}
		for _, as := range []string{k.name, strings.ToUpper(k.name)} {
			if !strings.HasPrefix(s[i:], as) {
				continue
			}
			if after, _ := utf8.DecodeRuneInString(s[i+len(as):]); cased && i+len(as) < len(s) && inWord(after) {
				continue
			}
			return len(as), k.side
		}
	}
	return 0, 0
}

func inWord(r rune) bool { return unicode.IsLetter(r) || unicode.IsMark(r) }

// sided puts what the fencers are called in the place of the sides of a sentence that
// was written without names: "Left’s hand", "right’s step".
func (c calling) sided(s string) string {
	for _, side := range mark.Sides {
		if c.say[side] == plate.Name(side) {
			continue
		}
		for _, w := range []string{plate.Name(side), side.String()} {
			s = replaced(s, w+"’s", c.say[side]+"’s")
		}
		if rest, ok := strings.CutPrefix(s, plate.Name(side)+" "); ok {
			s = c.say[side] + " " + rest
		}
	}
	return s
}

// replaced replaces a word where no letter stands before it.
func replaced(s, word, with string) string {
	var b strings.Builder
	for {
		i := strings.Index(s, word)
		if i < 0 {
			return b.String() + s
		}
		before, _ := utf8.DecodeLastRuneInString(s[:i])
		b.WriteString(s[:i])
		if i > 0 && inWord(before) {
			b.WriteString(word)
		} else {
			b.WriteString(with)
		}
		s = s[i+len(word):]
	}
}

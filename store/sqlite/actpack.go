package sqlite

import (
	"encoding/binary"
	"errors"
	"slices"

	"mesure/study"
)

// packVersion counts the ways in which acts were packed. An index of another one is made
// anew, so no other need ever be read.
const packVersion = 1

// packActs writes what differs between the acts of a run, one after the other: line,
// number, choice, answer, both scores, measure, outcome. A number is a varint, a string
// its length as one and its bytes.
func packActs(acts []study.Act) []byte {
	p := make([]byte, 0, 64*len(acts))
	number := func(n int) { p = binary.AppendVarint(p, int64(n)) }
	word := func(s string) {
		number(len(s))
		p = append(p, s...)
	}
	for _, a := range acts {
		word(a.Line)
		number(a.Number)
		word(a.Choice)
		word(a.Answer)
		number(a.Mine)
		number(a.Theirs)
		word(a.Measure)
		word(a.Outcome)
	}
	return p
}

var errPacked = errors.New("they cannot be read")

// unpacker reads packed acts. Words come again and again, so each is kept once.
type unpacker struct {
	words map[string]string
	left  []byte
	bad   bool
}

func (u *unpacker) number() int {
	n, size := binary.Varint(u.left)
	if size <= 0 {
		u.bad, size = true, 0
	}
	u.left = u.left[size:]
	return int(n)
}

func (u *unpacker) word() string {
	n := u.number()
	if u.bad || n < 0 || n > len(u.left) {
		u.bad = true
		return ""
	}
	s, known := u.words[string(u.left[:n])] // no copy is made to look it up
	if !known {
		s = string(u.left[:n])
		u.words[s] = s
	}
	u.left = u.left[n:]
	return s
}

// unpack adds the packed acts to those before; each has what like says, too.
func (u *unpacker) unpack(all []study.Act, like study.Act, packed []byte) ([]study.Act, error) {
	u.left, u.bad = packed, false
	for len(u.left) > 0 {
		a := like
		a.Line, a.Number = u.word(), u.number()
		a.Choice, a.Answer = u.word(), u.word()
		a.Mine, a.Theirs = u.number(), u.number()
		a.Measure, a.Outcome = u.word(), u.word()
		if u.bad {
			return nil, errPacked
		}
		if len(all) == cap(all) { // twice as much: a long list is copied seldom
			all = slices.Grow(all, len(all)+64)
		}
		all = append(all, a)
	}
	return all, nil
}

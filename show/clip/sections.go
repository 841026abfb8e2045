package clip

import (
	"fmt"
	"path/filepath"
)

// section is one file of a shot: so many frames of it from one on, shown so many times in a
// row. What stands for long is drawn and encoded for a second and joined again and again:
// its pictures are the same, and so is every group of pictures that an encoder makes of
// them.
type section struct {
	*bound
	from, frames, times int
}

// longStanding is how many seconds must stand so that it is worth a file of its own: one
// costs about what encoding a second does.
const longStanding = 3

// sections are the files of a shot, in order.
func (b *bound) sections() []section {
	var all []section
	plain := 0 // where frames begin that are in no section yet
	flush := func(to int) {
		if to > plain {
			all = append(all, section{b, plain, to - plain, 1})
		}
	}
	rate := b.st.form.Rate
	for i := 0; i < b.count; {
		end := i + 1
		for end < b.count && b.stands(i) && b.stands(end) && b.captionAt(end) == b.captionAt(i) {
			end++
		}
		if end-i >= longStanding*rate {
			// What is over goes with what came before, else with what comes after.
			from, over := i, (end-i)%rate
			if plain < i {
				from += over
				flush(from)
			}
			times := (end - i) / rate
			all = append(all, section{b, from, rate, times})
			plain = from + rate*times
		}
		i = end
	}
	flush(b.count)
	return all
}

// stands says that nothing of the picture moves on frame i, captions aside.
func (b *bound) stands(i int) bool {
	return b.main == nil || b.Kind == Hold || b.moving() && b.moves > 0 && i >= b.moves
}

// captionAt is the index of the text that stands on frame i; −1 where none does.
func (b *bound) captionAt(i int) int {
	if !b.st.burnt() {
		return -1
	}
	t := float64(i) / float64(b.st.form.Rate)
	n := -1
	for k, x := range b.texts {
		if t >= float64(x.From)-1e-9 && t < float64(x.To)-1e-9 {
			n = k
		}
	}
	return n
}

// in is where a section is kept: ending tells pieces of the clip and overlays apart.
func (p section) in(cache, ending string) string {
	name := p.key
	if p.frames < p.count {
		name += fmt.Sprintf("-%d-%d", p.from, p.frames)
	}
	return filepath.Join(cache, name+ending)
}

// sections are those of every shot, in the order of the clip.
func (f *Film) sections() []section {
	var all []section
	for _, b := range f.shots {
		all = append(all, b.sections()...)
	}
	return all
}

// Drawn says that a piece of the clip is kept in this folder, whole.
func (f *Film) Drawn(cache string, p Piece) bool {
	for _, b := range f.shots {
		if b.key != p.Key {
			continue
		}
		for _, x := range b.sections() {
			if !finishedPiece(x.in(cache, f.pieceEnding())) {
				return false
			}
		}
		return true
	}
	return false
}

func (f *Film) pieceEnding() string { return "." + f.form.File }

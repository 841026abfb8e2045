package script

import (
	"errors"
	"slices"
	"strings"
	"unicode/utf8"

	"mesure/study"
)

// errNoScript is a caller's mistake.
var errNoScript = errors.New("script: no script to refresh")

// Why something of a script is stale.
const (
	StaleNumber = "number" // frozen, and printed otherwise today
	StaleGone   = "gone"   // the reading no longer has the number
	StaleClaim  = "claim"  // the words of an edited line are no longer what is found
)

// Stale is one thing in a script that no longer agrees with the measurement.
type Stale struct {
	Why string `json:"why"`
	// Part, Line and Piece are indices in the script; Piece is −1 where all of the line
	// is meant.
	Part  int    `json:"part"`
	Line  int    `json:"line"`
	Piece int    `json:"piece"`
	Ref   string `json:"ref,omitempty"`
	// Was is what the script has, Now what is found today; Now is empty where nothing is.
	Was string `json:"was"`
	Now string `json:"now,omitempty"`
}

// Refresh binds a script to a newer reading. It changes neither of the two.
//
// A line that was not edited becomes what is drafted today, or goes where nothing is to
// be said any more. An edited line keeps its words: its live numbers are printed anew, a
// frozen one that would be printed otherwise is told as stale, a number that is gone is
// kept, frozen and told, and so is a line whose claim no longer stands. A line that was
// never offered before comes in at its place; one that the coach left out stays out, and
// one of the coach's own (see OwnKey) stays. It returns the errors of Draft.
func Refresh(old *Script, r *study.Reading) (*Script, []Stale, error) {
	if old == nil {
		return nil, nil, errNoScript
	}
	today, err := Draft(r, old.Options)
	if err != nil {
		return nil, nil, err
	}
	o, lang, err := old.Options.whole()
	if err != nil {
		return nil, nil, err
	}
	f := factsOf(r, callingOf(r, o.Names), lang)
	out := &Script{Options: o, Inputs: today.Inputs, Title: today.Title, Parts: []Part{}, Offered: slices.Clone(old.Offered)}
	for _, k := range today.Offered {
		if !slices.Contains(out.Offered, k) {
			out.Offered = append(out.Offered, k)
		}
	}
	drafted := map[string]Line{}
	for _, p := range today.Parts {
		for _, l := range p.Lines {
			drafted[offer(p.Kind, l)] = l
		}
	}
	var stale []Stale
	for _, p := range merged(old, today) {
		fresh := Part{Kind: p.Kind}
		for _, l := range p.Lines {
			now, there := drafted[offer(p.Kind, l)]
			if !l.Edited && !l.Own() {
				if there {
					fresh.Lines = append(fresh.Lines, now)
				}
				continue
			}
			at := Stale{Part: len(out.Parts), Line: len(fresh.Lines), Piece: -1}
			if l.Key != "" && !l.Own() && (!there || now.Claim != l.Claim) {
				at.Why, at.Was, at.Now = StaleClaim, l.String(), now.String()
				stale = append(stale, at)
			}
			l, some := f.renewed(l, at)
			fresh.Lines, stale = append(fresh.Lines, l), append(stale, some...)
		}
		if len(fresh.Lines) > 0 {
			out.Parts = append(out.Parts, fresh)
		}
	}
	out.Sources = f.used(out)
	return out, stale, nil
}

// merged are the parts of the old script, with the lines of today's that were never
// offered behind those that they follow in the draft.
func merged(old, today *Script) []Part {
	var all []Part
	for _, p := range old.Parts {
		all = append(all, Part{p.Kind, slices.Clone(p.Lines)})
	}
	for _, p := range today.Parts {
		at := slices.IndexFunc(all, func(x Part) bool { return x.Kind == p.Kind })
		if at < 0 { // behind every part that stands before it
			at = 0
			for at < len(all) && slices.Index(partKinds[:], all[at].Kind) < slices.Index(partKinds[:], p.Kind) {
				at++
			}
			all = slices.Insert(all, at, Part{Kind: p.Kind})
		}
		after := 0
		for _, l := range p.Lines {
			lines := all[at].Lines
			if i := slices.IndexFunc(lines, func(x Line) bool { return x.Key == l.Key }); i >= 0 {
				after = i + 1
			} else if !slices.Contains(old.Offered, offer(p.Kind, l)) {
				all[at].Lines = slices.Insert(lines, after, l)
				after++
			}
		}
	}
	return all
}

// renewed prints the live numbers of an edited line anew.
func (f *facts) renewed(l Line, at Stale) (Line, []Stale) {
	var stale []Stale
	pieces := make([]Piece, len(l.Pieces))
	for i, p := range l.Pieces {
		now, there := f.all[p.Ref]
		at.Piece, at.Ref, at.Was, at.Now = i, p.Ref, p.Text, now.Text
		switch {
		case p.Ref == "":
		case !there:
			p.Frozen = true
			at.Why = StaleGone
			stale = append(stale, at)
		case p.Frozen && p.Text != now.Text:
			at.Why = StaleNumber
			stale = append(stale, at)
		case !p.Frozen:
			p.Text = now.Text
		}
		pieces[i] = p
	}
	l.Pieces = pieces
	return l, stale
}

// OwnKey begins the key of a line that the coach added: nothing was drafted that it
// could go on from.
const OwnKey = "own-"

// Own reports whether the coach added a line.
func (l Line) Own() bool { return strings.HasPrefix(l.Key, OwnKey) }

// Edit gives a line the coach's words. Numbers that stand in them as the line prints
// them, in their order, stay bound; a number that is typed by hand is plain words: see
// Unbound.
func (l *Line) Edit(text string) {
	var out []Piece
	plain := func(s string) {
		if s != "" {
			out = append(out, Piece{Text: s})
		}
	}
	rest := text
	for _, p := range l.Pieces {
		if p.Ref == "" {
			continue
		}
		i := findFigure(rest, p.Text)
		if i < 0 {
			continue
		}
		plain(rest[:i])
		out = append(out, p)
		rest = rest[i+len(p.Text):]
	}
	plain(rest)
	l.Pieces, l.Edited = out, true
}

// findFigure finds a printed number that is not a part of a longer one.
func findFigure(s, figure string) int {
	for from := 0; ; {
		i := strings.Index(s[from:], figure)
		if i < 0 || figure == "" {
			return -1
		}
		i += from
		before, _ := utf8.DecodeLastRuneInString(s[:i])
		after, _ := utf8.DecodeRuneInString(s[i+len(figure):])
		if !isDigit(before) && before != '.' && before != '−' && !isDigit(after) {
			return i
		}
		from = i + 1
	}
}

func isDigit(r rune) bool { return r >= '0' && r <= '9' }

// Freeze keeps the numbers of a line as they are printed, or lets them live again.
func (l *Line) Freeze(frozen bool) {
	l.Pieces = append([]Piece(nil), l.Pieces...)
	for i := range l.Pieces {
		if l.Pieces[i].Ref != "" {
			l.Pieces[i].Frozen = frozen
		}
	}
	l.Edited = true
}

// Unbound are the plain words of a line that have a digit in them: numbers that nothing
// measured stands behind.
func (l Line) Unbound() []string {
	var all []string
	for _, p := range l.Pieces {
		if p.Ref == "" && strings.ContainsFunc(p.Text, isDigit) {
			all = append(all, p.Text)
		}
	}
	return all
}

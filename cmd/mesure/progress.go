package main

import (
	"fmt"
	"strings"
	"sync"
	"time"
	"unicode/utf8"
)

// progress tells how far a long task is: a bar that redraws itself on a
// terminal, and elsewhere a line when it starts and one at every quarter, but
// not more than one a second. It writes to the error stream
// only, so that what a command found stays clean. It may be called from several
// goroutines.
type progress struct {
	t     *terminal
	label string

	mu    sync.Mutex
	shown int // per cent last shown; −1 before the first
	said  time.Time
	ended bool
}

// Widths and steps of a progress bar.
const (
	barCells   = 24 // cells of the bar itself
	wholeShare = 100
	plainStep  = 25 // per cent between two plain lines
	plainPause = time.Second
)

// start begins a task; end must be called.
func (t *terminal) start(label string) *progress {
	p := &progress{t: t, label: label, shown: -1}
	p.set(0)
	return p
}

// set shows the share done, between 0 and 1. Going back is ignored.
func (p *progress) set(share float64) {
	percent := int(max(0, min(share, 1)) * wholeShare)
	p.mu.Lock()
	defer p.mu.Unlock()
	if p.ended || percent <= p.shown {
		return
	}
	switch {
	case p.t.live:
		fmt.Fprintf(p.t.err, "\r%s\x1b[K", p.line(percent))
	case p.shown < 0:
		fmt.Fprintln(p.t.err, p.label)
		p.said = time.Now()
	case percent/plainStep == p.shown/plainStep:
		return
	case time.Since(p.said) > plainPause:
		fmt.Fprintf(p.t.err, "%s: %d %%\n", p.label, percent)
		p.said = time.Now()
	}
	p.shown = percent
}

// line is the bar with its label, cut to the terminal.
func (p *progress) line(percent int) string {
	full := percent * barCells / wholeShare
	bar := strings.Repeat("━", full) + strings.Repeat("┄", barCells-full)
	tail := fmt.Sprintf("  %s %3d %%", bar, percent)
	label := p.label
	if room := p.t.columns - utf8.RuneCountInString(tail) - 1; utf8.RuneCountInString(label) > room && room > 1 {
		label = string([]rune(label)[:room-1]) + "…"
	}
	return label + tail
}

// end takes the bar away, so that the result stands alone.
func (p *progress) end() {
	p.mu.Lock()
	defer p.mu.Unlock()
	if !p.ended && p.t.live {
		fmt.Fprint(p.t.err, "\r\x1b[K")
	}
	p.ended = true
}

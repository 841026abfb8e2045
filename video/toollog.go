package video

import (
	"bufio"
	"io"
	"strconv"
	"strings"
	"sync"
)

// keptLines is how many complaints are kept of a tool that goes on complaining.
const keptLines = 40

// shownInfo is what the filter showinfo says of one frame.
type shownInfo struct {
	// pts in units of the time base; known is false where there is none.
	pts        int64
	known      bool
	interlaced bool
	// bottom is true where the lower field is the earlier one.
	bottom bool
}

// toolLog reads what a tool says while it runs: complaints, and the time stamp
// of every frame that passed the filter showinfo.
type toolLog struct {
	done chan struct{}

	mu     sync.Mutex
	more   *sync.Cond
	closed bool
	shown  []shownInfo
	taken  int
	num    int64
	den    int64
	said   []string
}

func newToolLog() *toolLog {
	l := &toolLog{done: make(chan struct{}), num: 1, den: 1}
	l.more = sync.NewCond(&l.mu)
	return l
}

func (l *toolLog) read(r io.Reader) {
	defer close(l.done)
	in := bufio.NewReaderSize(r, 16<<10)
	for {
		line, err := in.ReadSlice('\n')
		if len(line) > 0 {
			l.line(string(line))
		}
		for err == bufio.ErrBufferFull { // the rest of a very long line is dropped
			_, err = in.ReadSlice('\n')
		}
		if err != nil {
			break
		}
	}
	l.mu.Lock()
	l.closed = true
	l.more.Broadcast()
	l.mu.Unlock()
}

func (l *toolLog) line(s string) {
	s = strings.TrimRight(s, "\r\n")
	if strings.HasPrefix(s, "[Parsed_showinfo") {
		l.showinfo(s)
		return
	}
	for _, level := range []string{"[error] ", "[fatal] ", "[panic] "} {
		if i := strings.Index(s, level); i >= 0 {
			l.mu.Lock()
			if len(l.said) < keptLines {
				l.said = append(l.said, s[i+len(level):])
			} else {
				l.said[keptLines-1] = s[i+len(level):]
			}
			l.mu.Unlock()
			return
		}
	}
}

func (l *toolLog) showinfo(s string) {
	_, text, ok := strings.Cut(s, "[info] ")
	if !ok {
		return
	}
	if rest, ok := strings.CutPrefix(text, "config in time_base: "); ok {
		base, _, _ := strings.Cut(rest, ",")
		if num, den, ok := fraction(base, "/"); ok {
			l.mu.Lock()
			l.num, l.den = num, den
			l.mu.Unlock()
		}
		return
	}
	if !strings.HasPrefix(text, "n:") {
		return
	}
	var info shownInfo
	if v := fieldAfter(text, " pts:"); v != "" && v != "NOPTS" {
		n, err := strconv.ParseInt(v, 10, 64)
		info.pts, info.known = n, err == nil
	}
	if v := fieldAfter(text, " i:"); v == "T" || v == "B" {
		info.interlaced, info.bottom = true, v == "B"
	}
	l.mu.Lock()
	l.shown = append(l.shown, info)
	l.more.Broadcast()
	l.mu.Unlock()
}

// fieldAfter returns the word after a label, which may have spaces before it.
func fieldAfter(s, label string) string {
	_, rest, ok := strings.Cut(s, label)
	if !ok {
		return ""
	}
	rest = strings.TrimLeft(rest, " ")
	if i := strings.IndexByte(rest, ' '); i >= 0 {
		rest = rest[:i]
	}
	return rest
}

// next returns what showinfo said of the next frame; false when the tool ended
// without a word about it.
func (l *toolLog) next() (shownInfo, bool) {
	l.mu.Lock()
	defer l.mu.Unlock()
	for len(l.shown) == 0 && !l.closed {
		l.more.Wait()
	}
	if len(l.shown) == 0 {
		return shownInfo{}, false
	}
	info := l.shown[0]
	l.shown = l.shown[1:]
	l.taken++
	return info, true
}

// seconds turns a time stamp of showinfo into seconds.
func (l *toolLog) seconds(pts int64) float64 {
	l.mu.Lock()
	defer l.mu.Unlock()
	return seconds(pts, l.num, l.den)
}

// complaints returns what the tool complained of so far.
func (l *toolLog) complaints() []string {
	l.mu.Lock()
	defer l.mu.Unlock()
	return append([]string(nil), l.said...)
}

// seconds is pts·num/den, in this order on every machine.
func seconds(pts, num, den int64) float64 {
	return float64(float64(pts)*float64(num)) / float64(den)
}

// fraction reads two whole numbers with a sign between them, the second not 0.
func fraction(s, between string) (num, den int64, ok bool) {
	a, b, ok := strings.Cut(s, between)
	if !ok {
		return 0, 0, false
	}
	num, err1 := strconv.ParseInt(a, 10, 64)
	den, err2 := strconv.ParseInt(b, 10, 64)
	return num, den, err1 == nil && err2 == nil && den != 0
}

package handoff

import (
	"bufio"
	"fmt"
	"io"
	"math"
	"strings"

	"mesure/quantity"
)

// What a viewer can read. The lines are those of teletext, which broadcasters kept for
// captions; the shortest and the longest time are the common practice of subtitling.
// None of them is a standard.
const (
	// LineLetters is the longest line of a caption, in letters as they are seen, and
	// ScreenLines how many lines stand together.
	LineLetters = 37
	ScreenLines = 2
	// ShortestScreen and LongestScreen bound how long one text stands.
	ShortestScreen = quantity.Seconds(5.0 / 6)
	LongestScreen  = quantity.Seconds(7)
)

// longestClip is the last instant that WriteVTT takes: the largest with two digits of
// hours, which is all that some players read.
const longestClip = quantity.Seconds(100*3600 - 0.001)

// Cue is what is said, or shown to be read, during a stretch of the finished clip.
type Cue struct {
	// From and To are instants of the clip, from its start.
	From, To quantity.Seconds
	// Text of any length; WriteVTT breaks it. A cue without words is a pause.
	Text string
	// Chapter opens a chapter with this title; empty goes on with the one before.
	Chapter string
}

// WriteVTT writes captions as WebVTT (W3C Candidate Recommendation of 4 April 2019,
// section 4).
//
// A text that does not fit on one screen of ScreenLines lines is broken between words,
// by preference where a sentence or a clause ends. Its screens share the time of the
// cue by reading length, d = D·n/Σn with n letters, but none stands shorter than
// ShortestScreen; one that would stand longer than LongestScreen goes early. A cue that
// is too short for its screens is carried on into the free time after it. A chapter is
// a comment (NOTE) before its first cue; WriteChapters writes them for a player.
// A word longer than a line, and writing without spaces, is broken anywhere between
// letters; the spaces within a number with its doubt and unit ("0.42 ± 0.06 m") are made
// ones that hold. Times are rounded to a millisecond, ends of screens to starts of the next.
//
// Cues must be in order and may touch but not overlap; the first that is out of order,
// ends before it starts, is not a finite time within 0 and 100 hours, or has more words
// than can be read before the next one starts, is returned as an *Error and nothing is
// written.
func WriteVTT(w io.Writer, cues []Cue) error {
	shown, err := screens(cues)
	if err != nil {
		return err
	}
	b := bufio.NewWriter(w)
	b.WriteString("WEBVTT\n")
	n := 0
	for _, s := range shown {
		if s.chapter != "" {
			fmt.Fprintf(b, "\nNOTE Chapter: %s\n", escape(s.chapter))
		}
		if len(s.lines) > 0 {
			n++
			fmt.Fprintf(b, "\n%d\n%s --> %s\n", n, stamp(s.from), stamp(s.to))
			for _, l := range s.lines {
				b.WriteString(escape(l) + "\n")
			}
		}
	}
	return b.Flush()
}

// WriteChapters writes the chapters of the cues as a WebVTT file of kind "chapters"
// (the same Recommendation, section 4.6.2): each from the cue that opens it to the next
// one, the last to the end of the clip. Cues before the first chapter belong to none.
// It refuses what WriteVTT refuses but for too many words, and an end before the last
// chapter starts.
func WriteChapters(w io.Writer, cues []Cue, end quantity.Seconds) error {
	if err := inOrder(cues); err != nil {
		return err
	}
	var open []int // the cues that open a chapter
	for i, c := range cues {
		if oneLine(c.Chapter) == "" {
			continue
		}
		if n := len(open); n > 0 && milli(cues[open[n-1]].From) == milli(c.From) {
			return &Error{"cue", i, oneLine(c.Chapter), "opens a chapter at the same instant as the cue before it; leave one of the two titles empty"}
		}
		open = append(open, i)
	}
	if n := len(open); n > 0 && (!(milli(end) > milli(cues[open[n-1]].From)) || !(end <= longestClip)) {
		return &Error{"cue", open[n-1], oneLine(cues[open[n-1]].Chapter), fmt.Sprintf("opens a chapter at %s, but the clip ends at %s", seconds(cues[open[n-1]].From), seconds(end))}
	}
	b := bufio.NewWriter(w)
	b.WriteString("WEBVTT\n")
	for n, i := range open {
		to := end
		if n+1 < len(open) {
			to = cues[open[n+1]].From
		}
		fmt.Fprintf(b, "\n%d\n%s --> %s\n%s\n", n+1, stamp(milli(cues[i].From)), stamp(milli(to)), escape(oneLine(cues[i].Chapter)))
	}
	return b.Flush()
}

// inOrder checks the times of the cues.
func inOrder(cues []Cue) error {
	for i, c := range cues {
		bad := func(format string, a ...any) error { return &Error{"cue", i, "", fmt.Sprintf(format, a...)} }
		switch from, to := float64(c.From), float64(c.To); {
		case math.IsNaN(from) || math.IsNaN(to) || math.IsInf(from, 0) || math.IsInf(to, 0):
			return bad("its time is not a number; give the seconds from the start of the clip")
		case c.From < 0:
			return bad("starts at %s, before the clip; the first instant is 0", seconds(c.From))
		case c.From > longestClip || c.To > longestClip:
			return bad("ends at %s; captions reach to 100 hours", seconds(max(c.From, c.To)))
		case milli(c.To) <= milli(c.From):
			return bad("ends at %s and starts at %s; the end must come at least a millisecond later", seconds(c.To), seconds(c.From))
		case i > 0 && milli(c.From) < milli(cues[i-1].To):
			return bad("starts at %s, before cue %d ends at %s; cues must follow each other", seconds(c.From), i, seconds(cues[i-1].To))
		}
	}
	return nil
}

// milli rounds to the millisecond that WebVTT can write.
func milli(s quantity.Seconds) int64 { return int64(math.Round(float64(s) * 1000)) }

// stamp writes milliseconds as a WebVTT timestamp with hours.
func stamp(ms int64) string {
	return fmt.Sprintf("%02d:%02d:%02d.%03d", ms/3600000, ms/60000%60, ms/1000%60, ms%1000)
}

func seconds(s quantity.Seconds) string { return fmt.Sprintf("%.3f s", float64(s)) }

// escape writes the three characters that WebVTT gives a meaning to as references. With
// the greater-than sign gone, no text can hold the arrow of a timing line.
var escape = strings.NewReplacer("&", "&amp;", "<", "&lt;", ">", "&gt;").Replace

package handoff

import (
	"encoding/json"
	"fmt"
	"io"
	"math"
	"net/url"
	"path"
	"slices"
	"strings"

	"mesure/quantity"
	"mesure/sport/mark"
)

// Cut is a finished clip as an editor sees it: shots one after the other.
type Cut struct {
	Name  string
	Media []Media
	Shots []Shot
}

// Media is one video file.
type Media struct {
	// ID is what shots call it. File is its path from the folder of the written file,
	// with slashes: "video/live.mp4".
	ID, File string
	// Times are the time stamps of its frames, as mark.Clip has them; of a clip that was
	// split into fields, those of its Whole.
	Times []mark.FileTime
}

// Shot is one stretch of a file, or a pause where nothing of a file is seen.
type Shot struct {
	Name string
	// Media is the ID of the file; empty for a pause, which only lasts for Hold.
	Media string
	// Take is the take it was cut from, for the user to know it by.
	Take string
	// From and To are the first and the last frame seen.
	From, To mark.Frame
	// Speed is the share of the file's own speed: 0.25 plays four times as slow; 0 is 1.
	Speed quantity.Ratio
	// Hold shows the frame From for so long, and no other; 0 plays.
	Hold quantity.Seconds
	// Markers lie on frames of the shot; on a hold only on From.
	Markers []Marker
}

// Marker is a moment or a note on a frame.
type Marker struct {
	Name, Note string
	Frame      mark.Frame
	// Colour is one of MarkerColours; empty is "RED", the format's own default.
	Colour string
}

// MarkerColours are the colours that the format names.
func MarkerColours() []string {
	return []string{"PINK", "RED", "ORANGE", "YELLOW", "GREEN", "CYAN", "BLUE", "PURPLE", "MAGENTA", "BLACK", "WHITE"}
}

// slowest bounds what a shot may be slowed or sped up to, and longestHold a pause.
const (
	slowest     = 0.001
	fastest     = 1000
	longestHold = quantity.Seconds(24 * 3600)
)

// WriteTimeline writes the cut as an OpenTimelineIO file (its core specification and
// serialized data model: Timeline.1, Stack.1, Track.1, Clip.2, Gap.1, Marker.2,
// ExternalReference.1, LinearTimeWarp.1, FreezeFrame.1, RationalTime.1, TimeRange.1):
// one video track with a clip for each shot and a gap for each pause.
//
// Time in a file counts from its first frame, whatever time stamp that has. At a steady
// rate (see RateOf) the value is the number of the frame and exact. In a file without
// one, values are microseconds: each time stamp is rounded by up to 0.5 µs. The clock of
// each file and its largest rounding stand in the metadata of its reference. A slow
// shot of d ticks lasts round(d/Speed) ticks, a hold round(Hold·rate), a pause the
// nearest microsecond.
//
// A marker stands in the time of its clip, as the format's own viewer reads it:
// start + round((at − start)/Speed) with at the frame in its file, start that of the
// shot, and no duration. Its metadata have the frame and the time stamp of the file
// untouched.
//
// It refuses with an *Error: a file without an ID, with an ID twice, with a path that is
// empty or leads out of the folder, or with stamps that do not rise; a shot of an
// unknown file, of frames that the file does not show, of a speed outside 1/1000 to
// 1000 or a hold outside 0 to a day; a pause that does not last; a marker off its shot
// or of an unknown colour. A cut without shots is an empty track.
func WriteTimeline(w io.Writer, cut Cut) error {
	courses, refs, err := files(cut.Media)
	if err != nil {
		return err
	}
	items := []any{}
	for i, s := range cut.Shots {
		laid, err := lay(i, s, courses, refs)
		if err != nil {
			return err
		}
		items = append(items, laid.item)
	}
	track := named{"Track.1", "Shots"}.with("source_range", nil, "effects", none, "markers", none, "enabled", true,
		"children", items, "kind", "Video", "metadata", entry{})
	stack := named{"Stack.1", "tracks"}.with("source_range", nil, "effects", none, "markers", none, "enabled", true,
		"children", []any{track}, "metadata", entry{})
	top := named{"Timeline.1", oneLine(cut.Name)}.with("global_start_time", nil, "tracks", stack, "metadata", entry{})
	e := json.NewEncoder(w)
	e.SetIndent("", "  ")
	e.SetEscapeHTML(false)
	return e.Encode(top)
}

// files checks the files and returns the clock and the reference of each, by its ID.
func files(media []Media) (map[string]course, map[string]entry, error) {
	courses, refs := map[string]course{}, map[string]entry{}
	for i, m := range media {
		bad := func(format string, a ...any) (map[string]course, map[string]entry, error) {
			return nil, nil, &Error{"media", i, m.ID, fmt.Sprintf(format, a...)}
		}
		if m.ID == "" {
			return bad("has no ID; shots could not name it")
		}
		if _, twice := courses[m.ID]; twice {
			return bad("is there twice; an ID must be of one file")
		}
		if m.File == "" || path.IsAbs(m.File) || strings.Contains(m.File, `\`) || path.Clean(m.File) != m.File ||
			m.File == "." || m.File == ".." || strings.HasPrefix(m.File, "../") {
			return bad("cannot stand at %q; give a path from the folder of the file, with slashes", cut(m.File, 60))
		}
		if len(m.Times) == 0 {
			return bad("has no frames")
		}
		for f, t := range m.Times {
			if math.IsNaN(float64(t)) || math.IsInf(float64(t), 0) || math.Abs(float64(t)) > 1e9 || (f > 0 && t <= m.Times[f-1]) {
				return bad("has no time stamp at frame %d that comes after the one before", f)
			}
		}
		c := courseOf(m.Times)
		courses[m.ID] = c
		refs[m.ID] = named{"ExternalReference.1", oneLine(path.Base(m.File))}.with(
			"available_range", span(c.rate, 0, c.start[len(m.Times)]),
			"available_image_bounds", nil,
			"target_url", (&url.URL{Path: m.File}).String(),
			"metadata", own("media", m.ID, "first_time_stamp_s", float64(m.Times[0]),
				"ticks_per_second", fmt.Sprintf("%d/%d", c.rate.Num, c.rate.Den), "largest_rounding_s", round(c.worst())))
	}
	return courses, refs, nil
}

// round leaves nine decimals: what is below a nanosecond is the rounding of float64.
func round(s float64) float64 { return math.Round(s*1e9) / 1e9 }

// A laid shot is what the track has for it, and how long that lasts.
type laid struct {
	item  entry
	lasts quantity.Seconds
}

// lay makes the clip of a shot, or the gap of a pause.
func lay(i int, s Shot, courses map[string]course, refs map[string]entry) (laid, error) {
	bad := func(format string, a ...any) (laid, error) {
		return laid{}, &Error{"shot", i, oneLine(s.Name), fmt.Sprintf(format, a...)}
	}
	if !(s.Hold >= 0 && s.Hold <= longestHold) {
		return bad("is held for %v s; 0 to a day is possible", float64(s.Hold))
	}
	if s.Media == "" {
		n := fineRate.ticks(float64(s.Hold))
		if n < 1 {
			return bad("names no file and lasts for no time; name one, or say how long the pause is")
		}
		if len(s.Markers) > 0 {
			return bad("is a pause; markers need a frame")
		}
		gap := named{"Gap.1", oneLine(s.Name)}.with("source_range", span(fineRate, 0, n),
			"effects", none, "markers", none, "enabled", true, "metadata", entry{})
		return laid{gap, quantity.Seconds(fineRate.seconds(n))}, nil
	}
	c, known := courses[s.Media]
	if !known {
		return bad("is of the file %q, which is not among the media", cut(s.Media, 40))
	}
	frames := mark.Frame(len(c.times))
	if s.From < 0 || s.To < s.From || s.To >= frames {
		return bad("shows frames %d to %d; the file has 0 to %d", s.From, s.To, frames-1)
	}
	speed := float64(s.Speed)
	if speed == 0 {
		speed = 1
	}
	if !(speed >= slowest && speed <= fastest) {
		return bad("plays at %v times its speed; 0.001 to 1000 is possible", speed)
	}
	from, ticks, effects := c.start[s.From], c.start[s.To+1]-c.start[s.From], none
	switch {
	case s.Hold > 0:
		ticks, speed = max(1, c.rate.ticks(float64(s.Hold))), 0
		effects = []any{warp("FreezeFrame", 0)}
	case speed != 1:
		ticks = max(1, int64(math.Round(float64(ticks)/speed)))
		effects = []any{warp("LinearTimeWarp", speed)}
	}
	last := s.To
	if s.Hold > 0 {
		last = s.From
	}
	marks := []any{}
	for _, m := range s.Markers {
		if m.Frame < s.From || m.Frame > last {
			return laid{}, &Error{"marker", i, oneLine(m.Name), fmt.Sprintf("lies on frame %d; the shot shows %d to %d", m.Frame, s.From, last)}
		}
		colour := m.Colour
		if colour == "" {
			colour = "RED"
		}
		if !slices.Contains(MarkerColours(), colour) {
			return laid{}, &Error{"marker", i, oneLine(m.Name), fmt.Sprintf("has the colour %q; the format has %s", cut(colour, 20), strings.Join(MarkerColours(), ", "))}
		}
		at := from
		if d := c.start[m.Frame] - from; d > 0 {
			at = min(from+int64(math.Round(float64(d)/speed)), from+ticks)
		}
		marks = append(marks, named{"Marker.2", oneLine(m.Name)}.with("color", colour, "comment", oneLine(m.Note),
			"marked_range", span(c.rate, at, 0),
			"metadata", own("frame", int(m.Frame), "file_time_s", float64(c.times[m.Frame]))))
	}
	clip := named{"Clip.2", oneLine(s.Name)}.with("source_range", span(c.rate, from, ticks),
		"effects", effects, "markers", marks, "enabled", true,
		"media_references", entry{"DEFAULT_MEDIA": refs[s.Media]}, "active_media_reference_key", "DEFAULT_MEDIA",
		"metadata", own("take", oneLine(s.Take), "first_frame", int(s.From), "last_frame", int(last)))
	return laid{clip, quantity.Seconds(c.rate.seconds(ticks))}, nil
}

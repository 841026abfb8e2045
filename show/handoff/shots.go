package handoff

import (
	"io"
	"slices"
	"strconv"

	"mesure/quantity"
	"mesure/sport/mark"
)

// shotColumns are those of the table of shots and markers.
var shotColumns = []column{
	{"kind", "kind", "string", true, "shot, hold, pause or marker; markers follow their shot."},
	{"shot", "shot [from 1]", "nonNegativeInteger", true, "The number of the shot in the clip."},
	{"name", "name", "string", false, "What the shot or the marker is called."},
	{"at", "at [s of the clip]", "double", true, "When it comes in the finished clip, from its start."},
	{"lasts", "lasts [s]", "double", true, "How long it lasts in the finished clip; 0 for a marker."},
	{"file", "file", "string", false, "The video file; empty for a pause."},
	{"take", "take", "string", false, "The take it was cut from."},
	{"first_frame", "first frame [from 0]", "nonNegativeInteger", false, "The first frame seen, in the file."},
	{"last_frame", "last frame [from 0]", "nonNegativeInteger", false, "The last frame seen, in the file."},
	{"first_time", "first [s of the file]", "double", false, "The time stamp of the first frame, as the file has it."},
	{"last_time", "last [s of the file]", "double", false, "The time stamp of the last frame, as the file has it."},
	{"speed", "speed [1]", "double", false, "The share of the file's own speed: 0.25 is four times as slow, 0 a hold."},
	{"note", "note", "string", false, "The note of a marker."},
}

// WriteShots writes the same cut as WriteTimeline as CSV, for an editor that does not
// read that format: a row a shot, hold, pause and marker in the order of the clip. Form
// and guard are those of WriteNumbers.
//
// Instants of the clip are those of the timeline, t = Σ of what the shots before last,
// with its rounding; time stamps of files are untouched. It refuses what WriteTimeline
// refuses.
func WriteShots(w io.Writer, cut Cut) error {
	courses, refs, err := files(cut.Media)
	if err != nil {
		return err
	}
	file := map[string]string{}
	for _, m := range cut.Media {
		file[m.ID] = m.File
	}
	var rows [][]string
	at := quantity.Seconds(0)
	for i, s := range cut.Shots {
		l, err := lay(i, s, courses, refs)
		if err != nil {
			return err
		}
		n := strconv.Itoa(i + 1)
		if s.Media == "" {
			rows = append(rows, []string{"pause", n, cell(s.Name), instant(at), instant(l.lasts), "", cell(s.Take), "", "", "", "", "", ""})
			at += l.lasts
			continue
		}
		stamp := func(f mark.Frame) string { return decimal(float64(courses[s.Media].times[f])) }
		kind, last, speed := "shot", s.To, float64(s.Speed)
		if speed == 0 {
			speed = 1
		}
		if s.Hold > 0 {
			kind, last, speed = "hold", s.From, 0
		}
		rows = append(rows, []string{kind, n, cell(s.Name), instant(at), instant(l.lasts), cell(file[s.Media]), cell(s.Take),
			strconv.Itoa(int(s.From)), strconv.Itoa(int(last)), stamp(s.From), stamp(last), decimal(speed), ""})
		for _, m := range s.Markers {
			after := quantity.Seconds(0)
			if c := courses[s.Media]; speed > 0 {
				after = quantity.Seconds(c.rate.seconds(c.start[m.Frame]-c.start[s.From]) / speed)
			}
			rows = append(rows, []string{"marker", n, cell(m.Name), instant(at + after), "0", cell(file[s.Media]), cell(s.Take),
				strconv.Itoa(int(m.Frame)), strconv.Itoa(int(m.Frame)), stamp(m.Frame), stamp(m.Frame), "", cell(m.Note)})
		}
		at += l.lasts
	}
	return writeTable(w, shotColumns, rows)
}

// Ending is the cut with its holds and pauses as long as they must be to end at these
// instants of the clip, one for each shot, as near as the clocks of the files come. What
// plays is left as it is; a hold that has no time left stays at the shortest there is. A
// cut that cannot be written is returned unchanged.
func (c Cut) Ending(ends []quantity.Seconds) Cut {
	courses, refs, err := files(c.Media)
	if err != nil || len(ends) != len(c.Shots) {
		return c
	}
	const least = quantity.Seconds(1e-3)
	out, at := c, quantity.Seconds(0)
	out.Shots = slices.Clone(c.Shots)
	for i := range out.Shots {
		s := &out.Shots[i]
		if s.Hold > 0 {
			s.Hold = max(least, ends[i]-at)
		}
		l, err := lay(i, *s, courses, refs)
		if err != nil {
			return c
		}
		at += l.lasts
	}
	return out
}

// instant writes seconds of the clip to the microsecond, which no frame is shorter than.
func instant(s quantity.Seconds) string {
	return decimal(float64(fineRate.ticks(float64(s))) / float64(fineRate.Num))
}

// WriteShotsSchema writes what describes the table of shots beside it; see
// WriteNumbersSchema.
func WriteShotsSchema(w io.Writer, table string) error {
	return writeSchema(w, table, "Shots and markers of a clip", "One shot, hold, pause or marker a row, in the order of the clip.", shotColumns)
}

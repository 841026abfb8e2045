package tell

import (
	"fmt"
	"image/color"
	"image/png"
	"io"
	"path"
	"strings"

	"mesure/show/clip"
	"mesure/show/handoff"
	"mesure/show/plate"
	"mesure/show/script"
	"mesure/study"
)

// HandOff is what a breakdown hands to the coach's own editor and to other programs.
type HandOff struct {
	Film    *clip.Film
	Script  *script.Script
	Stale   []script.Stale
	Reading *study.Reading
	// Program names what wrote it, such as "Mesure 0.1.0".
	Program string
	// Overlays are the overlays alone, rendered already: a film, or one PNG a frame (see
	// OverlayFrames). They may be none.
	Overlays []handoff.File
}

// Files lists everything but the overlays' own bytes, which are handed in; README.txt
// first. Writing a file may give an *Error of package handoff.
func (h HandOff) Files() []handoff.File {
	names := plate.Naming(h.Script.Names)
	cut := h.cut()
	rows := Numbers(h.Reading, names)
	cues, end := h.Film.Cues(), h.Film.Lasts()
	files := []handoff.File{
		{Name: "script.md", About: "what is said, with how long it takes and where each number comes from", Write: func(w io.Writer) error { return script.WriteMarkdown(w, h.Script, h.Stale) }},
		{Name: "captions.vtt", About: "the script as captions at their time in the clip (WebVTT)", Write: func(w io.Writer) error { return handoff.WriteVTT(w, cues) }},
		{Name: "chapters.vtt", About: "the chapters of the clip (WebVTT)", Write: func(w io.Writer) error { return handoff.WriteChapters(w, cues, end) }},
		{Name: "shots.otio", About: "the shots of the clip as cuts in your own videos, with the moments as markers (OpenTimelineIO)", Write: func(w io.Writer) error { return handoff.WriteTimeline(w, cut) }},
		{Name: "shots.csv", About: "the same as a table, for an editor that does not read that format", Write: func(w io.Writer) error { return handoff.WriteShots(w, cut) }},
		{Name: "shots.csv-metadata.json", About: "what the columns of that table are (CSV on the Web)", Write: func(w io.Writer) error { return handoff.WriteShotsSchema(w, "shots.csv") }},
		{Name: "numbers.csv", About: "every number with its doubt and unit, as a table", Write: func(w io.Writer) error { return handoff.WriteNumbers(w, rows) }},
		{Name: "numbers.csv-metadata.json", About: "what the columns of that table are (CSV on the Web)", Write: func(w io.Writer) error { return handoff.WriteNumbersSchema(w, "numbers.csv") }},
		{Name: "numbers.json", About: "the same numbers, for a program", Write: func(w io.Writer) error { return handoff.WriteNumbersJSON(w, rows) }},
		{Name: "numbers.schema.json", About: "what the fields of that file are (JSON Schema)", Write: handoff.WriteNumbersJSONSchema},
	}
	files = append(files, h.Overlays...)
	readme := handoff.File{Name: "README.txt", About: "this page", Write: func(w io.Writer) error { return h.readme(w, cut, files) }}
	return append([]handoff.File{readme}, files...)
}

// cut is that of the film, with its videos by their file names alone: the folder of the
// coach is nobody's business, and the hand-off is unpacked beside them. Where names are
// hidden, a video is called by its name in the touch, because people name a video after
// who is in it.
func (h HandOff) cut() handoff.Cut {
	names := plate.Naming(h.Script.Names)
	call := callOf(h.Reading, names)
	c := h.Film.Cut()
	c.Name = call.Rename(c.Name)
	c.Media = append([]handoff.Media(nil), c.Media...)
	for i, m := range c.Media {
		file := path.Base(strings.ReplaceAll(m.File, `\`, "/"))
		if names.Hides() {
			file = m.ID + path.Ext(file)
		}
		c.Media[i].File = file
	}
	c.Shots = append([]handoff.Shot(nil), c.Shots...)
	for i, s := range c.Shots {
		c.Shots[i].Name = call.Rename(s.Name)
		marks := append([]handoff.Marker(nil), s.Markers...)
		for j, m := range marks {
			marks[j].Name, marks[j].Note = call.Rename(m.Name), call.Rename(m.Note)
		}
		c.Shots[i].Markers = marks
	}
	return c
}

// OverlayFrames are the overlays as one PNG a frame, with transparency.
func OverlayFrames(f *clip.Film) []handoff.File {
	files := make([]handoff.File, f.Frames())
	for i := range files {
		files[i] = handoff.File{Name: fmt.Sprintf("overlays/%06d.png", i), Write: func(w io.Writer) error {
			img, err := f.OverlayPNG(i)
			if err != nil {
				return err
			}
			// A picture that covers all would come without transparency, and a sequence of two
			// kinds of pictures is not read everywhere: one pixel is clear by a step that no
			// eye sees.
			if img.Opaque() {
				c := img.RGBAAt(0, 0)
				img.SetRGBA(0, 0, color.RGBA{min(c.R, 254), min(c.G, 254), min(c.B, 254), 254})
			}
			e := png.Encoder{CompressionLevel: png.BestSpeed}
			return e.Encode(w, img)
		}}
	}
	return files
}

// readme says what each file is, how frames and times count, and what the coach must mind.
func (h HandOff) readme(w io.Writer, cut handoff.Cut, files []handoff.File) error {
	var b strings.Builder
	title := h.Script.Title
	if title == "" {
		title = "A touch"
	}
	width, height := h.Film.Size()
	frames := h.Film.Frames()
	fmt.Fprintf(&b, "%s\nHand-off from %s\n\n", title, h.Program)
	fmt.Fprintf(&b, "The clip has %d frames of %d × %d pixels and lasts %.3f s.\n\n", frames, width, height, float64(h.Film.Lasts()))
	b.WriteString("Files\n")
	sequence := 0
	for _, f := range files {
		if f.About == "" {
			sequence++
			continue
		}
		fmt.Fprintf(&b, "  %s\n      %s\n", f.Name, f.About)
	}
	if sequence > 0 {
		fmt.Fprintf(&b, "  overlays/000000.png …\n      the overlays alone with transparency, one picture a frame, %d in all\n", sequence)
	}
	b.WriteString("\nFrames and times\n" +
		"  Frames count from 0. The overlays have a frame for every frame of the clip.\n" +
		"  Times of captions, chapters and shots are seconds from the start of the clip.\n" +
		"  A frame of a take is a frame of its video, in the order in which they are shown.\n" +
		"  A shot with a speed of 0.25 plays four times as slow. Shots that show no frame of\n" +
		"  a video (plates) are pauses in shots.otio, as long as they stand.\n")
	if len(cut.Media) > 0 {
		b.WriteString("  shots.otio looks for these videos in its own folder; put them there, or link them anew:\n")
		for _, m := range cut.Media {
			fmt.Fprintf(&b, "      %s\n", m.File)
		}
	}
	b.WriteString("\nNumbers\n" +
		"  Each has a standard deviation (sd) and the interval that holds 95 % (lo, hi), in the\n" +
		"  unit of its row, not rounded. Left and right are as the camera sees them.\n" +
		"\nBefore you publish\n" +
		"  Show footage only where you have the right to; minors need the consent of their\n" +
		"  parents or guardians. The numbers are estimates for coaching, not decisions of a\n" +
		"  referee and not medical advice.\n")
	if h.Reading.Touch.Invented {
		b.WriteString("  This touch is invented: nobody in it exists.\n")
	}
	_, err := io.WriteString(w, b.String())
	return err
}

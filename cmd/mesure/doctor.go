package main

import (
	"context"
	"errors"
	"fmt"
	"strings"

	"github.com/spf13/cobra"

	"mesure/show/draw"
	"mesure/show/tell"
	"mesure/study"
	"mesure/video"
)

func newDoctorCommand(b *bench) *cobra.Command {
	return &cobra.Command{
		Use:   "doctor",
		Short: "Check what mesure needs: video engines, codecs, fonts, the library",
		Long: `Check what mesure needs on this machine: the video engines and their codecs, the
fonts, and whether the library is sound. Nothing is changed. The exit code is
that of the worst finding.

` + exitHelp(badVideo, library, disk),
		Args: arguments(),
		RunE: func(cmd *cobra.Command, _ []string) error {
			d, err := runDoctor(cmd.Context(), b)
			if err != nil {
				return err
			}
			if err := b.show(d, func() { b.printDoctor(d) }); err != nil {
				return err
			}
			return d.err()
		},
	}
}

// States of a finding, from good to bad.
const (
	stateGood    = "good"
	stateDoubt   = "doubt"   // mesure works, with less than it could have
	stateTrouble = "trouble" // something does not work
)

// diagnosis is everything that the doctor found.
type diagnosis struct {
	Version  string    `json:"version"`
	Findings []finding `json:"findings"`
}

// finding is one thing that was checked.
type finding struct {
	Name  string `json:"name"`
	State string `json:"state"`
	Text  string `json:"text"`
	// Mend says what to do; empty where nothing is to be done.
	Mend string `json:"mend,omitempty"`
	// Details are lines that only help who looks closer.
	Details []string `json:"details,omitempty"`
	code    code
}

// err is what the program exits with: the trouble that comes first in the order
// of the exit codes' severity (disk, library, video), or nothing.
func (d *diagnosis) err() error {
	for _, c := range []code{disk, library, badVideo, internal} {
		for _, f := range d.Findings {
			if f.State == stateTrouble && f.code == c {
				return &fault{code: c, where: f.Name, text: f.Text, hint: f.Mend}
			}
		}
	}
	return nil
}

func runDoctor(ctx context.Context, b *bench) (*diagnosis, error) {
	d := &diagnosis{Version: version()}
	for _, check := range []func(context.Context, *bench) []finding{
		checkEmbedded, checkNative, checkFonts, checkLibrary,
	} {
		d.Findings = append(d.Findings, check(ctx, b)...)
		if err := ctx.Err(); err != nil {
			return nil, err
		}
	}
	return d, nil
}

func checkEmbedded(ctx context.Context, _ *bench) []finding {
	return []finding{engineFinding(ctx, video.Embedded(), "embedded engine", stateTrouble)}
}

func checkNative(ctx context.Context, _ *bench) []finding {
	const name = "native engine"
	e, err := video.Native()
	if err != nil {
		f := finding{Name: name, State: stateDoubt, Text: "not found; the embedded engine does the work, about four times slower", code: badVideo}
		f.Mend = "Install ffmpeg to read video faster."
		return []finding{f}
	}
	return []finding{engineFinding(ctx, e, name, stateDoubt)}
}

// engineFinding asks one engine what it can do; failed is the state of one that
// does not work.
func engineFinding(ctx context.Context, e video.Engine, name, failed string) finding {
	h, err := e.Doctor(ctx)
	f := finding{Name: name, State: stateGood, code: badVideo}
	if err != nil {
		f.State, f.Text, f.Mend = failed, plain(err), hintOf(err)
		return f
	}
	f.Text = "FFmpeg " + h.Version
	var reads, writes, lacks []string
	for _, a := range h.Can {
		switch {
		case !a.Has:
			lacks = append(lacks, "Cannot "+verb(a)+" "+a.Codec+": "+a.Lost)
		case a.Write:
			writes = append(writes, a.Codec)
		default:
			reads = append(reads, a.Codec)
		}
	}
	f.Details = append(f.Details, h.Where, "Reads "+strings.Join(reads, ", "), "Writes "+strings.Join(writes, ", "))
	f.Details = append(f.Details, lacks...)
	var needed []string
	for _, a := range h.Missing() {
		needed = append(needed, verb(a)+" "+a.Codec)
	}
	if len(needed) > 0 {
		f.State, f.Text = failed, f.Text+", which cannot "+strings.Join(needed, " or ")
		f.Mend = "Install an ffmpeg that can, or use the other engine."
	}
	return f
}

func verb(a video.Ability) string {
	if a.Write {
		return "write"
	}
	return "read"
}

// checkFonts sets a line in every embedded font: a font that does not draw it
// has no width for it.
func checkFonts(context.Context, *bench) []finding {
	f := finding{Name: "fonts", State: stateGood, Text: "embedded, and they draw", code: internal}
	families := map[string]bool{}
	for _, font := range draw.Fonts() {
		line := draw.Text{S: "1.42 ± 0.06 m, épée", Font: font, Size: draw.Points(10)}
		if !(line.Width() > 0) {
			f.State, f.Text = stateTrouble, font.Family()+" does not draw"
		}
		if !families[font.Family()] {
			families[font.Family()] = true
			f.Details = append(f.Details, font.Family())
		}
	}
	return []finding{f}
}

func checkLibrary(ctx context.Context, b *bench) []finding {
	const name = "library"
	dir, err := libraryFolder(b.library)
	if err != nil {
		return []finding{{Name: name, State: stateTrouble, Text: plain(err), Mend: hintOf(err), code: library}}
	}
	lib, there, err := b.openOld(ctx)
	if err == nil && !there {
		return []finding{{Name: name, State: stateGood, Text: "none yet", Details: []string{"It would be " + dir}}}
	}
	if err != nil {
		f := finding{Name: name, State: stateTrouble, Text: plain(err), Mend: hintOf(err), code: codeOf(err)}
		return []finding{f}
	}
	defer lib.Close()
	warnings, err := shelfOf(lib).Check(ctx)
	if err == nil {
		var more []study.Warning
		more, err = tell.Shelf{Library: lib}.Check(ctx)
		warnings = append(warnings, more...)
	}
	if err != nil && !errors.Is(err, context.Canceled) {
		return []finding{{Name: name, State: stateTrouble, Text: plain(err), Mend: hintOf(err), code: library}}
	}
	if len(warnings) == 0 {
		return []finding{{Name: name, State: stateGood, Text: "sound", Details: []string{"is " + dir}}}
	}
	f := finding{Name: name, State: stateTrouble, Text: fmt.Sprintf("%d things are damaged", len(warnings)), code: library, Details: []string{"is " + dir}}
	for _, w := range warnings {
		f.Details = append(f.Details, about(w)+w.Text)
	}
	return []finding{f}
}

func (b *bench) printDoctor(d *diagnosis) {
	fmt.Fprintf(b.out, "mesure %s\n\n", d.Version)
	rows := b.table("", "", "~")
	for _, f := range d.Findings {
		rows.row(f.State, f.Name, f.Text)
	}
	rows.write(b.out)
	for _, f := range d.Findings {
		if len(f.Details) == 0 && f.Mend == "" {
			continue
		}
		b.title(f.Name)
		for _, line := range f.Details {
			b.bullet("", line)
		}
		if f.Mend != "" {
			b.bullet("", f.Mend)
		}
	}
}

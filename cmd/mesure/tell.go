package main

import (
	"context"
	"fmt"
	"path/filepath"

	"github.com/spf13/cobra"
)

// tellOptions are the values that "mesure tell" works with.
type tellOptions struct {
	readOptions
	// Out is the folder of the breakdown.
	Out string
	// HideNames leaves the names of fencers, clubs and events out.
	HideNames bool
}

func newTellCommand(b *bench) *cobra.Command {
	var o tellOptions
	cmd := &cobra.Command{
		Use:   "tell TOUCH|FILE --out DIR",
		Short: "Write the breakdown of one touch: report, plates, race chart, reading",
		Long: `Measure one touch and write its breakdown into a folder: report.html (one file,
opens offline), the plates and charts as SVG and PNG, and reading.json. The
timing is told of the instant from which the race is run, or of the one that
--at names. Every file is complete when it appears. Plates of an earlier
breakdown in the folder are replaced, other files stay.

` + exitHelp(badFile, refused, badVideo, library, disk),
		Example: "  mesure tell touch.json --out breakdown",
		Args:    arguments("TOUCH|FILE"),
		RunE: func(cmd *cobra.Command, args []string) error {
			o.Touch = args[0]
			if o.Out == "" {
				return misuseHint("Name the folder to write, such as --out breakdown.", "--out is missing")
			}
			w, err := runTell(cmd.Context(), b, o)
			if err != nil {
				return err
			}
			return b.show(w, func() { b.printWritten(w) })
		},
	}
	addReadFlags(cmd, &o.readOptions)
	addAtFlag(cmd, &o.timingOptions)
	cmd.Flags().StringVar(&o.Out, "out", "", "the folder to write")
	word(cmd.Flags(), "out", "DIR")
	cmd.Flags().BoolVar(&o.HideNames, "hide-names", false, "leave the names of fencers, clubs and events out")
	return cmd
}

// written is what a breakdown consists of.
type written struct {
	Folder string   `json:"folder"`
	Files  []string `json:"files"`
	// Finding is the race in one sentence; empty where there is no race.
	Finding string `json:"finding"`
	Doubts  int    `json:"doubts"`
}

func runTell(ctx context.Context, b *bench, o tellOptions) (*written, error) {
	s, r, e, err := b.read(ctx, o.readOptions)
	if err != nil {
		return nil, err
	}
	defer s.close()
	if o.asked() {
		if err := tellTiming(r, o.Touch, o.timingOptions); err != nil {
			return nil, err
		}
	}
	w := &written{Folder: o.Out, Doubts: len(doubtsOf(r))}
	if r.Race != nil {
		w.Finding = r.Race.Finding
	}
	p := b.start("drawing")
	defer p.end()
	return w, deliver(o.Out, ownFiles(), func(tmp string) error {
		a := &album{dir: tmp, out: o.Out, reading: r, from: stills{e, s}, hideNames: o.HideNames}
		err := a.breakdown(ctx, p.set)
		w.Files = a.files()
		return err
	})
}

func (b *bench) printWritten(w *written) {
	if w.Finding != "" {
		b.wrapped(b.out, "", sentence(w.Finding))
		fmt.Fprintln(b.out)
	}
	if w.Doubts > 0 {
		b.wrapped(b.out, "", fmt.Sprintf("Doubts: %d. The report and \"mesure read\" name them.", w.Doubts))
		fmt.Fprintln(b.out)
	}
	fmt.Fprintf(b.out, "Open %s\n", filepath.Join(w.Folder, reportName))
	fmt.Fprintf(b.out, "  and %d other files beside it\n", len(w.Files)-1)
}

// reportName is the file of a breakdown that is opened first.
const reportName = "report.html"

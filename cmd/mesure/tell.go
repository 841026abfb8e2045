package main

import (
	"context"
	"fmt"

	"github.com/spf13/cobra"
)

// tellOptions are the values that "mesure tell" works with.
type tellOptions struct {
	readOptions
	// Out is the folder of the breakdown.
	Out string
}

func newTellCommand(b *bench) *cobra.Command {
	var o tellOptions
	cmd := &cobra.Command{
		Use:   "tell TOUCH|FILE --out DIR",
		Short: "Write the breakdown of one touch: report, plates, charts, reading",
		Long: `Measure one touch and write its breakdown into a folder: report.html (one file,
opens offline), plates and charts as SVG and PNG, and reading.json. The folder
appears when it is complete, or not at all.

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
	cmd.Flags().StringVar(&o.Out, "out", "", "the folder to write")
	word(cmd.Flags(), "out", "DIR")
	return cmd
}

// written is what a breakdown consists of.
type written struct {
	Folder string   `json:"folder"`
	Files  []string `json:"files"`
}

func runTell(ctx context.Context, b *bench, o tellOptions) (*written, error) {
	r, err := runRead(ctx, b, o.readOptions)
	if err != nil {
		return nil, err
	}
	w := &written{Folder: o.Out}
	return w, deliver(o.Out, func(tmp string) error {
		return fmt.Errorf("%v %s", r, tmp)
	})
}

func (b *bench) printWritten(w *written) {
	fmt.Fprintf(b.out, "%s\n", w.Folder)
	for _, f := range w.Files {
		fmt.Fprintf(b.out, "  %s\n", f)
	}
}

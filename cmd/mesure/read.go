package main

import (
	"context"
	"path/filepath"

	"github.com/spf13/cobra"

	"mesure/bundle"
	"mesure/study"
	"mesure/video"
)

// readOptions are the values that "mesure read" works with.
type readOptions struct {
	// Touch is an ID of the library or the path of a touch file.
	Touch  string
	Draws  int
	Seed   uint64
	Engine engine
	// All prints every gap, not only the nearest ones.
	All bool
	// Follow follows the camera and the points first, Afresh without what was kept.
	Follow, Afresh bool
}

func newReadCommand(b *bench) *cobra.Command {
	var o readOptions
	cmd := &cobra.Command{
		Use:   "read TOUCH|FILE",
		Short: "Measure one touch: gaps in metres and the race, each with its ±",
		Long: `Measure one touch of the library, or of a touch file: where the points were, how
far each was from its targets at every marked instant, and whose would have
arrived first.

` + exitHelp(badFile, refused, badVideo, library, disk),
		Example: "  mesure read touch.json\n  mesure read touch.json --json --draws 100000 > reading.json",
		Args:    arguments("TOUCH|FILE"),
		RunE: func(cmd *cobra.Command, args []string) error {
			o.Touch = args[0]
			r, err := runRead(cmd.Context(), b, o)
			if err != nil {
				return err
			}
			if b.asJSON {
				return bundle.WriteReading(b.out, r)
			}
			b.printReading(r, o.All)
			return nil
		},
	}
	addReadFlags(cmd, &o)
	cmd.Flags().BoolVar(&o.All, "all", false, "print the gap to every target at every instant")
	return cmd
}

// addReadFlags adds the flags of every command that reads a touch.
func addReadFlags(cmd *cobra.Command, o *readOptions) {
	f := cmd.Flags()
	f.IntVar(&o.Draws, "draws", study.DefaultDraws, "how many times the race is drawn")
	word(f, "draws", "N")
	f.Uint64Var(&o.Seed, "seed", study.DefaultSeed, "seed of the draws; equal seeds give equal readings")
	word(f, "seed", "N")
	f.Var(&o.Engine, "engine", "what decodes the video")
	f.BoolVar(&o.Follow, "follow", false, "follow camera and points first, and measure with what that adds")
}

func runRead(ctx context.Context, b *bench, o readOptions) (*study.Reading, error) {
	s, r, _, err := b.read(ctx, o)
	if err != nil {
		return nil, err
	}
	s.close()
	return r, nil
}

// read finds a touch and measures it. The source stays open, for the frames that
// a breakdown shows; the caller closes it.
func (b *bench) read(ctx context.Context, o readOptions) (source, *study.Reading, video.Engine, error) {
	if o.Draws < study.MinDraws || o.Draws > study.MaxDraws {
		return source{}, nil, nil, misuse("--draws: %d is not between %d and %d", o.Draws, study.MinDraws, study.MaxDraws)
	}
	e, err := o.Engine.open()
	if err != nil {
		return source{}, nil, nil, err
	}
	s, err := b.findTouch(ctx, o.Touch)
	if err != nil {
		return source{}, nil, nil, err
	}
	var followed *study.Following
	if o.Follow {
		if followed, err = b.follow(ctx, e, s, o); err != nil {
			s.close()
			return source{}, nil, nil, err
		}
	}
	p := b.start("reading " + filepath.Base(o.Touch))
	defer p.end()
	r, err := study.Read(ctx, s.touch, e, study.ReadOptions{
		Draws: o.Draws, Seed: o.Seed, Path: s.path, Following: followed,
		Progress: func(_ string, share float64) { p.set(share) },
	})
	if err != nil {
		s.close()
		return source{}, nil, nil, at(o.Touch, err)
	}
	return s, r, e, nil
}

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
	// All prints every gap, not only the nearest ones, and every figure of the fencers.
	All bool
	timingOptions
	// Learn are other touches of the fencers, whose movements their figures learn from.
	Learn []string
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
arrived first; and, where the sheet of its bout is known, the story of the
touch: what the earlier ones had to do with it. "mesure bout" tells more of it.

With --timing, tell one instant instead: who would arrive first from here, which
answers were open and until when, how large a parry had to be, who started, and
what each body could do. --at names the instant, and --suppose changes something
in it: the draws stay the same, so that what differs is the change.

` + exitHelp(badFile, refused, badVideo, library, disk),
		Example: "  mesure read touch.json\n  mesure read touch.json --json --draws 100000 > reading.json\n  mesure read touch.json --at live:42 --suppose closer=5cm,earlier=30ms",
		Args:    arguments("TOUCH|FILE"),
		RunE: func(cmd *cobra.Command, args []string) error {
			o.Touch = args[0]
			if _, err := o.ask(); err != nil { // before the videos are read
				return err
			}
			r, err := runRead(cmd.Context(), b, o)
			if err != nil {
				return err
			}
			if o.asked() {
				if err := tellTiming(cmd.Context(), r, o.Touch, o.timingOptions); err != nil {
					return err
				}
			}
			if b.asJSON {
				return bundle.WriteReading(b.out, r)
			}
			if r.Timing != nil {
				b.printTiming(r, o.All)
			} else {
				b.printReading(r, o.All)
			}
			return nil
		},
	}
	addReadFlags(cmd, &o)
	cmd.Flags().BoolVar(&o.All, "all", false, "print the gap to every target at every instant, and with --timing every figure of the fencers")
	cmd.Flags().BoolVar(&o.Timing, "timing", false, "tell the timing of one instant: that of the race, or the one of --at")
	addAtFlag(cmd, &o.timingOptions)
	cmd.Flags().StringVar(&o.Suppose, "suppose", "", "tell what a change would do: closer=5cm, earlier=30ms, longer=4cm, target=hand and who=left, with commas between them")
	word(cmd.Flags(), "suppose", "CHANGE")
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
	f.StringArrayVar(&o.Learn, "learn", nil, "another touch of these fencers, followed for their reach and times; may be given again")
	word(f, "learn", "TOUCH|FILE")
}

// addAtFlag adds the flag that names an instant.
func addAtFlag(cmd *cobra.Command, o *timingOptions) {
	cmd.Flags().StringVar(&o.At, "at", "", "the instant whose timing is told: a moment of the touch, or a frame of a take such as live:42")
	word(cmd.Flags(), "at", "MOMENT|TAKE:FRAME")
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
	others, err := b.learn(ctx, e, o)
	if err != nil {
		return source{}, nil, nil, err
	}
	s, r, err := b.readWith(ctx, e, o, others)
	return s, r, e, err
}

// readWith is read with this engine and what was learned from other touches, nil for
// nothing.
func (b *bench) readWith(ctx context.Context, e video.Engine, o readOptions, others learned) (source, *study.Reading, error) {
	s, err := b.findTouch(ctx, o.Touch)
	if err != nil {
		return source{}, nil, err
	}
	var known [2][]study.Fit
	if len(o.Learn) > 0 {
		if known, err = others.of(s.touch); err != nil {
			s.close()
			return source{}, nil, err
		}
	}
	var followed *study.Following
	if o.Follow {
		if followed, err = b.follow(ctx, e, s, o); err != nil {
			s.close()
			return source{}, nil, err
		}
	}
	p := b.start("reading " + filepath.Base(o.Touch))
	defer p.end()
	if others == nil { // a touch to learn from: only its movements are looked at
		s.bout = nil
	}
	r, err := unlessEnded(ctx, func() (*study.Reading, error) {
		return study.Read(ctx, s.touch, e, study.ReadOptions{
			Draws: o.Draws, Seed: o.Seed, Path: s.path, Following: followed, Known: known, Tactics: s.bout,
			Progress: func(_ string, share float64) { p.set(share) },
		})
	})
	if err != nil {
		s.close()
		return source{}, nil, at(o.Touch, err)
	}
	return s, r, nil
}

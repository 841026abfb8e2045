package main

import (
	"context"
	"fmt"
	"path/filepath"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"mesure/bundle"
	"mesure/quantity"
	"mesure/show/plate"
	"mesure/study"
	"mesure/video"
	"mesure/web"
)

func newFollowCommand(b *bench) *cobra.Command {
	var o readOptions
	var afresh bool
	cmd := &cobra.Command{
		Use:   "follow TOUCH|FILE",
		Short: "Follow the camera and the marked points through each take: places, speeds, what began when",
		Long: `Follow the camera and every marked point from frame to frame: mark the piste on
one or two frames of a take and the points on a handful, and get where each was
in between, how fast it moved, and when hands, feet and blades began to move,
each with its ±. What cannot be followed is called lost, never guessed.

What was followed is kept in the user's cache: after a correction only what it
touches is followed again. "mesure read --follow" measures with it.

` + exitHelp(badFile, refused, badVideo, library, disk),
		Example: "  mesure follow touch.json\n  mesure follow touch.json --json > reading.json",
		Args:    arguments("TOUCH|FILE"),
		RunE: func(cmd *cobra.Command, args []string) error {
			o.Touch, o.Follow, o.Afresh = args[0], true, afresh
			r, err := runRead(cmd.Context(), b, o)
			if err != nil {
				return err
			}
			if b.asJSON {
				return bundle.WriteReading(b.out, r)
			}
			b.heading(r)
			b.printFollowed(r)
			b.warnings(doubtsOf(r))
			b.note("± is one standard deviation. Speeds are along the plane of action.")
			return nil
		},
	}
	addReadFlags(cmd, &o)
	cmd.Flags().Lookup("follow").Hidden = true
	cmd.Flags().BoolVar(&afresh, "afresh", false, "follow everything again, whatever was kept")
	return cmd
}

// follow follows a touch, with what was kept of an earlier time, and keeps the result.
func (b *bench) follow(ctx context.Context, e video.Engine, s source, o readOptions) (*study.Following, error) {
	kept := followsOf(b, o.Touch)
	p := b.start("following " + filepath.Base(o.Touch))
	defer p.end()
	ask := study.FollowOptions{Path: s.path, Progress: func(_ string, share float64) { p.set(share) }}
	if old, ok := kept.cache.Following(kept.id); ok && !o.Afresh {
		ask.Before = old.Following
	}
	f, err := study.Follow(ctx, s.touch, e, ask)
	if err != nil {
		return nil, at(o.Touch, err)
	}
	if kept.cache.dir != "" {
		kept.cache.Keep(kept.id, web.KeptFollowing{Following: f})
	}
	return f, nil
}

// keptFollows is where the following of a touch is kept, and under which name.
type keptFollows struct {
	cache followCache
	id    study.ID
}

// followsOf says where what was followed is kept: with the library for one of its
// touches, under its path for a touch file, nowhere without a cache. It only saves
// time.
func followsOf(b *bench, touch string) keptFollows {
	dir, err := cacheFolder("following")
	if err != nil {
		return keptFollows{}
	}
	if looksLikeFile(touch) {
		if abs, err := filepath.Abs(touch); err == nil {
			touch = abs
		}
		return keptFollows{followCacheOf(dir, "touch files"), study.ID(touch)}
	}
	folder, err := libraryFolder(b.library)
	if err != nil {
		return keptFollows{}
	}
	return keptFollows{followCacheOf(dir, folder), study.ID(touch)}
}

// printFollowed shows what was followed.
func (b *bench) printFollowed(r *study.Reading) {
	b.printDrifts(r)
	b.printTracks(r)
	b.printProposals(r)
	b.printNextMarks(r)
}

// printDrifts says how well the camera was followed.
func (b *bench) printDrifts(r *study.Reading) {
	if len(r.Drifts) == 0 {
		return
	}
	b.title("The camera at the next placed frame")
	rows := b.table("take", ">frame", ">had come off by", ">on the floor", ">of what it believed")
	for _, d := range r.Drifts {
		rows.row(d.Take, fmt.Sprint(d.Frame), fmt.Sprintf("%.1f px", float64(d.Px)), fmt.Sprintf("%.1f cm", d.Metres.Centimetres()), fmt.Sprintf("%.1f ×", float64(d.Share)))
	}
	rows.write(b.out)
}

// printTracks says of each point how much of it was followed, and its greatest speed.
func (b *bench) printTracks(r *study.Reading) {
	for _, k := range r.Touch.Takes {
		rows := b.table("point", "of", ">frames", ">marked", ">followed", ">lost or hidden", ">greatest speed", ">at")
		for _, t := range r.Tracks {
			if t.Take != k.ID {
				continue
			}
			count := map[string]int{}
			for _, s := range t.Steps {
				count[s.State]++
			}
			speed, at := "", ""
			if t.Peak != nil {
				speed, at = plate.FigureOf(*t.Peak, plate.InMetresPerSecond).Text, fmt.Sprintf("%.2f s", float64(t.PeakAt))
			}
			rows.row(strings.ReplaceAll(string(t.What), "-", " "), t.Who.String(), fmt.Sprint(len(t.Steps)), fmt.Sprint(count[study.StateMarked]),
				fmt.Sprint(count[study.StateFollowed]), fmt.Sprint(count[study.StateLost]+count[study.StateHidden]), speed, at)
		}
		if len(rows.rows) > 0 {
			b.title("Points followed through " + k.ID)
			rows.write(b.out)
		}
	}
}

// printProposals lists what began when and is no moment of the touch yet.
func (b *bench) printProposals(r *study.Reading) {
	if len(r.Proposals) == 0 {
		return
	}
	b.title("What the movement shows to begin")
	rows := b.table("proposed moment", "take", ">frames", ">at", ">chance")
	for _, p := range r.Proposals {
		rows.row(p.Name, p.Take, fmt.Sprintf("%d–%d", p.After, p.By), plate.Seconds(p.At), plate.Chance(quantity.Chance(p.Sure)))
	}
	rows.write(b.out)
}

// printNextMarks says where one more mark would help most.
func (b *bench) printNextMarks(r *study.Reading) {
	if len(r.NextMarks) == 0 {
		return
	}
	b.title("Where one more mark would help most")
	rows := b.table("point", "of", "take", ">frame", ">± now", ">± with it")
	for _, n := range r.NextMarks {
		rows.row(strings.ReplaceAll(string(n.What), "-", " "), n.Who.String(), n.Take, fmt.Sprint(n.Frame),
			fmt.Sprintf("%.1f cm", n.Now.Centimetres()), fmt.Sprintf("%.1f cm", n.Then.Centimetres()))
	}
	rows.write(b.out)
}

// followedPoint reports whether a reading rests on points that were followed.
func followedPoint(r *study.Reading) bool {
	return slices.ContainsFunc(r.Tracks, func(t study.Track) bool {
		return slices.ContainsFunc(t.Steps, func(s study.TrackStep) bool { return s.State == study.StateFollowed })
	})
}

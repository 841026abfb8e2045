package main

import (
	"context"
	"fmt"

	"mesure/demo"
	"mesure/sport/mark"
	"mesure/study"
	"mesure/video"
)

// What is judged by more than one hand: placings is how many hands place the piste
// on each touch (what is followed stays as it is, the cameras come out anew), and
// clockHands how many mark the moments that tie the replay.
const (
	placings   = 4
	clockHands = 8
)

// followDemo follows every touch from a handful of marks, reads it, and compares
// camera, points and clocks with the truth: with the piste placed on the first and
// the last frame of each take and, where a take is long, on the first alone. The
// truth is never read.
func (b *bench) followDemo(ctx context.Context, cache string, e video.Engine, o demoOptions) (demo.FollowedReport, error) {
	p := b.start("following the four touches from a handful of marks")
	defer p.end()
	var samples []demo.FollowedSample
	footage := seenOnce{e, map[string]mark.Clip{}}
	for i := range demo.Count {
		share := func(done float64) { p.set((float64(i) + done) / demo.Count) }
		var followed *study.Following
		for k := range placings {
			for _, one := range []bool{false, true} {
				if one && !demo.HasLongTake(i) {
					continue
				}
				t := demo.Handful(i, o.Seed, demo.HandfulOptions{Noise: o.Noise, OnePlaced: one, Placing: uint64(k)})
				var err error
				if followed == nil {
					followed, err = study.Follow(ctx, &t, footage, study.FollowOptions{Path: in(cache),
						Progress: func(_ string, done float64) { share(followShare * done) }})
					if err != nil {
						return demo.FollowedReport{}, fmt.Errorf("touch %d: %w", i+1, err)
					}
				}
				r, err := study.Read(ctx, &t, footage, study.ReadOptions{Seed: o.Seed, Draws: study.MinDraws, Path: in(cache), Following: followed})
				if err != nil {
					return demo.FollowedReport{}, fmt.Errorf("touch %d: %w", i+1, err)
				}
				samples = append(samples, demo.FollowedSample{Touch: i, Reading: r, OnePlaced: one})
			}
			share(followShare + (1-followShare)*float64(k+1)/placings)
		}
		for k := range clockHands {
			if !demo.HasReplay(i) {
				break
			}
			t := demo.Handful(i, o.Seed+uint64(k), demo.HandfulOptions{Noise: o.Noise})
			r, err := study.Read(ctx, &t, footage, study.ReadOptions{Seed: o.Seed, Draws: study.MinDraws, Path: in(cache)})
			if err != nil {
				return demo.FollowedReport{}, fmt.Errorf("touch %d: %w", i+1, err)
			}
			samples = append(samples, demo.FollowedSample{Touch: i, Reading: r, ClockOnly: true})
		}
	}
	return demo.Followed(samples), nil
}

// followShare is the share of the work on a touch that following takes.
const followShare = 0.7

// seenOnce is footage that looks at each video once.
type seenOnce struct {
	study.Unreeler
	clips map[string]mark.Clip
}

// Probe returns what was seen before.
func (f seenOnce) Probe(ctx context.Context, path string, tell func(share float64)) (mark.Clip, error) {
	if clip, seen := f.clips[path]; seen {
		return clip, nil
	}
	clip, err := f.Unreeler.Probe(ctx, path, tell)
	if err == nil {
		f.clips[path] = clip
	}
	return clip, err
}

package main

import (
	"context"
	"fmt"

	"mesure/demo"
	"mesure/sport/mark"
	"mesure/study"
	"mesure/video"
)

// followDemo follows every touch from a handful of marks, reads it, and compares
// camera, points and clocks with the truth: once with the piste placed on the first
// and the last frame of each take, once on the first alone. The truth is never read.
func (b *bench) followDemo(ctx context.Context, cache string, e video.Engine, o demoOptions) (demo.FollowedReport, error) {
	p := b.start("following the four touches from a handful of marks")
	defer p.end()
	var samples []demo.FollowedSample
	footage := seenOnce{e, map[string]mark.Clip{}}
	for i := range demo.Count {
		var before *study.Following
		for k, onePlaced := range []bool{false, true} {
			t := demo.Handful(i, o.Seed, demo.HandfulOptions{Noise: o.Noise, OnePlaced: onePlaced})
			// What was followed does not hang on the placing: the second time is quick.
			from, size := (float64(i)+0.9*float64(k))/demo.Count, (0.9-0.8*float64(k))/demo.Count
			f, err := study.Follow(ctx, &t, footage, study.FollowOptions{Path: in(cache), Before: before,
				Progress: func(_ string, share float64) { p.set(from + size*share) }})
			if err != nil {
				return demo.FollowedReport{}, fmt.Errorf("touch %d: %w", i+1, err)
			}
			before = f
			r, err := study.Read(ctx, &t, footage, study.ReadOptions{Seed: o.Seed, Draws: study.MinDraws, Path: in(cache), Following: f})
			if err != nil {
				return demo.FollowedReport{}, fmt.Errorf("touch %d: %w", i+1, err)
			}
			samples = append(samples, demo.FollowedSample{Touch: i, Reading: r, OnePlaced: onePlaced})
		}
	}
	return demo.Followed(samples), nil
}

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

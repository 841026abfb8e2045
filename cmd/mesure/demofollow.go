package main

import (
	"context"
	"errors"
	"fmt"
	"sync"

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
	ctx, cancel := context.WithCancel(ctx)
	defer cancel()
	footage := &seenOnce{Unreeler: e, clips: map[string]mark.Clip{}}
	var done [demo.Count]float64
	var lock sync.Mutex
	samples, errs := [demo.Count][]demo.FollowedSample{}, [demo.Count]error{}
	// Two at a time: while one is decoded, another is followed.
	free := make(chan struct{}, 2)
	var work sync.WaitGroup
	for i := range demo.Count {
		work.Go(func() {
			free <- struct{}{}
			defer func() { <-free }()
			samples[i], errs[i] = followOne(ctx, i, cache, footage, o, func(share float64) {
				lock.Lock()
				defer lock.Unlock()
				done[i] = share
				p.set((done[0] + done[1] + done[2] + done[3]) / demo.Count)
			})
			if errs[i] != nil {
				errs[i] = fmt.Errorf("touch %d: %w", i+1, errs[i])
				cancel()
			}
		})
	}
	work.Wait()
	var all []demo.FollowedSample
	var first error
	for i := range demo.Count {
		all = append(all, samples[i]...)
		if errs[i] != nil && (first == nil || errors.Is(first, context.Canceled)) {
			first = errs[i]
		}
	}
	if first != nil {
		return demo.FollowedReport{}, first
	}
	return demo.Followed(all), nil
}

// followOne follows one touch and reads it as several hands mark it.
func followOne(ctx context.Context, i int, cache string, footage study.Unreeler, o demoOptions, share func(float64)) ([]demo.FollowedSample, error) {
	var samples []demo.FollowedSample
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
					return nil, err
				}
			}
			r, err := study.Read(ctx, &t, footage, study.ReadOptions{Seed: o.Seed, Draws: study.MinDraws, Path: in(cache), Following: followed})
			if err != nil {
				return nil, err
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
			return nil, err
		}
		samples = append(samples, demo.FollowedSample{Touch: i, Reading: r, ClockOnly: true})
	}
	return samples, nil
}

// followShare is the share of the work on a touch that following takes.
const followShare = 0.7

// seenOnce is footage that looks at each video once.
type seenOnce struct {
	study.Unreeler
	mu    sync.Mutex
	clips map[string]mark.Clip
}

// Probe returns what was seen before.
func (f *seenOnce) Probe(ctx context.Context, path string, tell func(share float64)) (mark.Clip, error) {
	f.mu.Lock()
	clip, seen := f.clips[path]
	f.mu.Unlock()
	if seen {
		return clip, nil
	}
	clip, err := f.Unreeler.Probe(ctx, path, tell)
	if err == nil {
		f.mu.Lock()
		f.clips[path] = clip
		f.mu.Unlock()
	}
	return clip, err
}

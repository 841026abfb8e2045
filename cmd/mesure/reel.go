package main

import (
	"context"
	"image"

	"mesure/sport/mark"
	"mesure/study"
	"mesure/video"
)

// reel reads videos for the desk.
type reel struct{ video.Engine }

var _ study.Reel = reel{}

// Run decodes a run of frames; each picture is made for fn and is its own.
func (r reel) Run(ctx context.Context, path string, clip mark.Clip, from, to mark.Frame, fn func(f mark.Frame, picture image.Image) error) error {
	return r.Frames(ctx, path, clip, from, to, func(f video.Frame) error { return fn(f.Number, f.RGBA()) })
}

// indexedReel follows videos whose index the desk has already: only their pictures
// are decoded.
type indexedReel struct {
	study.Footage
	e video.Engine
}

var _ study.Unreeler = indexedReel{}

// Unreel hands out the brightness of frames.
func (r indexedReel) Unreel(ctx context.Context, path string, clip mark.Clip, from, to mark.Frame) (study.Greys, error) {
	return r.e.Unreel(ctx, path, clip, from, to)
}

package main

import (
	"context"
	"fmt"
	"path/filepath"

	"mesure/sport/mark"
	"mesure/video"
)

// engine is the value of --engine.
type engine string

// The engines that can be asked for.
const (
	engineAuto     engine = "auto" // native where it is found, else embedded
	engineEmbedded engine = "embedded"
	engineNative   engine = "native"
)

// String returns the value; empty means auto.
func (e *engine) String() string {
	if *e == "" {
		return string(engineAuto)
	}
	return string(*e)
}

// Set takes a value from the command line.
func (e *engine) Set(s string) error {
	switch v := engine(s); v {
	case engineAuto, engineEmbedded, engineNative:
		*e = v
		return nil
	}
	return fmt.Errorf("write auto, embedded or native")
}

// Type stands for the value in the help.
func (e *engine) Type() string { return "auto|embedded|native" }

// open returns the engine of this name, ready to read video.
func (e *engine) open() (video.Engine, error) { return video.Choose(e.String()) }

// probe describes a video and shows how far it is.
func (b *bench) probe(ctx context.Context, e video.Engine, path string) (mark.Clip, error) {
	p := b.start("looking at " + filepath.Base(path))
	defer p.end()
	return e.Probe(ctx, path, p.set)
}

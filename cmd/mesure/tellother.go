package main

import (
	"context"
	"errors"
	"fmt"

	"mesure/show/clip"
	"mesure/show/tell"
	"mesure/study"
	"mesure/video"
)

// told is the telling that the library has of a touch; nil for none, and for a file.
func (s source) told(ctx context.Context) (*tell.Telling, error) {
	if s.lib == nil {
		return nil, nil
	}
	k, err := tell.Shelf{Library: s.lib}.Of(ctx, s.id)
	var wrong *tell.Error
	switch {
	case errors.Is(err, study.ErrNotFound):
		return nil, nil
	case errors.As(err, &wrong):
		return nil, &fault{code: library, where: "document", err: err, hint: `"mesure doctor" looks for damage.`}
	case err != nil:
		return nil, err
	}
	return k.Telling, nil
}

// pathOf says where a video of this touch, or of one that it plays beside, lies: in the
// same library.
func (s source) pathOf(_ string, v study.Video) (string, error) { return s.path(v) }

// beside reads the touches of the library that a storyboard plays beside this one. One
// that is not there is left out, and the storyboard then says so.
func (s source) beside(ctx context.Context, b *bench, e video.Engine, o tellOptions, board clip.Board) (map[string]*study.Reading, error) {
	all := map[string]*study.Reading{}
	for _, shot := range board.Shots {
		if shot.Other == nil || shot.Other.Touch == "" || all[shot.Other.Touch] != nil || s.lib == nil {
			continue
		}
		id := study.ID(shot.Other.Touch)
		t, err := unshelve(ctx, s.lib, id)
		if errors.Is(err, study.ErrNotFound) {
			continue
		}
		if err != nil {
			return nil, err
		}
		ask := study.ReadOptions{Draws: o.Draws, Seed: o.Seed, Path: s.path}
		kept := followsOf(b, string(id))
		if f, ok := kept.cache.Following(id); ok {
			ask.Following = f.Following
		}
		r, err := study.Read(ctx, t, e, ask)
		if err != nil {
			return nil, at(fmt.Sprintf("the touch %s", id), err)
		}
		all[shot.Other.Touch] = r
	}
	return all, nil
}

package study

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"slices"

	"mesure/sport/mark"
)

// Defaults of a reading.
const (
	// DefaultDraws is how many draws a race takes where none are asked for: the
	// chance of each outcome is then known to about a third of a percent.
	DefaultDraws = 20_000
	// DefaultSeed is the seed of the draws where none is given. Any would do; it
	// is fixed so that equal inputs give equal readings.
	DefaultSeed = 1
	// MinDraws is the fewest draws that say anything about a chance: to 5 %.
	MinDraws = 100
	// MaxDraws bounds a reading's time and memory.
	MaxDraws = 10_000_000
)

// ReadOptions are the settings of a reading that are not part of the touch.
type ReadOptions struct {
	// Draws of the race; zero means DefaultDraws.
	Draws int
	// Seed of the draws; zero means DefaultSeed.
	Seed uint64
	// Path says where a video lies; nil takes the video's File as it stands.
	Path func(Video) (string, error)
	// Progress is called with what is being done and its share between 0 and 1;
	// nil asks for none.
	Progress func(what string, share float64)
	// Partial reads what can be read, for a touch under work: a placing that is
	// refused is left out and stands in Reading.Refused, marks and a race that are
	// refused are left out with a warning. Such a reading also says what it still
	// needs.
	Partial bool
	// Cameras keeps the cameras of a partial reading for the next one; nil keeps
	// none.
	Cameras *Cameras
	// Following of the touch: its parts whose keys hold place the frames between
	// the placed ones and add the points between the marks. Nil uses none.
	Following *Following
	// Grids names the take whose followed frames are wanted with their grid, for
	// drawing; empty wants none.
	Grids string
	// Timing asks for the timing of one instant: the At of it, or the start of the race
	// where At has no take. Nil leaves the timing out.
	Timing *TimingAsk
	// Known are movements of the two fencers in other touches, for their profiles.
	Known [2][]Fit
	// Tactics asks what the bout makes of the touch; its Reading is set here. Nil leaves
	// the tactics out.
	Tactics *TacticsAsk
}

// TimingAsk says what of the timing is wanted.
type TimingAsk struct {
	At At
	// Map asks for the distance map, which takes the longest.
	Map bool
	// WhatIf asks what a change would do; nil asks nothing.
	WhatIf *Change
}

func (o ReadOptions) progress(what string, share float64) {
	if o.Progress != nil {
		o.Progress(what, share)
	}
}

// Read computes the reading of a touch: every placed frame, every instant with
// its places and gaps, the moments on the true clock, and the race.
//
// The video files are asked for the size of their picture and the time stamps of
// their frames, nothing else. Nothing of the touch is changed.
//
// Errors: *Refusal where an input cannot be used, naming it as a JSON pointer
// into the touch and saying what would mend it; the errors of the footage for a
// video that cannot be read, wrapped in a Refusal that names the video; the
// error of ctx. Whatever can only be doubted, or is missing for a part of the
// reading, is a Warning of a reading that is still returned.
func Read(ctx context.Context, t *Touch, footage Footage, o ReadOptions) (*Reading, error) {
	if o.Draws == 0 {
		o.Draws = DefaultDraws
	}
	if o.Seed == 0 {
		o.Seed = DefaultSeed
	}
	if o.Draws < MinDraws || o.Draws > MaxDraws {
		return nil, &Refusal{At: "", What: fmt.Sprintf("%d draws", o.Draws), Mend: fmt.Sprintf("ask for %d to %d", MinDraws, MaxDraws)}
	}
	r := &Reading{Touch: t, Version: Version, Seed: o.Seed, Draws: o.Draws, Inputs: inputsHash(t, o), kept: o.Cameras}

	clips, err := probeAll(ctx, t, footage, o)
	if err != nil {
		return nil, err
	}
	r.Clips = clips
	if err := checkFrames(t, clips); err != nil {
		return nil, err
	}
	clocks := readClocks(t, clips, r, o.Seed)
	if err := ctx.Err(); err != nil {
		return nil, err
	}

	o.progress("placing the piste", 0)
	cameras, err := placeAll(t, clips, r, o)
	if err != nil {
		return nil, err
	}
	r.cameras = cameras
	if o.Grids != "" {
		r.followedFrames(t, o.Grids)
	}
	o.progress("measuring", 0.5)
	trails := readTrails(t, cameras, clocks, r, o)
	trails.tracks(t, cameras, clocks, r)
	trails.proposals(t, r)
	trails.nextMarks(clocks, r)
	r.trails, r.clocks = trails, clocks
	readProfiles(t, trails, r, o)
	figures, err := readInstants(trails.filled(t), cameras, clocks, r, o)
	if err != nil {
		return nil, err
	}
	if err := ctx.Err(); err != nil {
		return nil, err
	}
	o.progress("running the race", 0.8)
	var refusal *Refusal
	if err := readRace(t, figures, r, o); o.Partial && errors.As(err, &refusal) {
		noRace(r, refusal.Error())
	} else if err != nil {
		return nil, err
	}
	if o.Timing != nil {
		o.progress("telling the timing", 0.9)
		if r.Timing, err = r.TimingAt(*o.Timing); err != nil {
			return nil, err
		}
	}
	if o.Tactics != nil {
		o.progress("asking the bout", 0.95)
		r.tactics(*o.Tactics)
	}
	sortWarnings(r)
	if o.Partial {
		r.Needs = advise(t, cameras, figures, r)
	}
	o.progress("done", 1)
	return r, nil
}

// tactics tells what the bout makes of the touch. What is wrong with the bout is no
// reason to refuse what was measured: it is a warning.
func (r *Reading) tactics(ask TacticsAsk) {
	ask.Reading = r
	t, err := TacticsOf(ask)
	if err != nil {
		why := err.Error()
		if no := (*Refusal)(nil); errors.As(err, &no) {
			why = no.What
		}
		r.Warnings = append(r.Warnings, Warning{Code: "no-tactics", About: "bout", Doubt: 1, Text: "the bout says nothing of this touch: " + why})
		return
	}
	r.Tactics = t
}

// probeAll asks the footage for every video that a take uses.
func probeAll(ctx context.Context, t *Touch, footage Footage, o ReadOptions) (map[string]mark.Clip, error) {
	clips := make(map[string]mark.Clip, len(t.Videos))
	for i, v := range t.Videos {
		at := fmt.Sprintf("/videos/%d/file", i)
		if !slices.ContainsFunc(t.Takes, func(k mark.Take) bool { return k.Video == v.ID }) {
			continue
		}
		path := v.File
		if o.Path != nil {
			p, err := o.Path(v)
			if err != nil {
				return nil, &Refusal{At: at, What: err.Error(), Because: err}
			}
			path = p
		}
		clip, err := footage.Probe(ctx, path, func(share float64) {
			o.progress("reading time stamps of "+v.ID, share*0.4)
		})
		if err != nil {
			if ctx.Err() != nil {
				return nil, ctx.Err()
			}
			return nil, &Refusal{At: at, What: err.Error(), Because: err}
		}
		clips[v.ID] = v.Clip(clip)
	}
	return clips, nil
}

// sortWarnings puts equal warnings into one order, whatever room they came from.
func sortWarnings(r *Reading) {
	slices.SortStableFunc(r.Warnings, func(a, b Warning) int {
		return cmp.Or(cmp.Compare(a.Code, b.Code), cmp.Compare(a.About, b.About))
	})
}

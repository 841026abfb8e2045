package study

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"math"
	"slices"

	"mesure/quantity"
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
	r := &Reading{Touch: t, Version: Version, Seed: o.Seed, Draws: o.Draws, Inputs: inputsHash(t, o)}

	clips, err := probeAll(ctx, t, footage, o)
	if err != nil {
		return nil, err
	}
	r.Clips = clips
	if err := checkFrames(t, clips); err != nil {
		return nil, err
	}
	clocks := clocksOf(t, clips)
	if err := ctx.Err(); err != nil {
		return nil, err
	}

	o.progress("placing the piste", 0)
	cameras, err := placeAll(t, clips, r, o)
	if err != nil {
		return nil, err
	}
	for _, m := range t.Moments {
		r.Moments = append(r.Moments, MomentReading{Moment: m, At: clocks[m.Take].between(m.After, m.By)})
	}
	o.progress("measuring", 0.5)
	figures, err := readInstants(t, cameras, clocks, r, o)
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
	sortWarnings(r)
	if o.Partial {
		r.Needs = advise(t, cameras, figures, r)
	}
	o.progress("done", 1)
	return r, nil
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
		clips[v.ID] = clip
	}
	return clips, nil
}

// checkFrames refuses frames that the videos do not have: only the videos know.
func checkFrames(t *Touch, clips map[string]mark.Clip) error {
	lack := func(at string, take mark.Take, f mark.Frame) error {
		if clip := clips[take.Video]; !clip.Has(f) {
			return &Refusal{At: at, What: fmt.Sprintf("frame %d is beyond the end of video %q, which shows frames 0 to %d", f, take.Video, clip.Frames()-1),
				Mend: "number the frames from 0, or name another take"}
		}
		return nil
	}
	for i, k := range t.Takes {
		if _, ok := clips[k.Video]; !ok {
			return &Refusal{At: fmt.Sprintf("/takes/%d/video", i), What: fmt.Sprintf("there is no video %q", k.Video), Mend: "add it to /videos"}
		}
		if err := lack(fmt.Sprintf("/takes/%d/to", i), k, k.To); err != nil {
			return err
		}
		if err := lack(fmt.Sprintf("/takes/%d/from", i), k, k.From); err != nil {
			return err
		}
	}
	for i, k := range t.Takes {
		if !clockHolds(k) {
			return &Refusal{At: fmt.Sprintf("/takes/%d", i), What: fmt.Sprintf("the clock of the take %q is none", k.ID), Mend: "give a positive factor, and errors that are not negative"}
		}
	}
	inTake := func(at, take string, f mark.Frame) error {
		k, ok := t.Take(take)
		if !ok {
			return &Refusal{At: at + "/take", What: fmt.Sprintf("there is no take %q", take), Mend: "add it to /takes"}
		}
		if err := lack(at+"/frame", k, f); err != nil {
			return err
		}
		return nil
	}
	for i, p := range t.Placings {
		if err := inTake(fmt.Sprintf("/placings/%d", i), p.Take, p.Frame); err != nil {
			return err
		}
	}
	for i, m := range t.Marks {
		if err := inTake(fmt.Sprintf("/marks/%d", i), m.Take, m.Frame); err != nil {
			return err
		}
	}
	for i, m := range t.Moments {
		at := fmt.Sprintf("/moments/%d", i)
		if err := inTake(at, m.Take, m.By); err != nil {
			return err
		}
		if m.After >= m.By {
			return &Refusal{At: at + "/after_frame", What: fmt.Sprintf("frame %d does not come before frame %d", m.After, m.By),
				Mend: "the moment lies after the one frame and no later than the other"}
		}
		if err := inTake(at, m.Take, m.After); err != nil {
			return err
		}
	}
	return nil
}

// clockHolds reports whether the numbers of a take's clock are those of one:
// nothing negative that may not be, and nothing that leaves the numbers of a
// computer when it is divided by.
func clockHolds(k mark.Take) bool {
	const most = 1e6 // a replay a million times slower or faster is none
	return k.Slow() > 1/most && k.Slow() < most && k.FactorSD >= 0 && k.FactorSD <= most &&
		math.Abs(float64(k.Offset)) < most*most && k.OffsetSD >= 0 && k.OffsetSD <= most
}

// clock is the true time of the frames of one take.
type clock struct {
	take  mark.Take
	times []mark.FileTime
}

func clocksOf(t *Touch, clips map[string]mark.Clip) map[string]clock {
	all := make(map[string]clock, len(t.Takes))
	for _, k := range t.Takes {
		all[k.ID] = clock{k, clips[k.Video].Times}
	}
	return all
}

func (c clock) at(f mark.Frame) quantity.Of[quantity.Seconds] {
	start, now := c.times[c.take.From], c.times[f]
	mean := quantity.Seconds(c.take.Clock(start, now))
	// First order in the factor k and the offset: ∂/∂k of (now−start)/k.
	byFactor := float64(now-start) / (c.take.Slow() * c.take.Slow()) * c.take.FactorSD
	return quantity.Normal(mean, quantity.Seconds(math.Hypot(byFactor, c.take.OffsetSD)))
}

// between is the law of an instant that two frames bracket: uniform between
// them, widened by the uncertainty of the take's clock.
func (c clock) between(after, by mark.Frame) quantity.Of[quantity.Seconds] {
	a, b := c.at(after), c.at(by)
	q := quantity.Uniform(a.Mean, b.Mean)
	sd := b.SD // the later end is the less certain one
	if a.SD > sd {
		sd = a.SD
	}
	if sd == 0 {
		return q
	}
	total := quantity.Seconds(math.Hypot(float64(q.SD), float64(sd)))
	half := quantity.Normal(0, total).Hi
	return quantity.Of[quantity.Seconds]{Mean: q.Mean, SD: total, Lo: q.Mean - half, Hi: q.Mean + half}
}

// sortWarnings puts equal warnings into one order, whatever room they came from.
func sortWarnings(r *Reading) {
	slices.SortStableFunc(r.Warnings, func(a, b Warning) int {
		return cmp.Or(cmp.Compare(a.Code, b.Code), cmp.Compare(a.About, b.About))
	})
}

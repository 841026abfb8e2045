// Package mark holds what a coach sets on a video: clips and their clocks,
// takes, frames, image points and who they belong to. It holds no numerics.
//
// Image frame: pixels, origin at the centre of the top-left pixel, u to the
// right and v down. Two clocks are kept apart as types: FileTime is the time
// stamp that the file gives a frame, TrueTime is the clock of the bout, which
// runs slower than the file in a slow replay.
package mark

import (
	"fmt"
	"sort"
)

// Pixel is a point of the image frame.
type Pixel struct {
	U float64 `json:"u"`
	V float64 `json:"v"`
}

// Frame is the number of a frame in order of presentation, from 0.
type Frame int

// FileTime is the presentation time of a frame in its file, in seconds.
type FileTime float64

// TrueTime is an instant on the clock of the bout, in seconds.
type TrueTime float64

// Clip describes one video file as it decodes: what the engines agree on.
type Clip struct {
	// Width and Height in pixels, after the rotation that the file asks for.
	Width  int `json:"width"`
	Height int `json:"height"`
	// Rotation that was applied, in degrees clockwise: 0, 90, 180 or 270.
	Rotation int `json:"rotation"`
	// Times has the presentation time of every frame shown, in order.
	Times []FileTime `json:"times"`
	// Interlaced is true when the stream says that it carries two fields a frame.
	Interlaced bool `json:"interlaced"`
	// Fields is true for a clip that was split (see Split): its frames are fields.
	Fields bool `json:"fields,omitempty"`
	// BitDepth of the luma samples in the file, 8 or 10 or more.
	BitDepth int `json:"bit_depth"`
	// Codec and Container as ffprobe names them.
	Codec     string `json:"codec"`
	Container string `json:"container"`
}

// Split returns the clip with two frames for each of its frames: the fields of
// interlaced video, the earlier one first. It stands at the time stamp of its
// frame, the later one half an interval on: half of the time to the next frame,
// or of the middle interval where the next frame comes later than that (one was
// dropped) or is none. The clip is not changed; one that is split already, and one
// without frames, comes back as it is.
func (c Clip) Split() Clip {
	if c.Fields || len(c.Times) == 0 {
		return c
	}
	gaps := make([]float64, 0, len(c.Times))
	for i := 1; i < len(c.Times); i++ {
		gaps = append(gaps, float64(c.Times[i]-c.Times[i-1]))
	}
	sort.Float64s(gaps)
	usual := 0.04 // of a clip of one frame: 25 frames a second
	if len(gaps) > 0 {
		usual = gaps[len(gaps)/2]
	}
	times := make([]FileTime, 0, 2*len(c.Times))
	for i, t := range c.Times {
		gap := usual
		if i+1 < len(c.Times) {
			gap = min(gap, float64(c.Times[i+1]-t))
		}
		times = append(times, t, t+FileTime(gap/2))
	}
	c.Times, c.Fields = times, true
	return c
}

// Whole returns the clip that Split was given.
func (c Clip) Whole() Clip {
	if !c.Fields {
		return c
	}
	times := make([]FileTime, len(c.Times)/2)
	for i := range times {
		times[i] = c.Times[2*i]
	}
	c.Times, c.Fields = times, false
	return c
}

// Frames returns the number of frames.
func (c Clip) Frames() int { return len(c.Times) }

// Nearest returns the frame whose time stamp is nearest to an instant of the
// file; 0 for a clip without frames.
func (c Clip) Nearest(t FileTime) Frame {
	i := sort.Search(len(c.Times), func(i int) bool { return c.Times[i] >= t })
	if i == len(c.Times) {
		return Frame(max(0, i-1))
	}
	if i > 0 && t-c.Times[i-1] < c.Times[i]-t {
		i--
	}
	return Frame(i)
}

// Has reports whether the clip shows this frame.
func (c Clip) Has(f Frame) bool { return f >= 0 && int(f) < len(c.Times) }

// Take is one stretch of one video that shows the touch: the live picture or a
// replay.
type Take struct {
	ID    string `json:"id"`
	Video string `json:"video"`
	// From and To are the first and the last frame of the take, both shown.
	From Frame `json:"from"`
	To   Frame `json:"to"`
	// Factor is how many seconds of the file show one second of the bout: 1 live,
	// 4 for a replay at a quarter of the speed. Zero means 1.
	Factor float64 `json:"factor,omitempty"`
	// FactorSD is the standard deviation of Factor.
	FactorSD float64 `json:"factor_sd,omitempty"`
	// Offset is the instant of the bout that the frame From shows.
	Offset TrueTime `json:"offset_s,omitempty"`
	// OffsetSD is the standard deviation of Offset, in seconds.
	OffsetSD float64 `json:"offset_sd_s,omitempty"`
	// Steady says that the camera neither panned nor zoomed during the take, so
	// that one placed frame serves all of them.
	Steady bool `json:"steady,omitempty"`
	// CaptureRate is how many frames a second the camera took, where the file shows
	// them slower or faster (slow motion of a telephone); zero where the file's own
	// time stamps hold. It then gives the factor, and Factor must be zero.
	CaptureRate float64 `json:"capture_rate,omitempty"`
	// Tied says that the clock of this take follows from moments that were also
	// seen in another take. A Factor that is set is then kept and only the offset
	// is found; Offset and OffsetSD are not used.
	Tied bool `json:"tied,omitempty"`
}

// Slow returns the time factor, 1 where none is set.
func (t Take) Slow() float64 {
	if t.Factor == 0 {
		return 1
	}
	return t.Factor
}

// Clock returns the instant of the bout that a frame with this time stamp
// shows: Offset + (at − start)/Factor, where start is the time stamp of the
// first frame of the take.
func (t Take) Clock(start, at FileTime) TrueTime {
	return t.Offset + TrueTime(float64(at-start)/t.Slow())
}

// Side is one of the two fencers, as the camera sees them.
type Side uint8

// The two sides.
const (
	Left Side = iota
	Right
)

// Sides lists both in the order in which everything is printed.
var Sides = [2]Side{Left, Right}

// Other returns the opponent.
func (s Side) Other() Side { return 1 - s }

// String returns "left" or "right".
func (s Side) String() string {
	if s == Left {
		return "left"
	}
	return "right"
}

// MarshalText writes "left" or "right".
func (s Side) MarshalText() ([]byte, error) {
	if s > Right {
		return nil, fmt.Errorf("mark: %d is not a side", uint8(s))
	}
	return []byte(s.String()), nil
}

// UnmarshalText reads "left" or "right".
func (s *Side) UnmarshalText(text []byte) error {
	for _, side := range Sides {
		if string(text) == side.String() {
			*s = side
			return nil
		}
	}
	return fmt.Errorf("%q is not a side: write \"left\" or \"right\"", text)
}

// What names the thing that a mark is on.
type What string

// Points of interest on a fencer. Others may be named freely.
const (
	Point     What = "point" // the tip of the blade, as the trade calls it
	Guard     What = "guard"
	Elbow     What = "elbow"    // of the weapon arm
	Shoulder  What = "shoulder" // of the weapon arm
	Mask      What = "mask"
	Hip       What = "hip"
	FrontKnee What = "front-knee"
	FrontToe  What = "front-toe"
	FrontHeel What = "front-heel"
	RearToe   What = "rear-toe"
	RearHeel  What = "rear-heel"
)

// Points lists the points of interest in the order in which they are printed.
func Points() []What {
	return []What{Point, Guard, Elbow, Shoulder, Mask, Hip, FrontKnee, FrontToe, FrontHeel, RearToe, RearHeel}
}

// IsFoot reports whether the mark is on the sole, which stands on or near the
// floor and close to the plane of action.
func (w What) IsFoot() bool {
	switch w {
	case FrontToe, FrontHeel, RearToe, RearHeel:
		return true
	}
	return false
}

// Mark is one image point on one frame: who, what, where and how sure.
type Mark struct {
	Take  string `json:"take"`
	Frame Frame  `json:"frame"`
	Who   Side   `json:"who"`
	What  What   `json:"what"`
	At    Pixel  `json:"at"`
	// SD is the marking error in pixels, alike in both directions.
	SD float64 `json:"sd"`
}

// DefaultSD is the marking error in pixels where a mark states none: what a
// careful hand reaches on a sharp picture (common practice, no source).
const DefaultSD = 1.5

// Moment is an instant of the phrase. Video only brackets it: it happened after
// the frame After was taken and no later than the frame By.
type Moment struct {
	ID    string `json:"id"`
	Name  string `json:"name"`
	Take  string `json:"take"`
	After Frame  `json:"after_frame"`
	By    Frame  `json:"by_frame"`
	// Also are the brackets of the same instant in other takes.
	Also []Bracket `json:"also,omitempty"`
}

// Bracket says between which frames of a take an instant lies.
type Bracket struct {
	Take  string `json:"take"`
	After Frame  `json:"after_frame"`
	By    Frame  `json:"by_frame"`
}

// Brackets are all brackets of the instant, that of its own take first.
func (m Moment) Brackets() []Bracket {
	return append([]Bracket{{Take: m.Take, After: m.After, By: m.By}}, m.Also...)
}

// Hidden is a stretch of a take, both ends in it, on which a point cannot be seen:
// it is not followed there.
type Hidden struct {
	Take string `json:"take"`
	Who  Side   `json:"who"`
	What What   `json:"what"`
	From Frame  `json:"from"`
	To   Frame  `json:"to"`
}

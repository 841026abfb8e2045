package video

import (
	"context"
	"image"
	"os"

	"mesure/sport/mark"
	"mesure/study"
)

// Engine reads and writes video; it fulfils study.Unreeler. Its methods may be called at the same time.
// Every error that a user can mend is an *Error; a cancelled context gives the
// error of the context.
type Engine interface {
	// Name is "embedded" or "native".
	Name() string
	// Probe examines a file; progress may be nil and is called with a share
	// between 0 and 1 that never goes back.
	Probe(ctx context.Context, path string, progress func(share float64)) (mark.Clip, error)
	// Still decodes one frame by its number, as *image.RGBA.
	Still(ctx context.Context, path string, clip mark.Clip, f mark.Frame) (image.Image, error)
	// Frames decodes the frames from and to and all between, in order, and calls
	// fn with each. What fn gets is only valid until it returns; an error of fn
	// ends the work and is returned. A few frames are in memory at a time,
	// however long the video is.
	Frames(ctx context.Context, path string, clip mark.Clip, from, to mark.Frame, fn func(Frame) error) error
	// Luma decodes the brightness of one frame, for measuring. It is as it stands
	// in the file: 16 to 235 in most videos.
	Luma(ctx context.Context, path string, clip mark.Clip, f mark.Frame) (*image.Gray, error)
	// Unreel decodes the brightness of a run of frames and hands it out in any order.
	Unreel(ctx context.Context, path string, clip mark.Clip, from, to mark.Frame) (study.Greys, error)
	// FramesAt is Frames of the part crop of the picture, scaled to w × h, in BT.709,
	// limited range, SDR, whatever the file has.
	FramesAt(ctx context.Context, path string, clip mark.Clip, from, to mark.Frame, crop image.Rectangle, w, h int, fn func(Frame) error) error
	// Create begins a clip in a file at this path. Nothing is seen there before
	// Writer.Close has returned nil.
	Create(ctx context.Context, path string, spec Spec) (*Writer, error)
	// Join puts clips of one Spec together without encoding them again, with sound and
	// chapters. Nothing is seen at the path before it has returned nil.
	Join(ctx context.Context, path string, pieces []string, o JoinOptions) error
	// Doctor says whether the engine works and what it can do.
	Doctor(ctx context.Context) (Health, error)
}

// EngineEnv names the environment variable that overrides the choice "auto".
const EngineEnv = "MESURE_ENGINE"

// The names that Choose takes.
const (
	Auto         = "auto"
	EmbeddedName = "embedded"
	NativeName   = "native"
)

// Choose returns an engine by name: "embedded", "native", or "auto" (also "")
// for the native one where ffmpeg and ffprobe of version 5.1 or newer are found
// and the embedded one elsewhere. The environment variable MESURE_ENGINE takes the place of "auto".
// Errors: ErrNoEngine.
func Choose(name string) (Engine, error) {
	asked := name
	if name == "" || name == Auto {
		if env := os.Getenv(EngineEnv); env != "" {
			name = env
		}
	}
	switch name {
	case EmbeddedName:
		return Embedded(), nil
	case NativeName:
		return Native()
	case "", Auto:
		if n, err := findNative(); err == nil && n.recent() {
			return newEngine(n), nil
		}
		return Embedded(), nil
	}
	where := "the option"
	if asked != name {
		where = EngineEnv
	}
	return nil, &Error{Code: CodeNoEngine, Path: name,
		What: "there is no video engine of this name (from " + where + ")",
		Mend: "use auto, embedded or native"}
}

// engine is everything that both engines share; they differ in how a tool of
// FFmpeg is started.
type engine struct {
	machine machine
	seen    *memory
}

var _ Engine = (*engine)(nil)

func newEngine(m machine) *engine { return &engine{machine: m, seen: newMemory()} }

// Name is "embedded" or "native".
func (e *engine) Name() string { return e.machine.name() }

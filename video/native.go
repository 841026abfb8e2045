package video

import (
	"context"
	"errors"
	"os/exec"
	"path/filepath"
)

// native runs the ffmpeg and ffprobe of the machine.
type native struct{ ffmpeg, ffprobe string }

// Native returns the engine that runs ffmpeg and ffprobe as found in the path.
// Errors: ErrNoEngine.
func Native() (Engine, error) {
	n, err := findNative()
	if err != nil {
		return nil, err
	}
	return newEngine(n), nil
}

func findNative() (native, error) {
	ffmpeg, err := exec.LookPath(ffmpegTool)
	if err != nil {
		return native{}, ErrNoEngine.on("", err)
	}
	ffprobe, err := exec.LookPath(ffprobeTool)
	if err != nil {
		return native{}, ErrNoEngine.on("", err)
	}
	return native{ffmpeg, ffprobe}, nil
}

func (n native) name() string   { return NativeName }
func (n native) where() string  { return n.ffmpeg }
func (n native) preset() string { return "veryfast" }

// start puts "file:" before a path so that no name can be taken for an option or
// for another protocol.
func (n native) start(ctx context.Context, j job) (*run, error) {
	tool := n.ffmpeg
	if j.tool == ffprobeTool {
		tool = n.ffprobe
	}
	args := make([]string, len(j.args))
	for i, a := range j.args {
		switch a {
		case inputHere:
			abs, err := filepath.Abs(j.input)
			if err != nil {
				return nil, ErrMissing.on(j.input, err)
			}
			a = "file:" + abs
		case outputHere:
			abs, err := filepath.Abs(j.output)
			if err != nil {
				return nil, ErrMissing.on(j.output, err)
			}
			a = "file:" + abs
		}
		args[i] = a
	}
	cmd := exec.CommandContext(ctx, tool, args...)
	in, out, said, err := launch(cmd)
	if err != nil {
		return nil, ErrEngine.on("", err)
	}
	wait := func() error {
		err := cmd.Wait()
		var exit *exec.ExitError
		if errors.As(err, &exit) {
			return exitError(exit.ExitCode())
		}
		return err
	}
	return &run{in: in, out: out, said: said, wait: wait}, nil
}

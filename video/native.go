package video

import (
	"context"
	"errors"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"time"
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

// recent reports whether this ffmpeg is of version 5.1 or newer. A build that
// has no number, such as one of a day, is taken for a recent one.
func (n native) recent() bool {
	ctx, cancel := context.WithTimeout(context.Background(), versionTime)
	defer cancel()
	out, err := exec.CommandContext(ctx, n.ffmpeg, "-version").Output()
	return err == nil && recentVersion(string(out))
}

// versionTime is how long ffmpeg may take to tell its version.
const versionTime = 5 * time.Second

func recentVersion(said string) bool {
	rest, ok := strings.CutPrefix(said, "ffmpeg version ")
	if !ok {
		return false
	}
	version, _, _ := strings.Cut(strings.TrimLeft(rest, "n"), " ")
	part := strings.FieldsFunc(version, func(r rune) bool { return r < '0' || r > '9' })
	if len(part) < 2 || version[0] < '0' || version[0] > '9' {
		return true
	}
	major, err1 := strconv.Atoi(part[0])
	minor, err2 := strconv.Atoi(part[1])
	return err1 != nil || err2 != nil || major > 5 || major == 5 && minor >= 1
}

func (n native) name() string   { return NativeName }
func (n native) where() string  { return n.ffmpeg }
func (n native) preset() string { return "veryfast" }
func (n native) threads() int   { return nativeThreads() }

// start puts "file:" before a path so that no name can be taken for an option or
// for another protocol.
func (n native) start(ctx context.Context, j job) (*run, error) {
	tool := n.ffmpeg
	if j.tool == ffprobeTool {
		tool = n.ffprobe
	}
	args := append([]string(nil), j.args...)
	names := append([]string{j.input, j.output}, j.others...)
	for i, name := range names {
		if name == "" {
			continue
		}
		url, err := n.sees(i, name)
		if err != nil {
			return nil, err
		}
		place := inputHere
		switch {
		case i == 1:
			place = outputHere
		case i > 1:
			place = otherHere(i - 2)
		}
		put(args, place, url)
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

// sees puts "file:" before a path.
func (native) sees(_ int, path string) (string, error) {
	abs, err := filepath.Abs(path)
	if err != nil {
		return "", ErrMissing.on(path, err)
	}
	return "file:" + abs, nil
}

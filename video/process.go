package video

import (
	"context"
	"errors"
	"fmt"
	"io"
	"os/exec"
	"strconv"
	"sync"
	"time"
)

// The tools of FFmpeg that an engine starts.
const (
	ffmpegTool  = "ffmpeg"
	ffprobeTool = "ffprobe"
)

// Places in the arguments of a job where an engine puts its name for the file
// that is read and the one that is written.
const (
	inputHere  = "{input}"
	outputHere = "{output}"
)

// otherHere is the place of the engine's name for one more file that is read.
func otherHere(i int) string { return "{other " + strconv.Itoa(i) + "}" }

// job is one run of a tool.
type job struct {
	tool string
	args []string
	// input is read and output is written; either may be empty.
	input, output string
	// others are further files that are read.
	others []string
	// fed is true when the tool reads frames from its standard input.
	fed bool
}

// machine starts tools; it is what the two engines differ in.
type machine interface {
	name() string
	// start runs a job. It is killed when the context ends.
	start(ctx context.Context, j job) (*run, error)
	// preset is the x264 preset that suits the speed of the machine.
	preset() string
	// threads is how many an encoder has.
	threads() int
	// sees returns the engine's name for others[i] of a job, of this path.
	sees(i int, path string) (string, error)
	// where says what is run, for the doctor.
	where() string
}

// run is a tool that an engine has started.
type run struct {
	in   io.WriteCloser
	out  io.ReadCloser
	said io.Reader
	// wait returns when the tool has ended; out and said must be read to their
	// ends before. An exit code that is not 0 is an exitError.
	wait func() error
}

// exitError is the exit code of a tool that failed.
type exitError int

func (e exitError) Error() string { return fmt.Sprintf("the tool ended with code %d", int(e)) }

// process is a running tool whose complaints are read.
type process struct {
	ctx    context.Context
	cancel context.CancelFunc
	run    *run
	in     io.WriteCloser
	out    io.Reader
	log    *toolLog
	once   sync.Once
	err    error
}

// start runs a job. The caller must read out to its end or call stop, and must
// call wait.
func (e *engine) start(ctx context.Context, j job) (*process, error) {
	if err := ctx.Err(); err != nil {
		return nil, err
	}
	inner, cancel := context.WithCancel(ctx)
	r, err := e.machine.start(inner, j)
	if err != nil {
		cancel()
		if ctx.Err() != nil {
			err = ctx.Err()
		}
		return nil, err
	}
	p := &process{ctx: ctx, cancel: cancel, run: r, in: r.in, out: r.out, log: newToolLog()}
	go p.log.read(r.said)
	return p, nil
}

// stop kills the tool. What it has written and nobody has read is dropped.
func (p *process) stop() {
	p.cancel()
	_ = p.run.out.Close()
}

// wait returns when the tool has ended and all that it said was read: the error
// of the context if that is why, else that of the tool.
func (p *process) wait() error {
	p.once.Do(func() {
		<-p.log.done
		err := p.run.wait()
		p.cancel()
		if ctxErr := p.ctx.Err(); ctxErr != nil {
			err = ctxErr
		}
		p.err = err
	})
	return p.err
}

// failed reports whether the tool could not be run at all, which is no fault of
// the file.
func failed(err error) bool {
	var exit exitError
	return errors.As(err, &exit) && int(exit) == childBroken
}

// waitForPipes is how long a killed tool may keep its pipes open before they are
// closed for it.
const waitForPipes = 2 * time.Second

// launch starts a program with pipes on all three ends.
func launch(cmd *exec.Cmd) (in io.WriteCloser, out, said io.ReadCloser, err error) {
	cmd.WaitDelay = waitForPipes
	if in, err = cmd.StdinPipe(); err != nil {
		return nil, nil, nil, err
	}
	if out, err = cmd.StdoutPipe(); err != nil {
		return nil, nil, nil, err
	}
	if said, err = cmd.StderrPipe(); err != nil {
		return nil, nil, nil, err
	}
	if err = cmd.Start(); err != nil {
		return nil, nil, nil, err
	}
	widen(out)
	widen(in)
	return in, out, said, nil
}

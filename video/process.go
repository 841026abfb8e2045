package video

import (
	"context"
	"errors"
	"io"
	"os/exec"
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

// job is one run of a tool.
type job struct {
	tool string
	args []string
	// input is read and output is written; either may be empty.
	input, output string
	// fed is true when the tool reads frames from its standard input.
	fed bool
}

// machine starts tools; it is what the two engines differ in.
type machine interface {
	name() string
	// command prepares a run. It is killed when the context ends.
	command(ctx context.Context, j job) (*exec.Cmd, error)
	// preset is the x264 preset that suits the speed of the machine.
	preset() string
	// where says what is run, for the doctor.
	where() string
}

// waitForPipes is how long a killed tool may keep its pipes open before they are
// closed for it.
const waitForPipes = 2 * time.Second

// process is a running tool.
type process struct {
	ctx    context.Context
	cancel context.CancelFunc
	cmd    *exec.Cmd
	in     io.WriteCloser
	out    io.ReadCloser
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
	cmd, err := e.machine.command(inner, j)
	if err != nil {
		cancel()
		return nil, err
	}
	cmd.WaitDelay = waitForPipes
	p := &process{ctx: ctx, cancel: cancel, cmd: cmd, log: newToolLog()}
	var errPipe io.ReadCloser
	if p.in, err = cmd.StdinPipe(); err == nil {
		if p.out, err = cmd.StdoutPipe(); err == nil {
			errPipe, err = cmd.StderrPipe()
		}
	}
	if err == nil {
		err = cmd.Start()
	}
	if err != nil {
		cancel()
		return nil, ErrEngine.on("", err)
	}
	widen(p.out)
	widen(p.in)
	go p.log.read(errPipe)
	return p, nil
}

// stop kills the tool.
func (p *process) stop() { p.cancel() }

// wait returns when the tool has ended and all that it said was read: the error
// of the context if that is why, else that of the tool.
func (p *process) wait() error {
	p.once.Do(func() {
		<-p.log.done
		err := p.cmd.Wait()
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
	var exit *exec.ExitError
	return err != nil && errors.As(err, &exit) && exit.ExitCode() == childBroken
}

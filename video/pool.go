package video

import (
	"bufio"
	"context"
	"io"
	"os"
	"os/exec"
	"sync"
	"time"
)

const (
	// idleLife is how long a child waits for more work before it is ended: long
	// enough for the next still of somebody who steps through a touch. A waiting
	// child holds about 150 MB.
	idleLife = 20 * time.Second
	// idleMost is how many children may wait.
	idleMost = 2
)

// pool keeps children that have nothing to do, because starting one takes half a
// second and a job in a running one some milliseconds.
type pool struct {
	mu   sync.Mutex
	idle []*worker
}

// worker is one child process. It does one job at a time.
type worker struct {
	pool *pool
	cmd  *exec.Cmd
	in   io.WriteCloser
	to   *messages
	from *bufio.Reader
	// leave ends the child when it has waited too long.
	leave *time.Timer
}

// take returns a waiting child, or a fresh one.
func (p *pool) take() (w *worker, fresh bool, err error) {
	if IsChild() {
		panic("video: RunChild must be called first thing in main, and in TestMain of tests")
	}
	p.mu.Lock()
	defer p.mu.Unlock()
	for len(p.idle) > 0 {
		w = p.idle[len(p.idle)-1]
		p.idle = p.idle[:len(p.idle)-1]
		if w.leave.Stop() {
			return w, false, nil
		}
	}
	w, err = p.spawn()
	return w, true, err
}

func (p *pool) spawn() (*worker, error) {
	self, err := os.Executable()
	if err != nil {
		return nil, ErrEngine.on("", err)
	}
	cmd := exec.Command(self)
	cmd.Env = append(os.Environ(), childEnv+"=1")
	in, out, said, err := launch(cmd)
	if err != nil {
		return nil, ErrEngine.on(self, err)
	}
	go func() { _, _ = io.Copy(os.Stderr, said) }() // only a crash of the child itself
	return &worker{pool: p, cmd: cmd, in: in, to: &messages{w: in}, from: bufio.NewReaderSize(out, readAtOnce)}, nil
}

// put takes a child back that has done its job.
func (p *pool) put(w *worker) {
	p.mu.Lock()
	defer p.mu.Unlock()
	if len(p.idle) >= idleMost {
		go w.end()
		return
	}
	w.leave = time.AfterFunc(idleLife, func() {
		p.mu.Lock()
		for i, other := range p.idle {
			if other == w {
				p.idle = append(p.idle[:i], p.idle[i+1:]...)
				break
			}
		}
		p.mu.Unlock()
		w.end()
	})
	p.idle = append(p.idle, w)
}

// dismiss ends every child that waits, and returns when they are gone.
func (p *pool) dismiss() {
	p.mu.Lock()
	idle := p.idle
	p.idle = nil
	p.mu.Unlock()
	for _, w := range idle {
		if w.leave.Stop() {
			w.end()
		}
	}
}

// end lets a child that has nothing to do exit.
func (w *worker) end() {
	_ = w.in.Close()
	_ = w.cmd.Wait()
}

// kill ends a child at once.
func (w *worker) kill() { _ = w.cmd.Process.Kill() }

// work lets a child do the job that it was sent. What the tool writes and says comes out of the
// run; a child that was killed or broken is not used again.
func (w *worker) work(ctx context.Context) *run {
	out, outTo := io.Pipe()
	said, saidTo := io.Pipe()
	done := make(chan struct{})
	var exit error
	feed := &feeder{to: w.to}
	unwatch := context.AfterFunc(ctx, w.kill)
	go func() {
		defer close(done)
		code, err := w.listen(outTo, saidTo)
		killed := !unwatch()
		exit = err
		if err == nil && code != 0 {
			exit = exitError(code)
		}
		feed.end()
		if err != nil || killed || code == childBroken {
			w.kill()
			w.end()
		} else {
			w.pool.put(w)
		}
		_ = outTo.Close()
		_ = saidTo.Close()
	}()
	wait := func() error {
		_ = out.Close()
		<-done
		return exit
	}
	return &run{in: feed, out: out, said: said, wait: wait}
}

// listen passes on what comes back until the tool has ended.
func (w *worker) listen(out, said *io.PipeWriter) (code byte, err error) {
	for {
		kind, length, err := receive(w.from)
		if err != nil {
			return 0, err
		}
		switch kind {
		case msgOutput:
			err = pass(out, w.from, length)
		case msgSaid:
			err = pass(said, w.from, length)
		case msgExit:
			b, err := receiveAll(w.from, length)
			if err != nil || length != 1 {
				return 0, io.ErrUnexpectedEOF
			}
			return b[0], nil
		}
		if err != nil {
			return 0, err
		}
	}
}

// feeder sends frames to a tool's standard input, for as long as the tool runs:
// what came later would go to the next one.
type feeder struct {
	to    *messages
	mu    sync.Mutex
	ended bool
}

func (f *feeder) Write(b []byte) (int, error) {
	f.mu.Lock()
	defer f.mu.Unlock()
	if f.ended {
		return 0, io.ErrClosedPipe
	}
	return f.to.as(msgInput).Write(b)
}

// Close tells the tool that no more frames come.
func (f *feeder) Close() error {
	f.mu.Lock()
	defer f.mu.Unlock()
	if f.ended {
		return nil
	}
	f.ended = true
	return f.to.send(msgInputEnd, nil)
}

func (f *feeder) end() {
	f.mu.Lock()
	defer f.mu.Unlock()
	f.ended = true
}

package web

import (
	"context"
	"slices"
	"strconv"
	"sync"
	"time"

	"mesure/study"
)

// Limits of the list of jobs.
const (
	// tellEvery bounds how often the share of a job is told.
	tellEvery = 100 * time.Millisecond
	// keptJobs is how many that ended are still listed, keptFor how long.
	keptJobs = 32
	keptFor  = 10 * time.Minute
	// leftAfter is how long a job runs before the time left is worth telling.
	leftAfter = time.Second
)

// Kinds and states of a job, as they go over the wire.
const (
	jobCopy, jobIndex, jobDemo, jobFollow          = "copy", "index", "demo", "follow"
	jobGoing, jobDone, jobCancelled, jobFailedWord = "going", "done", "cancelled", "failed"
)

// job is work that goes on without a request waiting for it.
type job struct {
	all    *jobs
	cancel context.CancelFunc
	began  time.Time
	// ended is closed when the work is over.
	ended chan struct{}

	mu   sync.Mutex
	now  Job
	told time.Time
	// toldMedia is when the video that it indexes was told of.
	toldMedia time.Time
	over      time.Time
}

// jobs is the list of work that goes on or ended lately.
type jobs struct {
	s    *Server
	mu   sync.Mutex
	next int
	list []*job
	work sync.WaitGroup
	// closed: nothing begins any more.
	closed bool
}

func newJobs(s *Server) *jobs { return &jobs{s: s} }

// start does work in the background. The result of work becomes the result of the
// job. Errors of work are told in the job and nowhere else.
func (a *jobs) start(kind, about string, work func(ctx context.Context, j *job) (result string, err error)) *job {
	ctx, cancel := context.WithCancel(a.s.life)
	j := &job{all: a, cancel: cancel, began: time.Now(), ended: make(chan struct{})}
	a.mu.Lock()
	a.next++
	j.now = Job{ID: strconv.Itoa(a.next), Kind: kind, About: about, State: jobGoing}
	if a.closed {
		j.now.State, j.over = jobCancelled, time.Now()
		cancel()
		close(j.ended)
		a.mu.Unlock()
		return j
	}
	a.list = append(a.list, j)
	a.forget()
	a.work.Add(1)
	a.mu.Unlock()
	j.tell(true)
	go func() {
		defer a.work.Done()
		defer cancel()
		result, err := work(ctx, j)
		j.mu.Lock()
		j.now.Result, j.now.Left, j.over = result, 0, time.Now()
		switch {
		case err == nil:
			j.now.State, j.now.Share = jobDone, 1
		case ctx.Err() != nil:
			j.now.State = jobCancelled
		default:
			j.now.State, j.now.Trouble = jobFailedWord, a.s.words(err)
		}
		j.mu.Unlock()
		close(j.ended)
		j.tell(true)
	}()
	return j
}

// background does something that is no job of its own, such as waiting for one.
func (a *jobs) background(f func()) {
	a.mu.Lock()
	defer a.mu.Unlock()
	if !a.closed {
		a.work.Go(f)
	}
}

// forget drops what ended long ago; a.mu is held.
func (a *jobs) forget() {
	ended := 0
	for i := len(a.list) - 1; i >= 0; i-- {
		j := a.list[i]
		j.mu.Lock()
		over := j.over
		j.mu.Unlock()
		if over.IsZero() {
			continue
		}
		if ended++; ended > keptJobs || time.Since(over) > keptFor {
			a.list = slices.Delete(a.list, i, i+1)
		}
	}
}

// all returns every job, the oldest first.
func (a *jobs) all() []Job {
	a.mu.Lock()
	defer a.mu.Unlock()
	a.forget()
	some := make([]Job, 0, len(a.list))
	for _, j := range a.list {
		some = append(some, j.state())
	}
	return some
}

func (a *jobs) find(id string) (*job, bool) {
	a.mu.Lock()
	defer a.mu.Unlock()
	for _, j := range a.list {
		if j.now.ID == id {
			return j, true
		}
	}
	return nil, false
}

// close lets nothing begin any more and returns when every job has ended.
func (a *jobs) close() {
	a.mu.Lock()
	a.closed = true
	a.mu.Unlock()
	a.work.Wait()
}

func (j *job) state() Job {
	j.mu.Lock()
	defer j.mu.Unlock()
	return j.now
}

// share says how much is done, between 0 and 1. It never goes back.
func (j *job) share(done float64) {
	j.mu.Lock()
	if !j.over.IsZero() {
		j.mu.Unlock()
		return
	}
	j.now.Share = max(j.now.Share, min(done, 1))
	if took := time.Since(j.began); took > leftAfter && j.now.Share > 0 {
		j.now.Left = took.Seconds() * (1 - j.now.Share) / j.now.Share
	}
	j.mu.Unlock()
	j.tell(false)
}

// doing says what is being done, and the share of all of it that is done.
func (j *job) doing(what string, done float64) {
	j.mu.Lock()
	if j.over.IsZero() {
		j.now.Doing = what
	}
	j.mu.Unlock()
	j.share(done)
}

// of names the document that it works on.
func (j *job) of(id study.ID) {
	j.mu.Lock()
	j.now.Of = id
	j.mu.Unlock()
	j.tell(true)
}

// tell sends the state to the windows, not too often unless it must be told.
func (j *job) tell(must bool) {
	j.mu.Lock()
	defer j.mu.Unlock() // held while it is sent, so that an older state never follows a newer
	if !must && time.Since(j.told) < tellEvery {
		return
	}
	j.told = time.Now()
	j.all.s.events.tell("job", j.now.ID, j.now)
}

// tellsMedia reports whether it is time to tell of the video that it indexes.
func (j *job) tellsMedia() bool {
	j.mu.Lock()
	defer j.mu.Unlock()
	if time.Since(j.toldMedia) < tellEvery {
		return false
	}
	j.toldMedia = time.Now()
	return true
}

func (s *Server) listJobs(context.Context, *struct{}) (*body[[]Job], error) {
	return &body[[]Job]{s.jobs.all()}, nil
}

func (s *Server) cancelJob(_ context.Context, in *inJob) (*none, error) {
	j, ok := s.jobs.find(in.ID)
	if !ok {
		return nil, study.ErrNotFound
	}
	j.cancel()
	return nil, nil
}

package main

import (
	"context"
	"errors"
	"runtime"
	"sync/atomic"
	"testing"
)

func TestSideBySideDoesEverythingOnce(t *testing.T) {
	var count [50]atomic.Int32
	var work []func() error
	for i := range count {
		work = append(work, func() error { count[i].Add(1); return nil })
	}
	last := 0
	if err := together(context.Background(), work, func(done int) { last = done }); err != nil {
		t.Fatal(err)
	}
	for i := range count {
		if n := count[i].Load(); n != 1 {
			t.Errorf("piece %d was done %d times", i, n)
		}
	}
	if last != len(work) {
		t.Errorf("told %d of %d", last, len(work))
	}
	if err := together(context.Background(), nil, nil); err != nil {
		t.Error(err)
	}
}

func TestSideBySideStopsAtTheFirstError(t *testing.T) {
	defer runtime.GOMAXPROCS(runtime.GOMAXPROCS(1)) // one at a time, so that the order is known
	broken := errors.New("broken")
	var begun atomic.Int32
	work := []func() error{func() error { return broken }}
	for range 10 {
		work = append(work, func() error { begun.Add(1); return nil })
	}
	if err := together(context.Background(), work, func(int) {}); !errors.Is(err, broken) {
		t.Errorf("got %v", err)
	}
	if n := begun.Load(); n != 0 {
		t.Errorf("%d pieces were begun after the error", n)
	}
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	if err := together(ctx, work, func(int) {}); !errors.Is(err, context.Canceled) {
		t.Errorf("got %v", err)
	}
}

// A count that does not listen is left as soon as the work is called off.
func TestSideBySideACountIsLeft(t *testing.T) {
	ctx, stop := context.WithCancel(context.Background())
	never := make(chan struct{})
	defer close(never)
	stop()
	if _, err := unlessEnded(ctx, func() (int, error) { <-never; return 1, nil }); !errors.Is(err, context.Canceled) {
		t.Errorf("got %v", err)
	}
	broken := errors.New("broken")
	if n, err := unlessEnded(context.Background(), func() (int, error) { return 7, broken }); n != 7 || err != broken {
		t.Errorf("got %d, %v", n, err)
	}
}

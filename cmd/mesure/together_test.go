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

package main

import (
	"context"
	"runtime"
	"sync"
)

// together does all the work, as much at a time as there are processors, and
// tells after each piece how many are done. After an error, or when ctx ends,
// nothing more is begun; the first error is returned.
func together(ctx context.Context, work []func() error, tell func(done int)) error {
	var mu sync.Mutex
	var first error
	next, done := 0, 0
	take := func() (func() error, bool) {
		mu.Lock()
		defer mu.Unlock()
		if first == nil {
			first = ctx.Err()
		}
		if first != nil || next == len(work) {
			return nil, false
		}
		next++
		return work[next-1], true
	}
	var wg sync.WaitGroup
	for range min(runtime.GOMAXPROCS(0), len(work)) {
		wg.Go(func() {
			for f, more := take(); more; f, more = take() {
				err := f()
				mu.Lock()
				if first == nil {
					first = err
				}
				done++
				tell(done)
				mu.Unlock()
			}
		})
	}
	wg.Wait()
	return first
}

// unlessEnded is what count gives, or the error of ctx as soon as that ends: what counts
// many draws does not hear of it before the next stage. The count goes on until the
// program ends; it must write nothing.
func unlessEnded[T any](ctx context.Context, count func() (T, error)) (T, error) {
	type answer struct {
		v   T
		err error
	}
	done := make(chan answer, 1)
	go func() {
		v, err := count()
		done <- answer{v, err}
	}()
	select {
	case a := <-done:
		return a.v, a.err
	case <-ctx.Done():
		var none T
		return none, ctx.Err()
	}
}

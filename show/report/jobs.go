package report

import (
	"runtime"
	"sync"
)

// job draws one plate; false where the reading has nothing for it.
type job func() (Plate, bool, error)

// drawAll draws plates side by side, as many at a time as there are processors. They come
// in the order of the jobs, and so does the first error.
func drawAll(jobs []job) ([]Plate, error) {
	type drawn struct {
		plate Plate
		there bool
		err   error
	}
	all := make([]drawn, len(jobs))
	next := make(chan int, len(jobs))
	for i := range jobs {
		next <- i
	}
	close(next)
	var busy sync.WaitGroup
	for range min(runtime.GOMAXPROCS(0), len(jobs)) {
		busy.Go(func() {
			for i := range next {
				all[i].plate, all[i].there, all[i].err = jobs[i]()
			}
		})
	}
	busy.Wait()
	var out []Plate
	for _, d := range all {
		if d.err != nil {
			return nil, d.err
		}
		if d.there {
			out = append(out, d.plate)
		}
	}
	return out, nil
}

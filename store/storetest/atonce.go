package storetest

import (
	"context"
	"errors"
	"fmt"
	"strings"
	"sync"
	"testing"

	"mesure/study"
)

// writers is how many goroutines change a document at once.
const writers = 8

// Of many who save on the same base one wins; the others learn what is stored
// now, repeat the change, and in the end nothing is lost.
func testConcurrentSaves(t *testing.T, l study.Library) {
	ctx := context.Background()
	d := create(t, l, study.KindTouch, "", "start")
	errs := make(chan error, writers)
	var wg sync.WaitGroup
	for i := range writers {
		wg.Go(func() {
			base := d.Revision
			for {
				_, err := l.Save(ctx, d.ID, base, "", body(fmt.Sprint(i)))
				var c *study.ConflictError
				if errors.As(err, &c) {
					if c.Current.Revision == base || c.Base != base {
						errs <- fmt.Errorf("a conflict over base %d names %d as stored and %d as base", base, c.Current.Revision, c.Base)
						return
					}
					base = c.Current.Revision
					continue
				}
				errs <- err
				return
			}
		})
	}
	wg.Wait()
	close(errs)
	for err := range errs {
		if err != nil {
			t.Error(err)
		}
	}
	all := must[[]study.Document](t)(l.History(ctx, d.ID))
	seen := map[string]int{}
	for i, s := range all {
		if s.Revision != study.Revision(i+1) {
			t.Errorf("state %d has revision %d", i, s.Revision)
		}
		seen[string(s.Body)]++
	}
	for i := range writers {
		if n := seen[string(body(fmt.Sprint(i)))]; n != 1 {
			t.Errorf("writer %d was stored %d times", i, n)
		}
	}
	if len(all) != writers+1 {
		t.Errorf("%d states, want %d", len(all), writers+1)
	}
}

// A reader sees a state as it was saved, never a mixture, and revisions that do
// not go back while nobody undoes.
func testConcurrentReaders(t *testing.T, l study.Library) {
	ctx := context.Background()
	const saves = 30
	big := func(i int) string { return strings.Repeat(fmt.Sprintf("%04d", i), 5000) }
	d := create(t, l, study.KindTouch, "", big(1))
	id := d.ID
	done := make(chan struct{})
	errs := make(chan error, writers)
	var wg sync.WaitGroup
	for range 3 {
		wg.Go(func() {
			last := study.Revision(0)
			for {
				got, err := l.Get(ctx, id)
				switch {
				case err != nil:
					errs <- err
					return
				case string(got.Body) != string(body(big(int(got.Revision)))):
					errs <- fmt.Errorf("revision %d shows another body", got.Revision)
					return
				case got.Revision < last:
					errs <- fmt.Errorf("revision %d after %d", got.Revision, last)
					return
				}
				last = got.Revision
				select {
				case <-done:
					return
				default:
				}
			}
		})
	}
	for i := 2; i <= saves; i++ {
		d = save(t, l, d, big(i))
	}
	close(done)
	wg.Wait()
	close(errs)
	for err := range errs {
		t.Error(err)
	}
}

// The same content added by many at once is stored once.
func testMediaAtOnce(t *testing.T, l study.Library) {
	ctx := context.Background()
	content := strings.Repeat("frame ", 20000)
	errs := make(chan error, writers)
	var wg sync.WaitGroup
	for i := range writers {
		wg.Go(func() {
			m, err := l.AddMedia(ctx, fmt.Sprintf("%d.mp4", i), strings.NewReader(content))
			if err == nil {
				_, err = l.MediaPath(ctx, m.SHA256)
			}
			errs <- err
		})
	}
	wg.Wait()
	close(errs)
	for err := range errs {
		if err != nil {
			t.Error(err)
		}
	}
	if all := must[[]study.Media](t)(l.ListMedia(ctx)); len(all) != 1 {
		t.Errorf("%d media, want 1", len(all))
	}
	sound(t, l)
}

package video

import (
	"fmt"
	"io"

	"mesure/sport/mark"
)

// framesAlive is how many decoded frames are in memory at a time: one that is
// read, one that waits and one that the caller has.
const framesAlive = 3

// stream takes the frames of one run of a decoder.
type stream struct {
	p    *process
	d    *detail
	view view
	clip mark.Clip
	// next is the first frame that the caller has not got, to the last one.
	next, to mark.Frame
	way      way
	// whole is true when every frame that was asked for came, so that the decoder
	// ends by itself.
	whole bool
}

// run reads ahead while fn works. The error is io.EOF where the decoder ended
// early.
func (s *stream) run(fn func(Frame) error) error {
	size := frameBytes(s.view.w, s.view.h)
	count, got := int(s.to-s.next)+1, 0
	full, free, stop, readErr := s.readAhead(size, count)
	defer close(stop)
	var turned []byte
	if s.d.rotation != 0 {
		turned = make([]byte, size)
	}
	for b := range full {
		n, bottom, err := s.number()
		if err != nil {
			return err
		}
		if n > s.to {
			break
		}
		f := frameOver(b, s.view.w, s.view.h)
		f.Number, f.Time, f.Colour, f.bottomFirst = n, s.clip.Times[n], s.d.colour, bottom
		if err := fn(f.turned(s.d.rotation, turned)); err != nil {
			return err
		}
		s.next = n + 1
		got++
		if s.next > s.to {
			s.whole = got == count
			return nil
		}
		free <- b
	}
	if *readErr != nil {
		return *readErr
	}
	return io.EOF
}

// readAhead fills buffers in the background, never more than framesAlive.
func (s *stream) readAhead(size, count int) (full <-chan []byte, free chan<- []byte, stop chan<- struct{}, readErr *error) {
	filled := make(chan []byte, framesAlive)
	empty := make(chan []byte, framesAlive)
	quit := make(chan struct{})
	for range min(framesAlive, count) {
		empty <- nil
	}
	readErr = new(error)
	go func() {
		defer close(filled)
		for range count {
			var b []byte
			select {
			case b = <-empty:
			case <-quit:
				return
			}
			if b == nil {
				b = make([]byte, size)
			}
			if _, *readErr = io.ReadFull(s.p.out, b); *readErr != nil {
				return
			}
			filled <- b
		}
	}()
	return filled, empty, quit, readErr
}

// number finds the frame that the decoder just put out by its time stamp, and
// whether its lower field is the earlier one: as the frame says, or else the
// stream.
func (s *stream) number() (n mark.Frame, bottom bool, err error) {
	info, ok := s.p.log.next()
	if !ok {
		return 0, false, io.EOF
	}
	bottom = s.d.bottom
	if info.interlaced {
		bottom = info.bottom
	}
	if s.way == byNumber {
		return s.next, bottom, nil
	}
	if info.known {
		t := mark.FileTime(s.p.log.seconds(info.pts))
		for n := s.next; int(n) < len(s.clip.Times) && s.clip.Times[n] <= t+sameTime; n++ {
			if s.clip.Times[n] >= t-sameTime {
				if n > s.next && (s.way == bySeek || s.way == byWideSeek) {
					break // the seek went too far: decode from the start
				}
				return n, bottom, nil
			}
		}
	}
	return 0, false, fmt.Errorf("%w: not on frame %d", errElsewhere, s.next)
}

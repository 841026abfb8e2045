package study

import (
	"container/list"
	"crypto/sha256"
	"encoding/binary"
	"math"
	"sync"
)

// fitKey is the SHA-256 of everything that something kept follows from.
type fitKey [sha256.Size]byte

// Cameras keeps what readings of a touch under work have in common: the cameras of
// takes and the movements of followed points, so that a reading after a change to one
// mark does not compute the others again. What it hands out follows from its key
// alone: a reading is the same with it and without. It holds what was asked for last
// and is safe for concurrent use. The zero value is ready.
type Cameras struct {
	fits  lately // of takes
	moves lately // of points
	maps  lately // of distances; each is half a megabyte
}

// Bounds of what Cameras holds: some ten touches under work.
const (
	keptTakes = 64
	keptMoves = 4096
	keptMaps  = 32
)

// lately holds the values that were asked for last.
type lately struct {
	mu    sync.Mutex
	at    map[fitKey]*list.Element
	order list.List // the latest first
}

type remembered struct {
	key   fitKey
	value any
}

func (l *lately) get(key fitKey) (any, bool) {
	l.mu.Lock()
	defer l.mu.Unlock()
	e, ok := l.at[key]
	if !ok {
		return nil, false
	}
	l.order.MoveToFront(e)
	return e.Value.(remembered).value, true
}

func (l *lately) put(key fitKey, value any, most int) {
	l.mu.Lock()
	defer l.mu.Unlock()
	if l.at == nil {
		l.at = map[fitKey]*list.Element{}
	}
	if e, ok := l.at[key]; ok {
		l.order.MoveToFront(e)
		return
	}
	l.at[key] = l.order.PushFront(remembered{key, value})
	for l.order.Len() > most {
		last := l.order.Back()
		l.order.Remove(last)
		delete(l.at, last.Value.(remembered).key)
	}
}

// move is what a point's movement gave, through what is kept.
func move[T any](c *Cameras, key fitKey, fresh func() T) T {
	if c == nil {
		return fresh()
	}
	return through(&c.moves, keptMoves, key, fresh)
}

// eachMap is a map of distances, through what is kept.
func eachMap[T any](c *Cameras, key fitKey, fresh func() T) T {
	if c == nil {
		return fresh()
	}
	return through(&c.maps, keptMaps, key, fresh)
}

// through is a value from what was asked for last, made anew where it is not there.
func through[T any](l *lately, most int, key fitKey, fresh func() T) T {
	if v, ok := l.get(key); ok {
		return v.(T)
	}
	v := fresh()
	l.put(key, v, most)
	return v
}

// keyBytes collects what a key is made of.
type keyBytes []byte

func (b *keyBytes) floats(xs ...float64) {
	for _, x := range xs {
		*b = binary.LittleEndian.AppendUint64(*b, math.Float64bits(x))
	}
}

func (b *keyBytes) text(s string) { *b = append(append(*b, s...), 0) }

func (b keyBytes) sum() fitKey { return sha256.Sum256(b) }

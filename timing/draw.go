package timing

import (
	"math/rand/v2"
	"runtime"
	"sync"
	"sync/atomic"
)

// block is how many draws share one stream of random numbers: the unit of work
// that one processor takes.
const block = 8192

// runAll makes the draws in blocks, on as many processors as there are. Each
// block has a stream of its own, seeded in order from src, and the blocks are
// added up in order: the result does not depend on how many processors there
// were.
func (d *drawer) runAll(draws int, src rand.Source) *tally {
	parts := make([]*tally, (draws+block-1)/block)
	seeds := make([]uint64, len(parts))
	for i := range seeds {
		seeds[i] = src.Uint64()
	}
	var next atomic.Int64
	work := func() {
		b := newBatch(d)
		for i := next.Add(1) - 1; i < int64(len(parts)); i = next.Add(1) - 1 {
			n := min(block, draws-int(i)*block)
			parts[i] = d.run(n, &stream{seeds[i]}, b)
		}
	}
	var others sync.WaitGroup
	for range min(runtime.GOMAXPROCS(0), len(parts)) - 1 {
		others.Go(work)
	}
	work()
	others.Wait()
	return sum(parts, d, draws)
}

// batchSize is how many draws are made input by input before their arrivals are
// searched: short loops that do one thing, within the nearest cache.
const batchSize = 256

// batch is the work space of one processor.
type batch struct {
	x       [2][inputs]float64 // one draw
	columns []column
	window  [batchSize]float64
	contact [2][batchSize]float64
	at      [2][batchSize]float64 // guesses, then arrivals
}

// column is one uncertain input over the draws of a batch.
type column struct {
	side, input int
	in          *input
	x           *float64   // its place in one draw
	by          [2]float64 // the slopes of both arrivals
	v           [batchSize]float64
}

func newBatch(d *drawer) *batch {
	b := &batch{}
	for side := range 2 {
		for i := range inputs {
			in := &d.in[side][i]
			b.x[side][i] = in.mean
			if in.sd != 0 {
				b.columns = append(b.columns, column{side: side, input: i, in: in, x: &b.x[side][i],
					by: [2]float64{d.guess[Left].by[side][i], d.guess[Right].by[side][i]}})
			}
		}
	}
	return b
}

// run makes n draws from one stream.
func (d *drawer) run(n int, rng *stream, b *batch) *tally {
	t := newTally(d, n)
	for ; n > 0; n -= batchSize {
		k := min(n, batchSize)
		d.draw(b, k, rng)
		for side := range 2 {
			g := b.at[side][:k]
			for j := range g {
				g[j] = d.guess[side].base
			}
			for i := range b.columns {
				c := &b.columns[i]
				if c.by[side] == 0 {
					continue
				}
				by, v := c.by[side], c.v[:k]
				for j := range v {
					g[j] += float64(by * v[j])
				}
			}
		}
		for j := range k {
			for i := range b.columns {
				c := &b.columns[i]
				*c.x = c.v[j]
			}
			at := d.arrivals(&b.x, [2]float64{b.at[Left][j], b.at[Right][j]})
			b.at[Left][j], b.at[Right][j] = at[Left], at[Right]
		}
		t.count(b, k)
	}
	return t
}

// draw draws every uncertain input k times.
func (d *drawer) draw(b *batch, k int, rng *stream) {
	if d.common != nil {
		d.drawCommon(b, k, rng)
		return
	}
	var leftGap *column
	for i := range b.columns {
		c := &b.columns[i]
		switch {
		case c.input != inGap:
			c.in.fill(c.v[:k], rng)
		case c.side == Right && leftGap != nil && d.corr != 0:
			in := leftGap.in
			for j := range k {
				z := (leftGap.v[j] - in.mean) / in.sd
				c.v[j] = c.in.drawWith(rng, z, d.corr, d.corrRest)
			}
		default:
			c.in.fill(c.v[:k], rng)
			if c.side == Left {
				leftGap = c
			}
		}
	}
	d.drawApparatus(b, k, rng)
}

// drawApparatus draws the window and the contacts k times.
func (d *drawer) drawApparatus(b *batch, k int, rng *stream) {
	for j := range k {
		u := rng.bits()
		b.window[j] = d.window.part(u)
		b.contact[Left][j] = d.contact.part(u >> 21)
		b.contact[Right][j] = d.contact.part(u >> 42)
	}
}

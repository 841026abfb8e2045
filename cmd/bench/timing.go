package main

import (
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"io"
	"math/rand/v2"
	"os"
	"path/filepath"
	"runtime"
	"slices"
	"time"

	"mesure/demo"
	"mesure/quantity"
	"mesure/show/chart"
	"mesure/show/draw"
	"mesure/sport/bout"
	"mesure/sport/mark"
	"mesure/study"
	"mesure/timing"
)

// timingDraws is how many draws a timing takes, on paper and at the desk.
const timingDraws = study.DefaultDraws

// timingOfAnInstant measures the whole timing of one instant of the demo on one core,
// its parts, and a slider that moves, and tells how reliable its chances are.
func timingOfAnInstant(ctx context.Context) ([]line, error) {
	lines, err := wholeTiming(ctx)
	if err != nil {
		return nil, err
	}
	parts, err := timingParts()
	if err != nil {
		return nil, err
	}
	slider, err := sliderMove(ctx)
	if err != nil {
		return nil, err
	}
	chances, err := chancesLines()
	if err != nil {
		return nil, err
	}
	return slices.Concat(lines, parts, slider, chances), nil
}

// started is when the bench was.
var started = time.Now()

// took is how long the same work took: half of the times by the clock, 95 of 100, and
// half of the times on processors.
type took struct{ half, most, onProcessors time.Duration }

// times measures work again and again.
func times(n int, work func(i int) error) (took, error) {
	clock, own := make([]time.Duration, n), make([]time.Duration, n)
	for i := range n {
		runtime.GC() // each time from the same state
		start, before := time.Now(), processor()
		if err := work(i); err != nil {
			return took{}, err
		}
		clock[i], own[i] = time.Since(start), processor()-before
	}
	slices.Sort(clock)
	slices.Sort(own)
	return took{clock[n/2], clock[(n*95+99)/100-1], own[n/2]}, nil
}

// String says both, since other processes may run on the machine.
func (t took) String() string {
	return fmt.Sprintf("%s (%s of processor)", ms(t.half), ms(t.onProcessors))
}

// fencedTouch is the touch of the demo whose timing is measured.
const fencedTouch = 0

// wholeTiming measures TimingAt with its map, at the instant at which both fencers have
// everything that is asked for. Every reading is a new one, since readings keep draws.
func wholeTiming(ctx context.Context) ([]line, error) {
	defer runtime.GOMAXPROCS(runtime.GOMAXPROCS(1))
	t := demo.Marked(fencedTouch, 1, mark.DefaultSD)
	const n = 9
	var readings []*study.Reading
	for range n + 1 {
		r, err := study.Read(ctx, &t, reel{}, study.ReadOptions{Draws: timingDraws})
		if err != nil {
			return nil, err
		}
		readings = append(readings, r)
	}
	at, err := fullInstant(readings[n])
	if err != nil {
		return nil, err
	}
	whole, err := times(n, func(i int) error {
		_, err := readings[i].TimingAt(study.TimingAsk{At: at, Map: true})
		return err
	})
	if err != nil {
		return nil, err
	}
	const goal = 400 * time.Millisecond
	return []line{{fmt.Sprintf("timing of one instant, whole, %d draws, one core", timingDraws), whole.String(), "at most 400 ms of processor", within(whole.onProcessors <= goal)}}, nil
}

// fullInstant is the first instant whose timing has every part that a single frame can
// have.
func fullInstant(r *study.Reading) (study.At, error) {
	for _, in := range r.Instants {
		at := study.At{Take: in.Take, Frame: in.Frame}
		x, err := r.TimingAt(study.TimingAsk{At: at, Map: true})
		if err != nil {
			return at, err
		}
		if x.Race != nil && x.Windows != nil && x.Map != nil && x.Parry != nil && x.Commits[0] != nil && x.Commits[1] != nil {
			return at, nil
		}
	}
	return study.At{}, fmt.Errorf("no instant of the demo's touch %d has a whole timing", fencedTouch+1)
}

// timingParts measures the sums of the timing alone.
func timingParts() ([]line, error) {
	defer runtime.GOMAXPROCS(runtime.GOMAXPROCS(1))
	lunge, err := timing.Default(timing.Lunge, "", "")
	if err != nil {
		return nil, err
	}
	near := quantity.Normal(quantity.Metres(1.2), 0.03)
	x := timing.Exchange{Attack: timing.NewAttack(near, lunge), Defence: timing.NewDefence(near)}
	app := epeeTiming()
	windows, err := times(9, func(int) error {
		_, err := x.Windows(app, timingDraws, rand.NewPCG(1, 1))
		return err
	})
	if err != nil {
		return nil, err
	}
	g := timing.DefaultGrid()
	drawn, err := times(9, func(int) error {
		_, err := x.Map(app, g, timing.MapDraws, rand.NewPCG(1, 1))
		return err
	})
	if err != nil {
		return nil, err
	}
	return []line{
		{fmt.Sprintf("  windows of all answers, %d draws", timingDraws), windows.String(), "", noGoal},
		{fmt.Sprintf("  distance map %d × %d, %d draws", g.Gaps, g.Leads, timing.MapDraws), fmt.Sprintf("%v, %.0f cells/s", drawn, float64(g.Gaps*g.Leads)/drawn.onProcessors.Seconds()), "", noGoal},
	}, nil
}

func epeeTiming() timing.Apparatus {
	s := func(ms float64) quantity.Seconds { return quantity.Seconds(ms / 1000) }
	return timing.Apparatus{Window: s(bout.EpeeWindowMS), Tolerance: s(bout.EpeeToleranceMS), ContactMin: s(bout.EpeeContactMinMS), ContactMax: s(bout.EpeeContactMaxMS)}
}

// sliderMove measures what the desk's server does while a slider of "what if" moves:
// the reading is kept, each place of the slider asks for new draws and new pictures.
func sliderMove(ctx context.Context) ([]line, error) {
	t := demo.Marked(fencedTouch, 1, mark.DefaultSD)
	r, err := study.Read(ctx, &t, reel{}, study.ReadOptions{Draws: timingDraws, Cameras: new(study.Cameras)})
	if err != nil {
		return nil, err
	}
	at, err := fullInstant(r)
	if err != nil {
		return nil, err
	}
	var sums []time.Duration
	moved, err := times(40, func(i int) error {
		ask := study.TimingAsk{At: at, WhatIf: &study.Change{Who: mark.Left, Closer: quantity.Metres(i+1) / 400, Earlier: quantity.Seconds(i) / 800}}
		start := time.Now()
		x, err := r.TimingAt(ask)
		if err != nil {
			return err
		}
		sums = append(sums, time.Since(start))
		out := *r
		out.Timing = x
		for _, picture := range []func(*study.Reading, chart.Options) (*draw.Drawing, error){chart.Windows, chart.WhatIf} {
			d, err := picture(&out, chart.Options{Bare: true})
			if err != nil {
				return err
			}
			if err := d.PageSVG(io.Discard, "timing"); err != nil {
				return err
			}
		}
		return nil
	})
	if err != nil {
		return nil, err
	}
	slices.Sort(sums)
	return []line{
		{fmt.Sprintf("a slider moves: race, windows, two pictures, %d draws, 95 of 100 within", timingDraws), fmt.Sprintf("%s (half: %v)", ms(moved.most), moved), "at most 100 ms", within(moved.most <= 100*time.Millisecond)},
		{"  of that the sums, half within", ms(sums[len(sums)/2]), "", noGoal},
	}, nil
}

// chancesLines tells what the demo wrote of the reliability of chances.
func chancesLines() ([]line, error) {
	data, err := os.ReadFile(filepath.Join(demoFolder, "demo", "reliability.json"))
	if err != nil {
		return nil, err
	}
	var r demo.Reliability
	if err := json.NewDecoder(bytes.NewReader(data)).Decode(&r); err != nil {
		return nil, err
	}
	worst := r.Kinds[0]
	for _, k := range r.Kinds {
		if k.ECE > worst.ECE {
			worst = k
		}
	}
	again, err := times(1, func(int) error { demo.Reliable(demo.ReliabilityOptions{Seed: r.Seed}); return nil })
	if err != nil {
		return nil, err
	}
	return []line{
		{fmt.Sprintf("chances against %d simulated touches, n = %d: expected calibration error", r.Touches, r.N), fmt.Sprintf("%.4f (%.4f by luck)", r.ECE, r.ECEByLuck), "at most 0.03", within(r.ECE <= 0.03 && r.Touches >= 2000)},
		{"  of the worst kind, " + worst.Kind, fmt.Sprintf("%.4f (%.4f by luck)", worst.ECE, worst.ECEByLuck), "", noGoal},
		{"  Brier score (of who knows the shares)", fmt.Sprintf("%.4f (%.4f)", r.Brier, r.BrierOfShares), "", noGoal},
		{"  time of the simulation", again.String(), "", noGoal},
	}, nil
}

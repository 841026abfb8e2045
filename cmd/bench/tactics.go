package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"runtime"
	"slices"
	"time"

	"mesure/demo"
	"mesure/show/chart"
	"mesure/show/draw"
	"mesure/sport/bout"
	"mesure/sport/mark"
	"mesure/study"
)

// longBout is a bout of 29 phrases, the longest to 15 without doubles, with the choices
// of the demo and the clock at every phrase: who hits goes by turns. The demo's own bout is an earlier one of the two.
func longBout() study.TacticsAsk {
	b := demo.Bout()
	past := study.ActsOf("earlier", &study.BoutSheet{Bout: b})
	from := b.Sheet
	b.Sheet = nil
	for i := range 29 {
		p := from[i%len(from)]
		left := 180 - 17*(i%10+1) // ten phrases of 17 s in each period
		p.ID, p.Lamps, p.Clock, p.Period = fmt.Sprintf("line-%d", i+1), bout.Lamps{Left: i%2 == 0, Right: i%2 == 1}, fmt.Sprintf("%d:%02d", left/60, left%60), 1+i/10
		b.Sheet = append(b.Sheet, p)
	}
	return study.TacticsAsk{ID: "long", Bout: b.Scored(), At: len(b.Sheet), Past: past}
}

// tacticsOfABout measures what the thread page asks for: everything of the last touch of
// a long bout, and all its pictures.
func tacticsOfABout(context.Context) ([]line, error) {
	defer runtime.GOMAXPROCS(runtime.GOMAXPROCS(1))
	ask := longBout()
	const n = 9
	var sums []time.Duration
	drawn := 0
	all, err := times(n, func(int) error {
		before := processor()
		x, err := study.TacticsOf(ask)
		if err != nil {
			return err
		}
		sums = append(sums, processor()-before)
		drawn, err = tacticsPictures(x)
		return err
	})
	if err != nil {
		return nil, err
	}
	slices.Sort(sums)
	const goal = 300 * time.Millisecond
	return []line{
		{fmt.Sprintf("a whole bout of %d phrases, with charts (%d), one core", len(ask.Bout.Sheet), drawn), all.String(), "at most 300 ms of processor", within(all.onProcessors <= goal)},
		{"  its sums alone: thread, habits, payoffs, story", ms(sums[len(sums)/2]) + " of processor", "", noGoal},
	}, nil
}

// tacticsPictures draws every picture of tactics that there is and counts them.
func tacticsPictures(x *study.Tactics) (int, error) {
	o := chart.Options{Bare: true}
	all := []func() (*draw.Drawing, error){
		func() (*draw.Drawing, error) { return chart.Thread(x, o) },
		func() (*draw.Drawing, error) { return chart.Habit(x, mark.Left, o) },
		func() (*draw.Drawing, error) { return chart.Habit(x, mark.Right, o) },
		func() (*draw.Drawing, error) { return chart.Balance(x, 0, o) },
		func() (*draw.Drawing, error) { return chart.Payoff(x, o) },
		func() (*draw.Drawing, error) { return chart.Bout(x.Bout, o) },
	}
	n := 0
	for _, picture := range all {
		d, err := picture()
		switch {
		case errors.Is(err, chart.ErrNoHabit), errors.Is(err, chart.ErrNoBalance), errors.Is(err, chart.ErrNoPayoff):
			continue
		case err != nil:
			return n, err
		}
		if err := d.PageSVG(io.Discard, "tactics"); err != nil {
			return n, err
		}
		n++
	}
	return n, nil
}

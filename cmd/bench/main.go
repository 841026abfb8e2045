// Command bench measures what Mesure promises and prints it beside what it is
// held against, all in one run on one machine: trust the ratios, not the times.
// It needs bin/mesure (make build) and is run by make bench from the root of the
// project. Named parts are measured alone: go run ./cmd/bench tactics payoffs. Nothing
// here is asserted; tests do not depend on it.
package main

import (
	"context"
	"fmt"
	"os"
	"os/signal"
	"slices"
	"text/tabwriter"

	"mesure/video"
)

// line is one measured number beside its goal.
type line struct {
	what, measured, goal string
	met                  verdict
}

type verdict int

const (
	noGoal verdict = iota
	met
	missed
	unknown
)

func (v verdict) String() string {
	return [...]string{"", "met", "MISSED", "not measured"}[v]
}

func within(ok bool) verdict {
	if ok {
		return met
	}
	return missed
}

// part is one thing that is measured.
type part struct {
	name    string
	measure func(context.Context) ([]line, error)
}

func main() {
	if video.IsChild() {
		video.RunChild()
		return
	}
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt)
	defer stop()
	defer func() { os.RemoveAll(demoFolder) }()
	var all []line
	for _, p := range []part{
		{"the program", program}, {"the demo against its truth", accuracy}, {"following", following}, {"a reading", readingTime},
		{"the race", raceDraws}, {"timing", timingOfAnInstant}, {"tactics", tacticsOfABout}, {"payoffs", payoffsOfATouch}, {"stored choices", storedActs}, {"the breakdown", breakdownOfATouch}, {"the engines", engines},
	} {
		if len(os.Args) > 1 && !slices.Contains(os.Args[1:], p.name) {
			continue
		}
		fmt.Fprintln(os.Stderr, "measuring", p.name, "…")
		lines, err := p.measure(ctx)
		if err != nil {
			fmt.Fprintln(os.Stderr, "bench:", err)
			os.RemoveAll(demoFolder)
			os.Exit(1)
		}
		all = append(all, lines...)
	}
	w := tabwriter.NewWriter(os.Stdout, 0, 0, 2, ' ', 0)
	fmt.Fprintln(w, "what\tmeasured\tgoal\t")
	short := false
	for _, l := range all {
		fmt.Fprintf(w, "%s\t%s\t%s\t%v\n", l.what, l.measured, l.goal, l.met)
		short = short || l.met == missed
	}
	w.Flush()
	if short {
		fmt.Println("A goal was missed.")
	}
}

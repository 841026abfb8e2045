package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"strings"

	"github.com/spf13/pflag"

	"mesure/bundle"
	"mesure/quantity"
	"mesure/sport/bout"
	"mesure/sport/mark"
	"mesure/study"
)

// tacticsOptions are what is asked of the tactics of a bout.
type tacticsOptions struct {
	// At is the number of a touch; 0 is the one after the last line.
	At int
	// For is "left" or "right"; empty is left.
	For string
	// Weight of race and windows against the counts; negative takes the usual one.
	Weight float64
	// Clock is the time left, Priority who has it, Seeded who is seeded higher.
	Clock, Priority, Seeded string
	Unwillingness           bool
}

// usualWeight says that none was asked for.
const usualWeight = -1

func addTacticsFlags(f *pflag.FlagSet, o *tacticsOptions) {
	f.IntVar(&o.At, "at", 0, "tell of this touch, else of the one to come")
	word(f, "at", "N")
	f.StringVar(&o.For, "for", "left", "whose coach asks: left or right")
	word(f, "for", "SIDE")
	f.Float64Var(&o.Weight, "weight", usualWeight, "weight of race and windows against the counts, 0 to 1, else 0.5")
	word(f, "weight", "W")
	f.StringVar(&o.Clock, "clock", "", "fencing time that is left before that touch")
	word(f, "clock", "M:SS")
	f.StringVar(&o.Priority, "priority", "", "who has it, once the lot is drawn: left or right")
	word(f, "priority", "SIDE")
	f.BoolVar(&o.Unwillingness, "unwillingness", false, "count minutes without a hit (t.124)")
	f.StringVar(&o.Seeded, "seeded", "", "who is seeded higher, for black P-cards: left or right")
	word(f, "seeded", "SIDE")
}

// put writes what was asked into an ask.
func (o tacticsOptions) put(ask *study.TacticsAsk) error {
	ask.At = o.At
	switch o.For {
	case "", mark.Left.String():
		ask.For = mark.Left
	case mark.Right.String():
		ask.For = mark.Right
	default:
		return misuseHint("Write left or right.", "--for: %q is no side", o.For)
	}
	if o.Weight != usualWeight {
		if !(o.Weight >= 0 && o.Weight <= 1) {
			return misuseHint("Give a number from 0 (counts alone) to 1 (race and windows alone).", "--weight: %g is none", o.Weight)
		}
		w := quantity.Chance(o.Weight)
		ask.Weight = &w
	}
	if o.Clock == "" {
		if o.Priority != "" || o.Unwillingness || o.Seeded != "" {
			return misuseHint("Add the time that is left, such as --clock 2:30.", "--priority, --unwillingness and --seeded need --clock")
		}
		return nil
	}
	left, ok := readTime(o.Clock)
	if !ok {
		return misuseHint("Write minutes and seconds, such as --clock 2:30.", "--clock: %q is not a time", o.Clock)
	}
	for _, given := range []struct{ flag, side string }{{"priority", o.Priority}, {"seeded", o.Seeded}} {
		if given.side != "" && given.side != mark.Left.String() && given.side != mark.Right.String() {
			return misuseHint("Write left or right.", "--%s: %q is no side", given.flag, given.side)
		}
	}
	ask.Clock = &study.ClockAsk{Left: left, Priority: o.Priority, Unwillingness: o.Unwillingness, Seeded: o.Seeded}
	return nil
}

// checkAt refuses a touch that the sheet does not have.
func checkAt(ask study.TacticsAsk) error {
	if ask.At == 0 || len(ask.Bout.Sheet) == 0 {
		return nil
	}
	sheet := ask.Bout.Scored().Sheet
	first, last := sheet[0].Number, sheet[len(sheet)-1].Number
	if ask.At < first || ask.At > last+1 {
		return misuseHint(fmt.Sprintf("Name one of them, or %d for the one to come.", last+1), "--at: the sheet has touches %d to %d, and %d is none of them", first, last, ask.At)
	}
	return nil
}

// findBout takes FILE|ID: what names a file is a score sheet where its content is no
// JSON, else a bout file; anything else is a bout of the library.
func (b *bench) findBout(ctx context.Context, o boutOptions) (study.TacticsAsk, *boutRead, error) {
	none := study.TacticsAsk{}
	if !looksLikeFile(o.Bout) && !strings.HasSuffix(o.Bout, ".csv") {
		ask, err := b.askOfLibrary(ctx, o.Bout)
		if err != nil {
			return none, nil, err
		}
		return o.headed(ask), &boutRead{}, nil
	}
	f, err := openInput(o.Bout)
	if err != nil {
		return none, nil, err
	}
	defer f.Close()
	body, err := io.ReadAll(io.LimitReader(f, bundle.BoutLimit+1))
	if err != nil {
		return none, nil, at(o.Bout, err)
	}
	text := clean(string(body))
	if strings.HasSuffix(o.Bout, ".json") || strings.HasPrefix(text, "{") {
		sheet, err := bundle.ReadBout(strings.NewReader(string(body)), o.Bout)
		if err != nil {
			return none, nil, err
		}
		return o.headed(study.TacticsAsk{Bout: sheet.Bout, Words: sheet.Words}), &boutRead{}, nil
	}
	if len(body) > maxSheet {
		return none, nil, &fault{code: badFile, where: o.Bout, text: "is larger than a score sheet of one bout", hint: "Write one bout in one sheet."}
	}
	head := bout.Bout{Weapon: bout.Epee, Touches: o.To, LastDoubleCounts: o.LastDoubleCounts, Left: bout.Fencer{Name: o.Left}, Right: bout.Fencer{Name: o.Right}}
	s, err := study.ReadScoreSheet(string(body), head)
	if err != nil {
		return none, nil, &fault{code: badFile, where: o.Bout, err: err}
	}
	ask, out := study.TacticsAsk{Bout: head, Doubts: s.Doubts}, &boutRead{Rows: s.Rows, Passed: s.Passed}
	if len(s.Lines) == 0 { // that nobody hit is said of every bout alike
		return ask, out, nil
	}
	sheet, doubts, err := study.SheetOf(s, head)
	if err != nil {
		return none, nil, boutFault(o, out, err)
	}
	ask.Bout, ask.Doubts = sheet.Bout, append(ask.Doubts, doubts...)
	return ask, out, nil
}

// headed is an ask with what the flags say of the bout, which goes before what its sheet
// says.
func (o boutOptions) headed(ask study.TacticsAsk) study.TacticsAsk {
	h := &ask.Bout
	switch {
	case o.toAsked:
		h.Touches = o.To
	case h.Touches == 0:
		h.Touches = usualTo
		ask.Doubts = append(ask.Doubts, study.Warning{Code: "touches-not-known", Text: fmt.Sprintf("the sheet does not say to how many hits; %d are taken, --to says otherwise", usualTo)})
	}
	if o.Left != "" {
		h.Left.Name = o.Left
	}
	if o.Right != "" {
		h.Right.Name = o.Right
	}
	h.LastDoubleCounts = h.LastDoubleCounts || o.LastDoubleCounts
	return ask
}

// askOfLibrary asks for a bout of the library, with the past of both fencers.
func (b *bench) askOfLibrary(ctx context.Context, name string) (study.TacticsAsk, error) {
	none := &fault{code: library, where: name, text: "there is no such file, and no such bout in the library",
		hint: `"mesure list" shows the bouts of the library.`}
	lib, there, err := b.openOld(ctx)
	if err != nil {
		return study.TacticsAsk{}, err
	}
	if !there {
		return study.TacticsAsk{}, none
	}
	defer lib.Close()
	ask, err := shelfOf(lib).TacticsAsk(ctx, study.ID(name))
	if errors.Is(err, study.ErrNotFound) {
		return study.TacticsAsk{}, none
	}
	return ask, damaged(study.ID(name), err)
}

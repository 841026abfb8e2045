package main

import (
	"context"
	"errors"
	"fmt"
	"strings"
	"time"

	"github.com/spf13/pflag"

	"mesure/bundle"
	"mesure/sport/bout"
	"mesure/study"
)

// keepOptions say whether a score sheet goes into the library.
type keepOptions struct {
	// Keep writes it where every row was taken, Rest also where some were not.
	Keep, Rest bool
	// Event and Date are what a score sheet does not say.
	Event, Date string
}

func addKeepFlags(f *pflag.FlagSet, o *keepOptions) {
	f.BoolVar(&o.Keep, "keep", false, "write a score sheet into the library, if every row was taken")
	f.BoolVar(&o.Rest, "keep-rest", false, "the same without the rows that were not taken")
	f.StringVar(&o.Event, "event", "", "the event, for --keep")
	word(f, "event", "NAME")
	f.StringVar(&o.Date, "date", "", "the day of the bout, for --keep")
	word(f, "date", "YYYY-MM-DD")
}

// check refuses flags that do not go together, before anything is read.
func (o keepOptions) check() error {
	if (o.Event != "" || o.Date != "") && !o.Keep && !o.Rest {
		return misuseHint("Add --keep to write the bout into the library.", "--event and --date need --keep")
	}
	if o.Date == "" {
		return nil
	}
	if _, err := time.Parse(time.DateOnly, o.Date); err != nil {
		return misuseHint("Write it as 2026-03-07.", "--date: %q is not a day", o.Date)
	}
	return nil
}

// kept is what became of a bout in the library.
type kept struct {
	ID study.ID `json:"id"`
	// Already is true where the library had the same bout; nothing was written then.
	Already bool `json:"already"`
}

// keepBout writes the bout of a score sheet into the library where that was asked for.
func (b *bench) keepBout(ctx context.Context, o boutOptions, ask study.TacticsAsk, out *boutRead) error {
	if !o.Keep && !o.Rest {
		return nil
	}
	if out.Rows == nil {
		return misuseHint(`A bout of the library is there already; "mesure add" copies videos and touches.`, "--keep: %s is not a score sheet", o.Bout)
	}
	if err := lostRows(o, ask, out); err != nil {
		return err
	}
	sheet := &study.BoutSheet{Bout: ask.Bout, Words: ask.Words, Videos: []study.Video{}}
	sheet.Bout.Event, sheet.Bout.Date = o.Event, o.Date
	lib, err := b.openLibrary(ctx)
	if err != nil {
		return err
	}
	defer lib.Close()
	shelf := shelfOf(lib)
	id, there, err := shelf.Equal(ctx, sheet)
	if err == nil && !there {
		id, err = addUnder(ctx, shelf, keepName(sheet.Bout), sheet)
	}
	var form *bundle.Error
	if errors.As(err, &form) { // a name beyond what a bout file takes
		return &fault{code: badFile, where: o.Bout, err: err}
	}
	if err != nil {
		return err
	}
	out.Kept = &kept{id, there}
	return nil
}

// lostRows refuses a sheet of which something would be lost, unless that was asked for.
func lostRows(o boutOptions, ask study.TacticsAsk, out *boutRead) error {
	if o.Rest {
		return nil
	}
	var lost []string
	for _, r := range out.Rows {
		if !r.Taken {
			lost = append(lost, fmt.Sprintf("on line %d %s", r.Line, r.Reason))
		}
	}
	what := "1 row was not taken, so nothing was kept"
	if len(lost) > 1 {
		what = fmt.Sprintf("%d rows were not taken, so nothing was kept", len(lost))
	}
	for _, d := range ask.Doubts {
		if d.Code == study.CodeScoreFalls && len(lost) == 0 {
			lost, what = append(lost, d.Text), "the score of the sheet does not come out, so nothing was kept"
		}
	}
	if len(lost) == 0 {
		return nil
	}
	const most = 5 // the reading without --keep has all
	if more := len(lost) - most; more > 0 {
		lost = append(lost[:most:most], fmt.Sprintf("and %d more", more))
	}
	return &fault{code: badFile, where: o.Bout, text: what + ": " + strings.Join(lost, ". "),
		hint: "Mend the sheet, or keep it as it is taken with --keep-rest."}
}

// keepName is what a bout is called in the library.
func keepName(b bout.Bout) string {
	if name := strings.TrimSpace(b.Left.Name + " " + b.Right.Name + " " + b.Date); name != "" {
		return slug(name)
	}
	return "bout"
}

// addUnder puts a bout on the shelf under a name, or under that with the first number
// that is free.
func addUnder(ctx context.Context, shelf study.Shelf, name string, sheet *study.BoutSheet) (study.ID, error) {
	for n := 1; ; n++ {
		id := study.ID(name)
		if n > 1 {
			id = study.ID(fmt.Sprintf("%s-%d", name, n))
		}
		made, err := shelf.AddBout(ctx, id, "take in a score sheet", sheet)
		if !errors.Is(err, study.ErrExists) {
			return made.Document.ID, err
		}
	}
}

// printKept says where the bout is now.
func (b *bench) printKept(r *boutRead) {
	switch {
	case r.Kept == nil:
	case r.Kept.Already:
		fmt.Fprintf(b.out, "The library has this bout already, as %s; nothing was written.\n", r.Kept.ID)
	default:
		fmt.Fprintf(b.out, "Kept in the library as %s.\n", r.Kept.ID)
	}
}

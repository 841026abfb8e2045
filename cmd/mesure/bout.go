package main

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"mesure/bundle"
	"mesure/show/chart"
	"mesure/show/draw"
	"mesure/show/plate"
	"mesure/sport/bout"
	"mesure/study"
)

// boutOptions are the values that "mesure bout" works with.
type boutOptions struct {
	// Bout is a bout file, a score sheet, or the name of a bout of the library.
	Bout        string
	To          int
	toAsked     bool
	Left, Right string
	// LastDoubleCounts turns off that a double at the last hit is void.
	LastDoubleCounts bool
	// Out is the file to draw, Picture what is drawn.
	Out, Picture string
	Phone        bool
	// Thread prints the touches one by one.
	Thread bool
	tacticsOptions
	keepOptions
}

// usualTo is how many hits a bout goes to where nothing says it.
const usualTo = 15

// maxSheet is the greatest size of a score sheet: far more than a bout has.
const maxSheet = 1 << 20

func newBoutCommand(b *bench) *cobra.Command {
	var o boutOptions
	cmd := &cobra.Command{
		Use:   "bout FILE|ID",
		Short: "Read a whole bout from its sheet, without a video",
		Long: `Read a whole bout from its sheet alone: the chance to win after every touch,
what hung on each, what a double was worth then; and, where choices are written,
what the touches taught, what each fencer tends to do, what each choice is worth
and what to do next. --at tells of an earlier touch, --out draws.

FILE is a bout file or a score sheet as CSV, ID a bout of the library, whose
earlier bouts of the two are then known too. The first line of a score sheet
names its columns: touch, and who (left, right, double or none) or left and
right (the score after the touch); then choice_left and choice_right in your own
words, measure, period, clock (the time left) and note. What could not be taken
is listed, each row with its reason; the rest is read. Nothing is written unless
--keep puts the sheet into the library, where later bouts of the two count it;
with rows that could not be taken it is kept only with --keep-rest.

The rates are those of the whole bout, looking back, half a count added to each.
A double at one hit from the end for both is void. Where every line has its
clock, or with --clock, time counts. A relay is valued by its stages where the
order of its fencers is noted.

` + exitHelp(badFile, library, disk),
		Example: "  mesure bout sheet.csv --to 15 --left Ash --right Brook\n  mesure bout sheet.csv --left Ash --right Brook --date 2026-03-07 --keep\n  mesure bout bout.json --for right --at 12\n  mesure bout bout.json --clock 1:10\n  mesure bout bout.json --picture payoff --out payoff.svg",
		Args:    arguments("FILE|ID"),
		RunE: func(cmd *cobra.Command, args []string) error {
			o.Bout, o.toAsked = args[0], cmd.Flags().Changed("to")
			r, err := runBout(cmd.Context(), b, o)
			if err != nil {
				return err
			}
			return b.show(r, func() { b.printBout(r, o); b.printKept(r) })
		},
	}
	f := cmd.Flags()
	f.IntVar(&o.To, "to", usualTo, "how many hits win, where the sheet does not say it")
	word(f, "to", "N")
	f.StringVar(&o.Left, "left", "", "name of the left fencer")
	word(f, "left", "NAME")
	f.StringVar(&o.Right, "right", "", "name of the right fencer")
	word(f, "right", "NAME")
	f.BoolVar(&o.LastDoubleCounts, "last-double-counts", false, "a double at the last hit ends level; an even lot decides")
	addTacticsFlags(f, &o.tacticsOptions)
	addKeepFlags(f, &o.keepOptions)
	f.BoolVar(&o.Thread, "thread", false, "print what each earlier touch has to do with that one")
	f.StringVar(&o.Out, "out", "", "draw it: a file ending in .svg, .png or .pdf")
	word(f, "out", "FILE")
	f.StringVar(&o.Picture, "picture", pictureBout, "what --out draws: "+strings.Join(boutPictures, ", "))
	word(f, "picture", "WHAT")
	f.BoolVar(&o.Phone, "phone", false, "draw it for a narrow screen")
	return cmd
}

// boutRead is the result: the reading, the tactics and, of a score sheet, what was taken.
type boutRead struct {
	*study.BoutReading
	// Told are the tactics in the form of reading files.
	Told json.RawMessage `json:"tactics"`
	// Rows are those of a score sheet; nil for a bout file.
	Rows   []study.SheetRow `json:"rows,omitempty"`
	Passed []string         `json:"columns_not_read,omitempty"`
	// Kept is where a score sheet is in the library; nil where it was only read.
	Kept *kept `json:"kept,omitempty"`
	// Out is the file that was drawn.
	Out string `json:"out,omitempty"`

	tactics *study.Tactics
}

func runBout(ctx context.Context, b *bench, o boutOptions) (*boutRead, error) {
	if o.Left != "" && bout.SameName(o.Left, o.Right) {
		return nil, misuseHint("Give the two fencers different names.", "--left, --right: %s stands on both sides: nobody fences themselves", o.Left)
	}
	if o.Out != "" && pictureWriter(o.Out) == nil {
		return nil, misuseHint("End its name in .svg, .png or .pdf.", "--out: %q is no kind of picture that can be written", o.Out)
	}
	if !slices.Contains(boutPictures, o.Picture) {
		return nil, misuseHint("Write "+strings.Join(boutPictures, ", ")+".", "--picture: %q is none", o.Picture)
	}
	if o.Out == "" && o.Picture != pictureBout {
		return nil, misuseHint("Add the file to write, such as --out "+o.Picture+".svg.", "--picture needs --out")
	}
	if err := o.check(); err != nil {
		return nil, err
	}
	if err := o.put(&study.TacticsAsk{}); err != nil { // before the bout is looked for
		return nil, err
	}
	ask, out, err := b.findBout(ctx, o)
	if err != nil {
		return nil, err
	}
	if err := o.put(&ask); err != nil {
		return nil, err
	}
	if err := checkAt(ask); err != nil {
		return nil, err
	}
	x, err := study.TacticsOf(ask)
	if err != nil {
		return nil, boutFault(o, out, err)
	}
	if x.Bout == nil {
		return nil, boutFault(o, out, nobodyHit(x))
	}
	out.tactics, out.BoutReading = x, x.Bout
	if out.Told, err = bundle.TacticsJSON(x); err != nil {
		return nil, at(o.Bout, err)
	}
	// The doubts of the sheet stand with the tactics, those of the bout with it.
	x.Bout.Doubts = append(append([]study.Warning{}, x.Doubts...), x.Bout.Doubts...)
	if err := b.keepBout(ctx, o, ask, out); err != nil {
		return nil, err
	}
	if o.Out == "" {
		return out, nil
	}
	d, err := drawBout(x, o)
	if err != nil {
		return nil, err
	}
	out.Out = o.Out
	return out, writePicture(o.Out, d)
}

// nobodyHit is why there is no reading of the bout.
func nobodyHit(x *study.Tactics) *study.Refusal {
	r := &study.Refusal{At: "/bout/sheet", What: "the bout does not read"}
	for _, l := range x.Lacks {
		if l.Part == study.PartBout {
			r.What, r.Mend = l.Why, l.Mend
		}
	}
	return r
}

// The pictures of a bout.
const (
	pictureBout    = "bout"
	pictureThread  = "thread"
	pictureHabit   = "habit"
	pictureOwn     = "own-habit"
	pictureBalance = "balance"
	picturePayoff  = "payoff"
)

var boutPictures = []string{pictureBout, pictureThread, pictureHabit, pictureOwn, pictureBalance, picturePayoff}

// drawBout draws what was asked for, or says why it cannot be drawn.
func drawBout(x *study.Tactics, o boutOptions) (d *draw.Drawing, err error) {
	c := chart.Options{Layout: plate.Wide}
	if o.Phone {
		c.Layout = plate.Phone
	}
	switch o.Picture {
	case pictureThread:
		d, err = chart.Thread(x, c)
	case pictureHabit:
		d, err = chart.Habit(x, x.For.Other(), c)
	case pictureOwn:
		d, err = chart.Habit(x, x.For, c)
	case pictureBalance:
		d, err = chart.Balance(x, 0, c)
	case picturePayoff:
		d, err = chart.Payoff(x, c)
	default:
		d, err = chart.Bout(x.Bout, c)
	}
	if err == nil {
		return d, nil
	}
	f := &fault{code: badFile, where: o.Bout, text: "--picture " + o.Picture + ": " + err.Error()}
	for _, l := range x.Lacks {
		if f.hint == "" {
			f.hint = l.Mend
		}
	}
	return nil, f
}

// boutFault says where a bout does not read: a wrong --to is wrong use, anything
// else lies in the file. Rows of a sheet that were not taken are the likeliest cause.
func boutFault(o boutOptions, out *boutRead, err error) error {
	var r *study.Refusal
	if !errors.As(err, &r) {
		return at(o.Bout, err)
	}
	if r.At == "/bout/touches" && o.toAsked {
		return &fault{code: wrongUse, where: "--to", text: r.What, hint: r.Mend}
	}
	if flag, ok := strings.CutPrefix(r.At, "/clock/"); ok {
		return &fault{code: wrongUse, where: "--" + strings.Replace(flag, "left", "clock", 1), text: r.What, hint: r.Mend}
	}
	for _, row := range out.Rows {
		if !row.Taken {
			return &fault{code: badFile, where: o.Bout, text: fmt.Sprintf("%s; line %d was not taken: %s", r.What, row.Line, row.Reason), hint: r.Mend}
		}
	}
	return &fault{code: badFile, where: o.Bout, text: r.What, hint: r.Mend}
}

// pictureWidth is that of a PNG in pixels.
const pictureWidth = 1800

// pictureWriter is how a file of this name is written; nil for one that is no
// picture.
func pictureWriter(name string) func(*draw.Drawing, io.Writer) error {
	switch strings.ToLower(filepath.Ext(name)) {
	case ".svg":
		return (*draw.Drawing).SVG
	case ".png":
		return func(d *draw.Drawing, w io.Writer) error { return d.PNG(w, pictureWidth) }
	case ".pdf":
		return (*draw.Drawing).PDF
	}
	return nil
}

// writePicture writes a picture as a whole or not at all.
func writePicture(name string, d *draw.Drawing) (err error) {
	f, err := os.CreateTemp(filepath.Dir(name), temporaryPrefix)
	if err != nil {
		if errors.Is(err, os.ErrNotExist) {
			return &fault{code: wrongUse, where: "--out", text: fmt.Sprintf("there is no folder %s", filepath.Dir(name)), hint: "Make it, or name another."}
		}
		return at(name, err)
	}
	defer os.Remove(f.Name()) // gone already where all went well
	err = pictureWriter(name)(d, f)
	if e := f.Sync(); err == nil {
		err = e
	}
	if e := f.Chmod(0o666 &^ 0o022); err == nil { // readable, as a file that was made plainly
		err = e
	}
	if e := f.Close(); err == nil {
		err = e
	}
	if err == nil {
		err = os.Rename(f.Name(), name)
	}
	return at(name, err)
}

package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
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
	Out              string
	Phone            bool
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
what hung on each, what a double was worth then, and, where choices are written,
what each fencer tends to do. --out draws it.

FILE is a bout file or a score sheet as CSV, ID a bout of the library. The first
line of a score sheet names its columns: touch, and who (left, right, double or
none) or left and right (the score after the touch), and choice_left and
choice_right in your own words. What could not be taken is listed, each row with
its reason; the rest is read.

The rates are those of the whole bout, looking back, half a count added to each.
A double at one hit from the end for both is void. A relay is one bout to 45.

` + exitHelp(badFile, library, disk),
		Example: "  mesure bout sheet.csv --to 15 --left Ash --right Brook\n  mesure bout bout.json --out bout.svg",
		Args:    arguments("FILE|ID"),
		RunE: func(cmd *cobra.Command, args []string) error {
			o.Bout, o.toAsked = args[0], cmd.Flags().Changed("to")
			r, err := runBout(cmd.Context(), b, o)
			if err != nil {
				return err
			}
			return b.show(r, func() { b.printBout(r) })
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
	f.StringVar(&o.Out, "out", "", "draw the bout: a file ending in .svg, .png or .pdf")
	word(f, "out", "FILE")
	f.BoolVar(&o.Phone, "phone", false, "draw it for a narrow screen")
	return cmd
}

// boutRead is the result: the reading and, of a score sheet, what was taken.
type boutRead struct {
	*study.BoutReading
	// Rows are those of a score sheet; nil for a bout file.
	Rows   []study.SheetRow `json:"rows,omitempty"`
	Passed []string         `json:"columns_not_read,omitempty"`
	// Out is the file that was drawn.
	Out string `json:"out,omitempty"`
}

func runBout(ctx context.Context, b *bench, o boutOptions) (*boutRead, error) {
	if o.Left != "" && o.Left == o.Right {
		return nil, misuseHint("Give the two fencers different names.", "--left, --right: %s stands on both sides: nobody fences themselves", o.Left)
	}
	if o.Out != "" && pictureWriter(o.Out) == nil {
		return nil, misuseHint("End its name in .svg, .png or .pdf.", "--out: %q is no kind of picture that can be written", o.Out)
	}
	ask, out, err := b.findBout(ctx, o)
	if err != nil {
		return nil, err
	}
	r, err := study.BoutRead(*ask)
	if err != nil {
		return nil, boutFault(o, out, err)
	}
	out.BoutReading = r
	if o.Out == "" {
		return out, nil
	}
	layout := plate.Wide
	if o.Phone {
		layout = plate.Phone
	}
	d, err := chart.Bout(r, chart.Options{Layout: layout})
	if err != nil {
		return nil, at(o.Bout, err)
	}
	out.Out = o.Out
	return out, writePicture(o.Out, d)
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
	for _, row := range out.Rows {
		if !row.Taken {
			return &fault{code: badFile, where: o.Bout, text: fmt.Sprintf("%s; line %d was not taken: %s", r.What, row.Line, row.Reason), hint: r.Mend}
		}
	}
	return &fault{code: badFile, where: o.Bout, text: r.What, hint: r.Mend}
}

// findBout takes FILE|ID: what names a file is a score sheet where its content is no
// JSON, else a bout file; anything else is a bout of the library.
func (b *bench) findBout(ctx context.Context, o boutOptions) (*study.BoutAsk, *boutRead, error) {
	if !looksLikeFile(o.Bout) && !strings.HasSuffix(o.Bout, ".csv") {
		sheet, err := b.boutOfLibrary(ctx, o.Bout)
		if err != nil {
			return nil, nil, err
		}
		return o.fromSheet(sheet), &boutRead{}, nil
	}
	f, err := openInput(o.Bout)
	if err != nil {
		return nil, nil, err
	}
	defer f.Close()
	body, err := io.ReadAll(io.LimitReader(f, bundle.BoutLimit+1))
	if err != nil {
		return nil, nil, at(o.Bout, err)
	}
	text := clean(string(body))
	if strings.HasSuffix(o.Bout, ".json") || strings.HasPrefix(text, "{") {
		sheet, err := bundle.ReadBout(strings.NewReader(string(body)), o.Bout)
		if err != nil {
			return nil, nil, err
		}
		return o.fromSheet(sheet), &boutRead{}, nil
	}
	if len(body) > maxSheet {
		return nil, nil, &fault{code: badFile, where: o.Bout, text: "is larger than a score sheet of one bout", hint: "Write one bout in one sheet."}
	}
	head := bout.Bout{Weapon: bout.Epee, Touches: o.To, LastDoubleCounts: o.LastDoubleCounts, Left: bout.Fencer{Name: o.Left}, Right: bout.Fencer{Name: o.Right}}
	s, err := study.ReadScoreSheet(string(body), head)
	if err != nil {
		return nil, nil, &fault{code: badFile, where: o.Bout, err: err}
	}
	return &study.BoutAsk{Bout: head, Lines: s.Lines, Doubts: s.Doubts}, &boutRead{Rows: s.Rows, Passed: s.Passed}, nil
}

// fromSheet asks for a bout that was kept; what the flags say goes before what the
// sheet says.
func (o boutOptions) fromSheet(s *study.BoutSheet) *study.BoutAsk {
	h := s.Bout
	var doubts []study.Warning
	switch {
	case o.toAsked:
		h.Touches = o.To
	case h.Touches == 0:
		h.Touches = usualTo
		doubts = append(doubts, study.Warning{Code: "touches-not-known", Text: fmt.Sprintf("the sheet does not say to how many hits; %d are taken, --to says otherwise", usualTo)})
	}
	if o.Left != "" {
		h.Left.Name = o.Left
	}
	if o.Right != "" {
		h.Right.Name = o.Right
	}
	h.LastDoubleCounts = h.LastDoubleCounts || o.LastDoubleCounts
	lines, found := study.SheetLines(h)
	return &study.BoutAsk{Bout: h, Lines: lines, Doubts: append(doubts, found...)}
}

func (b *bench) boutOfLibrary(ctx context.Context, name string) (*study.BoutSheet, error) {
	none := &fault{code: library, where: name, text: "there is no such file, and no such bout in the library",
		hint: `"mesure list" shows the bouts of the library.`}
	lib, there, err := b.openOld(ctx)
	if err != nil {
		return nil, err
	}
	if !there {
		return nil, none
	}
	defer lib.Close()
	k, err := shelfOf(lib).Bout(ctx, study.ID(name))
	if errors.Is(err, study.ErrNotFound) {
		return nil, none
	}
	if err != nil {
		return nil, err
	}
	return k.Sheet, nil
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

package main

import (
	"context"
	"fmt"
	"path/filepath"

	"github.com/spf13/cobra"

	"mesure/demo"
	"mesure/quantity"
	"mesure/show/plate"
	"mesure/sport/bout"
	"mesure/sport/mark"
	"mesure/study"
)

// demoOptions are the values that "mesure demo" works with.
type demoOptions struct {
	// Out is the folder to write.
	Out string
	// Touch is the one whose breakdown is written, from 1; 0 means the first that
	// has a slow replay.
	Touch int
	// Noise is the marking error of the invented coach.
	Noise quantity.Pixels
	Seed  uint64
	// Markings is how many times each touch is marked for the comparison with the
	// truth.
	Markings int
	Engine   engine
}

// Defaults of the demo.
const (
	defaultOut = "out"
	// defaultMarkings gives more than 500 gaps to compare.
	defaultMarkings = 8
	mostMarkings    = 1000
)

func newDemoCommand(b *bench) *cobra.Command {
	o := demoOptions{}
	var noise float64
	cmd := &cobra.Command{
		Use:   "demo",
		Short: "Make an invented bout, measure its four touches, tell one of them",
		Long: `Make an invented bout (drawn once, then kept in the cache), mark its four
touches as a careful hand would, with errors, and measure them. The folder then
holds the breakdown of one touch (open report.html; script, lesson sheet,
captions and hand-off lie beside it, and "mesure tell" makes the clip),
accuracy.json, which compares every reading with the truth, also those that
follow camera and points from a handful of marks, reliability.json, which holds
the chances that Mesure predicts against the outcomes of simulated touches, and
the touch files and videos to try the other commands on.

` + exitHelp(badVideo, disk),
		Example: "  mesure demo\n  mesure demo --touch 2 --noise 3 --out trial",
		Args:    arguments(),
		RunE: func(cmd *cobra.Command, _ []string) error {
			o.Noise = quantity.Pixels(noise)
			d, err := runDemo(cmd.Context(), b, o)
			if err != nil {
				return err
			}
			return b.show(d, func() { b.printDemo(d) })
		},
	}
	f := cmd.Flags()
	f.StringVar(&o.Out, "out", filepath.Join(defaultOut, "demo"), "the folder to write")
	word(f, "out", "DIR")
	f.IntVar(&o.Touch, "touch", 0, "the touch to tell, 1 to 4; 0: the one with a slow replay")
	word(f, "touch", "N")
	f.Float64Var(&noise, "noise", mark.DefaultSD, "marking error of the invented coach")
	word(f, "noise", "PIXELS")
	f.Uint64Var(&o.Seed, "seed", study.DefaultSeed, "seed of the marking errors and of the draws")
	word(f, "seed", "N")
	f.IntVar(&o.Markings, "markings", defaultMarkings, "how often each touch is marked to be compared with the truth")
	word(f, "markings", "N")
	f.Var(&o.Engine, "engine", "what writes and reads the videos")
	return cmd
}

// demonstrated is what the demo made.
type demonstrated struct {
	Folder   string      `json:"folder"`
	Touches  []demoTouch `json:"touches"`
	Told     int         `json:"told"`
	Accuracy demo.Report `json:"accuracy"`
	// Chances is the sum of reliability.json.
	Chances     demoChances `json:"chances"`
	Files       []string    `json:"files"`
	reliability demo.Reliability
}

// demoChances is how well predicted chances came true.
type demoChances struct {
	Touches int     `json:"touches"`
	N       int     `json:"n"`
	Brier   float64 `json:"brier"`
	ECE     float64 `json:"ece"`
}

// demoTouch is one line of the summary.
type demoTouch struct {
	Title   string     `json:"title"`
	File    string     `json:"file"`
	Lamps   bout.Lamps `json:"lamps"`
	Finding string     `json:"finding"`
	race    *study.Race
}

func runDemo(ctx context.Context, b *bench, o demoOptions) (*demonstrated, error) {
	switch {
	case o.Touch < 0 || o.Touch > demo.Count:
		return nil, misuse("--touch: there is no touch %d; write 1 to %d", o.Touch, demo.Count)
	case !(o.Noise > 0) || !finite(float64(o.Noise)):
		return nil, misuse("--noise: a marking error is a positive number of pixels")
	case o.Markings < 1 || o.Markings > mostMarkings:
		return nil, misuse("--markings: %d is not between 1 and %d", o.Markings, mostMarkings)
	}
	e, err := o.Engine.open()
	if err != nil {
		return nil, err
	}
	cache, err := demoCache()
	if err != nil {
		return nil, err
	}
	made, err := b.renderDemo(ctx, cache, e)
	if err != nil {
		return nil, err
	}
	readings, samples, err := b.readDemo(ctx, cache, made, e, o)
	if err != nil {
		return nil, err
	}
	followed, err := b.followDemo(ctx, cache, e, o)
	if err != nil {
		return nil, err
	}
	d := &demonstrated{Folder: o.Out, Told: o.Touch, Accuracy: demo.Accuracy(samples)}
	d.Accuracy.FollowedReport = &followed
	b.tryChances(d, o.Seed)
	if d.Told == 0 {
		d.Told = replayed(readings) + 1
	}
	for i, r := range readings {
		t := demoTouch{Title: r.Touch.Title, File: fmt.Sprintf("touch-%d.json", i+1), race: r.Race}
		if r.Touch.Lamps != nil {
			t.Lamps = *r.Touch.Lamps
		}
		if r.Race != nil {
			t.Finding = r.Race.Finding
		}
		d.Touches = append(d.Touches, t)
	}
	return d, b.deliverDemo(ctx, d, cache, made, e, readings)
}

// tryChances holds predicted chances against simulated touches.
func (b *bench) tryChances(d *demonstrated, seed uint64) {
	p := b.start("simulating touches to try the chances on")
	defer p.end()
	r := demo.Reliable(demo.ReliabilityOptions{Seed: seed})
	d.reliability, d.Chances = r, demoChances{Touches: r.Touches, N: r.N, Brier: r.Brier, ECE: r.ECE}
}

// lampWords says what the apparatus showed.
func lampWords(l bout.Lamps) string {
	switch {
	case l.Left && l.Right:
		return "both"
	case l.Left:
		return "left"
	case l.Right:
		return "right"
	}
	return "none"
}

func (b *bench) printDemo(d *demonstrated) {
	b.first("An invented bout, four touches, marked by an invented coach")
	for i, t := range d.Touches {
		fmt.Fprintf(b.out, "\n  %d  %s; lamp: %s\n", i+1, t.Title, lampWords(t.Lamps))
		if r := t.race; r != nil {
			b.wrapped(b.out, "     ", plate.Typeset(fmt.Sprintf("Race: %s. %s.", r.Question(), r.Finding)))
		}
	}
	fmt.Fprintln(b.out)
	b.wrapped(b.out, "  ", plate.Typeset(study.RaceSupposes+" The lamp is what came of the touch."))

	b.title("Against the truth, which no reading saw")
	g, m := d.Accuracy.Gaps, d.Accuracy.Moments
	check := b.table("", ">compared", ">half are within", ">95 % are within", ">intervals that hold it")
	check.row("gaps", fmt.Sprint(g.N), cm(g.MedianAbsError), cm(g.P95AbsError), plate.Chance(quantity.Chance(g.Coverage95)))
	check.row("moments", fmt.Sprint(m.N), fmt.Sprintf("%.1f ms", m.MedianAbsError), fmt.Sprintf("%.1f ms", m.P95AbsError), plate.Chance(quantity.Chance(m.Coverage95)))
	if f := d.Accuracy.FollowedReport; f != nil {
		c, p := f.Camera, f.Points
		check.row("floor, camera followed", fmt.Sprint(c.N), cm(c.MedianAbsError), cm(c.P95AbsError), plate.Chance(quantity.Chance(c.Coverage95)))
		for _, k := range []struct {
			name string
			p95  float64
		}{{"front toe, followed", p.ToeP95}, {"guard, followed", p.GuardP95}, {"mask, followed", p.MaskP95}, {"point, followed", p.TipP95}} {
			check.row(k.name, "", "", cm(k.p95), "")
		}
		check.row("gaps, followed", fmt.Sprint(p.GapN), cm(p.GapMedian), cm(p.GapP95), plate.Chance(quantity.Chance(p.GapCoverage95)))
	}
	check.write(b.out)
	if f := d.Accuracy.FollowedReport; f != nil {
		fmt.Fprintln(b.out)
		b.wrapped(b.out, "  ", plate.Typeset(fmt.Sprintf(
			"Where a point cannot be seen, following says so on %.0f of 100 frames. The clock of the replay, from moments that the live picture shows too: half of %d hands find its factor within %.1f %% and its start within %.1f live frames.",
			100*f.Points.LostRecall, f.Replay.N, 100*f.Replay.FactorError, f.Replay.OffsetFrames)))
	}

	fmt.Fprintln(b.out)
	b.wrapped(b.out, "  ", plate.Typeset(fmt.Sprintf(
		"%d chances predicted for %d simulated touches (lamps, and answers in time): what they say and what came of them are %.1f %% apart on average; Brier score %.3f.",
		d.Chances.N, d.Chances.Touches, 100*d.Chances.ECE, d.Chances.Brier)))

	b.title("Where to look")
	look := b.table("", "~")
	look.row(filepath.Join(d.Folder, reportName), fmt.Sprintf("the breakdown of touch %d", d.Told))
	look.row(filepath.Join(d.Folder, sheetName+".pdf"), "the sheet for a lesson on it, to print")
	look.row(filepath.Join(d.Folder, scriptName), "the script; "+handOffName+" has it all for your own editor")
	look.row("mesure read "+filepath.Join(d.Folder, d.Touches[0].File), "the numbers of another touch")
	look.row("mesure open", "the desk in a browser; it offers the same bout")
	look.write(b.out)
	fmt.Fprintf(b.out, "\n  The same with its clip, in a minute or two:\n  mesure tell %s --out %s --clip\n", filepath.Join(d.Folder, d.Touches[d.Told-1].File), d.Folder+"-clip")
}

// cm prints metres in centimetres.
func cm(metres float64) string { return fmt.Sprintf("%.1f cm", quantity.Metres(metres).Centimetres()) }

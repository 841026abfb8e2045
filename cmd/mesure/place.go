package main

import (
	"fmt"
	"strconv"
	"strings"

	"github.com/spf13/cobra"

	"mesure/bundle"
	"mesure/quantity"
	"mesure/show/plate"
	"mesure/sport/mark"
	"mesure/study"
)

// placeOptions are the values that "mesure place" works with.
type placeOptions struct {
	File string
	// At is the image point to read; nil reads none.
	At     *mark.Pixel
	AtSD   quantity.Pixels
	PlaneY quantity.Metres
}

func newPlaceCommand(b *bench) *cobra.Command {
	var o placeOptions
	var atText string
	var plane, sd float64
	cmd := &cobra.Command{
		Use:   "place FILE.json",
		Short: "Find the camera from known points of the floor in one picture",
		Long: `Find the camera that took one picture from points of the floor whose places are
known: the lines of a piste by name, or any flat court of known size in metres.
With --at, say where an image point lies, read as a point of the floor and as a
point of the upright plane of action.

FILE.json holds the size of the picture, the points, and, where it helps, marks
that lie somewhere on a line:
  {"image": {"width": 1280, "height": 720},
   "points": [{"x": -2, "y": -0.75, "u": 312.4, "v": 566.0, "sd": 1.5},
              {"name": "centre-far", "u": 640.2, "v": 498.7}],
   "lines": [{"line": "near-edge", "u": 801.0, "v": 559.3}]}

` + exitHelp(badFile, refused, disk),
		Example: "  mesure place hall.json\n  mesure place hall.json --at 655,420 --json",
		Args:    arguments("FILE.json"),
		RunE: func(cmd *cobra.Command, args []string) error {
			o.File, o.PlaneY, o.AtSD = args[0], quantity.Metres(plane), quantity.Pixels(sd)
			if cmd.Flags().Changed("at") {
				p, err := parsePixel(atText)
				if err != nil {
					return err
				}
				o.At = &p
			}
			r, err := runPlace(o)
			if err != nil {
				return err
			}
			return b.show(placeJSON(r), func() { b.printPlace(r) })
		},
	}
	f := cmd.Flags()
	f.StringVar(&atText, "at", "", "image point to read, in pixels from the centre of the top-left one")
	word(f, "at", "U,V")
	f.Float64Var(&sd, "at-sd", mark.DefaultSD, "marking error of that point")
	word(f, "at-sd", "PIXELS")
	f.Float64Var(&plane, "plane-y", 0, "y of the plane of action: the long axis of a piste is 0")
	word(f, "plane-y", "METRES")
	return cmd
}

// parsePixel reads "u,v".
func parsePixel(s string) (mark.Pixel, error) {
	us, vs, both := strings.Cut(s, ",")
	u, err1 := strconv.ParseFloat(strings.TrimSpace(us), 64)
	v, err2 := strconv.ParseFloat(strings.TrimSpace(vs), 64)
	if !both || err1 != nil || err2 != nil || !finite(u) || !finite(v) {
		return mark.Pixel{}, misuseHint("Write two numbers in pixels, such as --at 655,420.", "--at: %q is not an image point", s)
	}
	return mark.Pixel{U: u, V: v}, nil
}

func finite(v float64) bool { return v-v == 0 }

func runPlace(o placeOptions) (*study.PlaceReport, error) {
	switch {
	case !(o.AtSD > 0) || !finite(float64(o.AtSD)):
		return nil, misuse("--at-sd: a marking error is a positive number of pixels")
	case !finite(float64(o.PlaneY)):
		return nil, misuse("--plane-y: this is not a number of metres")
	}
	f, err := openInput(o.File)
	if err != nil {
		return nil, err
	}
	defer f.Close()
	p, err := bundle.ReadPlacing(f, o.File)
	if err != nil {
		return nil, err
	}
	r, err := study.Place(study.PlaceAsk{
		Width: p.Width, Height: p.Height, PisteWidth: float64(p.Court), Points: p.Points, Lines: p.Lines,
		Distortion: p.Distortion, Cropped: p.Cropped,
		At: o.At, AtSD: o.AtSD, Plane: o.PlaneY,
	})
	return r, at(o.File, err)
}

// placedJSON is the JSON form of a placed picture. Its numbers are not rounded:
// the ± stands beside each, and a program may want to go on from them.
type placedJSON struct {
	FocalPx     float64         `json:"focal_px"`
	FocalSDPx   float64         `json:"focal_sd_px"`
	PositionM   [3]float64      `json:"position_m"`
	PositionSDM [3]float64      `json:"position_sd_m"`
	RollRad     float64         `json:"roll_rad"`
	RollSDRad   float64         `json:"roll_sd_rad"`
	K1          *float64        `json:"k1,omitempty"`
	K1SD        *float64        `json:"k1_sd,omitempty"`
	RMSPx       float64         `json:"rms_px"`
	Residuals   []residualJSON  `json:"residuals"`
	Warnings    []study.Warning `json:"warnings"`
	At          *atJSON         `json:"at,omitempty"`
}

type residualJSON struct {
	Name     string     `json:"name"`
	AtPx     [2]float64 `json:"at_px"`
	FittedPx [2]float64 `json:"fitted_px"`
	OffPx    float64    `json:"off_px"`
	// Share is the distance over the one that the marking error leads to expect.
	Share float64 `json:"share"`
}

type atJSON struct {
	U        float64         `json:"u"`
	V        float64         `json:"v"`
	SDPx     float64         `json:"sd_px"`
	Floor    *floorJSON      `json:"floor"`
	Plane    *planeJSON      `json:"plane"`
	Warnings []study.Warning `json:"warnings"`
}

type floorJSON struct {
	XM   float64 `json:"x_m"`
	YM   float64 `json:"y_m"`
	SDXM float64 `json:"sd_x_m"`
	SDYM float64 `json:"sd_y_m"`
}

type planeJSON struct {
	XM   float64 `json:"x_m"`
	YM   float64 `json:"y_m"`
	ZM   float64 `json:"z_m"`
	SDXM float64 `json:"sd_x_m"`
	SDYM float64 `json:"sd_y_m"`
	SDZM float64 `json:"sd_z_m"`
}

// placeJSON puts a report into its JSON form.
func placeJSON(r *study.PlaceReport) placedJSON {
	c := r.Camera
	j := placedJSON{
		FocalPx: float64(c.Focal.Mean), FocalSDPx: float64(c.Focal.SD),
		RollRad: float64(c.Roll.Mean), RollSDRad: float64(c.Roll.SD),
		RMSPx:     float64(c.RMS),
		Residuals: make([]residualJSON, len(c.Residuals)),
		Warnings:  append([]study.Warning{}, c.Warnings...),
	}
	for i, p := range c.Position {
		j.PositionM[i], j.PositionSDM[i] = float64(p.Mean), float64(p.SD)
	}
	if c.K1 != nil {
		mean, sd := float64(c.K1.Mean), float64(c.K1.SD)
		j.K1, j.K1SD = &mean, &sd
	}
	for i, e := range c.Residuals {
		j.Residuals[i] = residualJSON{e.Name, [2]float64{e.At.U, e.At.V}, [2]float64{e.Fitted.U, e.Fitted.V}, float64(e.Off), float64(e.Share)}
	}
	if a := r.At; a != nil {
		j.At = &atJSON{U: a.Pixel.U, V: a.Pixel.V, SDPx: float64(a.SD), Warnings: append([]study.Warning{}, a.Warnings...)}
		if f := a.Floor; f != nil {
			j.At.Floor = &floorJSON{float64(f.X.Mean), float64(f.Y.Mean), float64(f.X.SD), float64(f.Y.SD)}
		}
		if p := a.Action; p != nil {
			j.At.Plane = &planeJSON{float64(p.X.Mean), float64(p.Y.Mean), float64(p.Z.Mean), float64(p.X.SD), float64(p.Y.SD), float64(p.Z.SD)}
		}
	}
	return j
}

// printPlace shows a report as text.
func (b *bench) printPlace(r *study.PlaceReport) {
	c := r.Camera
	b.first("The camera")
	rows := b.table("", "", "")
	rows.row("focal length", plate.Pixels(c.Focal))
	for i, axis := range []string{"x, along the piste", "y, across", "z, above the floor"} {
		rows.row(axis, plate.Metres(c.Position[i]))
	}
	rows.row("roll", plate.Degrees(c.Roll))
	if c.K1 != nil {
		rows.row("distortion k1", plate.Ratio(*c.K1))
	}
	rows.row("points lie off by", fmt.Sprintf("%.2f px (RMS)", float64(c.RMS)), fmt.Sprintf("marked to %.1f px", float64(r.Noise)))
	rows.write(b.out)

	b.title("The points")
	points := b.table("point", ">u", ">v", ">off", ">times the noise")
	for _, e := range c.Residuals {
		points.row(e.Name, fmt.Sprintf("%.1f", e.At.U), fmt.Sprintf("%.1f", e.At.V), fmt.Sprintf("%.2f px", float64(e.Off)), fmt.Sprintf("%.1f ×", float64(e.Share)))
	}
	points.write(b.out)

	warnings := c.Warnings
	if a := r.At; a != nil {
		b.title(fmt.Sprintf("The image point %.1f, %.1f ± %.1f px", a.Pixel.U, a.Pixel.V, float64(a.SD)))
		places := b.table("read as", "x", "y", "z")
		if f := a.Floor; f != nil {
			places.row("on the floor", plate.Metres(f.X), plate.Metres(f.Y), "0 m")
		}
		if p := a.Action; p != nil {
			places.row("in the plane of action", plate.Metres(p.X), plate.Metres(p.Y), plate.Metres(p.Z))
		}
		places.write(b.out)
		warnings = append(warnings[:len(warnings):len(warnings)], a.Warnings...)
	}
	b.warnings(warnings)
	b.note("± is one standard deviation.")
}

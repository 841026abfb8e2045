package bundle

import (
	"fmt"
	"io"
	"maps"
	"reflect"
	"slices"

	"mesure/quantity"
	"mesure/sport/mark"
	"mesure/study"
)

// WriteReading exports a reading as JSON. Equal readings give equal bytes, and
// every number is rounded here and nowhere else: the standard deviation to two
// digits, its mean and interval to the same place. It returns an error, and
// writes nothing, where a number that every reading has is not finite.
func WriteReading(w io.Writer, r *study.Reading) error {
	f := readingOf(r)
	if err := spellable(reflect.ValueOf(f), "the reading"); err != nil {
		return err
	}
	data, err := layOut(f)
	if err != nil {
		return fmt.Errorf("bundle: a reading does not encode: %w", err)
	}
	_, err = w.Write(data)
	return err
}

func readingOf(r *study.Reading) *readingFile {
	f := &readingFile{
		Format: ReadingFormat, Version: ReadingVersion,
		Rules: r.Version, Inputs: r.Inputs, Seed: r.Seed, Draws: r.Draws,
		Race: raceOf(r.Race), Timing: timingOf(r.Timing), Tactics: tacticsOf(r.Tactics), Profiles: profilesFile{profileOf(r.Profiles[mark.Left]), profileOf(r.Profiles[mark.Right])},
		Gaps: []gapFile{}, Clocks: []clockFile{}, Moments: []momentRead{}, Orders: []orderFile{}, Instants: []instantFile{},
		Tracks: []trackFile{}, Onsets: []onsetRead{}, Next: []nextFile{}, Drifts: []driftFile{},
		Placings: []placedFile{}, Videos: []clipFile{}, Warnings: warningsOf(r.Warnings),
	}
	if r.Touch != nil {
		f.Title, f.Invented = r.Touch.Title, r.Touch.Invented
		f.Fencers = fencersFile{r.Touch.Bout.Left.Name, r.Touch.Bout.Right.Name}
	}
	for _, at := range r.Instants {
		f.Instants = append(f.Instants, instantOf(at))
		for _, g := range at.Gaps {
			f.Gaps = append(f.Gaps, gapOf(at, g))
		}
	}
	for _, m := range r.Moments {
		q := roundOf(m.At, 1)
		f.Moments = append(f.Moments, momentRead{
			ID: m.Moment.ID, Name: m.Moment.Name, Take: m.Moment.Take,
			After: int(m.Moment.After), By: int(m.Moment.By), Also: alsoOf(m.Moment.Also),
			At: q.mean, SD: q.sd, Lo: q.lo, Hi: q.hi,
		})
	}
	for _, c := range r.Clocks {
		f.Clocks = append(f.Clocks, clockOf(c))
	}
	for _, o := range r.Orders {
		f.Orders = append(f.Orders, orderOf(o))
	}
	for _, t := range r.Tracks {
		f.Tracks = append(f.Tracks, trackOf(t))
	}
	for _, p := range r.Proposals {
		f.Onsets = append(f.Onsets, proposalOf(p))
	}
	for _, n := range r.NextMarks {
		f.Next = append(f.Next, nextOf(n))
	}
	for _, d := range r.Drifts {
		f.Drifts = append(f.Drifts, driftOf(d))
	}
	for _, p := range r.Placings {
		f.Placings = append(f.Placings, placedOf(p))
	}
	for _, id := range slices.Sorted(maps.Keys(r.Clips)) {
		f.Videos = append(f.Videos, clipOf(id, r.Clips[id]))
	}
	return f
}

func gapOf(at study.Instant, g study.Gap) gapFile {
	q := roundOf(g.Gap, 1)
	f := gapFile{
		Of: g.Of.String(), To: g.Of.Other().String(), Target: string(g.Target),
		Mean: q.mean, SD: q.sd, Lo: q.lo, Hi: q.hi,
		Band: g.Band, Chance: round(float64(g.Chance), chancePlaces), Nearest: g.Nearest,
		Take: at.Take, Frame: int(at.Frame), Moment: at.Moment, At: roundOf(at.At, 1).mean,
		From: pixel(g.From), End: pixel(g.To),
	}
	f.Closing, f.ClosingSD = closingOf(g.Closing)
	return f
}

// closingOf rounds a speed that may not be known.
func closingOf(v *quantity.Of[quantity.MetresPerSecond]) (mean, sd *float64) {
	if v == nil {
		return nil, nil
	}
	q := roundOf(*v, 1)
	return &q.mean, &q.sd
}

func pixel(p mark.Pixel) [2]float64 {
	return [2]float64{round(p.U, pixelPlaces), round(p.V, pixelPlaces)}
}

// spot rounds a place in the world and its standard deviations.
func spot(p [3]quantity.Of[quantity.Metres]) (mean, sd [3]float64) {
	for i, q := range p {
		r := roundOf(q, 1)
		mean[i], sd[i] = r.mean, r.sd
	}
	return mean, sd
}

func instantOf(at study.Instant) instantFile {
	q := roundOf(at.At, 1)
	f := instantFile{
		Take: at.Take, Frame: int(at.Frame), Moment: at.Moment, At: q.mean, AtSD: q.sd,
		Bodies: bodiesFile{bodyOf(at.Bodies[mark.Left]), bodyOf(at.Bodies[mark.Right])},
	}
	f.Closing, f.ClosingSD = closingOf(at.Closing)
	return f
}

func bodyOf(b study.Body) bodyFile {
	f := bodyFile{Points: []pointRead{}}
	if b.ArmLeft != nil {
		q := roundOf(*b.ArmLeft, 1)
		f.ArmLeft, f.ArmLeftSD = &q.mean, &q.sd
	}
	for _, p := range b.Points {
		uv := pixel(p.At)
		mean, sd := spot(p.Place)
		f.Points = append(f.Points, pointRead{
			What: string(p.What), U: uv[0], V: uv[1], SD: round(float64(p.SD), pixelPlaces),
			Place: mean, PlaceSD: sd, Followed: p.Followed,
		})
	}
	return f
}

func placedOf(p study.PlacedFrame) placedFile {
	focal, roll := roundOf(p.Focal, 1), roundOf(p.Roll, 1)
	mean, sd := spot(p.Position)
	f := placedFile{
		Take: p.Take, Frame: int(p.Frame),
		Focal: focal.mean, FocalSD: focal.sd, Position: mean, PositionSD: sd,
		Roll: roll.mean, RollSD: roll.sd, RMS: round(float64(p.RMS), residualPlaces),
		Residuals: []residualFile{}, Warnings: warningsOf(p.Warnings),
	}
	if p.K1 != nil {
		q := roundOf(*p.K1, 1)
		f.K1, f.K1SD = &q.mean, &q.sd
	}
	for _, r := range p.Residuals {
		f.Residuals = append(f.Residuals, residualFile{
			Name: r.Name, At: pixel(r.At), Fitted: pixel(r.Fitted),
			Off: round(float64(r.Off), residualPlaces), Share: known(round(float64(r.Share), pixelPlaces)),
		})
	}
	return f
}

func clipOf(id string, c mark.Clip) clipFile {
	f := clipFile{
		Video: id, Width: c.Width, Height: c.Height, Rotation: c.Rotation, Frames: c.Frames(),
		Fields: c.Fields, Interlaced: c.Interlaced, BitDepth: c.BitDepth, Codec: c.Codec, Container: c.Container,
	}
	if n := c.Frames(); n > 0 {
		f.First, f.Last = round(float64(c.Times[0]), maxPlaces), round(float64(c.Times[n-1]), maxPlaces)
	}
	return f
}

func warningsOf(all []study.Warning) []warningFile {
	out := []warningFile{}
	for _, w := range all {
		out = append(out, warningFile{w.Code, w.About, known(round(w.Doubt, maxPlaces)), w.Text})
	}
	return out
}

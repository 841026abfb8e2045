package summary

import (
	"math"
	"strconv"

	"mesure/quantity"
	"mesure/show/plate"
	"mesure/sport/mark"
	"mesure/study"
)

// Traces is what was followed through one take, for drawing over its frames. It
// stands in columns, one entry a frame, and in whole tenths of a pixel: a take of
// 200 frames with both fencers is small enough to be sent while the coach works.
type Traces struct {
	Take   string  `json:"take"`
	Tracks []Trace `json:"tracks"`
	// Lines name the lines of the piste in the order of Grids.
	Lines []TraceLine `json:"lines"`
	Grids []TraceGrid `json:"grids"`
	// Turns has for each frame of the take, from From on, how the camera stood, as
	// study.Reading.Turn has it: nine numbers by rows, none where it is not known. By
	// them the way of a point is drawn over a picture that the camera took later.
	From  mark.Frame  `json:"from"`
	Turns [][]float64 `json:"turns"`
}

// States of a frame of a trace, one letter each.
const (
	traceMarked, traceFollowed, traceLost, traceHidden, traceNone = 'm', 'f', 'l', 'h', '-'
)

// Trace is one point through a take.
type Trace struct {
	Who  mark.Side `json:"who"`
	What mark.What `json:"what"`
	// From is the frame of the first entry of every column.
	From mark.Frame `json:"from"`
	// States has one letter a frame: m marked by hand, f followed, l lost, h hidden,
	// - nothing known.
	States string `json:"states"`
	// U and V are where the point is, SD by how much that may be off, in pixels; they
	// hold where the state is m or f, and are 0 elsewhere.
	U  []float64 `json:"u"`
	V  []float64 `json:"v"`
	SD []float64 `json:"sd"`
	// Sure is how sure the tracker is, in percent.
	Sure []int `json:"sure"`
	// SU and SV are the smoothed path in the picture.
	SU []float64 `json:"su"`
	SV []float64 `json:"sv"`
	// Outliers are the frames whose place does not fit the movement.
	Outliers []mark.Frame `json:"outliers"`
	// Peak is the greatest speed, at PeakFrame; nil where too little was followed.
	Peak      *Number    `json:"peak,omitempty"`
	PeakFrame mark.Frame `json:"peak_frame,omitempty"`
}

// TraceLine is one line of the piste.
type TraceLine struct {
	Name    string `json:"name"`
	Painted bool   `json:"painted"`
}

// TraceGrid is the piste on one frame that was followed, not placed.
type TraceGrid struct {
	Frame mark.Frame `json:"frame"`
	// Floor is by how much a place on the floor may be off.
	Floor Number `json:"floor"`
	// Lines has for each line u, v, u, v and so on, in pixels; empty where the picture
	// does not show it.
	Lines [][]float64 `json:"lines"`
}

// TracesOf prints the tracks of one take. The reading is not changed.
func TracesOf(r *study.Reading, take string) Traces {
	out := Traces{Take: take, Tracks: []Trace{}, Lines: []TraceLine{}, Grids: []TraceGrid{}, Turns: [][]float64{}}
	if k, ok := takeOf(r, take); ok {
		out.From = k.From
		for f := k.From; f <= k.To; f++ {
			row := []float64{}
			if m, ok := r.Turn(take, f); ok {
				for _, x := range m {
					row = append(row, digits(x))
				}
			}
			out.Turns = append(out.Turns, row)
		}
	}
	for _, t := range r.Tracks {
		if t.Take == take && len(t.Steps) > 0 {
			out.Tracks = append(out.Tracks, traceOf(t))
		}
	}
	at := map[string]int{}
	for _, f := range r.Followed {
		if f.Take != take {
			continue
		}
		for _, l := range f.Grid {
			if _, ok := at[l.Name]; !ok {
				at[l.Name] = len(out.Lines)
				out.Lines = append(out.Lines, TraceLine{l.Name, l.Painted})
			}
		}
	}
	for _, f := range r.Followed {
		if f.Take != take {
			continue
		}
		g := TraceGrid{Frame: f.Frame, Floor: number(quantity.Exactly(f.Floor), plate.InCentimetres), Lines: make([][]float64, len(out.Lines))}
		for i := range g.Lines {
			g.Lines[i] = []float64{}
		}
		for _, l := range f.Grid {
			i := at[l.Name]
			for _, p := range l.Points {
				g.Lines[i] = append(g.Lines[i], tenths(p.U), tenths(p.V))
			}
		}
		out.Grids = append(out.Grids, g)
	}
	return out
}

func traceOf(t study.Track) Trace {
	first, last := t.Steps[0].Frame, t.Steps[0].Frame
	for _, s := range t.Steps {
		first, last = min(first, s.Frame), max(last, s.Frame)
	}
	n := int(last-first) + 1
	states := make([]byte, n)
	for i := range states {
		states[i] = traceNone
	}
	out := Trace{Who: t.Who, What: t.What, From: first, U: make([]float64, n), V: make([]float64, n), SD: make([]float64, n), Sure: make([]int, n),
		SU: make([]float64, n), SV: make([]float64, n), Outliers: append([]mark.Frame{}, t.Outliers...)}
	for _, s := range t.Steps {
		i := int(s.Frame - first)
		states[i] = letter(s)
		out.SU[i], out.SV[i] = tenths(s.Smooth.U), tenths(s.Smooth.V)
		if states[i] == traceMarked || states[i] == traceFollowed {
			out.U[i], out.V[i], out.SD[i] = tenths(s.Px.U), tenths(s.Px.V), tenths(float64(s.SD))
			out.Sure[i] = int(math.Round(100 * min(1, max(0, s.Sure))))
		}
	}
	out.States = string(states)
	if t.Peak != nil {
		p := number(*t.Peak, plate.InMetresPerSecond)
		out.Peak, out.PeakFrame = &p, frameAt(t, t.PeakAt)
	}
	return out
}

// letter is the state of a step; what has no place in the picture is not known.
func letter(s study.TrackStep) byte {
	switch s.State {
	case study.StateLost:
		return traceLost
	case study.StateHidden:
		return traceHidden
	case study.StateMarked, study.StateFollowed:
		if math.IsNaN(s.Px.U+s.Px.V) || math.IsInf(s.Px.U+s.Px.V, 0) {
			return traceNone
		}
		if s.State == study.StateMarked {
			return traceMarked
		}
		return traceFollowed
	}
	return traceNone
}

// frameAt is the frame of a track that shows an instant best.
func frameAt(t study.Track, at quantity.Seconds) mark.Frame {
	best := t.Steps[0]
	for _, s := range t.Steps {
		if math.Abs(float64(s.At-at)) < math.Abs(float64(best.At-at)) {
			best = s
		}
	}
	return best.Frame
}

func takeOf(r *study.Reading, take string) (mark.Take, bool) {
	if r.Touch == nil {
		return mark.Take{}, false
	}
	return r.Touch.Take(take)
}

// digits keeps seven digits: a thousandth of a pixel.
func digits(x float64) float64 {
	v, err := strconv.ParseFloat(strconv.FormatFloat(x, 'g', 7, 64), 64)
	if err != nil || math.IsNaN(v) || math.IsInf(v, 0) {
		return 0
	}
	return v
}

// tenths rounds to a tenth; what is no number is nought, and says so in the states.
func tenths(x float64) float64 {
	if math.IsNaN(x) || math.IsInf(x, 0) {
		return 0
	}
	return math.Round(x*10) / 10
}

// Proposal is a moment that the movement shows and nobody has set.
type Proposal struct {
	ID    string     `json:"id"`
	Name  string     `json:"name"`
	Who   mark.Side  `json:"who"`
	Part  string     `json:"part"`
	Kind  string     `json:"kind"`
	Take  string     `json:"take"`
	After mark.Frame `json:"after_frame"`
	By    mark.Frame `json:"by_frame"`
	At    Number     `json:"at"`
	// Sure is how likely it is that something began here at all.
	Sure Number `json:"sure"`
}

// NextMark is the mark that would sharpen the tracks most.
type NextMark struct {
	Take  string     `json:"take"`
	Frame mark.Frame `json:"frame"`
	Who   mark.Side  `json:"who"`
	What  mark.What  `json:"what"`
	// Now and Then are by how much the place may be off, without and with the mark.
	Now  Number `json:"now"`
	Then Number `json:"then"`
}

// Drift is how far the followed camera had come off at a placed frame.
type Drift struct {
	Take  string     `json:"take"`
	Frame mark.Frame `json:"frame"`
	Px    Number     `json:"px"`
	Floor Number     `json:"floor"`
	// Grade is "fine", "look" or "wrong", from the ratio to what was to be expected.
	Grade string `json:"grade"`
}

// followed prints what a following adds to a summary.
func (s *Summary) followed(r *study.Reading) {
	for _, p := range r.Proposals {
		s.Proposals = append(s.Proposals, Proposal{p.ID, p.Name, p.Who, p.Part, p.Kind, p.Take, p.After, p.By, number(p.At, plate.InSeconds), chance(quantity.Chance(p.Sure))})
	}
	for _, n := range r.NextMarks {
		s.NextMarks = append(s.NextMarks, NextMark{n.Take, n.Frame, n.Who, n.What,
			number(quantity.Exactly(n.Now), plate.InCentimetres), number(quantity.Exactly(n.Then), plate.InCentimetres)})
	}
	for _, d := range r.Drifts {
		s.Drifts = append(s.Drifts, Drift{d.Take, d.Frame, number(quantity.Exactly(d.Px), plate.InPixels),
			number(quantity.Exactly(d.Metres), plate.InCentimetres), gradeOf(d.Share)})
	}
}

// PeakBias prints by how much too great the smoothing makes the peak of a track; nil
// where that is not known.
func PeakBias(t study.Track) *Number { return speedOf(t.PeakBias) }

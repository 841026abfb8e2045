package summary

import (
	"encoding/json"
	"math"
	"testing"

	"mesure/quantity"
	"mesure/sport/mark"
	"mesure/study"
)

// walked is a take of n frames with every point of both fencers, as a following
// would give it.
func walked(n int) *study.Reading {
	r := &study.Reading{}
	for _, s := range mark.Sides {
		for k, w := range mark.Points() {
			t := study.Track{Take: "live", Who: s, What: w}
			for f := range n {
				at := mark.Pixel{U: 123.456 + 3.217*float64(f), V: 400 - 17.31*float64(k)}
				st := study.TrackStep{Frame: mark.Frame(40 + f), At: quantity.Seconds(f) / 50, State: study.StateFollowed, Px: at, SD: 1.234, Sure: 0.876, Smooth: at,
					Speed: quantity.Normal[quantity.MetresPerSecond](1.234, 0.123)}
				switch {
				case f%12 == 0:
					st.State = study.StateMarked
				case f%12 == 5 && k%3 == 0:
					st.State = study.StateLost
				case f%12 == 6 && k%3 == 0:
					st.State = study.StateHidden
				}
				t.Steps = append(t.Steps, st)
			}
			r.Tracks = append(r.Tracks, t)
		}
	}
	for f := range n {
		g := study.FollowedFrame{Take: "live", Frame: mark.Frame(40 + f), Floor: 0.013}
		for _, name := range []string{"centre", "left-on-guard", "right-on-guard", "near-side", "far-side", "left-warning", "right-warning", "left-rear", "right-rear"} {
			g.Grid = append(g.Grid, study.GridLine{Name: name, Painted: true, Points: []mark.Pixel{{U: 12.345 + float64(f), V: 456.789}, {U: 987.654, V: 543.21}}})
		}
		r.Followed = append(r.Followed, g)
	}
	return r
}

// TestTracesAreSmall: a take of 200 frames with all 22 points and the piste on every
// frame is at most 300 kB on the wire, before it is compressed.
func TestTracesAreSmall(t *testing.T) {
	b, err := json.Marshal(TracesOf(walked(200), "live"))
	if err != nil {
		t.Fatal(err)
	}
	if len(b) > 300_000 {
		t.Errorf("%d bytes", len(b))
	}
	t.Logf("%d bytes", len(b))
}

func TestTracesSayWhatWasSeen(t *testing.T) {
	r := walked(24)
	r.Tracks[0].Steps[7].Px.U = math.NaN()
	got := TracesOf(r, "live")
	if len(got.Tracks) != 22 || got.Tracks[0].From != 40 {
		t.Fatalf("%d tracks", len(got.Tracks))
	}
	one := got.Tracks[0]
	if one.States != "mfffflh-ffffmfffflhfffff" {
		t.Errorf("states %q", one.States)
	}
	if one.U[1] != 126.7 || one.SD[1] != 1.2 || one.Sure[1] != 88 { // 123.456 + 3.217
		t.Errorf("frame 41: %v ± %v, %d %%", one.U[1], one.SD[1], one.Sure[1])
	}
	if one.U[5] != 0 || one.U[7] != 0 {
		t.Error("a place is told where the point was not seen")
	}
	if len(got.Lines) != 9 || len(got.Grids) != 24 || len(got.Grids[3].Lines) != 9 || got.Grids[3].Lines[0][0] != 15.3 || got.Grids[3].Floor.Value != "1" {
		t.Errorf("grid %+v", got.Grids[3])
	}
	if other := TracesOf(r, "replay"); len(other.Tracks) != 0 || len(other.Grids) != 0 {
		t.Error("another take has them too")
	}
}

// TestALineThatLeavesThePicture has no points there, and the others keep their place.
func TestALineThatLeavesThePicture(t *testing.T) {
	r := walked(2)
	r.Followed[1].Grid = r.Followed[1].Grid[1:]
	g := TracesOf(r, "live").Grids[1]
	if len(g.Lines) != 9 || len(g.Lines[0]) != 0 || len(g.Lines[1]) != 4 {
		t.Errorf("%v", g.Lines)
	}
}

func TestWhatAFollowingAddsToASummary(t *testing.T) {
	r := invented(t)
	r.Proposals = []study.Proposal{{ID: "live-left-hand-starts-1", Name: "left's hand starts", Who: mark.Left, Part: "hand", Kind: study.OnsetStarts, Take: "live", After: 10, By: 12,
		At: quantity.Normal[quantity.Seconds](0.42, 0.01), Sure: 0.93}}
	r.NextMarks = []study.NextMark{{Take: "live", Frame: 33, Who: mark.Right, What: mark.Point, Now: 0.084, Then: 0.021}}
	r.Drifts = []study.Drift{{Take: "live", Frame: 60, Px: 3.1, Metres: 0.021, Share: 1.4}, {Take: "live", Frame: 70, Px: 9, Metres: 0.08, Share: 6}}
	s := Of(r)
	if len(s.Proposals) != 1 || s.Proposals[0].At.Text != "0.420\u00a0±\u00a00.010\u00a0s" || s.Proposals[0].Sure.Text != "93\u00a0%" {
		t.Errorf("%+v", s.Proposals)
	}
	if len(s.NextMarks) != 1 || s.NextMarks[0].Now.Text != "8\u00a0cm" || s.NextMarks[0].Then.Text != "2\u00a0cm" {
		t.Errorf("%+v", s.NextMarks)
	}
	if len(s.Drifts) != 2 || s.Drifts[0].Grade != gradeFine || s.Drifts[1].Grade != gradeWrong || s.Drifts[0].Floor.Text != "2\u00a0cm" {
		t.Errorf("%+v", s.Drifts)
	}
}

func TestClocksAndOrdersArePrinted(t *testing.T) {
	r := invented(t)
	r.Clocks = []study.ClockReading{{Take: "replay", Factor: quantity.Normal[quantity.Ratio](4.0123, 0.012), Offset: quantity.Normal[quantity.Seconds](0.31, 0.004), From: "moments", Moments: []string{"a", "b"}}}
	r.Orders = []study.Order{{First: "a", Second: "b", Chance: 0.84, Apart: quantity.Normal[quantity.Seconds](0.021, 0.02)}}
	s := Of(r)
	if len(s.Clocks) != 1 || s.Clocks[0].Factor.Text != "4.012\u00a0±\u00a00.012" || s.Clocks[0].Offset.Text != "0.310\u00a0±\u00a00.004\u00a0s" || len(s.Clocks[0].Moments) != 2 {
		t.Errorf("%+v", s.Clocks)
	}
	if len(s.Orders) != 1 || s.Orders[0].Chance.Text != "84\u00a0%" || s.Orders[0].Apart.Text != "21\u00a0±\u00a020\u00a0ms" {
		t.Errorf("%+v", s.Orders)
	}
}

package chart

import (
	"errors"
	"math"
	"strings"
	"testing"

	"mesure/quantity"
	"mesure/show/draw"
	"mesure/show/plate"
	"mesure/sport/mark"
	"mesure/study"
)

// falling is a guard that falls freely for half a second at 50 frames a second:
// its speed is g·t, with g = 9.80665 m/s² (the standard acceleration of free fall, CGPM
// 1901). It is marked every twelfth frame, lost on three and hidden on two.
func falling(t testing.TB) *study.Reading {
	const g = 9.80665
	r := reading(t)
	k := study.Track{Take: "live", Who: mark.Right, What: mark.Guard}
	for i := range 26 {
		at := float64(i) / 50
		s := study.TrackStep{Frame: mark.Frame(100 + i), At: quantity.Seconds(2 + at), State: study.StateFollowed, Sure: 0.5 + 0.02*float64(i%20),
			Px: mark.Pixel{U: 400, V: 100 + 60*at}, SD: 1.2, Smooth: mark.Pixel{U: 400, V: 100 + 60*at}, Speed: quantity.Normal[quantity.MetresPerSecond](quantity.MetresPerSecond(g*at), 0.2)}
		switch {
		case i%12 == 0:
			s.State = study.StateMarked
		case i >= 14 && i <= 16:
			s.State = study.StateLost
		case i == 20 || i == 21:
			s.State = study.StateHidden
		}
		k.Steps = append(k.Steps, s)
	}
	peak := quantity.Normal[quantity.MetresPerSecond](g*0.5, 0.2)
	k.Peak, k.PeakAt = &peak, 2.5
	r.Tracks = []study.Track{k}
	return r
}

// TestMotionIsToScale: a speed that grows evenly stands on a straight line, frames
// stand evenly in time, and what is said is g·t.
func TestMotionIsToScale(t *testing.T) {
	m, err := Motion(falling(t), 0, Options{Layout: plate.Phone, Bare: true})
	if err != nil {
		t.Fatal(err)
	}
	if m.From != 100 || len(m.X) != 26 || len(m.Says) != 26 {
		t.Fatalf("from %d, %d frames", m.From, len(m.X))
	}
	for i, x := range m.X {
		if want := m.X0 + (m.X1-m.X0)*draw.MM(i)/25; math.Abs(float64(x-want)) > 1e-9 {
			t.Errorf("frame %d stands at %v, want %v", i, x, want)
		}
	}
	if got := m.Says[24]; got != "4.7\u00a0±\u00a00.2\u00a0m/s" { // 9.80665 × 0.48 s = 4.707
		t.Errorf("frame 124 says %q", got)
	}
	if m.Says[15] != "" || m.Says[20] != "" {
		t.Error("a speed is said where the point was not seen")
	}
}

// TestMotionIsBroken where the point was not seen: three stretches were.
func TestMotionIsBroken(t *testing.T) {
	r := falling(t)
	c := &motion{track: r.Tracks[0]}
	runs := c.stretches()
	if len(runs) != 3 || runs[0][len(runs[0])-1].Frame != 113 || runs[1][0].Frame != 117 || runs[2][0].Frame != 122 {
		t.Fatalf("%d stretches", len(runs))
	}
	for i := range r.Tracks[0].Steps {
		r.Tracks[0].Steps[i].State = study.StateLost
	}
	if _, err := Motion(r, 0, Options{}); !errors.Is(err, ErrNoMotion) {
		t.Errorf("all lost: %v", err)
	}
}

// TestMotionBearsNonsense: numbers that are none are passed over.
func TestMotionBearsNonsense(t *testing.T) {
	r := falling(t)
	nan := quantity.MetresPerSecond(math.NaN())
	r.Tracks[0].Steps[3].Speed = quantity.Of[quantity.MetresPerSecond]{Mean: nan, SD: nan, Lo: nan, Hi: nan}
	r.Tracks[0].Steps[4].At = quantity.Seconds(math.Inf(1))
	r.Tracks[0].Steps[5].Speed.SD = quantity.MetresPerSecond(math.Inf(1))
	if m, err := Motion(r, 0, Options{}); err != nil || m.Says[3] != "" || m.X[4] >= 0 {
		t.Errorf("%v", err)
	}
}

func TestMotionInWords(t *testing.T) {
	if m, _ := Motion(falling(t), 0, Options{}); !strings.Contains(m.Drawing.Desc, "3 frames marked by hand") || !strings.Contains(m.Drawing.Title, "4.9") {
		t.Errorf("%q, %q", m.Drawing.Title, m.Drawing.Desc)
	}
}

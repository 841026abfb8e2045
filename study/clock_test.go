package study

import (
	"math"
	"strings"
	"testing"

	"mesure/quantity"
	"mesure/sport/mark"
)

// stamps makes the time stamps of a file from its intervals.
func stamps(at float64, steps ...float64) []mark.FileTime {
	all := []mark.FileTime{mark.FileTime(at)}
	for _, d := range steps {
		at += d
		all = append(all, mark.FileTime(at))
	}
	return all
}

func times(n int, step float64) []float64 {
	all := make([]float64, n)
	for i := range all {
		all[i] = step
	}
	return all
}

// TestCaptureRate: 240 frames a second that a file shows at 30 run eight times
// slower, whatever the file's time stamps look like.
func TestCaptureRate(t *testing.T) {
	take := mark.Take{ID: "phone", Video: "v", From: 2, To: 60, CaptureRate: 240, FactorSD: 0.05, Offset: 3, OffsetSD: 0.01}
	rounded := times(80, 0.033) // 30000/1001 in whole milliseconds: 33, 33, 34
	for i := range rounded {
		rounded[i] = (math.Round(float64(i+1)*1001/30) - math.Round(float64(i)*1001/30)) / 1000
	}
	dropped := times(80, 1/30.0)
	dropped[20], dropped[21] = 2/30.0, 5/30.0
	for name, c := range map[string]struct {
		steps []float64
		want  float64
		off   float64
	}{
		"steady":         {times(80, 1/30.0), 8, 1e-12},
		"rounded stamps": {rounded, 240 * 1001 / 30000.0, 0.005},
		"dropped frames": {dropped, 8, 1e-12},
	} {
		got := declared(take, stamps(5, c.steps...))
		if got.From != ClockCapture || math.Abs(float64(got.Factor.Mean)-c.want) > c.off || got.Factor.SD != 0.05 || got.Offset.Mean != 3 {
			t.Errorf("%s: %+v, want a factor of %v", name, got, c.want)
		}
	}
	// A variable rate is honoured: what lies 5/30 s apart in the file is 5/240 s apart.
	k := clockOf(take, stamps(5, dropped...), declared(take, stamps(5, dropped...)))
	if d := k.at(22).Mean - k.at(21).Mean; math.Abs(float64(d)-5/240.0) > 1e-12 {
		t.Errorf("the dropped frames last %v s", d)
	}
	if got := declared(mark.Take{From: 2, To: 2, CaptureRate: 240}, stamps(0, times(9, 0.03)...)); got.Factor.Mean != 1 {
		t.Errorf("one frame: %+v", got)
	}
}

// TestClockCovariance: the variance of offset + τ·slope, by its textbook form.
func TestClockCovariance(t *testing.T) {
	r := ClockReading{Factor: quantity.Normal[quantity.Ratio](4, 0.02), Offset: quantity.Normal[quantity.Seconds](1, 0.01), Correlation: 0.8}
	c := clockOf(mark.Take{}, stamps(0, times(200, 0.02)...), r)
	at := c.at(100) // τ = 2 s: d/dk of τ/k is −τ/k² = −0.125
	want := math.Sqrt(0.01*0.01 + 0.125*0.125*0.02*0.02 - 2*0.125*0.8*0.01*0.02)
	if math.Abs(float64(at.Mean)-1.5) > 1e-12 || math.Abs(float64(at.SD)-want) > 1e-12 {
		t.Errorf("%+v, want 1.5 ± %v", at, want)
	}
}

// TestClocksAreRefused: what is no clock is refused with what would mend it.
func TestClocksAreRefused(t *testing.T) {
	for at, k := range map[string]mark.Take{
		"/takes/0":        {ID: "a", CaptureRate: -240},
		"/takes/0/factor": {ID: "a", CaptureRate: 240, Factor: 8},
	} {
		if err := checkClocks(&Touch{Takes: []mark.Take{k}}); err == nil || err.(*Refusal).At != at || err.(*Refusal).Mend == "" {
			t.Errorf("%+v: %v", k, err)
		}
	}
	if err := checkClocks(&Touch{Takes: []mark.Take{{CaptureRate: math.NaN()}}}); err == nil {
		t.Error("a rate that is no number is taken")
	}
}

// TestFieldsAreDoubted: an interlaced video that is read as whole frames mixes
// instants 20 ms apart at 25 frames a second, and the way out is named.
func TestFieldsAreDoubted(t *testing.T) {
	clip := mark.Clip{Interlaced: true, Times: stamps(0, times(50, 0.04)...)}
	for name, c := range map[string]struct {
		video Video
		clip  mark.Clip
		code  string
		doubt float64
	}{
		"whole":       {Video{ID: "v"}, clip, CodeInterlaced, 20},
		"split":       {Video{ID: "v", Fields: true}, clip, "", 0},
		"progressive": {Video{ID: "v", Fields: true}, mark.Clip{Times: clip.Times}, CodeNotInterlaced, 1},
		"plain":       {Video{ID: "v"}, mark.Clip{Times: clip.Times}, "", 0},
	} {
		got := fieldDoubts(&Touch{Videos: []Video{c.video}}, map[string]mark.Clip{"v": c.video.Clip(c.clip)})
		if c.code == "" && len(got) == 0 {
			continue
		}
		if len(got) != 1 || got[0].Code != c.code || math.Abs(got[0].Doubt-c.doubt) > 1e-9 || !strings.Contains(got[0].Text, "fields") {
			t.Errorf("%s: %+v", name, got)
		}
	}
}

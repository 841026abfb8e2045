package main

import (
	"encoding/json"
	"fmt"
	"math"

	"mesure/demo"
)

// followedLines states how well following came out on the demo, beside the goals.
func followedLines(accuracy []byte) ([]line, error) {
	var f demo.FollowedReport
	if err := json.Unmarshal(accuracy, &f); err != nil {
		return nil, err
	}
	cm := func(m float64) string { return fmt.Sprintf("%.1f cm", 100*m) }
	c, p, r := f.Camera, f.Points, f.Replay
	inside := func(x, lo, hi float64) verdict { return within(x >= lo && x <= hi) }
	return []line{
		{fmt.Sprintf("followed camera, two placed frames a take, n = %d: median floor error", c.N), cm(c.MedianAbsError), "at most 1.5 cm", within(c.MedianAbsError <= 0.015)},
		{"  95th percentile", cm(c.P95AbsError), "at most 5 cm", within(c.P95AbsError <= 0.05)},
		{"  coverage of the 95 % regions", fmt.Sprintf("%.3f", c.Coverage95), "0.90 to 0.99", inside(c.Coverage95, 0.90, 0.99)},
		{fmt.Sprintf("  with one placed frame, after 4 s, n = %d: 95th percentile", c.OneN), cm(c.OneP95), "at most 15 cm", within(c.OneP95 <= 0.15)},
		{fmt.Sprintf("points, one mark a 12 frames, n = %d: front toe, 95th percentile", p.N), cm(p.ToeP95), "at most 5 cm", within(p.ToeP95 <= 0.05)},
		{"  guard", cm(p.GuardP95), "at most 5 cm", within(p.GuardP95 <= 0.05)},
		{"  mask", cm(p.MaskP95), "at most 5 cm", within(p.MaskP95 <= 0.05)},
		{"  tip, where not lost", cm(p.TipP95), "at most 12 cm", within(p.TipP95 <= 0.12)},
		{fmt.Sprintf("  told where it cannot be seen, of %d", p.LostN), fmt.Sprintf("%.3f", p.LostRecall), "at least 0.90", within(p.LostRecall >= 0.90)},
		{fmt.Sprintf("  gaps on followed frames, n = %d: coverage", p.GapN), fmt.Sprintf("%.3f", p.GapCoverage95), "0.92 to 0.98", inside(p.GapCoverage95, 0.92, 0.98)},
		{fmt.Sprintf("  bias of the hand's greatest speed, n = %d", p.SpeedN), fmt.Sprintf("%+.1f %%", 100*p.HandSpeedBias), "within 5 %", within(math.Abs(p.HandSpeedBias) <= 0.05)},
		{fmt.Sprintf("replay, n = %d: error of the time factor, median (worst)", r.N), fmt.Sprintf("%.2f %% (%.2f %%)", 100*r.FactorError, 100*r.FactorWorst), "at most 0.5 %", within(r.FactorError <= 0.005)},
		{"  offset in live frames, median (worst)", fmt.Sprintf("%.2f (%.2f)", r.OffsetFrames, r.OffsetWorst), "at most 0.5", within(r.OffsetFrames <= 0.5)},
	}, nil
}

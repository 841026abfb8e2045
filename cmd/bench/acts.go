package main

import (
	"context"
	"fmt"
	"os/exec"
)

// storedActs measures what a library of a million choices takes to be asked, beside a
// reading of all of it.
func storedActs(ctx context.Context) ([]line, error) {
	out, err := exec.CommandContext(ctx, "go", "test", "-run", "^$", "-bench", "^BenchmarkActs$", "-benchtime", "1x", "./store/sqlite").CombinedOutput()
	if err != nil {
		return nil, fmt.Errorf("go test ./store/sqlite: %w: %s", err, out)
	}
	var lines []line
	for _, c := range []struct{ name, what string }{
		{"fencer", "all of one fencer"}, {"pair", "of one pair"}, {"newest", "the newest of one fencer"}, {"before", "of one fencer before a day"},
	} {
		var v [3]float64
		for i, unit := range []string{"median_ms", "acts", "times_reading_all"} {
			if v[i], err = number(out, fmt.Sprintf(`BenchmarkActs/%s.* ([0-9.e+]+) %s`, c.name, unit)); err != nil {
				return nil, err
			}
		}
		lines = append(lines,
			line{fmt.Sprintf("1,000,000 stored choices: %s (%.0f), median of 21", c.what, v[1]), fmt.Sprintf("%.1f ms", v[0]), "at most 100 ms", within(v[0] <= 100)},
			line{"  faster than reading all", fmt.Sprintf("%.0f ×", v[2]), "", noGoal})
	}
	return lines, nil
}

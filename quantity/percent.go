package quantity

import "fmt"

// Percent prints a chance in whole percent for a sentence; one that would round to
// nothing or to certainty and is neither says so: "less than 1 %", "more than 99 %".
func Percent(c Chance) string {
	switch {
	case c > 0 && c < 0.005:
		return "less than 1\u00a0%"
	case c < 1 && c >= 0.995:
		return "more than 99\u00a0%"
	}
	return fmt.Sprintf("%.0f\u00a0%%", 100*float64(c))
}

package plate

import (
	"math"
	"strings"
	"testing"

	"mesure/quantity"
)

func TestNumbersStopWhereTheirDoubtDoes(t *testing.T) {
	m := func(mean, sd float64) string {
		return Metres(quantity.Normal(quantity.Metres(mean), quantity.Metres(sd)))
	}
	ms := func(mean, sd float64) string {
		return Milliseconds(quantity.Normal(quantity.Seconds(mean/1000), quantity.Seconds(sd/1000)))
	}
	pc := func(mean, sd float64) string {
		return Percent(quantity.Normal(quantity.Chance(mean/100), quantity.Chance(sd/100)))
	}
	cases := []struct{ got, want string }{
		{m(1.4249, 0.06), "1.42 ± 0.06 m"},
		{m(0.4249, 0.0134), "0.425 ± 0.013 m"},
		{m(0.42, 0.31), "0.4 ± 0.3 m"},
		{m(12.6, 2.2), "13 ± 2 m"},
		{m(12.64, 1.4), "12.6 ± 1.4 m"},
		{m(0.42, 0.00001), "0.420 ± 0.001 m"},
		{m(0.42, 0), "0.42 m"},
		{m(-0.001, 0.06), "0.00 ± 0.06 m"},
		{m(-0.42, 0.06), "−0.42 ± 0.06 m"},
		{ms(34.4, 21.3), "34 ± 21 ms"},
		{ms(-7.6, 12), "−8 ± 12 ms"},
		{ms(45, 0), "45 ms"},
		{pc(62.3, 0.8), "62 ± 1 %"},
		{pc(62.3, 0.2), "62 ± 1 %"},
		{pc(0.2, 0.1), "< 1 %"},
		{pc(99.7, 0.1), "> 99 %"},
		{m(math.NaN(), 0), "not known"},
		{Chance(0.84), "84 %"},
		{Chance(0.001), "< 1 %"},
		{Chance(1), "100 %"},
		{Chance(0), "0 %"},
		{Chance(quantity.Chance(math.NaN())), "not known"},
		{Centimetres(quantity.Normal[quantity.Metres](0.42, 0.06)), "42 ± 6 cm"},
		{Seconds(quantity.Uniform[quantity.Seconds](2.29, 2.33)), "2.310 ± 0.012 s"},
		{Pixels(quantity.Normal[quantity.Pixels](1113, 64)), "1113 ± 64 px"},
		{Degrees(quantity.Normal[quantity.Radians](0.007, 0.0035)), "0.4 ± 0.2°"},
		{Ratio(quantity.Normal[quantity.Ratio](-0.0123, 0.004)), "−0.012 ± 0.004"},
		{MetresBetween(quantity.Of[quantity.Metres]{Mean: 0.42, SD: 0.06, Lo: 0.304, Hi: 0.538}), "0.30 to 0.54 m"},
		{MillisecondsBetween(quantity.Exactly[quantity.Seconds](0.045)), "45 ms"},
		{PercentBetween(quantity.Of[quantity.Chance]{Mean: 0.001, SD: 0.001, Lo: 0, Hi: 0.003}), "< 1 %"},
		{PercentBetween(quantity.Of[quantity.Chance]{Mean: 0.9, SD: 0.1, Lo: 0.6, Hi: 0.999}), "60 to 100 %"},
		{PercentBetween(quantity.Of[quantity.Chance]{Mean: 0.356, SD: 0.0034, Lo: 0.3496, Hi: 0.3625}), "34 to 37 %"},
		{PercentBetween(quantity.Of[quantity.Chance]{Mean: 0.58, SD: 0.01, Lo: 0.57, Hi: 0.59}), "57 to 59 %"},
		{Count(20000), "20 000"},
		{Count(1234567), "1 234 567"},
		{Count(-200), "-200"},
		{Count(7), "7"},
		{PercentBetween(quantity.Of[quantity.Chance]{Mean: 0.62, SD: 0.1, Lo: 0.41, Hi: 0.8}), "41 to 80 %"},
	}
	for _, c := range cases {
		if got := strings.ReplaceAll(c.got, nb, " "); got != c.want {
			t.Errorf("printed %q, not %q", got, c.want)
		}
		if strings.Contains(c.got, " ") && c.got != unknown {
			t.Errorf("%q can break over two lines", c.got)
		}
	}
}

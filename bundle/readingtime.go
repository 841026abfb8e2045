package bundle

import (
	"mesure/quantity"
	"mesure/sport/mark"
	"mesure/study"
)

type clockFile struct {
	Take        string   `json:"take" match:"line" say:"The take."`
	From        string   `json:"from" one:"declared|capture-rate|tied" say:"What the clock rests on: what was declared, the capture rate of the camera, or moments that other takes show as well."`
	Factor      float64  `json:"factor" min:"0" say:"Seconds of the file that show one second of the bout."`
	FactorSD    float64  `json:"factor_sd" min:"0" say:"Its standard deviation."`
	FactorLo    float64  `json:"factor_lo95" say:"Lower end of its 95 % interval."`
	FactorHi    float64  `json:"factor_hi95" say:"Upper end of its 95 % interval."`
	Offset      float64  `json:"offset_s" say:"Instant of the bout that the first frame of the take shows, in seconds."`
	OffsetSD    float64  `json:"offset_sd_s" min:"0" say:"Its standard deviation."`
	OffsetLo    float64  `json:"offset_lo95_s" say:"Lower end of its 95 % interval."`
	OffsetHi    float64  `json:"offset_hi95_s" say:"Upper end of its 95 % interval."`
	Correlation float64  `json:"correlation" min:"-1" max:"1" say:"Of the errors of factor and offset. A frame t seconds of the file after the first shows offset + t/factor, whose variance is offset_sd² + (t·factor_sd/factor²)² − 2·correlation·offset_sd·t·factor_sd/factor²."`
	Moments     []string `json:"moments" match:"line" say:"Names of the moments that tie the clock to others."`
}

type orderFile struct {
	First  string  `json:"first" match:"line" say:"Name of the moment that is likelier to have come first."`
	Second string  `json:"second" match:"line" say:"Name of the other."`
	Chance float64 `json:"chance" min:"0" max:"1" say:"Chance that it came first."`
	Apart  float64 `json:"apart_ms" say:"By how many milliseconds the second came later."`
	SD     float64 `json:"apart_sd_ms" min:"0" say:"Its standard deviation."`
	Lo     float64 `json:"apart_lo95_ms" say:"Lower end of its 95 % interval."`
	Hi     float64 `json:"apart_hi95_ms" say:"Upper end of its 95 % interval."`
}

type alsoRead struct {
	Take  string `json:"take" match:"line" say:"The other take."`
	After int    `json:"after_frame" min:"0" say:"Last frame on which it had not happened yet."`
	By    int    `json:"by_frame" min:"0" say:"First frame on which it had happened."`
}

func clockOf(c study.ClockReading) clockFile {
	k, o := roundOf(c.Factor, 1), roundOf(c.Offset, 1)
	return clockFile{
		Take: c.Take, From: c.From,
		Factor: k.mean, FactorSD: k.sd, FactorLo: k.lo, FactorHi: k.hi,
		Offset: o.mean, OffsetSD: o.sd, OffsetLo: o.lo, OffsetHi: o.hi,
		Correlation: round(float64(max(-1, min(1, c.Correlation))), chancePlaces), Moments: append([]string{}, c.Moments...),
	}
}

func orderOf(o study.Order) orderFile {
	q := roundOf(o.Apart, ms)
	return orderFile{First: o.First, Second: o.Second, Chance: round(float64(o.Chance), chancePlaces), Apart: q.mean, SD: q.sd, Lo: q.lo, Hi: q.hi}
}

func alsoOf(all []mark.Bracket) []alsoRead {
	out := []alsoRead{}
	for _, b := range all {
		out = append(out, alsoRead{b.Take, int(b.After), int(b.By)})
	}
	return out
}

// stated is a quantity that may not be there: null then.
func stated[U quantity.Unit](q *quantity.Of[U]) (mean, sd *float64) {
	if q == nil || !q.IsValid() {
		return nil, nil
	}
	r := roundOf(*q, 1)
	return &r.mean, &r.sd
}

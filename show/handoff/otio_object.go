package handoff

// entry is a dictionary of the format; encoding/json sorts its keys, so that the bytes
// are always the same.
type entry map[string]any

// none is an empty list, which the format writes as one.
var none = []any{}

// named is what every object of the format starts with: its schema and its name.
type named struct{ schema, name string }

// with adds fields, a name and a value in turn.
func (n named) with(pairs ...any) entry {
	e := entry{"OTIO_SCHEMA": n.schema, "name": n.name}
	for i := 0; i < len(pairs); i += 2 {
		e[pairs[i].(string)] = pairs[i+1]
	}
	return e
}

// own is metadata under a key of our own, as the specification asks for.
func own(pairs ...any) entry {
	e := entry{}
	for i := 0; i < len(pairs); i += 2 {
		e[pairs[i].(string)] = pairs[i+1]
	}
	return entry{"mesure": e}
}

// span is a TimeRange of whole ticks.
func span(r Rate, start, ticks int64) entry {
	return entry{"OTIO_SCHEMA": "TimeRange.1", "start_time": tick(r, start), "duration": tick(r, ticks)}
}

func tick(r Rate, n int64) entry {
	return entry{"OTIO_SCHEMA": "RationalTime.1", "rate": r.perSecond(), "value": n}
}

// warp is an effect that changes the speed of a clip.
func warp(kind string, scalar float64) entry {
	return named{kind + ".1", ""}.with("effect_name", kind, "time_scalar", scalar, "enabled", true, "metadata", entry{})
}

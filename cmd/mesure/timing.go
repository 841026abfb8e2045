package main

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"strconv"
	"strings"

	"mesure/quantity"
	"mesure/sport/mark"
	"mesure/study"
)

// timingOptions say of which instant the timing is asked, and what is supposed.
type timingOptions struct {
	// Timing asks for it; At and Suppose do so as well.
	Timing bool
	// At is a moment or TAKE:FRAME; empty means the start of the race.
	At string
	// Suppose is a change, such as "closer=5cm,earlier=30ms"; empty changes nothing.
	Suppose string
}

func (o timingOptions) asked() bool { return o.Timing || o.At != "" || o.Suppose != "" }

// ask is the question as far as it can be put before the touch is read.
func (o timingOptions) ask() (study.TimingAsk, error) {
	ask := study.TimingAsk{Map: true}
	var err error
	if o.Suppose != "" {
		ask.WhatIf, err = supposed(o.Suppose)
	}
	return ask, err
}

// tellTiming adds the timing that is asked for to a reading, with its distance map.
func tellTiming(ctx context.Context, r *study.Reading, touch string, o timingOptions) error {
	ask, err := o.ask()
	if err != nil {
		return err
	}
	if o.At != "" {
		if ask.At, err = instantAt(r, o.At); err != nil {
			return err
		}
	}
	r.Timing, err = unlessEnded(ctx, func() (*study.Timing, error) { return r.TimingAt(ask) })
	var no *study.Refusal
	if ask.WhatIf != nil && errors.As(err, &no) && strings.HasPrefix(no.At, "/what_if/") {
		name, _, _ := strings.Cut(strings.TrimPrefix(no.At, "/what_if/"), "_")
		return misuseHint(sentence(no.Mend), "--suppose: %s: %s", name, no.What)
	}
	return at(touch, err)
}

// instantAt finds the frame that --at names: a moment of the touch, or a take and a
// frame. Of a moment that several takes show it is the first frame that was measured.
func instantAt(r *study.Reading, words string) (study.At, error) {
	if m, ok := r.Touch.Moment(words); ok {
		for _, b := range m.Brackets() {
			if slices.ContainsFunc(r.Instants, func(in study.Instant) bool { return in.Take == b.Take && in.Frame == b.By }) {
				return study.At{Take: b.Take, Frame: b.By}, nil
			}
		}
		return study.At{Take: m.Take, Frame: m.By}, nil
	}
	i := strings.LastIndexByte(words, ':')
	if i < 0 {
		return study.At{}, misuseHint(instantsOf(r.Touch), "--at: %q is not a moment of this touch", words)
	}
	take, number := words[:i], words[i+1:]
	k, known := r.Touch.Take(take)
	if !known {
		return study.At{}, misuseHint(instantsOf(r.Touch), "--at: this touch has no take %q", take)
	}
	f, err := strconv.Atoi(number)
	if err != nil || mark.Frame(f) < k.From || mark.Frame(f) > k.To {
		return study.At{}, misuseHint(fmt.Sprintf("Name a frame from %d to %d, such as %s:%d.", k.From, k.To, take, k.From), "--at: %q is not a frame of take %s", number, take)
	}
	return study.At{Take: take, Frame: mark.Frame(f)}, nil
}

// instantsOf is the hint of what --at may name.
func instantsOf(t *study.Touch) string {
	var moments, takes []string
	for _, m := range t.Moments {
		moments = append(moments, m.ID)
	}
	for _, k := range t.Takes {
		takes = append(takes, fmt.Sprintf("%s:%d to %s:%d", k.ID, k.From, k.ID, k.To))
	}
	hint := "Name a frame: " + strings.Join(takes, ", ") + "."
	if len(moments) > 0 {
		hint = "Name a moment (" + strings.Join(moments, ", ") + ") or a frame (" + strings.Join(takes, ", ") + ")."
	}
	return hint
}

// suppositions say what --suppose takes.
const suppositions = "Write for example closer=5cm,earlier=30ms,longer=4cm,target=hand,who=left; who is the fencer of whom the rest speaks."

// supposed reads a change: parts with commas between them, each a name and a value
// with its unit.
func supposed(words string) (*study.Change, error) {
	c := &study.Change{}
	wrong := func(format string, args ...any) error {
		return misuseHint(suppositions, "--suppose: "+format, args...)
	}
	seen := map[string]bool{}
	for part := range strings.SplitSeq(words, ",") {
		name, value, ok := strings.Cut(strings.TrimSpace(part), "=")
		if !ok {
			return nil, wrong("%q has no value", part)
		}
		if seen[name] {
			return nil, wrong("%s is said twice", name)
		}
		seen[name] = true
		switch name {
		case "closer", "longer":
			x, ok := withUnit(value, map[string]float64{"mm": 0.001, "cm": 0.01, "m": 1})
			if !ok {
				return nil, wrong("%s: %q is not a length with mm, cm or m", name, value)
			}
			if name == "closer" {
				c.Closer = quantity.Metres(x)
			} else {
				c.Longer = quantity.Metres(x)
			}
		case "earlier":
			x, ok := withUnit(value, map[string]float64{"ms": 0.001, "s": 1})
			if !ok {
				return nil, wrong("%s: %q is not a time with ms or s", name, value)
			}
			c.Earlier = quantity.Seconds(x)
		case "target":
			c.Target = mark.Target(value)
		case "who":
			if c.Who.UnmarshalText([]byte(value)) != nil {
				return nil, wrong(`who: %q is not "left" or "right"`, value)
			}
		default:
			return nil, wrong("%q is nothing that can be supposed", name)
		}
	}
	return c, nil
}

// withUnit reads a decimal number with its unit, the longest that fits.
func withUnit(s string, units map[string]float64) (float64, bool) {
	end := strings.LastIndexAny(s, "0123456789.") + 1
	per, known := units[strings.TrimSpace(s[end:])]
	x, err := strconv.ParseFloat(strings.TrimSpace(s[:end]), 64)
	return x * per, known && err == nil
}

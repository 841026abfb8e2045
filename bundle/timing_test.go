package bundle

import (
	"bytes"
	"encoding/json"
	"math"
	"math/rand/v2"
	"os"
	"reflect"
	"strings"
	"testing"

	"mesure/quantity"
	"mesure/study"
)

// wholeTiming puts the timing that the tests of show write into a reading: every part
// is there.
func wholeTiming(t testing.TB, r *study.Reading) *study.Reading {
	t.Helper()
	data, err := os.ReadFile("../show/testdata/timing.json")
	if err != nil {
		t.Fatal(err)
	}
	if err := json.Unmarshal(data, r); err != nil { // its fields are two of the reading's
		t.Fatal(err)
	}
	return r
}

// shortened leaves of each list what shows its fields, for the example of the page.
func shortened(r *study.Reading) *study.Reading {
	x := r.Timing
	x.Map.Grid.Gaps, x.Map.Grid.Leads, x.Map.Cells, x.Map.Path = 2, 1, x.Map.Cells[:2], x.Map.Path[:1]
	x.Parry.Asked.Ways, x.WhatIf.Windows, x.WhatIf.Race, x.Race = x.Parry.Asked.Ways[:1], nil, nil, nil
	x.Parry.AtHit = nil
	for s := range r.Profiles {
		r.Profiles[s].Figures = r.Profiles[s].Figures[:2*(1-s)]
	}
	return r
}

// TestTheTimingForOtherPrograms: what they rely on, read as they would read it, in the
// units that the names say.
func TestTheTimingForOtherPrograms(t *testing.T) {
	r := wholeTiming(t, aReading())
	type spread struct{ Mean, SD, Lo95, Hi95 float64 }
	var got struct {
		Timing struct {
			Take, Attacker string
			Windows        struct {
				Hit     spread `json:"hit_ms"`
				Answers []struct {
					Name   string
					InTime spread  `json:"in_time"`
					Latest *spread `json:"latest_ms"`
				}
			}
			Parry struct {
				Asked struct {
					Smallest spread `json:"smallest_rad"`
				}
				Observed struct {
					Size                         string
					Small                        spread `json:"too_small"`
					Nothing_asked, Enough, Large spread
				}
			}
			Map struct {
				Gaps, Leads                                        int
				Attacker_only, Defender_only, Both, Neither, Zones []any
				Zone                                               []int
				Here                                               *int
			}
			Started struct {
				Starts []struct {
					Who    string
					Before []float64
				}
			}
			Left  struct{ Can []struct{ Now float64 } }
			Notes []struct{ ID string }
		}
		Profiles struct {
			Left struct {
				Figures []struct {
					Name    string
					Seconds *spread `json:"value_s"`
					Prior   *spread `json:"prior_s"`
				}
			}
		}
	}
	if err := json.Unmarshal(written(t, r), &got); err != nil {
		t.Fatal(err)
	}
	x, w := r.Timing, r.Timing.Windows
	near := func(what string, got, want, within float64) {
		t.Helper()
		if math.Abs(got-want) > within {
			t.Errorf("%s is %v, want %v", what, got, want)
		}
	}
	if got.Timing.Take != "live" || got.Timing.Attacker != "left" || len(got.Timing.Windows.Answers) != len(w.Each) || len(got.Timing.Notes) != 2 {
		t.Fatalf("%+v", got.Timing)
	}
	near("hit", got.Timing.Windows.Hit.Mean, w.Hit.Mean.Milliseconds(), 0.5)
	for i, a := range w.Each {
		near(string(a.Answer), got.Timing.Windows.Answers[i].InTime.Mean, float64(a.InTime.Mean), 0.00005)
	}
	near("turn", got.Timing.Parry.Asked.Smallest.Mean, float64(x.Parry.Asked.Smallest.Mean), 0.005)
	near("too small", got.Timing.Parry.Observed.Small.Mean, float64(x.Parry.Observed.Judged.Chances[1].Mean), 0.00005)
	m := got.Timing.Map
	if n := m.Gaps * m.Leads; n != len(x.Map.Cells) || len(m.Attacker_only) != n || len(m.Both) != n || len(m.Zone) != n || m.Here == nil || *m.Here != 0 {
		t.Errorf("%d gaps by %d leads, %d cells", m.Gaps, m.Leads, len(m.Zone))
	}
	for i, c := range x.Map.Cells {
		if m.Zones[m.Zone[i]] != string(c.Zone) {
			t.Fatalf("cell %d is %v, want %v", i, m.Zones[m.Zone[i]], c.Zone)
		}
		near("a cell", m.Attacker_only[i].(float64)+m.Defender_only[i].(float64)+m.Both[i].(float64)+m.Neither[i].(float64), 1, 1e-9)
	}
	starts := got.Timing.Started.Starts
	if len(starts) != 3 || starts[0].Who != "left" || starts[2].Who != "right" {
		t.Fatalf("%+v", starts)
	}
	for i := range starts { // of two starts one is the earlier
		for k := range starts {
			if i != k {
				near("before", starts[i].Before[k]+starts[k].Before[i], 1, 0.0002)
			}
		}
	}
	if f := got.Profiles.Left.Figures[1]; f.Name != "extension-time" || f.Seconds == nil || f.Prior == nil || f.Prior.Mean != 0.23 {
		t.Errorf("%+v", f)
	}
}

// TestTimingsInPartAreValid: whatever part is missing, the schema allows it.
func TestTimingsInPartAreValid(t *testing.T) {
	schema := compiled(t, "reading")
	if err := validate(schema, written(t, wholeTiming(t, aReading()))); err != nil {
		t.Errorf("whole: %v", err)
	}
	parts := reflect.TypeFor[study.Timing]()
	for i := range parts.NumField() {
		r := wholeTiming(t, aReading())
		reflect.ValueOf(r.Timing).Elem().Field(i).SetZero()
		if err := validate(schema, written(t, r)); err != nil {
			t.Errorf("without %s: %v", parts.Field(i).Name, err)
		}
	}
	for name, x := range map[string]*study.Timing{
		"nothing": {},
		"hollow": {Windows: &study.Windows{}, Parry: &study.ParryReading{Observed: &study.ObservedParry{}, Riposte: &study.Riposte{}}, Map: &study.Map{Here: -1},
			Commits: [2]*study.Commit{{}, {}}, Started: &study.Started{Launch: &study.Launch{}}, WhatIf: &study.WhatIf{}},
	} {
		if err := validate(schema, written(t, &study.Reading{Timing: x})); err != nil {
			t.Errorf("%s: %v", name, err)
		}
	}
	never := wholeTiming(t, aReading())
	never.Timing.Windows.Hit, never.Timing.Windows.Cue.Left = quantity.Of[quantity.Seconds]{}, quantity.Of[quantity.Seconds]{}
	if out := string(written(t, never)); !strings.Contains(out, `"hit_ms": null`) || !strings.Contains(out, `"gone": null`) {
		t.Error("an attack that never arrives states when")
	}
}

// TestTheTimingIsWrittenAlike, time after time, and is not changed.
func TestTheTimingIsWrittenAlike(t *testing.T) {
	r, same := wholeTiming(t, aReading()), wholeTiming(t, aReading())
	first := written(t, r)
	for range 5 {
		if !bytes.Equal(first, written(t, r)) {
			t.Fatal("equal readings gave different bytes")
		}
	}
	if !reflect.DeepEqual(r.Timing, same.Timing) || !reflect.DeepEqual(r.Profiles, same.Profiles) {
		t.Error("writing changed the timing")
	}
}

// FuzzTimingIsWritten: a number anywhere in a timing may be anything, and a text too;
// what is written is JSON, or nothing is written and the error says where.
func FuzzTimingIsWritten(f *testing.F) {
	f.Add(uint64(1), 1.5, "a word")
	f.Add(uint64(7), math.Inf(1), "line\x00break")
	f.Add(uint64(23), math.NaN(), "\xff")
	f.Add(uint64(99), -1e300, strings.Repeat("long", 300))
	f.Fuzz(func(t *testing.T, seed uint64, x float64, text string) {
		r := wholeTiming(t, aReading())
		luck := rand.New(rand.NewPCG(seed, 1))
		var places []reflect.Value
		collect(reflect.ValueOf(r.Timing), &places)
		v := places[luck.IntN(len(places))]
		if v.Kind() == reflect.String {
			v.SetString(text)
		} else {
			v.SetFloat(x)
		}
		var b bytes.Buffer
		if err := WriteReading(&b, r); err != nil {
			if b.Len() > 0 || !strings.HasPrefix(err.Error(), "the reading: /timing/") {
				t.Fatalf("%d bytes, %v", b.Len(), err)
			}
			return
		}
		if !json.Valid(b.Bytes()) {
			t.Fatal("not JSON")
		}
	})
}

// collect finds every number and text that can be set.
func collect(v reflect.Value, to *[]reflect.Value) {
	switch v.Kind() {
	case reflect.Pointer:
		if !v.IsNil() {
			collect(v.Elem(), to)
		}
	case reflect.Slice, reflect.Array:
		for i := range v.Len() {
			collect(v.Index(i), to)
		}
	case reflect.Struct:
		for i := range v.NumField() {
			if v.Type().Field(i).IsExported() {
				collect(v.Field(i), to)
			}
		}
	case reflect.Float64, reflect.String:
		*to = append(*to, v)
	}
}

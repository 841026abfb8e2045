package main

import (
	"encoding/json"
	"fmt"
	"os"
	"regexp"
	"strconv"
	"strings"

	"github.com/rogpeppe/go-internal/testscript"
)

// find walks a JSON pointer; the last step is left to the caller.
func find(v any, pointer string) (parent any, last string, err error) {
	steps := strings.Split(strings.TrimPrefix(pointer, "/"), "/")
	for _, s := range steps[:len(steps)-1] {
		if v, err = member(v, s); err != nil {
			return nil, "", err
		}
	}
	return v, steps[len(steps)-1], nil
}

func member(v any, step string) (any, error) {
	switch v := v.(type) {
	case map[string]any:
		if m, there := v[step]; there {
			return m, nil
		}
		return nil, fmt.Errorf("there is no member %q", step)
	case []any:
		i, err := strconv.Atoi(step)
		if err != nil || i < 0 || i >= len(v) {
			return nil, fmt.Errorf("there is no item %q", step)
		}
		return v[i], nil
	}
	return nil, fmt.Errorf("%q is inside neither an object nor a list", step)
}

func lookUp(ts *testscript.TestScript, file, pointer string) any {
	var v any
	if err := json.Unmarshal([]byte(ts.ReadFile(file)), &v); err != nil {
		ts.Fatalf("%s is not JSON: %v", file, err)
	}
	if pointer == "" || pointer == "/" {
		return v
	}
	parent, last, err := find(v, pointer)
	ts.Check(err)
	v, err = member(parent, last)
	if err != nil {
		ts.Fatalf("%s: %v", pointer, err)
	}
	return v
}

func jsonSet(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) != 3 {
		ts.Fatalf("usage: jsonset FILE POINTER VALUE")
	}
	var v any
	ts.Check(json.Unmarshal([]byte(ts.ReadFile(args[0])), &v))
	parent, last, err := find(v, args[1])
	ts.Check(err)
	switch p := parent.(type) {
	case map[string]any:
		if args[2] == "-" {
			delete(p, last)
		} else {
			p[last] = json.RawMessage(args[2])
		}
	case []any:
		i, err := strconv.Atoi(last)
		ts.Check(err)
		p[i] = json.RawMessage(args[2])
	default:
		ts.Fatalf("%s: nothing to change there", args[1])
	}
	body, err := json.MarshalIndent(v, "", " ")
	ts.Check(err)
	ts.Check(os.WriteFile(ts.MkAbs(args[0]), body, 0o644))
}

func jsonIs(ts *testscript.TestScript, neg bool, args []string) {
	body, err := json.Marshal(lookUp(ts, args[0], args[1]))
	ts.Check(err)
	if regexp.MustCompile(args[2]).Match(body) == neg {
		ts.Fatalf("%s is %s", args[1], body)
	}
}

func jsonNear(ts *testscript.TestScript, neg bool, args []string) {
	got, isNumber := lookUp(ts, args[0], args[1]).(float64)
	want, err := strconv.ParseFloat(args[2], 64)
	ts.Check(err)
	tolerance, err := strconv.ParseFloat(args[3], 64)
	ts.Check(err)
	if !isNumber || neg == (max(got-want, want-got) <= tolerance) {
		ts.Fatalf("%s is %v, want %v ± %v", args[1], got, want, tolerance)
	}
}

func jsonKeys(ts *testscript.TestScript, _ bool, args []string) {
	v := lookUp(ts, args[0], args[1])
	object, isObject := v.(map[string]any)
	if !isObject {
		ts.Fatalf("%s is not an object", args[1])
	}
	for _, k := range args[2:] {
		if _, there := object[k]; !there {
			ts.Fatalf("%s lacks %q", args[1], k)
		}
		delete(object, k)
	}
	if len(object) > 0 {
		ts.Fatalf("%s has more keys: %v", args[1], object)
	}
}

func jsonSame(ts *testscript.TestScript, neg bool, args []string) {
	a, err := json.Marshal(lookUp(ts, args[0], args[2]))
	ts.Check(err)
	b, err := json.Marshal(lookUp(ts, args[1], args[2]))
	ts.Check(err)
	if (string(a) == string(b)) == neg || len(a) < len(`{"a":1}`) {
		ts.Fatalf("%s: %s and %s", args[2], a, b)
	}
}

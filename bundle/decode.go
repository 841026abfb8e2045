package bundle

import (
	"fmt"
	"math"
	"reflect"
	"strconv"
	"strings"
)

// decoder fills a structure from a tree by the rules in its tags and collects
// what is wrong on the way.
type decoder struct {
	problems
	known map[reflect.Type]*form
}

// form is what a structure asks of an object.
type form struct {
	rules []rule
	names []string
	at    map[string]int // index of the field of a name
}

func (d *decoder) formOf(t reflect.Type) *form {
	if f := d.known[t]; f != nil {
		return f
	}
	f := &form{at: map[string]int{}}
	for i := range t.NumField() {
		r := ruleOf(t.Field(i))
		f.rules = append(f.rules, r)
		f.names = append(f.names, r.name)
		f.at[r.name] = i
	}
	if d.known == nil {
		d.known = map[reflect.Type]*form{}
	}
	d.known[t] = f
	return f
}

// fill decodes a node into v; r is the rule of the field that holds it.
func (d *decoder) fill(n *node, v reflect.Value, r rule) {
	switch v.Kind() {
	case reflect.Pointer:
		if n.Kind == isNull && r.nullable {
			return
		}
		v.Set(reflect.New(v.Type().Elem()))
		d.fill(n, v.Elem(), r)
	case reflect.Struct:
		if d.is(n, isObject) {
			d.object(n, v)
		}
	case reflect.Slice, reflect.Array:
		if d.is(n, isArray) {
			d.array(n, v, r)
		}
	case reflect.String:
		if d.is(n, isString) && d.word(n, r) {
			v.SetString(n.Text)
		}
	case reflect.Bool:
		if d.is(n, isBool) {
			v.SetBool(n.Truth)
		}
	case reflect.Float64:
		if x, ok := d.number(n, r); ok {
			v.SetFloat(x)
		}
	case reflect.Int:
		if x, ok := d.number(n, r); ok {
			if x != math.Trunc(x) || math.Abs(x) > 1<<53 {
				d.add(n.Pointer, "%s is not a whole number", n.Text)
				return
			}
			v.SetInt(int64(x))
		}
	case reflect.Uint64:
		if !d.is(n, isNumber) {
			return
		}
		x, err := strconv.ParseUint(n.Text, 10, 64)
		if err != nil {
			d.add(n.Pointer, "%s is not a whole number from 0 to 2^64−1", n.Text)
			return
		}
		v.SetUint(x)
	default:
		panic("bundle: no rule for a field of kind " + v.Kind().String())
	}
}

// is reports whether a node is of this kind, and says so where it is not.
func (d *decoder) is(n *node, want kind) bool {
	if n.Kind == want {
		return true
	}
	switch n.Kind {
	case isNull:
		d.add(n.Pointer, "null stands where %s belongs: write one or leave the field out", want)
	case isString:
		d.add(n.Pointer, "%s is a text; %s belongs here", quote(n.Text), want)
	case isNumber:
		d.add(n.Pointer, "%s is a number; %s belongs here", n.Text, want)
	default:
		d.add(n.Pointer, "%s stands where %s belongs", n.Kind, want)
	}
	return false
}

func (d *decoder) object(n *node, v reflect.Value) {
	f := d.formOf(v.Type())
	given := make([]bool, len(f.rules))
	for i, key := range n.Keys {
		j, known := f.at[key]
		if !known {
			d.unknown(n.Items[i].Pointer, key, f.names)
			continue
		}
		given[j] = true
		d.fill(n.Items[i], v.Field(j), f.rules[j])
	}
	for j, r := range f.rules {
		if !r.optional && !given[j] {
			d.add(n.Pointer, "%s is missing: add it", strconv.Quote(r.name))
		}
	}
}

func (d *decoder) unknown(pointer, key string, names []string) {
	if d.full() {
		return
	}
	if near := nearest(key, names); near != "" {
		d.add(pointer, "there is no field %s here: did you mean %s?", quote(key), strconv.Quote(near))
		return
	}
	d.add(pointer, "there is no field %s here: known are %s", quote(key), strings.Join(names, ", "))
}

func (d *decoder) array(n *node, v reflect.Value, r rule) {
	switch {
	case v.Kind() == reflect.Array && len(n.Items) != v.Len():
		d.add(n.Pointer, "this list has %d items; %d belong here", len(n.Items), v.Len())
		return
	case r.least != nil && float64(len(n.Items)) < *r.least:
		d.add(n.Pointer, "this list has %d items; at least %g are needed", len(n.Items), *r.least)
		return
	case r.most != nil && float64(len(n.Items)) > *r.most:
		d.add(n.Pointer, "this list has %d items; at most %g are read", len(n.Items), *r.most)
		return
	}
	if v.Kind() == reflect.Slice && len(n.Items) > 0 {
		v.Set(reflect.MakeSlice(v.Type(), len(n.Items), len(n.Items)))
	}
	for i, it := range n.Items {
		if it.Kind == isNull && v.Type().Elem().Kind() == reflect.Pointer {
			continue // a list of pointers is one of values that may not be there
		}
		d.fill(it, v.Index(i), r)
	}
}

// word checks a text against its allowed words and its pattern.
func (d *decoder) word(n *node, r rule) bool {
	if r.words != nil {
		for _, w := range r.words {
			if w == n.Text {
				return true
			}
		}
		if !d.full() {
			d.add(n.Pointer, "%s", notOne(n.Text, r.words))
		}
		return false
	}
	if r.match != "" {
		p, ok := patterns[r.match]
		if !ok {
			panic("bundle: no pattern " + r.match)
		}
		if !p.fits(n.Text) {
			d.add(n.Pointer, "%s is not %s", quote(n.Text), p.wants)
			return false
		}
		if r.match == "date" && !isDate(n.Text) {
			d.add(n.Pointer, "%s is a day that the calendar does not have", quote(n.Text))
			return false
		}
	}
	return true
}

// notOne says that a word is none of those allowed, and which it may have been
// meant to be.
func notOne(word string, words []string) string {
	quoted := make([]string, len(words))
	for i, w := range words {
		quoted[i] = strconv.Quote(w)
	}
	switch len(words) {
	case 1:
		return fmt.Sprintf("%s should be %s", quote(word), quoted[0])
	case 2:
		return fmt.Sprintf("%s is neither %s nor %s", quote(word), quoted[0], quoted[1])
	}
	text := fmt.Sprintf("%s is none of %s", quote(word), strings.Join(quoted, ", "))
	if near := nearest(word, words); near != "" {
		text += fmt.Sprintf(": did you mean %s?", strconv.Quote(near))
	}
	return text
}

// maxDigits is the longest spelling of a number that is read: a float64 never
// needs more than 24 letters.
const maxDigits = 40

// number reads a finite number within the bounds of its rule.
func (d *decoder) number(n *node, r rule) (float64, bool) {
	if !d.is(n, isNumber) {
		return 0, false
	}
	if len(n.Text) > maxDigits {
		d.add(n.Pointer, "this number has %d letters: round it", len(n.Text))
		return 0, false
	}
	x, err := strconv.ParseFloat(n.Text, 64)
	if err != nil || math.IsInf(x, 0) {
		d.add(n.Pointer, "%s is too large for a number", n.Text)
		return 0, false
	}
	if mantissa, _, _ := strings.Cut(strings.ToLower(n.Text), "e"); x == 0 && strings.ContainsAny(mantissa, "123456789") {
		d.add(n.Pointer, "%s is too small for a number: write 0", n.Text)
		return 0, false
	}
	switch {
	case r.above != nil && x <= *r.above:
		d.add(n.Pointer, "%s is not above %g", n.Text, *r.above)
	case r.min != nil && x < *r.min:
		d.add(n.Pointer, "%s is below %g, the least that is allowed", n.Text, *r.min)
	case r.max != nil && x > *r.max:
		d.add(n.Pointer, "%s is above %g, the most that is allowed", n.Text, *r.max)
	default:
		return x, true
	}
	return 0, false
}

// heading checks format and version before anything else, so that a file of a
// later version gets that answer and not one about its new fields. Where loose
// is true both may be left out.
func heading(root *node, name, format string, version int, loose bool) error {
	if root.Kind != isObject {
		return whole(name, "the file holds %s; an object in curly brackets belongs here", root.Kind)
	}
	at := func(pointer, text string, args ...any) error {
		return &Error{Name: name, Problems: []Problem{{Pointer: pointer, Text: fmt.Sprintf(text, args...)}}}
	}
	f := root.Member("format")
	switch {
	case f == nil && !loose:
		return at("", `"format" is missing: this should be a file that begins with "format": %q, "version": %d`, format, version)
	case f != nil && (f.Kind != isString || f.Text != format):
		if f.Kind == isString {
			return at("/format", "this is a file of the format %s; %q is needed here", quote(f.Text), format)
		}
		return at("/format", "this should be %q", format)
	}
	v := root.Member("version")
	switch {
	case v == nil && loose:
	case v == nil:
		return at("", `"version" is missing: write "version": %d`, version)
	case v.Kind != isNumber:
		return at("/version", "this should be the number %d", version)
	case v.Text != strconv.Itoa(version):
		if got, err := strconv.ParseFloat(v.Text, 64); err != nil || got != float64(version) {
			return at("/version", "this file is version %s; this program reads %d: update it", v.Text, version)
		}
	}
	return nil
}

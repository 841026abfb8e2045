package bundle

import (
	"bytes"
	"errors"
	"strings"
	"testing"
)

// oneError fails unless a refusal is an *Error of one line.
func oneError(t *testing.T, err error) {
	t.Helper()
	var e *Error
	if !errors.As(err, &e) || len(e.Problems) == 0 || strings.ContainsAny(err.Error(), "\n\r\x1b") {
		t.Fatalf("not one line with a place: %q", err)
	}
}

// seeds are spellings that once were, or might be, read wrongly.
func seeds(good string) []string {
	return []string{
		good, "", "{}", "[]", "null", `{"format":1}`, good[:len(good)/2], good + "]",
		strings.Replace(good, "120", "1e2", 1), strings.Replace(good, "540.25", "1e999999999", 1),
		strings.Replace(good, "540.25", "1e-999999999", 1), strings.Replace(good, "540.25", "-0.0", 1),
		strings.Replace(good, "540.25", "NaN", 1), strings.Replace(good, "live", `\ud800`, 1),
		strings.Replace(good, "near", `ne\u0061r`, 1), strings.Replace(good, `"u"`, `"\u0075"`, 1),
		strings.ReplaceAll(good, ", ", ",,"), strings.ReplaceAll(good, "}", "]"),
	}
}

// Whatever the bytes: no panic; a refusal in one line; what is accepted is what
// the schema accepts, and writing and reading it gives the same bytes.
func FuzzReadTouch(f *testing.F) {
	for _, s := range seeds(string(exampleOf(f, "touch"))) {
		f.Add([]byte(s))
	}
	schema := compiled(f, "touch")
	f.Fuzz(func(t *testing.T, data []byte) {
		touch, err := ReadTouch(bytes.NewReader(data), "f")
		if err != nil {
			oneError(t, err)
			return
		}
		if err := validate(schema, bytes.TrimPrefix(data, []byte("\xef\xbb\xbf"))); err != nil {
			t.Fatalf("accepted, but the schema says: %v", err)
		}
		var first, second bytes.Buffer
		if err := WriteTouch(&first, touch); err != nil {
			t.Fatalf("read but not written: %v", err)
		}
		again, err := ReadTouch(bytes.NewReader(first.Bytes()), "f")
		if err != nil {
			t.Fatalf("written but not read: %v", err)
		}
		if err := WriteTouch(&second, again); err != nil || !bytes.Equal(first.Bytes(), second.Bytes()) {
			t.Fatalf("written again it changed: %v\n%s\n%s", err, first.Bytes(), second.Bytes())
		}
	})
}

// As FuzzReadTouch, for the bout.
func FuzzReadBout(f *testing.F) {
	for _, s := range seeds(string(exampleOf(f, "bout"))) {
		f.Add([]byte(s))
	}
	f.Add([]byte(`{"format": "mesure-bout", "version": 1, "bout": {"sheet": [{"number": 7, "lamps": {"left": true, "right": true}}, {"lamps": {"left": false, "right": false}}]}}`))
	schema := compiled(f, "bout")
	f.Fuzz(func(t *testing.T, data []byte) {
		b, err := ReadBout(bytes.NewReader(data), "f")
		if err != nil {
			oneError(t, err)
			return
		}
		if err := validate(schema, bytes.TrimPrefix(data, []byte("\xef\xbb\xbf"))); err != nil {
			t.Fatalf("accepted, but the schema says: %v", err)
		}
		var first, second bytes.Buffer
		if err := WriteBout(&first, b); err != nil {
			t.Fatalf("read but not written: %v", err)
		}
		again, err := ReadBout(bytes.NewReader(first.Bytes()), "f")
		if err != nil {
			t.Fatalf("written but not read: %v", err)
		}
		if err := WriteBout(&second, again); err != nil || !bytes.Equal(first.Bytes(), second.Bytes()) {
			t.Fatalf("written again it changed: %v\n%s\n%s", err, first.Bytes(), second.Bytes())
		}
		again.Bout = again.Bout.Scored() // whatever stands there, it is counted
		again.Doubts()
	})
}

// As FuzzReadTouch, for the file that a person writes by hand.
func FuzzReadPlacing(f *testing.F) {
	for _, s := range seeds(string(exampleOf(f, "placing"))) {
		f.Add([]byte(s))
	}
	f.Add([]byte(`{"image_size": [1280, 720], "points": [{"x": 1, "y": 2, "u": 3, "v": 4}]}`))
	f.Add([]byte(`{"width": 1280, "height": 720, "points": []}`))
	schema := compiled(f, "placing")
	f.Fuzz(func(t *testing.T, data []byte) {
		p, err := ReadPlacing(bytes.NewReader(data), "f")
		if err != nil {
			oneError(t, err)
			return
		}
		if p.Width < 1 || p.Height < 1 {
			t.Fatalf("accepted an image of %d × %d", p.Width, p.Height)
		}
		if err := validate(schema, bytes.TrimPrefix(data, []byte("\xef\xbb\xbf"))); err != nil {
			t.Fatalf("accepted, but the schema says: %v", err)
		}
	})
}

package sqlite_test

import (
	"bytes"
	"strings"
	"testing"

	"mesure/store/sqlite"
	"mesure/study"
)

// BenchmarkSave stores states of the size of a marked touch, each on the disk
// before the next begins.
func BenchmarkSave(b *testing.B) {
	l, err := sqlite.Open(ctx, b.TempDir(), sqlite.Options{})
	if err != nil {
		b.Fatal(err)
	}
	defer l.Close()
	body := []byte(`"` + strings.Repeat("m", 20_000) + `"`)
	d, err := l.Create(ctx, study.Document{Kind: study.KindTouch, Body: body})
	if err != nil {
		b.Fatal(err)
	}
	for b.Loop() {
		if d, err = l.Save(ctx, d.ID, d.Revision, "", body); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkGet(b *testing.B) {
	l, err := sqlite.Open(ctx, b.TempDir(), sqlite.Options{})
	if err != nil {
		b.Fatal(err)
	}
	defer l.Close()
	d, err := l.Create(ctx, study.Document{Kind: study.KindTouch, Body: []byte(`"` + strings.Repeat("m", 20_000) + `"`)})
	if err != nil {
		b.Fatal(err)
	}
	for b.Loop() {
		if _, err := l.Get(ctx, d.ID); err != nil {
			b.Fatal(err)
		}
	}
}

// BenchmarkAddMedia copies videos of 16 MiB in, each another.
func BenchmarkAddMedia(b *testing.B) {
	l, err := sqlite.Open(ctx, b.TempDir(), sqlite.Options{})
	if err != nil {
		b.Fatal(err)
	}
	defer l.Close()
	data := make([]byte, 16<<20)
	b.SetBytes(int64(len(data)))
	n := 0
	for b.Loop() {
		n++
		data[0], data[1] = byte(n), byte(n>>8)
		if _, err := l.AddMedia(ctx, "b.mp4", bytes.NewReader(data)); err != nil {
			b.Fatal(err)
		}
	}
}

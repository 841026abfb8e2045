package demo

import (
	"context"
	"os"
	"testing"

	"mesure/video"
)

func TestMain(m *testing.M) {
	video.RunChild()
	os.Exit(m.Run())
}

// BenchmarkRender draws and writes the whole demo afresh. Set
// MESURE_DEMO_DIR to keep what it writes.
func BenchmarkRender(b *testing.B) {
	dir := os.Getenv("MESURE_DEMO_DIR")
	if dir == "" {
		dir = b.TempDir()
	}
	for b.Loop() {
		if _, err := Render(context.Background(), dir, Options{Afresh: true}, nil); err != nil {
			b.Fatal(err)
		}
	}
}

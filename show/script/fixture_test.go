package script

import (
	"flag"
	"strings"
	"testing"

	"mesure/show/specimen"
	"mesure/study"
)

var update = flag.Bool("update", false, "write the golden scripts anew; read them by eye")

// told is the invented reading with the timing and tactics of ../testdata, which the
// tests of packages summary and chart write.
func told(t testing.TB) *study.Reading { return specimen.Told(t) }

func drafted(t testing.TB, r *study.Reading, o Options) *Script {
	t.Helper()
	s, err := Draft(r, o)
	if err != nil {
		t.Fatal(err)
	}
	return s
}

func markdown(t testing.TB, s *Script, stale []Stale) string {
	t.Helper()
	var b strings.Builder
	if err := WriteMarkdown(&b, s, stale); err != nil {
		t.Fatal(err)
	}
	return b.String()
}

// line finds a line by its key.
func line(t testing.TB, s *Script, key string) *Line {
	t.Helper()
	for i := range s.Parts {
		for j := range s.Parts[i].Lines {
			if s.Parts[i].Lines[j].Key == key {
				return &s.Parts[i].Lines[j]
			}
		}
	}
	t.Fatalf("the script has no line %q", key)
	return nil
}

func has(s *Script, key string) bool {
	for _, p := range s.Parts {
		for _, l := range p.Lines {
			if l.Key == key {
				return true
			}
		}
	}
	return false
}

// each visits every line.
func each(s *Script, f func(part string, l Line)) {
	for _, p := range s.Parts {
		for _, l := range p.Lines {
			f(p.Kind, l)
		}
	}
}

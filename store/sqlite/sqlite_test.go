package sqlite_test

import (
	"context"
	"testing"

	"mesure/store/sqlite"
	"mesure/store/storetest"
	"mesure/study"
)

func open(t *testing.T, dir string) study.Library { return indexed(t, dir, nil) }

func indexed(t *testing.T, dir string, acts study.Indexer) study.Library {
	t.Helper()
	l, err := sqlite.Open(context.Background(), dir, sqlite.Options{Acts: acts})
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { l.Close() })
	return l
}

func TestContract(t *testing.T) {
	storetest.Exercise(t, func(t *testing.T, acts study.Indexer) study.Library { return indexed(t, t.TempDir(), acts) })
}

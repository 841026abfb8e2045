package sqlite_test

import (
	"context"
	"testing"

	"mesure/store/sqlite"
	"mesure/store/storetest"
	"mesure/study"
)

func open(t *testing.T, dir string) study.Library {
	t.Helper()
	l, err := sqlite.Open(context.Background(), dir, sqlite.Options{})
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { l.Close() })
	return l
}

func TestContract(t *testing.T) {
	storetest.Exercise(t, func(t *testing.T) study.Library { return open(t, t.TempDir()) })
}

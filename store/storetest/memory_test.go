package storetest_test

import (
	"testing"

	"mesure/store/storetest"
	"mesure/study"
)

func TestMemory(t *testing.T) {
	storetest.Exercise(t, func(t *testing.T, acts study.Indexer) study.Library { return storetest.Indexed(t, acts) })
}

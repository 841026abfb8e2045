package bundle

import (
	"encoding/json"
	"reflect"

	"mesure/study"
)

// TacticsJSON is the tactics of a touch as a reading file has them: rounded, with the
// names of doc/formats/reading.md. It returns an error where a number that tactics
// always have is not finite.
func TacticsJSON(x *study.Tactics) (json.RawMessage, error) {
	f := tacticsOf(x)
	if err := spellable(reflect.ValueOf(f), "the tactics"); err != nil {
		return nil, err
	}
	return layOut(f)
}

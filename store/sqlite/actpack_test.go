package sqlite

import (
	"bytes"
	"reflect"
	"testing"

	"mesure/study"
)

// Acts come back as they were packed, whatever stands in them.
func TestPackedActsComeBack(t *testing.T) {
	like := study.Act{Bout: "b", Fencer: "Ash"}
	acts := []study.Act{like, like, like}
	acts[0].Line, acts[0].Choice, acts[0].Number, acts[0].Mine, acts[0].Outcome = "line-1", "flèche\x00\n", 1, 14, study.OutcomeHit
	acts[1].Answer, acts[1].Theirs, acts[1].Number = string(bytes.Repeat([]byte("é"), 500)), -3, 1<<40
	u := unpacker{words: map[string]string{}}
	got, err := u.unpack(nil, like, packActs(acts))
	if err != nil || !reflect.DeepEqual(got, acts) {
		t.Errorf("got %+v, %v", got, err)
	}
}

// FuzzUnpackActs: damaged bytes are an error or acts that pack to something that reads
// the same, never a panic.
func FuzzUnpackActs(f *testing.F) {
	good := packActs([]study.Act{{Line: "line-1", Number: 1, Choice: "lunge", Answer: "parry", Measure: "long", Outcome: study.OutcomeDouble}})
	f.Add(good)
	f.Add(good[:len(good)-1])
	f.Add([]byte{0xff, 0xff, 0xff, 0xff, 0xff, 0xff, 0xff, 0xff, 0xff, 0xff, 0xff})
	f.Add([]byte{1})
	f.Fuzz(func(t *testing.T, packed []byte) {
		u := unpacker{words: map[string]string{}}
		acts, err := u.unpack(nil, study.Act{}, packed)
		if err != nil {
			return
		}
		again, err := u.unpack(nil, study.Act{}, packActs(acts))
		if err != nil || !reflect.DeepEqual(again, acts) {
			t.Errorf("%+v became %+v, %v", acts, again, err)
		}
	})
}

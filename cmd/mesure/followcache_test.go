package main

import (
	"os"
	"path/filepath"
	"reflect"
	"testing"

	"mesure/sport/mark"
	"mesure/study"
	"mesure/web"
)

// TestFollowCacheGivesBackWhatItKept, or nothing where the file is damaged, of another
// document or of another library.
func TestFollowCacheGivesBackWhatItKept(t *testing.T) {
	dir := t.TempDir()
	c := followCacheOf(dir, "a")
	id := study.ID("../touch 1")
	want := web.KeptFollowing{Of: map[string]string{"live": "x"}, Following: &study.Following{Version: "1", Takes: []study.FollowedTake{{Take: "live", Key: "k",
		Links:   []study.Link{{From: 1, To: 2, Matches: []study.LinkMatch{{1, 2, 3, 4.5}}, SD: 0.25}},
		Bridges: []study.Bridge{{Who: mark.Right, What: mark.Guard, Key: "b", From: 1, To: 3, Steps: []study.BridgeStep{{At: mark.Pixel{U: 0.1, V: 2}, SD: 1, Sure: 0.5, Lost: true}}}}}}}}
	if _, ok := c.Following(id); ok {
		t.Error("found before it was kept")
	}
	c.Keep(id, want)
	if got, ok := c.Following(id); !ok || !reflect.DeepEqual(got, want) {
		t.Errorf("%v: %+v", ok, got)
	}
	if _, ok := followCacheOf(dir, "b").Following(id); ok {
		t.Error("another library has it too")
	}
	if all, _ := filepath.Glob(filepath.Join(dir, "*", "*")); len(all) != 1 {
		t.Errorf("files %v", all)
	}
	body, err := os.ReadFile(c.path(id))
	if err != nil {
		t.Fatal(err)
	}
	for name, bad := range map[string][]byte{"cut": body[:len(body)/2], "empty": {}, "other": []byte(`{"version":1,"id":"other","following":{"version":"1","takes":[]}}`), "old": []byte(`{"version":0,"id":"../touch 1","following":{}}`)} {
		if err := os.WriteFile(c.path(id), bad, 0o600); err != nil {
			t.Fatal(err)
		}
		if _, ok := c.Following(id); ok {
			t.Errorf("%s: taken", name)
		}
	}
	c.Drop(id)
	if _, err := os.Stat(c.path(id)); !os.IsNotExist(err) {
		t.Errorf("dropped, it is there: %v", err)
	}
}

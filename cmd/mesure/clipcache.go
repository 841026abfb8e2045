package main

import (
	"encoding/json"
	"os"
	"path/filepath"
	"slices"

	"mesure/sport/mark"
)

// clipCache keeps what was found out about videos, one file each, named by the hash
// of the video. It only saves time: a file that is missing or damaged, or of another
// version of the program, is as good as none.
type clipCache struct{ dir string }

// clipVersion counts the ways in which videos were looked at.
const clipVersion = 1

type keptClip struct {
	Version int       `json:"version"`
	Clip    mark.Clip `json:"clip"`
}

func (c clipCache) path(sha string) string { return filepath.Join(c.dir, sha+".json") }

// Clip returns what was kept.
func (c clipCache) Clip(sha string) (mark.Clip, bool) {
	body, err := os.ReadFile(c.path(sha))
	var k keptClip
	if err != nil || json.Unmarshal(body, &k) != nil || k.Version != clipVersion {
		return mark.Clip{}, false
	}
	sound := k.Clip.Width > 0 && k.Clip.Height > 0 && k.Clip.Frames() > 0 && slices.IsSorted(k.Clip.Times)
	return k.Clip, sound
}

// Keep writes a description down.
func (c clipCache) Keep(sha string, clip mark.Clip) {
	if body, err := json.Marshal(keptClip{clipVersion, clip}); err == nil {
		keepFile(c.path(sha), body)
	}
}

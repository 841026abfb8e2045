package main

import (
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"os"
	"path/filepath"

	"mesure/study"
	"mesure/web"
)

// followCache keeps what was followed through the takes of touches, one file each,
// named by the document. It only saves time: a file that is missing or damaged, or of
// another version of the program, is as good as none.
type followCache struct{ dir string }

// followVersion counts the ways in which followings were written down.
const followVersion = 1

type keptFollow struct {
	Version int `json:"version"`
	// ID tells apart documents whose names come to one file.
	ID study.ID `json:"id"`
	web.KeptFollowing
}

// followCacheOf is the cache for one library: documents of two may share a name.
func followCacheOf(cache, library string) followCache {
	return followCache{ofLibrary(cache, library)}
}

// ofLibrary is the folder in a cache for what belongs to one library: another one may
// have documents of the same names.
func ofLibrary(cache, library string) string {
	if abs, err := filepath.Abs(library); err == nil {
		library = abs
	}
	return filepath.Join(cache, short(library))
}

// short is a name for a file that any file system takes.
func short(of string) string {
	sum := sha256.Sum256([]byte(of))
	return hex.EncodeToString(sum[:12])
}

func (c followCache) path(id study.ID) string {
	return filepath.Join(c.dir, short(string(id))+".json")
}

// Following returns what was kept.
func (c followCache) Following(id study.ID) (web.KeptFollowing, bool) {
	body, err := os.ReadFile(c.path(id))
	var k keptFollow
	if err != nil || json.Unmarshal(body, &k) != nil || k.Version != followVersion || k.ID != id || k.Following == nil {
		return web.KeptFollowing{}, false
	}
	return k.KeptFollowing, true
}

// Keep writes a following down.
func (c followCache) Keep(id study.ID, f web.KeptFollowing) {
	if body, err := json.Marshal(keptFollow{followVersion, id, f}); err == nil {
		keepFile(c.path(id), body)
	}
}

// Drop removes what was kept of a touch that is gone.
func (c followCache) Drop(id study.ID) { os.Remove(c.path(id)) }

// keepFile writes a file of a cache as a whole or not at all.
func keepFile(path string, body []byte) {
	dir := filepath.Dir(path)
	if os.MkdirAll(dir, 0o700) != nil {
		return
	}
	f, err := os.CreateTemp(dir, "half-")
	if err != nil {
		return
	}
	defer os.Remove(f.Name()) // gone already where all went well
	_, err = f.Write(body)
	if f.Close() != nil || err != nil {
		return
	}
	os.Rename(f.Name(), path)
}

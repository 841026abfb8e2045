package main

import (
	"context"
	"errors"
	"io/fs"
	"strings"
	"syscall"

	"mesure/bundle"
	"mesure/demo"
	"mesure/show/clip"
	"mesure/store/sqlite"
	"mesure/study"
	"mesure/video"
	"mesure/web"
	"mesure/web/ui"
)

// deskOf is the desk on a library: what web needs of the other rooms.
func deskOf(lib study.Library, e video.Engine, folder string) web.Config {
	c := web.Config{
		Shelf:   shelfOf(lib),
		Reel:    reel{e},
		Explain: faultOf,
		Folder:  folder,
		Program: "mesure " + version(),
		Follow: func(ctx context.Context, t *study.Touch, known study.Footage, o study.FollowOptions) (*study.Following, error) {
			return study.Follow(ctx, t, indexedReel{known, e}, o)
		},
		Demo: func(ctx context.Context, progress func(share float64)) (study.ID, error) {
			cache, err := demoCache()
			if err != nil {
				return "", err
			}
			made, err := demo.Render(ctx, cache, demo.Options{Engine: e}, progress)
			if err != nil {
				return "", err
			}
			return demo.Shelve(ctx, shelfOf(lib), cache, made)
		},
	}
	c.StudioOf = func(ctx context.Context, told *study.Reading, others map[string]*study.Reading) (clip.Studio, error) {
		return newStudio(e, video.FormatProRes, told, others, func(_ string, v study.Video) (string, error) {
			return lib.MediaPath(context.WithoutCancel(ctx), v.SHA256)
		}), nil
	}
	c.Pieces = piecesFolder(e)
	if dir, err := cacheFolder("made"); err == nil {
		c.Made = ofLibrary(dir, folder)
	}
	if dir, err := cacheFolder("index"); err == nil {
		c.Index = clipCache{dir}
	}
	if dir, err := cacheFolder("following"); err == nil {
		c.Followings = followCacheOf(dir, folder)
	}
	if files, built := ui.Files(); built {
		c.Desk = files
	}
	return c
}

// faultOf says what an error of the rooms that web does not know means at the desk.
func faultOf(err error) (web.Fault, bool) {
	var file *bundle.Error
	var v *video.Error
	switch {
	case isAny(err, syscall.ENOSPC, syscall.EDQUOT, sqlite.ErrNoSpace, video.ErrDiskFull):
		return web.Fault{Kind: web.FaultSpace}, true
	case isAny(err, sqlite.ErrReadOnly, video.ErrReadOnly, syscall.EROFS), errors.Is(err, fs.ErrPermission) && !isVideo(err):
		return web.Fault{Kind: web.FaultReadOnly}, true
	case errors.Is(err, sqlite.ErrDamaged):
		return web.Fault{Kind: web.FaultDamaged}, true
	case errors.As(err, &file):
		f := web.Fault{Kind: web.FaultRefused}
		for _, p := range file.Problems {
			f.Problems = append(f.Problems, web.Problem{Pointer: p.Pointer, Text: p.Text})
		}
		return f, true
	case errors.As(err, &v):
		return web.Fault{Kind: web.FaultVideo, What: strings.TrimSuffix(v.What, "."), Mend: v.Mend}, true
	}
	return web.Fault{}, false
}

package main

import (
	"context"
	"image"
	"image/color"
	"image/draw"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"time"

	"github.com/rogpeppe/go-internal/testscript"

	"mesure/video"
)

// A numbered clip has on each frame its number as five blocks, black or white, the lowest
// bit first, and the same inverted below, so that a misread block shows. They stand clear
// of fencers, names and captions, and survive the encoder and a cut to a square.
const (
	burntBits  = 5
	burntBlock = 40
	burntLeft  = (clipWidth - burntBits*burntBlock) / 2
	burntTop   = 180
)

// numberedClip writes a clip like clip.mp4, but with numbered frames and a tone.
func numberedClip(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) != 1 {
		ts.Fatalf("usage: numbered FILE")
	}
	e, err := video.Native()
	ts.Check(err)
	silent := ts.MkAbs("silent.mp4")
	w, err := e.Create(context.Background(), silent, video.Spec{Width: clipWidth, Height: clipHeight, Rate: clipRate})
	ts.Check(err)
	picture := image.NewRGBA(image.Rect(0, 0, clipWidth, clipHeight))
	draw.Draw(picture, picture.Rect, image.NewUniform(color.Gray{110}), image.Point{}, draw.Src)
	for n := range clipFrames {
		for bit := range burntBits {
			for row := range 2 {
				shade := color.Gray{16}
				if n>>bit&1 != row {
					shade.Y = 235
				}
				at := image.Pt(burntLeft+bit*burntBlock, burntTop+row*burntBlock)
				draw.Draw(picture, image.Rectangle{at, at.Add(image.Pt(burntBlock, burntBlock))}, image.NewUniform(shade), image.Point{}, draw.Src)
			}
		}
		ts.Check(w.RGBA(picture))
	}
	ts.Check(w.Close())
	ts.Check(ts.Exec("ffmpeg", "-nostdin", "-v", "error", "-y", "-i", silent, "-f", "lavfi", "-i", "sine=440:sample_rate=48000", "-t", "0.24", "-c:v", "copy", "-c:a", "aac", ts.MkAbs(args[0])))
}

// burnt reads the numbers back from the pixels of a clip, which another program decodes:
// as large as the footage of the clip, whatever its shape. N*K stands for K times N.
func burnt(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) < 2 {
		ts.Fatalf("usage: burnt FILE NUMBER...")
	}
	var want []string
	for _, a := range args[1:] {
		number, times, many := strings.Cut(a, "*")
		k := 1
		if many {
			var err error
			k, err = strconv.Atoi(times)
			ts.Check(err)
		}
		for range k {
			want = append(want, number)
		}
	}
	raw, err := exec.Command("ffmpeg", "-nostdin", "-v", "error", "-i", ts.MkAbs(args[0]), "-vf", "crop=iw:2*"+strconv.Itoa(burntBlock)+":0:"+strconv.Itoa(burntTop)+":exact=1,crop="+
		strconv.Itoa(burntBits*burntBlock)+":ih", "-pix_fmt", "gray", "-f", "rawvideo", "-").Output()
	ts.Check(err)
	var got []string
	for size := burntBits * burntBlock * 2 * burntBlock; len(raw) >= size; raw = raw[size:] {
		got = append(got, numberIn(raw[:size]))
	}
	if g, w := strings.Join(got, " "), strings.Join(want, " "); g != w {
		ts.Fatalf("the pixels of %s say %s\nwant %s", args[0], g, w)
	}
}

// numberIn reads one frame's blocks; "?" where a block and its inverse disagree.
func numberIn(grey []byte) string {
	n := 0
	for bit := range burntBits {
		bright := func(row int) bool {
			return grey[(row*burntBlock+burntBlock/2)*burntBits*burntBlock+bit*burntBlock+burntBlock/2] > 128
		}
		if bright(0) == bright(1) {
			return "?"
		}
		if bright(0) {
			n |= 1 << bit
		}
	}
	return strconv.Itoa(n)
}

// appears waits for a file.
func appears(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) != 1 {
		ts.Fatalf("usage: appears PATTERN")
	}
	for end := time.Now().Add(2 * time.Minute); ; time.Sleep(2 * time.Millisecond) {
		if all, err := filepath.Glob(ts.MkAbs(args[0])); err != nil || len(all) > 0 {
			ts.Check(err)
			return
		}
		if time.Now().After(end) {
			ts.Fatalf("no %s within two minutes", args[0])
		}
	}
}

// countFiles counts files.
func countFiles(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) != 2 {
		ts.Fatalf("usage: count PATTERN NUMBER")
	}
	all, err := filepath.Glob(ts.MkAbs(args[0]))
	ts.Check(err)
	if strconv.Itoa(len(all)) != args[1] {
		ts.Fatalf("%d files %s, want %s: %s", len(all), args[0], args[1], strings.Join(all, ", "))
	}
}

// agedBy is how far age sets files back.
const agedBy = time.Hour

// age makes files an hour older, so that aged can tell those that were written anew.
func age(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) != 1 {
		ts.Fatalf("usage: age PATTERN")
	}
	all, err := filepath.Glob(ts.MkAbs(args[0]))
	ts.Check(err)
	if len(all) == 0 {
		ts.Fatalf("there is no %s", args[0])
	}
	then := time.Now().Add(-agedBy)
	for _, path := range all {
		ts.Check(os.Chtimes(path, then, then))
	}
	ts.Check(os.WriteFile(ts.MkAbs(".aged"), []byte(strings.Join(all, "\n")), 0o600))
}

// aged wants every file that age made older to be there as it was.
func aged(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) != 0 {
		ts.Fatalf("usage: aged")
	}
	for _, path := range strings.Split(ts.ReadFile(".aged"), "\n") {
		info, err := os.Stat(path)
		ts.Check(err)
		if time.Since(info.ModTime()) < agedBy/2 {
			ts.Fatalf("%s was written anew", path)
		}
	}
}

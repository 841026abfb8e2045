package video

import (
	"context"
	"fmt"
	"io"
	"runtime"
	"strconv"
	"strings"
	"sync"
)

// piece is what Join must know of a clip.
type piece struct {
	frames int
	// what must be the same in all pieces.
	codec, size, pixels, rate, head string
}

// fit counts the frames of every piece and refuses pieces that are not of one kind.
func (e *engine) fit(ctx context.Context, pieces []string, s Spec) ([]int, error) {
	found := make([]piece, len(pieces))
	errs := make([]error, len(pieces))
	var work sync.WaitGroup
	next := make(chan int)
	for range min(len(pieces), runtime.NumCPU()) {
		work.Go(func() {
			for i := range next {
				found[i], errs[i] = e.pieceOf(ctx, pieces[i])
			}
		})
	}
	for i := range pieces {
		next <- i
	}
	close(next)
	work.Wait()
	counts := make([]int, len(pieces))
	for i, p := range found {
		if errs[i] != nil {
			return nil, errs[i]
		}
		if what := p.unlike(s, found[0]); what != "" {
			return nil, ErrNotWritten.with("the piece "+what, "render the pieces again in one form").on(pieces[i], nil)
		}
		counts[i] = p.frames
	}
	return counts, nil
}

// unlike says in what a piece is not of this spec or not like the first piece; "" where it
// fits.
func (p piece) unlike(s Spec, first piece) string {
	codec := map[Format]string{FormatMP4: "h264", FormatProRes: "prores"}[s.Format]
	if codec == "" {
		codec = "vp9"
	}
	size := fmt.Sprintf("%dx%d", s.Width, s.Height)
	switch {
	case p.frames == 0:
		return "has no frames"
	case p.codec != codec:
		return "is not " + s.Format.String() + " but " + strconv.Quote(p.codec)
	case p.size != size:
		return "has " + p.size + " pixels, not " + size
	case p.rate != "" && first.rate != "" && p.rate != first.rate:
		return "has " + p.rate + " frames a second, the first one " + first.rate
	case p.pixels != first.pixels || p.head != first.head:
		return "was encoded in another way than the first one"
	}
	return ""
}

// pieceOf examines one clip.
func (e *engine) pieceOf(ctx context.Context, path string) (piece, error) {
	if _, err := look(path); err != nil {
		return piece{}, err
	}
	args := append([]string{"-hide_banner", "-loglevel", "level+error"}, guarded()...)
	args = append(args, "-select_streams", picture, "-count_packets", "-show_data_hash", "md5",
		"-show_entries", "stream=codec_name,width,height,pix_fmt,avg_frame_rate,nb_read_packets,extradata_hash:stream_tags=alpha_mode",
		"-of", "compact", inputHere)
	p, err := e.start(ctx, job{tool: ffprobeTool, args: args, input: path})
	if err != nil {
		return piece{}, err
	}
	out, readErr := io.ReadAll(io.LimitReader(p.out, 1<<20))
	_, _ = io.Copy(io.Discard, p.out)
	ended := p.wait()
	switch said := p.log.complaints(); {
	case ctx.Err() != nil:
		return piece{}, ctx.Err()
	case failed(ended) || readErr != nil:
		return piece{}, ErrEngine.on(path, lastError(said, ended))
	case ended != nil || cutOff(said):
		return piece{}, judge(path, said, ended)
	}
	return readPiece(string(out)), nil
}

// readPiece reads the compact output of ffprobe.
func readPiece(out string) piece {
	for _, line := range strings.Split(out, "\n") {
		rest, ok := strings.CutPrefix(strings.TrimRight(line, "\r"), "stream|")
		if !ok {
			continue
		}
		f := fieldsOf(rest)
		n, err := strconv.Atoi(f["nb_read_packets"])
		if err != nil || n < 0 {
			n = 0
		}
		return piece{frames: n, codec: f["codec_name"], size: f["width"] + "x" + f["height"],
			pixels: f["pix_fmt"] + f["tag:alpha_mode"], rate: f["avg_frame_rate"], head: f["extradata_hash"]}
	}
	return piece{}
}

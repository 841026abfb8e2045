package video

import (
	"bufio"
	"context"
	"fmt"
	"strings"
)

// Health is what a doctor finds out about an engine.
type Health struct {
	Engine string `json:"engine"`
	// Version of FFmpeg and where it is.
	Version string `json:"version"`
	Where   string `json:"where"`
	// Can lists what Mesure may ask for, in a fixed order.
	Can []Ability `json:"can"`
}

// Ability is one codec that the engine may have.
type Ability struct {
	// Codec by FFmpeg's name; Write is true for encoding, false for decoding.
	Codec string `json:"codec"`
	Write bool   `json:"write"`
	Has   bool   `json:"has"`
	// Needed is true where Mesure does not work without it.
	Needed bool `json:"needed"`
}

// Missing returns the abilities that are needed and not there.
func (h Health) Missing() []Ability {
	var m []Ability
	for _, a := range h.Can {
		if a.Needed && !a.Has {
			m = append(m, a)
		}
	}
	return m
}

// wanted lists the codecs to look for.
func wanted() []Ability {
	return []Ability{
		{Codec: "h264", Needed: true}, {Codec: "hevc"}, {Codec: "vp8"}, {Codec: "vp9"}, {Codec: "av1"},
		{Codec: "mpeg2video"}, {Codec: "mpeg4"}, {Codec: "mjpeg"}, {Codec: "prores"}, {Codec: "dvvideo"},
		{Codec: "h264", Write: true, Needed: true}, {Codec: "vp9", Write: true},
		{Codec: "prores", Write: true}, {Codec: "mjpeg", Write: true},
	}
}

// Doctor asks the engine for its version and its codecs. Errors: ErrNoEngine,
// ErrEngine.
func (e *engine) Doctor(ctx context.Context) (Health, error) {
	h := Health{Engine: e.Name(), Where: e.machine.where(), Can: wanted()}
	p, err := e.start(ctx, job{tool: ffmpegTool, args: []string{"-loglevel", "level+error", "-version"}})
	if err != nil {
		return h, err
	}
	in := bufio.NewScanner(p.out)
	for in.Scan() {
		if rest, ok := strings.CutPrefix(in.Text(), "ffmpeg version "); ok && h.Version == "" {
			h.Version, _, _ = strings.Cut(rest, " ")
		}
	}
	if err := p.ended(ctx); err != nil {
		return h, err
	}
	if h.Version == "" {
		return h, ErrEngine.on(h.Where, fmt.Errorf("it does not tell its version"))
	}
	if p, err = e.start(ctx, job{tool: ffmpegTool, args: []string{"-hide_banner", "-loglevel", "level+error", "-codecs"}}); err != nil {
		return h, err
	}
	in = bufio.NewScanner(p.out)
	for in.Scan() {
		// " DEV.LS h264   H.264 ...": D decodes, E encodes, V is video.
		f := strings.Fields(in.Text())
		if len(f) < 2 || len(f[0]) != 6 || f[0][2] != 'V' {
			continue
		}
		for i, a := range h.Can {
			if a.Codec == f[1] {
				h.Can[i].Has = a.Write && f[0][1] == 'E' || !a.Write && f[0][0] == 'D'
			}
		}
	}
	return h, p.ended(ctx)
}

// ended waits for a run whose output was read and turns its end into an error.
func (p *process) ended(ctx context.Context) error {
	err := p.wait()
	if ctx.Err() != nil {
		return ctx.Err()
	}
	if err != nil {
		return ErrEngine.on("", lastError(p.log.complaints(), err))
	}
	return nil
}

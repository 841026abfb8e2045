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

// Ability is one thing that the engine may be able to do: a codec to read or to write.
type Ability struct {
	// Codec by FFmpeg's name, or "vp9 with alpha", "prores 4444"; Write is true for
	// encoding, false for decoding.
	Codec string `json:"codec"`
	Write bool   `json:"write"`
	Has   bool   `json:"has"`
	// Needed is true where Mesure does not work without it.
	Needed bool `json:"needed"`
	// Sound is true for a codec of sound.
	Sound bool `json:"sound,omitempty"`
	// Lost says in words what is lost without it.
	Lost string `json:"lost,omitempty"`

	// encoder is that which has to be there, where any is not enough.
	encoder string
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

// wanted lists what to look for.
func wanted() []Ability {
	list := []Ability{
		{Codec: "h264", Needed: true}, {Codec: "hevc"}, {Codec: "vp8"}, {Codec: "vp9"}, {Codec: "av1"},
		{Codec: "mpeg2video"}, {Codec: "mpeg4"}, {Codec: "mjpeg"}, {Codec: "prores"}, {Codec: "dvvideo"},
	}
	for i := range list {
		list[i].Lost = "such videos cannot be opened"
	}
	for _, sound := range []string{"aac", "opus", "mp3", "pcm_s16le"} {
		list = append(list, Ability{Codec: sound, Sound: true, Lost: "clips have no sound from such videos"})
	}
	return append(list,
		Ability{Codec: "h264", Write: true, Needed: true, encoder: "libx264", Lost: "there are no clips in MP4"},
		Ability{Codec: "vp9", Write: true, encoder: "libvpx-vp9", Lost: "there are no clips in WebM"},
		Ability{Codec: "vp9 with alpha", Write: true, encoder: "libvpx-vp9", Lost: "overlays with transparency come as ProRes or PNG only"},
		Ability{Codec: "prores 4444", Write: true, encoder: "prores_ks", Lost: "overlays with transparency come as WebM or PNG only"},
		Ability{Codec: "mjpeg", Write: true, encoder: "mjpeg", Lost: "frames cannot be kept as JPEG"},
		Ability{Codec: "aac", Write: true, Sound: true, encoder: "aac", Lost: "clips in MP4 are silent"},
		Ability{Codec: "opus", Write: true, Sound: true, encoder: "libopus", Lost: "clips in WebM are silent"},
	)
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
	codecs, err := e.listed(ctx, "-codecs")
	if err != nil {
		return h, err
	}
	encoders, err := e.listed(ctx, "-encoders")
	if err != nil {
		return h, err
	}
	for i, a := range h.Can {
		if a.Write {
			_, h.Can[i].Has = encoders[a.encoder]
		} else {
			h.Can[i].Has = strings.HasPrefix(codecs[a.Codec], "D") // " DEV.LS h264   H.264 ...": D decodes
		}
	}
	return h, nil
}

// listed asks the tool for one of its lists: flags by name.
func (e *engine) listed(ctx context.Context, what string) (map[string]string, error) {
	p, err := e.start(ctx, job{tool: ffmpegTool, args: []string{"-hide_banner", "-loglevel", "level+error", what}})
	if err != nil {
		return nil, err
	}
	list := map[string]string{}
	in := bufio.NewScanner(p.out)
	for in.Scan() {
		if f := strings.Fields(in.Text()); len(f) >= 2 && len(f[0]) == 6 {
			list[f[1]] = f[0]
		}
	}
	return list, p.ended(ctx)
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

package study

import (
	"cmp"
	"context"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"image"
	"slices"

	"mesure/measure/track"
	"mesure/quantity"
	"mesure/sport/mark"
)

// FollowVersion names the rules of following: a following of other rules is not used.
const FollowVersion = "1"

// keyOf is the SHA-256 of what something follows from, in hexadecimal.
func keyOf(parts ...any) string {
	body, err := json.Marshal(parts)
	if err != nil { // a NaN: no reader lets one through, and a key that fits nothing is safe
		return "?"
	}
	sum := sha256.Sum256(body)
	return hex.EncodeToString(sum[:])
}

// pictureKey names the pictures of a take.
func pictureKey(k mark.Take, v Video, clip mark.Clip) []any {
	content := v.SHA256
	if content == "" {
		content = v.File
	}
	return []any{FollowVersion, content, v.Fields, clip.Width, clip.Height, len(clip.Times), k.From, k.To}
}

// linkKey names what the camera of a take is followed from: the pictures, and roughly
// where the fencers are.
func linkKey(t *Touch, k mark.Take, v Video, clip mark.Clip) string {
	return keyOf(pictureKey(k, v, clip), boxesOf(t, k, clip))
}

// fencerBoxes are the parts of the picture where fencers were marked, frame by frame.
type fencerBoxes []fencerBox

type fencerBox struct {
	Frame mark.Frame
	Box   image.Rectangle
}

// Limits of fencerBoxes.
const (
	// leastForBox is how many marks of one fencer show how large they are.
	leastForBox = 5
	// boxMargin beyond the marks, as a share of the height, for limbs and blades.
	boxMargin = 0.2
	// boxStep rounds the boxes outward, so that a mark that is mended by a little
	// leaves them as they are.
	boxStep = 32
)

// boxesOf returns the boxes in order of frames.
func boxesOf(t *Touch, k mark.Take, clip mark.Clip) fencerBoxes {
	type key struct {
		f mark.Frame
		s mark.Side
	}
	marks := map[key][]mark.Pixel{}
	for _, m := range t.Marks {
		if m.Take == k.ID && m.What != mark.Point {
			marks[key{m.Frame, m.Who}] = append(marks[key{m.Frame, m.Who}], m.At)
		}
	}
	var out fencerBoxes
	for at, ps := range marks {
		if len(ps) < leastForBox {
			continue
		}
		lo, hi := ps[0], ps[0]
		for _, p := range ps {
			lo = mark.Pixel{U: min(lo.U, p.U), V: min(lo.V, p.V)}
			hi = mark.Pixel{U: max(hi.U, p.U), V: max(hi.V, p.V)}
		}
		edge := boxMargin * (hi.V - lo.V)
		down := func(x float64) int { return int(x) / boxStep * boxStep }
		up := func(x float64) int { return (int(x)/boxStep + 1) * boxStep }
		box := image.Rect(down(lo.U-edge), down(lo.V-edge), up(hi.U+edge), up(hi.V+edge))
		out = append(out, fencerBox{at.f, box.Intersect(image.Rect(0, 0, clip.Width, clip.Height))})
	}
	slices.SortFunc(out, func(a, b fencerBox) int {
		return cmp.Or(cmp.Compare(a.Frame, b.Frame), cmp.Compare(a.Box.Min.X, b.Box.Min.X), cmp.Compare(a.Box.Max.X, b.Box.Max.X))
	})
	return out
}

// at returns the boxes of the marked frames on both sides of a frame.
func (b fencerBoxes) at(f mark.Frame) []image.Rectangle {
	var before, after []image.Rectangle
	var last, next mark.Frame
	for _, x := range b {
		switch {
		case x.Frame <= f:
			if len(before) == 0 || x.Frame != last {
				before, last = nil, x.Frame
			}
			before = append(before, x.Box)
		case len(after) == 0 || x.Frame == next:
			after, next = append(after, x.Box), x.Frame
		}
	}
	return append(before, after...)
}

// wantedBridge is a bridge that a touch asks for.
type wantedBridge struct {
	Bridge
	a      track.Anchor
	b      *track.Anchor // nil where no mark stands at the other end
	until  mark.Frame    // the far end then
	hidden []mark.Hidden
}

// wantedBridges lists the bridges of a take in order of fencer, point and time: between
// any two marks that follow each other, and on from the first and the last.
func wantedBridges(t *Touch, k mark.Take, key string, last mark.Frame) []wantedBridge {
	var out []wantedBridge
	keys := map[mark.Side][]string{} // those of the guard, on which the blade's rest
	for _, s := range mark.Sides {
		whats := marked(t, k.ID, s)
		// The point comes last: its bridges rest on those of the guard.
		if i := slices.Index(whats, mark.Point); i >= 0 {
			whats = append(slices.Delete(whats, i, i+1), mark.Point)
		}
		for _, w := range whats {
			hidden := hiddenOf(t, k.ID, s, w)
			base := []any{key, s, w, hidden, k.Slow()}
			if w == mark.Point {
				base = append(base, keys[s])
			}
			anchors := anchorsOf(t, k.ID, s, w, last)
			add := func(a track.Anchor, b *track.Anchor, until mark.Frame) {
				x := wantedBridge{a: a, b: b, until: until, hidden: hidden}
				x.Who, x.What, x.From, x.To = s, w, a.Frame, until
				x.Key = keyOf(base, a, b, until)
				if w == mark.Guard {
					keys[s] = append(keys[s], x.Key)
				}
				out = append(out, x)
			}
			if len(anchors) == 0 {
				continue
			}
			if first := anchors[0]; first.Frame > k.From {
				if until := untilHidden(hidden, first.Frame, max(k.From, first.Frame-onwardMost)); until < first.Frame {
					add(first, nil, until)
				}
			}
			for i := 1; i < len(anchors); i++ {
				a, b := anchors[i-1], anchors[i]
				if forth, back := untilHidden(hidden, a.Frame, b.Frame), untilHidden(hidden, b.Frame, a.Frame); forth < b.Frame {
					// Nothing leads through where it is hidden, so nothing checks at the
					// other end: two ways from one mark each.
					if forth > a.Frame {
						add(a, nil, forth)
					}
					if back < b.Frame {
						add(b, nil, back)
					}
				} else if b.Frame > a.Frame+1 {
					add(a, &b, b.Frame)
				}
			}
			if end := anchors[len(anchors)-1]; end.Frame < last {
				if until := untilHidden(hidden, end.Frame, min(last, end.Frame+onwardMost)); until > end.Frame {
					add(end, nil, until)
				}
			}
		}
	}
	return out
}

// marked lists what is marked on a fencer in a take, in the order of mark.Points and
// then by name.
func marked(t *Touch, take string, s mark.Side) []mark.What {
	var all []mark.What
	for _, m := range t.Marks {
		if m.Take == take && m.Who == s && !slices.Contains(all, m.What) {
			all = append(all, m.What)
		}
	}
	slices.SortFunc(all, byPoint)
	return all
}

// byPoint is the order in which points are printed.
func byPoint(a, b mark.What) int {
	order := mark.Points()
	rank := func(w mark.What) int {
		if i := slices.Index(order, w); i >= 0 {
			return i
		}
		return len(order)
	}
	return cmp.Or(cmp.Compare(rank(a), rank(b)), cmp.Compare(a, b))
}

// anchorsOf returns the marks on one point, one a frame (the one set last), up to the
// last frame that is followed.
func anchorsOf(t *Touch, take string, s mark.Side, w mark.What, last mark.Frame) []track.Anchor {
	at := map[mark.Frame]track.Anchor{}
	for _, m := range t.Marks {
		if m.Take == take && m.Who == s && m.What == w && m.Frame <= last {
			at[m.Frame] = track.Anchor{Frame: m.Frame, At: m.At, SD: sdOr(m.SD)}
		}
	}
	out := make([]track.Anchor, 0, len(at))
	for _, a := range at {
		out = append(out, a)
	}
	slices.SortFunc(out, func(a, b track.Anchor) int { return cmp.Compare(a.Frame, b.Frame) })
	return out
}

func hiddenOf(t *Touch, take string, s mark.Side, w mark.What) []mark.Hidden {
	var out []mark.Hidden
	for _, h := range t.Hidden {
		if h.Take == take && h.Who == s && h.What == w {
			out = append(out, h)
		}
	}
	return out
}

// untilHidden is how far a point may be followed from one mark alone: half of the way
// to where it is hidden. Somewhere on that way it went out of sight, beyond the middle
// rather than not, and no mark at the other end would tell; and what comes out again
// need not be the same thing.
func untilHidden(hidden []mark.Hidden, from, until mark.Frame) mark.Frame {
	for _, h := range hidden {
		if until > from && h.To > from {
			until = min(until, max(from, (from+h.From-1)/2))
		}
		if until < from && h.From < from {
			until = max(until, min(from, (from+h.To+2)/2))
		}
	}
	return until
}

// isHidden reports whether a frame lies in one of the stretches.
func isHidden(hidden []mark.Hidden, f mark.Frame) bool {
	return slices.ContainsFunc(hidden, func(h mark.Hidden) bool { return f >= h.From && f <= h.To })
}

// follow fills the bridge's steps.
func (w *wantedBridge) follow(ctx context.Context, f *follower, film track.Film, ground track.Ground, guard track.GuardAt) error {
	hide := func(at mark.Frame) bool { return isHidden(w.hidden, at) }
	var steps []track.BridgeStep
	var err error
	if w.What == mark.Point && !w.held(guard) {
		w.Steps = w.lost() // a blade is looked for from its guard
		return nil
	}
	switch blade := w.What == mark.Point; {
	case blade && w.b != nil:
		steps, err = track.Blade(ctx, film, guard, w.a, *w.b, track.BladeOptions{Ground: ground, Hidden: hide, Slow: f.take.Slow()})
	case blade:
		steps, err = track.BladeOnward(ctx, film, guard, w.a, w.until, track.BladeOptions{Ground: ground, Hidden: hide, Slow: f.take.Slow()})
	case w.b != nil:
		steps, err = track.Bridge(ctx, film, w.a, *w.b, track.BridgeOptions{Ground: ground, Hidden: hide, Slow: f.take.Slow()})
	default:
		steps, err = track.Onward(ctx, film, w.a, w.until, track.BridgeOptions{Ground: ground, Hidden: hide, Slow: f.take.Slow()})
	}
	if err != nil {
		return err
	}
	slices.SortFunc(steps, func(a, b track.BridgeStep) int { return cmp.Compare(a.Frame, b.Frame) })
	w.Steps = w.Steps[:0]
	for _, s := range steps {
		w.Steps = append(w.Steps, BridgeStep{
			Frame: s.Frame, At: mark.Pixel{U: rounded(s.At.U, 1e-3), V: rounded(s.At.V, 1e-3)},
			SD: rounded(float64(s.SD), 1e-3), Sure: rounded(s.Sure, 1e-3), Lost: s.Lost,
		})
	}
	return nil
}

// held reports whether the guard is known where the bridge's marks are.
func (w *wantedBridge) held(guard track.GuardAt) bool {
	if guard == nil {
		return false
	}
	_, here := guard(w.a.Frame)
	if here && w.b != nil {
		_, here = guard(w.b.Frame)
	}
	return here
}

// lost is every frame between two marks, lost; nothing where there is one mark only.
func (w *wantedBridge) lost() []BridgeStep {
	var out []BridgeStep
	for f := w.a.Frame + 1; w.b != nil && f < w.b.Frame; f++ {
		out = append(out, BridgeStep{Frame: f, At: w.a.At, SD: float64(w.a.SD), Lost: true})
	}
	return out
}

// guardsOf says where the guards are on each frame, from marks and from the bridges
// that are there.
func guardsOf(t *Touch, k mark.Take, bridges []wantedBridge) map[mark.Side]track.GuardAt {
	out := map[mark.Side]track.GuardAt{}
	for _, s := range mark.Sides {
		at := map[mark.Frame]track.BridgeStep{}
		for _, b := range bridges {
			if b.Who == s && b.What == mark.Guard {
				for _, p := range b.Steps {
					if !p.Lost {
						at[p.Frame] = track.BridgeStep{Frame: p.Frame, At: p.At, SD: quantity.Pixels(p.SD), Sure: p.Sure}
					}
				}
			}
		}
		for _, a := range anchorsOf(t, k.ID, s, mark.Guard, k.To) {
			at[a.Frame] = track.BridgeStep{Frame: a.Frame, At: a.At, SD: a.SD, Sure: 1}
		}
		if len(at) == 0 {
			continue
		}
		out[s] = func(f mark.Frame) (track.BridgeStep, bool) {
			g, ok := at[f]
			return g, ok
		}
	}
	return out
}

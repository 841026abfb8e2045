package clip

import (
	"fmt"
	"math"
	"sort"

	"mesure/show/plate"
	"mesure/sport/mark"
	"mesure/study"
)

// seen is one take as a shot shows it.
type seen struct {
	r     *study.Reading
	touch string // empty for the one that is told
	take  mark.Take
	clip  mark.Clip
	poses *poses
	from  mark.Frame
	to    mark.Frame
	// file names the video, for the key.
	file study.Video
}

// called tells a take from one beside it: by its name, and by its touch where that is
// another one than the touch that is told.
func (s *seen) called() string {
	switch {
	case s.touch == "":
		return s.take.ID
	case s.r.Touch.Number > 0:
		return fmt.Sprintf("touch %d, %s", s.r.Touch.Number, s.take.ID)
	}
	return "another touch, " + s.take.ID
}

// posAfter is where the take is so many seconds of the bout after a frame, held at the
// ends of what is seen.
func (s *seen) posAfter(f mark.Frame, t float64) float64 {
	when := s.poses.when
	t += when[f-s.take.From]
	i := sort.SearchFloat64s(when, t)
	pos := float64(s.take.From)
	switch {
	case i >= len(when):
		pos += float64(len(when) - 1)
	case i == 0:
	case when[i] > when[i-1]:
		pos += float64(i-1) + (t-when[i-1])/(when[i]-when[i-1])
	default:
		pos += float64(i)
	}
	if near := math.Round(pos); math.Abs(pos-near) < 1e-6 {
		pos = near // a whole frame is shown as it is
	}
	return clampTo(pos, float64(s.from), float64(s.to))
}

// beside finds what plays beside.
func (b *binder) beside(x *bound) bool {
	if x.Other == nil {
		b.trouble(x.ID, TroubleOther, true, "nothing is chosen to play beside", "choose another take or touch")
		return false
	}
	if x.Other.Meets < x.From || x.Other.Meets > x.To {
		b.trouble(x.ID, TroubleFrame, true, fmt.Sprintf("the two meet on frame %d, which the shot does not show", x.Other.Meets),
			fmt.Sprintf("let them meet on a frame from %d to %d", x.From, x.To))
		return false
	}
	r := b.in.Reading
	if x.Other.Touch != "" {
		r = b.in.Others[x.Other.Touch]
	}
	if r == nil || r.Touch == nil {
		b.trouble(x.ID, TroubleOther, true, fmt.Sprintf("the touch %q that plays beside is not there", x.Other.Touch), "choose another touch, or take the shot out")
		return false
	}
	k, ok := r.Touch.Take(x.Other.Take)
	if !ok {
		b.trouble(x.ID, TroubleOther, true, fmt.Sprintf("the take %q that plays beside is not there", x.Other.Take), "choose another take")
		return false
	}
	x.other = b.take(x.ID, x.Other.Touch, x.Other.Take, k.From, k.To)
	if x.other == nil {
		return false
	}
	if x.Other.At < k.From || x.Other.At > k.To {
		b.trouble(x.ID, TroubleFrame, true, fmt.Sprintf("frame %d is not in the take %s that plays beside", x.Other.At, k.ID), fmt.Sprintf("choose one from %d to %d", k.From, k.To))
		return false
	}
	return true
}

// take finds frames of a take; nil where they are not there.
func (b *binder) take(id, touch, name string, from, to mark.Frame) *seen {
	r := b.in.Reading
	if touch != "" {
		r = b.in.Others[touch]
	}
	k, ok := r.Touch.Take(name)
	if !ok {
		b.trouble(id, TroubleTake, true, fmt.Sprintf("there is no take %q", name), "choose another take")
		return nil
	}
	when := timesOf(r, k)
	c := r.Clips[k.Video]
	if when == nil || c.Width < 2 || c.Height < 2 {
		b.trouble(id, TroubleTake, true, fmt.Sprintf("the video of take %s was not read", name), "check that its file is there")
		return nil
	}
	if from > to || from < k.From || to > k.To {
		b.trouble(id, TroubleFrame, true, fmt.Sprintf("frames %d to %d are not in take %s", from, to, name), fmt.Sprintf("choose frames from %d to %d", k.From, k.To))
		return nil
	}
	v, _ := r.Touch.Video(k.Video)
	p := b.poses[[2]string{touch, name}]
	if p == nil {
		p = posesOf(r, k, when)
		b.poses[[2]string{touch, name}] = p
	}
	return &seen{r: r, touch: touch, take: k, clip: c, poses: p, from: from, to: to, file: v}
}

// targets are askedOf, found when they are first asked for.
func (b *bound) targets() [2]mark.Target {
	b.once.Do(func() { b.asked = askedOf(b) })
	return b.asked
}

// calling is what the fencers are called in pictures.
func (b *binder) calling(r *study.Reading) plate.Calling {
	t := r.Touch.Bout
	return plate.Call(plate.Naming(b.in.Script.Names), [2]string{t.Left.Name, t.Right.Name})
}

// askedOf are the targets whose gaps are shown: what the race asks, else of each fencer
// the one that is nearest most often while the shot plays.
func askedOf(x *bound) [2]mark.Target {
	var out [2]mark.Target
	if r := x.main.r.Race; r != nil {
		for _, s := range mark.Sides {
			out[s] = r.Runs[s].Target
		}
	}
	if !x.moving() || out[0] != "" && out[1] != "" {
		return out
	}
	count := map[mark.Side]map[mark.Target]int{0: {}, 1: {}}
	for f := x.main.from; f <= x.main.to; f++ {
		if t := x.main.poses.on(f); t != nil {
			for _, g := range t.Gaps {
				if g.Nearest {
					count[g.Of][g.Target]++
				}
			}
		}
	}
	for _, s := range mark.Sides {
		for _, t := range mark.Targets() {
			if out[s] == "" || count[s][t] > count[s][out[s]] {
				if count[s][t] > 0 {
					out[s] = t
				}
			}
		}
	}
	return out
}

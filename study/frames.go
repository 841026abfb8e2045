package study

import (
	"fmt"

	"mesure/sport/mark"
)

// checkFrames refuses frames that the videos do not have: only the videos know.
func checkFrames(t *Touch, clips map[string]mark.Clip) error {
	lack := func(at string, take mark.Take, f mark.Frame) error {
		if clip := clips[take.Video]; !clip.Has(f) {
			return &Refusal{At: at, What: fmt.Sprintf("frame %d is beyond the end of video %q, which shows frames 0 to %d", f, take.Video, clip.Frames()-1),
				Mend: "number the frames from 0, or name another take"}
		}
		return nil
	}
	for i, k := range t.Takes {
		if _, ok := clips[k.Video]; !ok {
			return &Refusal{At: fmt.Sprintf("/takes/%d/video", i), What: fmt.Sprintf("there is no video %q", k.Video), Mend: "add it to /videos"}
		}
		if err := lack(fmt.Sprintf("/takes/%d/to", i), k, k.To); err != nil {
			return err
		}
		if err := lack(fmt.Sprintf("/takes/%d/from", i), k, k.From); err != nil {
			return err
		}
	}
	if err := checkClocks(t); err != nil {
		return err
	}
	inTake := func(at, take string, f mark.Frame) error {
		k, ok := t.Take(take)
		if !ok {
			return &Refusal{At: at + "/take", What: fmt.Sprintf("there is no take %q", take), Mend: "add it to /takes"}
		}
		return lack(at+"/frame", k, f)
	}
	for i, p := range t.Placings {
		if err := inTake(fmt.Sprintf("/placings/%d", i), p.Take, p.Frame); err != nil {
			return err
		}
	}
	for i, m := range t.Marks {
		if err := inTake(fmt.Sprintf("/marks/%d", i), m.Take, m.Frame); err != nil {
			return err
		}
	}
	for i, h := range t.Hidden {
		at := fmt.Sprintf("/hidden/%d", i)
		if err := inTake(at, h.Take, h.From); err != nil {
			return err
		}
		if err := inTake(at, h.Take, h.To); err != nil {
			return err
		}
	}
	bracket := func(at, take string, after, by mark.Frame) error {
		if err := inTake(at, take, by); err != nil {
			return err
		}
		if after >= by {
			return &Refusal{At: at + "/after_frame", What: fmt.Sprintf("frame %d does not come before frame %d", after, by),
				Mend: "the moment lies after the one frame and no later than the other"}
		}
		return inTake(at, take, after)
	}
	for i, m := range t.Moments {
		at := fmt.Sprintf("/moments/%d", i)
		if err := bracket(at, m.Take, m.After, m.By); err != nil {
			return err
		}
		for j, b := range m.Also {
			if err := bracket(fmt.Sprintf("%s/also/%d", at, j), b.Take, b.After, b.By); err != nil {
				return err
			}
		}
	}
	return nil
}

package handoff

import (
	"fmt"
	"math"

	"mesure/quantity"
)

// A screen is one text that stands for a while, in milliseconds of the clip. One
// without lines only opens a chapter.
type screen struct {
	from, to int64
	lines    []string
	chapter  string
}

// screens lays every cue out in space and in time.
func screens(cues []Cue) ([]screen, error) {
	if err := inOrder(cues); err != nil {
		return nil, err
	}
	// Free time ends where the next words start; a pause may be read into.
	texts := make([][][]string, len(cues))
	for i, c := range cues {
		texts[i] = layOut(c.Text)
	}
	limit := make([]int64, len(cues))
	next := milli(longestClip)
	for i := len(cues) - 1; i >= 0; i-- {
		limit[i] = next
		if len(texts[i]) > 0 {
			next = milli(cues[i].From)
		}
	}
	var all []screen
	for i, c := range cues {
		title := oneLine(c.Chapter)
		if len(texts[i]) == 0 {
			if title != "" {
				all = append(all, screen{chapter: title})
			}
			continue
		}
		from, to := milli(c.From), milli(c.To)
		need := int64(len(texts[i])) * shortest
		if to-from < need {
			to = min(from+need, limit[i])
		}
		if to-from < need {
			return nil, &Error{"cue", i, "", fmt.Sprintf("has words for %d screens and %s to read them; give it %s, or fewer words",
				len(texts[i]), seconds(quantity.Seconds(to-from)/1000), seconds(quantity.Seconds(need)/1000))}
		}
		for n, s := range share(from, to, texts[i]) {
			if n == 0 {
				s.chapter = title
			}
			all = append(all, s)
		}
	}
	return all, nil
}

// The bounds in milliseconds: the shortest is rounded up, so that none is below it.
var shortest, longest = int64(math.Ceil(float64(ShortestScreen) * 1000)), milli(LongestScreen)

// share splits the time among the texts by their letters. Those whose share is below
// the shortest time get that, the others share what is left, until none is below; and so
// for those above the longest time, where the texts together have no more than that: else
// the picture would stand without words in the middle of a sentence.
func share(from, to int64, texts [][]string) []screen {
	letters := make([]float64, len(texts))
	for i, t := range texts {
		for _, l := range t {
			letters[i] += float64(max(1, width(l)))
		}
	}
	times := make([]float64, len(texts)) // of those that are fixed
	left, sum := float64(to-from), 0.0
	for _, n := range letters {
		sum += n
	}
	for changed := true; changed; {
		changed = false
		for i, n := range letters {
			if times[i] == 0 && left*n < float64(shortest)*sum {
				times[i], changed = float64(shortest), true
				left -= float64(shortest)
				sum -= n
			}
		}
	}
	for changed := to-from <= longest*int64(len(texts)); changed; {
		changed = false
		for i, n := range letters {
			if times[i] == 0 && left*n > float64(longest)*sum && sum > n {
				times[i], changed = float64(longest), true
				left -= float64(longest)
				sum -= n
			}
		}
	}
	out := make([]screen, len(texts))
	at := 0.0
	start := from
	for i, n := range letters {
		d := times[i]
		if d == 0 {
			d = left * n / sum
		}
		at += d
		end := from + int64(math.Round(at))
		if i == len(texts)-1 {
			end = to
		}
		out[i] = screen{from: start, to: min(end, start+longest), lines: texts[i]}
		start = end
	}
	return out
}

package report

import (
	"fmt"
	"html/template"
	"strings"

	"mesure/show/plate"
	"mesure/show/summary"
	"mesure/sport/mark"
	"mesure/study"
)

// timingSection is the timing of one instant on the page.
type timingSection struct {
	*summary.Timing
	// Name is the moment or the frame, Where on which frame of which take.
	Name, Where string
	// First is the instant with which the page begins: it has every part.
	First bool
	// The pictures, each of which has its finding as a heading.
	WindowsPic, MapPic, ParryPic, SeenPic, StandPic, StartedPic template.HTML
	// Noted are the notes that are not dismissed.
	Noted []noteLine
	// Unknown says what could not be read, each with what would mend it.
	Unknown []warningLine
}

type noteLine struct {
	summary.Note
	Where string
	// Href leads to the picture of the frame, where the page has it.
	Href string
}

// profileSection is what is known of the two fencers, side by side.
type profileSection struct {
	Lines []profileLine
	Fits  []template.HTML
	Fine  string // where figures come from, in one line
}

type profileLine struct {
	Word, About string
	Left, Right figureCell
}

type figureCell struct{ Value, From, Source, Prior string }

// timingsOf makes the sections of the instants that the plates show, in their order.
func timingsOf(r *study.Reading, plates []Plate) ([]*timingSection, error) {
	var all []*timingSection
	at := map[*study.Timing]*timingSection{}
	told := map[study.At]bool{}
	for _, in := range r.Told() {
		told[study.At{Take: in.Take, Frame: in.Frame}] = true
	}
	for _, p := range plates {
		if p.timing == nil {
			continue
		}
		v := at[p.timing]
		if v == nil {
			v = timingOf(r, p.timing, told)
			v.First = len(all) == 0
			at[p.timing], all = v, append(all, v)
		}
		pic, err := pictures(p)
		if err != nil {
			return nil, err
		}
		switch p.Kind {
		case KindWindows:
			v.WindowsPic = pic
		case KindMap:
			v.MapPic = pic
		case KindParry:
			v.ParryPic = pic
		case KindSeen:
			v.SeenPic = pic
		case KindStand:
			v.StandPic = pic
		case KindStarted:
			v.StartedPic = pic
		}
	}
	// A note that an earlier instant has is not said again.
	said := map[string]bool{}
	for _, v := range all {
		var some []noteLine
		for _, n := range v.Noted {
			if !said[n.ID] {
				said[n.ID], some = true, append(some, n)
			}
		}
		v.Noted = some
	}
	return all, nil
}

func timingOf(r *study.Reading, x *study.Timing, told map[study.At]bool) *timingSection {
	v := &timingSection{Timing: summary.TimingOf(x), Name: fmt.Sprintf("frame %d", x.At.Frame)}
	v.Where = fmt.Sprintf("take %s, frame %d, at %s", x.At.Take, x.At.Frame, plate.Seconds(x.Instant))
	if m, ok := r.Touch.Moment(x.Moment); ok {
		v.Name = "“" + momentName(m) + "”"
	}
	for _, n := range v.Notes {
		if n.Dismissed {
			continue
		}
		line := noteLine{Note: n, Where: fmt.Sprintf("take %s, frame %d", n.Take, n.Frame)}
		if told[study.At{Take: n.Take, Frame: n.Frame}] {
			line.Href = "#" + frameID(n.Take, n.Frame)
		}
		v.Noted = append(v.Noted, line)
	}
	for _, l := range v.Lacks {
		about := lackWords(l)
		v.Unknown = append(v.Unknown, warningLine{capital(about), sentenceOf(l.Why) + " " + sentenceOf(l.Mend)})
	}
	return v
}

// lackWords says which part is missing, and of whom.
func lackWords(l summary.Lack) string {
	part := map[string]string{study.PartCommit: "the feet", study.PartStarted: "who started", study.PartMap: "the distance map", study.PartWhatIf: "what if"}[l.Part]
	if part == "" {
		part = "the " + l.Part
	}
	if l.Who == "both" {
		return part
	}
	return part + ", " + l.Who
}

// sentenceOf ends a text as a sentence; empty stays empty.
func sentenceOf(s string) string {
	if s == "" {
		return ""
	}
	return capital(plate.Typeset(s)) + "."
}

// frameID is the anchor of a measured frame on the page.
func frameID(take string, f mark.Frame) string {
	return Plate{Kind: "frame", Take: take, Frame: f}.Name()
}

// profilesOf sets the two profiles side by side; nil where none was read.
func profilesOf(r *study.Reading, plates []Plate) (*profileSection, error) {
	all := summary.ProfilesOf(r)
	if len(all) == 0 {
		return nil, nil
	}
	v := &profileSection{}
	at := map[string]int{}
	for _, p := range all {
		for _, f := range p.Figures {
			i, seen := at[f.Name]
			if !seen {
				i, at[f.Name] = len(v.Lines), len(v.Lines)
				v.Lines = append(v.Lines, profileLine{Word: capital(f.Word), About: plate.Typeset(f.About)})
			}
			c := figureCell{Value: f.Value.Text, From: f.FromWord, Source: plate.Typeset(f.Source)}
			if f.Prior != nil {
				c.Prior = "before: " + f.Prior.Text
			}
			if p.Who == mark.Left {
				v.Lines[i].Left = c
			} else {
				v.Lines[i].Right = c
			}
		}
	}
	v.Fine = sourcesOf(all)
	for _, p := range plates {
		if p.Kind == KindFit {
			pic, err := pictures(p)
			if err != nil {
				return nil, err
			}
			v.Fits = append(v.Fits, pic)
		}
	}
	return v, nil
}

// sourcesOf lists on what the figures rest, each source once.
func sourcesOf(all []summary.Profile) string {
	var parts []string
	seen := map[string]bool{}
	for _, p := range all {
		for _, f := range p.Figures {
			if s := strings.TrimSuffix(f.Source, "."); s != "" && !seen[s] {
				seen[s], parts = true, append(parts, plate.Typeset(s))
			}
		}
	}
	return plate.Sentences(parts...)
}

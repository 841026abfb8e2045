package tell

import (
	"bytes"
	"encoding/json"
	"fmt"
	"io"
	"reflect"
	"slices"
	"strings"
	"unicode/utf8"

	"mesure/show/clip"
	"mesure/show/script"
)

// Format and Version name the file format, Limit is the greatest size of a file in
// bytes.
const (
	Format  = "mesure-telling"
	Version = 1
	Limit   = 4 << 20
)

// Most of each thing that a telling may have, and how long its texts may be, in letters:
// far more than a class can follow, and little enough for any machine (assumed).
const (
	mostLines   = 500
	mostPieces  = 500
	mostShots   = 500
	mostNames   = 10_000
	longName    = 200
	longText    = 2_000
	lastFrame   = 100_000_000
	longestHold = 600
)

// A take and a shot are called by names such as those of a touch file.
var (
	name  = func() *form { return named(longName) }
	frame = func() *form { return wholeFrom(0, lastFrame) }
)

// fileForm is the law of the format.
var fileForm = object("telling",
	must("format", words(Format), "Always `mesure-telling`."),
	must("version", wholeFrom(Version, Version), "Version of the format."),
	must("script", scriptForm, "What is said."),
	must("board", boardForm, "What is seen."),
	may("lesson", truth(), "True for a sheet with questions, drills and what to watch for."),
	may("paper", words("", "a4", "letter"), "Paper of the sheet; left out: A4."),
)

var scriptForm = object("script",
	must("level", words(string(script.Beginner), string(script.Club), string(script.Competitor)), "Who listens: it changes words and depth, not facts."),
	must("names", words(string(script.Named), string(script.Initials), string(script.Anonymous)), "How fencers are called, in the script and on every picture."),
	must("language", named(longName), "Language of the sentences, such as `en`."),
	may("words_per_minute", number(0, 300), "How fast the coach speaks, from 60 words a minute; 0 or left out: the usual pace of the language."),
	must("inputs", line(longName), "Hash of the reading that the numbers were printed from."),
	may("title", line(longText), "Title of the touch."),
	must("parts", list(16, partForm), "Opening, technique, tactics, timing and take-away; each once."),
	must("offered", list(mostNames, name()), "The lines that were drafted, as part and key: one of them that is not in the parts was left out by the coach."),
	must("sources", list(mostNames, sourceForm), "The numbers that the lines refer to."),
)

var partForm = object("part",
	must("kind", words(script.PartOpening, script.PartTechnique, script.PartTactics, script.PartTiming, script.PartTakeAway), "Which part."),
	must("lines", list(mostLines, lineForm), "What is said, each in one breath."),
)

var lineForm = object("line",
	must("key", line(longName), "What the line is about, once in a part: `race`. A line of the coach's own begins with `own-`."),
	must("claim", line(longName), "What it says of it, such as `likely`; empty for a line of the coach's own."),
	must("pieces", list(mostPieces, pieceForm), "Words and numbers; joined, they read as one line."),
	may("edited", truth(), "True once the coach has changed the words: they then stay."),
)

var pieceForm = object("piece",
	must("text", line(longText), "Plain words, or the number as it was printed."),
	may("ref", line(longName), "The number of the reading that it is bound to; left out: plain words."),
	may("frozen", truth(), "True for a number that stays as printed, whatever is measured later."),
)

var sourceForm = object("source",
	must("ref", name(), "What pieces call it."),
	must("text", line(longText), "The number as printed, with its ± and unit."),
	must("title", line(longText), "What it is."),
	may("how", line(longText), "How it was computed, or where it is from."),
)

var boardForm = object("board",
	must("form", formForm, "How the clip looks and sounds."),
	must("shots", list(mostShots, shotForm), "The shots in their order."),
	may("edited", truth(), "True once the coach has changed the shots: a new draft then leaves them alone."),
)

var formForm = object("form",
	may("shape", words("", string(clip.Wide), string(clip.Upright), string(clip.Square)), "Aspect of the picture; left out: 16:9."),
	may("lines", wholeFrom(0, 1080), "The shorter side in pixels, 720 or 1080; left out: 720."),
	may("rate", wholeFrom(0, 60), "Frames a second: 24, 25, 30, 50 or 60; left out: 30."),
	may("file", words("", "mp4", "webm"), "H.264 in MP4, or VP9 in WebM; left out: MP4."),
	may("sound", words("", "none", "original"), "The sound of the takes where they play at speed, or none; left out: none."),
	may("captions", words("", "burnt", "file"), "Captions in the picture, or in a file beside the clip alone; left out: in the picture."),
)

var shotForm = object("shot",
	must("id", name(), "Name of the shot, once in a board."),
	must("kind", words(clip.Live, clip.Slow, clip.Hold, clip.Build, clip.Beside, clip.Plate), "Live plays at speed, slow slower; a hold and a build stand on a frame, the parts of a build appear one by one; beside plays next to something else; a plate fills the picture."),
	may("title", line(longText), "Opens a chapter."),
	may("take", line(longName), "The take that is seen."),
	may("from", frame(), "First frame seen; a hold has this one alone."),
	may("to", frame(), "Last frame seen."),
	may("speed", number(0, 8), "Share of the true speed: 0.25 plays four times as slow; 0 or left out: 1 live and 0.25 slow."),
	may("lasts_s", number(0, longestHold), "How long a hold, a build or a plate stands, in seconds; 0 or left out: as long as its lines take to say."),
	may("plate", line(longName), "Name of the plate."),
	must("layers", list(64, name()).orNull(), "The parts of the overlay that are seen; null: those that suit the kind, an empty list: none."),
	may("other", otherForm, "What plays beside."),
	may("lines", list(mostLines, name()), "The lines of the script that are said, as part and key."),
)

var otherForm = object("other",
	may("touch", line(longName), "A touch of the same bout; left out: the same touch."),
	must("take", name(), "Its take."),
	must("at", frame(), "The frame that is shown when the shot shows `meets`."),
	must("meets", frame(), "A frame of the shot."),
)

// file is a telling as its file spells it.
type file struct {
	Format  string `json:"format"`
	Version int    `json:"version"`
	Telling
}

// Read reads a telling file and checks that it holds together; name is what messages
// call it. Whether shots and lines fit the touch is said by Bind. Where the file is wrong
// the telling is nil and the error an *Error, or that of the reader.
func Read(r io.Reader, name string) (*Telling, error) {
	data, err := io.ReadAll(io.LimitReader(r, Limit+1))
	if err != nil {
		return nil, fmt.Errorf("%s: it cannot be read: %w", name, err)
	}
	if len(data) > Limit {
		return nil, &Error{name, []Problem{{Text: fmt.Sprintf("the file is larger than %d MiB, the limit of this format", Limit>>20)}}}
	}
	root, err := grow(data, name)
	if err != nil {
		return nil, err
	}
	if err := heading(root, name); err != nil {
		return nil, err
	}
	var p problems
	p.check(root, fileForm)
	if err := p.err(name); err != nil {
		return nil, err
	}
	var f file
	if err := json.Unmarshal(bytes.TrimPrefix(data, []byte("\xef\xbb\xbf")), &f); err != nil {
		return nil, &Error{name, []Problem{{Text: "this is no telling: " + err.Error()}}}
	}
	f.Telling.check(&p)
	if err := p.err(name); err != nil {
		return nil, err
	}
	return &f.Telling, nil
}

// heading checks format and version before anything else, so that a file of a later
// version gets that answer and not one about its new fields.
func heading(root *node, name string) error {
	var p problems
	if root.Kind != isObject {
		p.add("", "the file holds %s; an object in curly brackets belongs here", root.Kind)
		return p.err(name)
	}
	f, v := root.Member("format"), root.Member("version")
	switch {
	case f == nil:
		p.add("", `"format" is missing: this should be a file that begins with "format": %q, "version": %d`, Format, Version)
	case f.Kind != isString || f.Text != Format:
		p.add("/format", "this is a file of another format; %q is needed here", Format)
	case v == nil:
		p.add("", `"version" is missing: write "version": %d`, Version)
	case v.Kind == isNumber && v.Text != "1":
		p.add("/version", "this file is version %s; this program reads %d: update it", quote(v.Text), Version)
	}
	return p.err(name)
}

// check looks at what no single field can show.
func (t *Telling) check(p *problems) {
	kinds := map[string]int{}
	for i, part := range t.Script.Parts {
		at := fmt.Sprintf("/script/parts/%d", i)
		once(p, kinds, at+"/kind", part.Kind, i, "/script/parts/")
		keys := map[string]int{}
		for j, l := range part.Lines {
			if l.Key != "" {
				once(p, keys, fmt.Sprintf("%s/lines/%d/key", at, j), l.Key, j, at+"/lines/")
			}
		}
	}
	shots := map[string]int{}
	for i, s := range t.Board.Shots {
		once(p, shots, fmt.Sprintf("/board/shots/%d/id", i), s.ID, i, "/board/shots/")
	}
	if n := t.Board.Form.Lines; n != 0 && n != 720 && n != 1080 {
		p.add("/board/form/lines", "%d is neither 720 nor 1080", n)
	}
	if n := t.Board.Form.Rate; n != 0 && !slices.Contains(clipRates, n) {
		p.add("/board/form/rate", "%d frames a second are none of 24, 25, 30, 50 and 60", n)
	}
}

var clipRates = []int{24, 25, 30, 50, 60}

func once(p *problems, seen map[string]int, pointer, id string, i int, list string) {
	if first, twice := seen[id]; twice {
		p.add(pointer, "%s is already that of %s%d: give one of the two another name", quote(id), list, first)
		return
	}
	seen[id] = i
}

// Write writes a telling file that Read reads back as an equal telling, but that lists
// which are missing are empty then. Equal tellings give equal bytes. A telling that Read
// would refuse is not written: the error is then the one that Read would give.
func Write(w io.Writer, t *Telling) error {
	const name = "telling"
	if t == nil || t.Script == nil {
		return &Error{name, []Problem{{Text: `"script" is missing: draft it`}}}
	}
	if at := notText(reflect.ValueOf(*t), ""); at != "" {
		return &Error{name, []Problem{{Pointer: at, Text: "this text is not UTF-8, or a number here is not finite: write it again"}}}
	}
	var b bytes.Buffer
	e := json.NewEncoder(&b)
	e.SetEscapeHTML(false)
	e.SetIndent("", "  ")
	if err := e.Encode(file{Format, Version, t.whole()}); err != nil {
		return err
	}
	if _, err := Read(bytes.NewReader(b.Bytes()), name); err != nil {
		return err
	}
	_, err := w.Write(b.Bytes())
	return err
}

// whole is a copy in which no list is missing but the layers of a shot, where that says
// something.
func (t *Telling) whole() Telling {
	c, s := *t, *t.Script
	s.Offered, s.Sources = listed(s.Offered), listed(s.Sources)
	s.Parts = slices.Clone(listed(s.Parts))
	for i := range s.Parts {
		lines := slices.Clone(listed(s.Parts[i].Lines))
		for j := range lines {
			lines[j].Pieces = listed(lines[j].Pieces)
		}
		s.Parts[i].Lines = lines
	}
	c.Script, c.Board.Shots = &s, listed(c.Board.Shots)
	return c
}

func listed[T any](s []T) []T {
	if s == nil {
		return []T{}
	}
	return s
}

// notText returns where a text is not UTF-8 or a number is not finite: JSON has neither.
func notText(v reflect.Value, at string) string {
	switch v.Kind() {
	case reflect.String:
		if !utf8.ValidString(v.String()) {
			return at
		}
	case reflect.Float64:
		if x := v.Float(); x-x != 0 {
			return at
		}
	case reflect.Pointer:
		if !v.IsNil() {
			return notText(v.Elem(), at)
		}
	case reflect.Slice:
		for i := range v.Len() {
			if bad := notText(v.Index(i), fmt.Sprintf("%s/%d", at, i)); bad != "" {
				return bad
			}
		}
	case reflect.Struct:
		for i := range v.NumField() {
			name, _, _ := strings.Cut(v.Type().Field(i).Tag.Get("json"), ",")
			if name != "" {
				name = "/" + name
			}
			if bad := notText(v.Field(i), at+name); bad != "" {
				return bad
			}
		}
	}
	return ""
}

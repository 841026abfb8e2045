package study

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"slices"

	"mesure/sport/bout"
	"mesure/sport/mark"
)

// Shelf keeps bouts and touches in a library. A bout is one document and so is
// each of its touches: a change to a touch is one step of one history, whatever
// part of it was changed. The bout stands in its own document only; a touch that
// is taken from the shelf carries a copy, and what the sheet says of it.
type Shelf struct {
	Library Library
	Papers  Papers
	// Clips describes a video as its file is; nil, and false, where that is not at hand.
	Clips func(ctx context.Context, v Video) (mark.Clip, bool)
}

// BoutOnShelf is a bout with the state of its document.
type BoutOnShelf struct {
	Document Document
	Sheet    *BoutSheet
}

// TouchOnShelf is a touch with the state of its document.
type TouchOnShelf struct {
	Document Document
	Touch    *Touch
}

// Bout takes a bout from the shelf, with the score of every line filled in.
// Errors: ErrNotFound; an error of the papers where the document is damaged.
func (s Shelf) Bout(ctx context.Context, id ID) (BoutOnShelf, error) {
	d, err := s.get(ctx, id, KindBout)
	if err != nil {
		return BoutOnShelf{}, err
	}
	return s.boutOf(d)
}

func (s Shelf) boutOf(d Document) (BoutOnShelf, error) {
	b, err := s.Papers.ReadBout(bytes.NewReader(d.Body), string(d.ID))
	if err != nil {
		return BoutOnShelf{}, err
	}
	b.Bout = b.Bout.Scored()
	return BoutOnShelf{d, b}, nil
}

// AddBout puts a new bout on the shelf; an empty id is filled in.
func (s Shelf) AddBout(ctx context.Context, id ID, gesture string, b *BoutSheet) (BoutOnShelf, error) {
	body, err := s.boutBody(b)
	if err != nil {
		return BoutOnShelf{}, err
	}
	d, err := s.Library.Create(ctx, Document{ID: id, Kind: KindBout, Gesture: gesture, Body: body})
	if err != nil {
		return BoutOnShelf{}, err
	}
	return s.boutOf(d)
}

// SaveBout stores a new state of a bout on top of base. Errors: those of
// Library.Save; those of the papers for a bout that they would not read back.
func (s Shelf) SaveBout(ctx context.Context, id ID, base Revision, gesture string, b *BoutSheet) (BoutOnShelf, error) {
	if _, err := s.get(ctx, id, KindBout); err != nil {
		return BoutOnShelf{}, err
	}
	body, err := s.boutBody(b)
	if err != nil {
		return BoutOnShelf{}, err
	}
	d, err := s.Library.Save(ctx, id, base, gesture, body)
	if err != nil {
		return BoutOnShelf{}, err
	}
	return s.boutOf(d)
}

func (s Shelf) boutBody(b *BoutSheet) (json.RawMessage, error) {
	scored := *b
	scored.Bout = named(b.Bout.Scored())
	var w bytes.Buffer
	err := s.Papers.WriteBout(&w, &scored)
	return w.Bytes(), err
}

// Touch takes a touch from the shelf, with its bout and with what the sheet says
// of it. Errors: as those of Bout.
func (s Shelf) Touch(ctx context.Context, id ID) (TouchOnShelf, error) {
	d, err := s.get(ctx, id, KindTouch)
	if err != nil {
		return TouchOnShelf{}, err
	}
	return s.touchOf(ctx, d)
}

// touchOf reads the touch of a document that is at hand.
func (s Shelf) touchOf(ctx context.Context, d Document) (TouchOnShelf, error) {
	t, err := s.Papers.ReadTouch(bytes.NewReader(d.Body), string(d.ID))
	if err != nil {
		return TouchOnShelf{}, err
	}
	if d.Of == "" {
		return TouchOnShelf{d, t}, nil
	}
	b, err := s.Bout(ctx, d.Of)
	if err != nil {
		return TouchOnShelf{}, err
	}
	t.Follow(b.Sheet)
	return TouchOnShelf{d, t}, nil
}

// Follow copies into a touch what its bout says of it: the bout, the coach's own
// words, and number, score and lamps where the touch names a line of the sheet.
func (t *Touch) Follow(b *BoutSheet) {
	t.Bout, t.Words, t.Invented = b.Bout, b.Words, t.Invented || b.Invented
	i := slices.IndexFunc(b.Bout.Sheet, func(p bout.Phrase) bool { return t.Line != "" && p.ID == t.Line })
	if i < 0 {
		return
	}
	p := b.Bout.Sheet[i]
	lamps := p.Lamps
	t.Number, t.Before, t.Lamps = p.Number, p.Before, &lamps
}

// AddTouch puts a touch on the shelf, under a bout; an empty id is filled in.
func (s Shelf) AddTouch(ctx context.Context, id, of ID, gesture string, t *Touch) (TouchOnShelf, error) {
	body, err := s.touchBody(t)
	if err != nil {
		return TouchOnShelf{}, err
	}
	d, err := s.Library.Create(ctx, Document{ID: id, Kind: KindTouch, Of: of, Gesture: gesture, Body: body})
	if err != nil {
		return TouchOnShelf{}, err
	}
	return s.touchOf(ctx, d)
}

// SaveTouch stores a new state of a touch on top of base. What the touch says of
// its bout is not stored: the bout has its own document. Errors: as those of
// SaveBout.
func (s Shelf) SaveTouch(ctx context.Context, id ID, base Revision, gesture string, t *Touch) (TouchOnShelf, error) {
	if _, err := s.get(ctx, id, KindTouch); err != nil {
		return TouchOnShelf{}, err
	}
	body, err := s.touchBody(t)
	if err != nil {
		return TouchOnShelf{}, err
	}
	d, err := s.Library.Save(ctx, id, base, gesture, body)
	if err != nil {
		return TouchOnShelf{}, err
	}
	return s.touchOf(ctx, d)
}

func (s Shelf) touchBody(t *Touch) (json.RawMessage, error) {
	alone := *t
	alone.Bout = bout.Bout{}
	var w bytes.Buffer
	err := s.Papers.WriteTouch(&w, &alone)
	return w.Bytes(), err
}

// TouchOfLine returns the touch that a line of a bout's sheet is, and makes it
// where there is none yet: one live take over the stretch that the line names.
// Asking twice gives the same touch. clip describes the video of the line.
//
// Errors: ErrNotFound for a bout or line that is not there; *Refusal for a line
// that no video shows.
func (s Shelf) TouchOfLine(ctx context.Context, of ID, line string, clip mark.Clip) (TouchOnShelf, error) {
	b, err := s.Bout(ctx, of)
	if err != nil {
		return TouchOnShelf{}, err
	}
	if t, err := s.touchWith(ctx, of, line); err != nil || t.Touch != nil {
		return t, err
	}
	i := slices.IndexFunc(b.Sheet.Bout.Sheet, func(p bout.Phrase) bool { return p.ID == line })
	if i < 0 {
		return TouchOnShelf{}, fmt.Errorf("%w: the sheet has no line %q", ErrNotFound, line)
	}
	p := b.Sheet.Bout.Sheet[i]
	v := slices.IndexFunc(b.Sheet.Videos, func(v Video) bool { return v.ID == p.Video })
	if v < 0 || clip.Frames() < 2 {
		return TouchOnShelf{}, &Refusal{At: fmt.Sprintf("/bout/sheet/%d/video", i), What: "no video shows this line", Mend: "record the touch at its halt in a video"}
	}
	from, to := stretch(p, clip)
	t := &Touch{
		Title: fmt.Sprintf("Touch %d", p.Number), Line: line, Videos: []Video{b.Sheet.Videos[v]}, Invented: b.Sheet.Invented,
		Takes: []mark.Take{{ID: "live", Video: b.Sheet.Videos[v].ID, From: from, To: to}},
	}
	t.Follow(b.Sheet)
	const gesture = "take the touch apart"
	made, err := s.AddTouch(ctx, ID(fmt.Sprintf("%s-%s", of, line)), of, gesture, t)
	if errors.Is(err, ErrExists) {
		// Another window was quicker, or an older touch has the name.
		if theirs, err := s.touchWith(ctx, of, line); err != nil || theirs.Touch != nil {
			return theirs, err
		}
		made, err = s.AddTouch(ctx, "", of, gesture, t)
	}
	return made, err
}

// touchWith returns the touch of a bout that is this line of the sheet; its Touch
// is nil where there is none. A touch that does not read is passed over.
func (s Shelf) touchWith(ctx context.Context, of ID, line string) (TouchOnShelf, error) {
	touches, err := s.Library.List(ctx, KindTouch, of)
	if err != nil {
		return TouchOnShelf{}, err
	}
	for _, d := range touches {
		t, err := s.Papers.ReadTouch(bytes.NewReader(d.Body), string(d.ID))
		if err == nil && t.Line == line {
			return s.touchOf(ctx, d)
		}
	}
	return TouchOnShelf{}, nil
}

// What is shown around a halt where a line does not say it.
const (
	beforeHalt mark.FileTime = 6
	afterHalt  mark.FileTime = 2
)

// stretch returns the frames that show a line: those that it names, else those
// around its halt, else all.
func stretch(p bout.Phrase, clip mark.Clip) (from, to mark.Frame) {
	if p.To <= p.From && p.Halt > 0 {
		p.From, p.To = p.Halt-beforeHalt, p.Halt+afterHalt
	}
	if from, to = clip.Nearest(p.From), clip.Nearest(p.To); to <= from {
		return 0, mark.Frame(clip.Frames() - 1)
	}
	return from, to
}

// Check looks for damage in the library and reads every bout and touch of it. It
// changes nothing. Errors: those of the library, where the rest cannot be checked.
func (s Shelf) Check(ctx context.Context) ([]Warning, error) {
	all, err := s.Library.Check(ctx)
	if err != nil {
		return nil, err
	}
	for _, kind := range []Kind{KindBout, KindTouch} {
		docs, err := s.Library.List(ctx, kind, "")
		if err != nil {
			return nil, err
		}
		for _, d := range docs {
			if kind == KindBout {
				_, err = s.Papers.ReadBout(bytes.NewReader(d.Body), "the "+string(kind)+" "+string(d.ID))
			} else {
				_, err = s.Papers.ReadTouch(bytes.NewReader(d.Body), "the "+string(kind)+" "+string(d.ID))
			}
			if err != nil {
				all = append(all, Warning{Code: "document-unread", About: string(d.ID), Doubt: 1,
					Text: err.Error() + ". Undo its last change at the desk, or delete it."})
			}
		}
	}
	return all, nil
}

// get returns a document of one kind.
func (s Shelf) get(ctx context.Context, id ID, kind Kind) (Document, error) {
	d, err := s.Library.Get(ctx, id)
	if err == nil && d.Kind != kind {
		err = fmt.Errorf("%w: %q is a %s, not a %s", ErrNotFound, id, d.Kind, kind)
	}
	return d, err
}

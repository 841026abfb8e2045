package clip

import (
	"context"
	"image"

	"mesure/quantity"
	"mesure/show/handoff"
	"mesure/show/report"
	"mesure/show/script"
	"mesure/sport/mark"
	"mesure/study"
)

// Input is everything that a film follows from.
type Input struct {
	// Reading of the touch that is told, with its tracks where it was followed.
	Reading *study.Reading
	// Script has the words, and with its options how fencers are called.
	Script *script.Script
	Board  Board
	Plates []report.Plate
	// Others are the readings of what plays beside, by Other.Touch.
	Others map[string]*study.Reading
	// Program is the version of the program, part of every key.
	Program string
}

// Film is a storyboard bound to its reading: every frame of the clip follows from it.
// Its methods may be called at the same time. Nothing of the input is changed.
type Film struct {
	in       Input
	form     Form
	st       stage
	shots    []*bound
	troubles []Trouble
	// serial composes and hands over in one goroutine, for a test.
	serial bool
}

// Piece is one shot as a stretch of the finished clip.
type Piece struct {
	// Shot is the ID of the shot.
	Shot string `json:"shot"`
	// First is the number of its first frame in the clip, Frames how many it has.
	First  int `json:"first"`
	Frames int `json:"frames"`
	// Key is a hash of everything that its pixels follow from: two pieces of one key are
	// the same pictures.
	Key string `json:"key"`
}

// Make binds a storyboard to its reading. A shot that cannot be shown is left out and
// told by Troubles. The error is a *Trouble where the form is none or the touch is
// missing.
func Make(in Input) (*Film, error) {
	form, err := in.Board.Form.Whole()
	if err != nil {
		return nil, err
	}
	if in.Reading == nil || in.Reading.Touch == nil {
		return nil, &Trouble{Kind: TroubleShot, What: "there is no touch to tell", Mend: "read one first", Out: true}
	}
	if in.Script == nil {
		in.Script = &script.Script{}
	}
	b := newBinder(in, form)
	f := &Film{in: in, form: form, st: b.st, shots: b.all(), troubles: b.troubles}
	f.setKeys()
	return f, nil
}

// Troubles are the shots that were left out or shown in part, and why.
func (f *Film) Troubles() []Trouble { return f.troubles }

// Form is that of the board, with what it left open filled in.
func (f *Film) Form() Form { return f.form }

// Size of the pictures in pixels, both even.
func (f *Film) Size() (w, h int) { return f.form.size() }

// Frames is how many frames the clip has.
func (f *Film) Frames() int {
	if len(f.shots) == 0 {
		return 0
	}
	last := f.shots[len(f.shots)-1]
	return last.first + last.count
}

// Lasts is how long the clip is: Frames over the rate.
func (f *Film) Lasts() quantity.Seconds { return f.at(f.Frames()) }

// at is the instant of a frame of the clip.
func (f *Film) at(frame int) quantity.Seconds {
	return quantity.Seconds(float64(frame) / float64(f.form.Rate))
}

// Pieces are the shots in order; their frames add up to Frames.
func (f *Film) Pieces() []Piece {
	out := make([]Piece, len(f.shots))
	for i, b := range f.shots {
		out[i] = Piece{Shot: b.ID, First: b.first, Frames: b.count, Key: b.key}
	}
	return out
}

// Picture is one frame of the clip, as the clip shows it. It returns the errors of the
// footage, and one for a frame that the clip does not have.
func (f *Film) Picture(ctx context.Context, footage Footage, n int) (*image.RGBA, error) {
	w, _ := f.Size()
	return f.PictureAt(ctx, footage, n, w)
}

// PictureAt is Picture at another width, from 16 pixels to four times that of the clip,
// drawn for it and not scaled.
func (f *Film) PictureAt(ctx context.Context, footage Footage, n, width int) (*image.RGBA, error) {
	b, i, err := f.find(n)
	if err != nil {
		return nil, err
	}
	w, _ := f.Size()
	return newComposer(b, stageOf(f.form, min(max(width, 16), 4*w))).one(ctx, footage, i)
}

// Cues are the lines of the script at their time, with the chapters that they open. A
// chapter without words has a cue without words.
func (f *Film) Cues() []handoff.Cue {
	var out []handoff.Cue
	for _, b := range f.shots {
		at := f.at(b.first)
		title := b.Title
		if title != "" && (len(b.lines) == 0 || b.lines[0].from > 0) {
			to := f.at(b.first + b.count)
			if len(b.lines) > 0 {
				to = at + quantity.Seconds(b.lines[0].from)
			}
			out = append(out, handoff.Cue{From: at, To: to, Chapter: title})
		}
		for _, l := range b.lines {
			out = append(out, handoff.Cue{From: at + quantity.Seconds(l.from), To: at + quantity.Seconds(l.to), Text: l.text})
		}
	}
	return out
}

// Chapters are where a shot with a title begins.
func (f *Film) Chapters() []Chapter {
	var out []Chapter
	for _, b := range f.shots {
		if title := b.Title; title != "" {
			out = append(out, Chapter{At: f.at(b.first), Title: title})
		}
	}
	return out
}

// Sounds are the takes that play at speed, where the form asks for sound.
func (f *Film) Sounds() []Sound {
	if f.form.Sound != "original" {
		return nil
	}
	var out []Sound
	for _, b := range f.shots {
		if b.Kind == Live && b.main.take.Slow() == 1 {
			out = append(out, Sound{Touch: b.main.touch, Take: b.main.take.ID, From: b.From, To: b.To, At: f.at(b.first)})
		}
	}
	return out
}

// Cut is the clip for an editor, with the moments of the touch as markers. Files are
// named as the touch names them; what the takes do not show is a pause. An editor shows
// the last frame of a shot for its whole length, the clip for one frame of its own: holds
// and pauses take the difference up, so that every one of them ends when the clip's does.
func (f *Film) Cut() handoff.Cut {
	cut := handoff.Cut{Name: f.in.Script.Title}
	r := f.in.Reading
	for _, v := range r.Touch.Videos {
		if c, ok := r.Clips[v.ID]; ok && f.shows(v.ID) {
			cut.Media = append(cut.Media, handoff.Media{ID: v.ID, File: v.File, Times: c.Whole().Times})
		}
	}
	var ends []quantity.Seconds // in the clip, of each shot of the cut
	for _, b := range f.shots {
		lasts := f.at(b.count)
		for len(ends) < len(cut.Shots) { // of the shot before: at its end, or where it comes to its hold
			ends = append(ends, f.at(b.first))
		}
		name := b.ID
		if b.Title != "" {
			name = b.Title
		}
		if b.main == nil || b.main.clip.Fields {
			cut.Shots = append(cut.Shots, handoff.Shot{Name: name, Hold: lasts})
			continue
		}
		s := handoff.Shot{Name: name, Media: b.main.take.Video, Take: b.main.take.ID, From: b.From, To: b.To}
		if !b.moving() {
			s.To, s.Hold = b.From, lasts
			s.Markers = f.markers(b, b.From, b.From)
			cut.Shots = append(cut.Shots, s)
			continue
		}
		// The speed of an editor is that of the file.
		s.Speed = quantity.Ratio(float64(b.Speed) * b.factor())
		s.Markers = f.markers(b, b.From, b.To)
		cut.Shots = append(cut.Shots, s)
		if b.count > b.moves {
			ends = append(ends, f.at(b.first+b.moves))
			cut.Shots = append(cut.Shots, handoff.Shot{Name: name + ", held", Media: s.Media, Take: s.Take, From: b.To, To: b.To, Hold: f.at(b.count - b.moves)})
		}
	}
	for len(ends) < len(cut.Shots) {
		ends = append(ends, f.Lasts())
	}
	return cut.Ending(ends)
}

// factor is how many seconds of the file show one of the bout.
func (b *bound) factor() float64 {
	if c, ok := b.main.r.Clock(b.main.take.ID); ok && c.Factor.Mean > 0 {
		return float64(c.Factor.Mean)
	}
	return b.main.take.Slow()
}

// shows says whether a video is seen.
func (f *Film) shows(video string) bool {
	for _, b := range f.shots {
		if b.main != nil && b.main.take.Video == video && !b.main.clip.Fields {
			return true
		}
	}
	return false
}

// markers are the moments of the touch on frames of a shot.
func (f *Film) markers(b *bound, from, to mark.Frame) []handoff.Marker {
	var out []handoff.Marker
	called := script.CalledIn(f.in.Reading, f.in.Script.Names)
	for _, m := range b.main.r.Touch.Moments {
		for _, x := range m.Brackets() {
			if x.Take == b.main.take.ID && x.By >= from && x.By <= to {
				out = append(out, handoff.Marker{Name: called.Hide(m.Name), Frame: x.By})
			}
		}
	}
	return out
}

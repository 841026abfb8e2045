package bundle

import (
	"fmt"
	"io"
	"reflect"

	"mesure/sport/bout"
	"mesure/sport/mark"
	"mesure/study"
)

// Papers writes and reads the files of this package for other rooms.
type Papers struct{}

var _ study.Papers = Papers{}

// ReadTouch is the function of this name.
func (Papers) ReadTouch(r io.Reader, name string) (*study.Touch, error) { return ReadTouch(r, name) }

// WriteTouch is the function of this name.
func (Papers) WriteTouch(w io.Writer, t *study.Touch) error { return WriteTouch(w, t) }

// ReadBout is the function of this name.
func (Papers) ReadBout(r io.Reader, name string) (*study.BoutSheet, error) { return ReadBout(r, name) }

// WriteBout is the function of this name.
func (Papers) WriteBout(w io.Writer, b *study.BoutSheet) error { return WriteBout(w, b) }

// WriteReading is the function of this name.
func (Papers) WriteReading(w io.Writer, r *study.Reading) error { return WriteReading(w, r) }

// ReadBout reads a bout file and checks that it holds together: names are unique
// and refer to something. Numbers and scores of the sheet stay as they are
// written; bout.Bout.Scored works them out.
//
// Where the file is wrong, the bout is nil and the error an *Error, as that of
// ReadTouch.
func ReadBout(r io.Reader, name string) (*study.BoutSheet, error) {
	data, err := slurp(r, name, BoutLimit)
	if err != nil {
		return nil, err
	}
	f, err := decodeBout(data, name)
	if err != nil {
		return nil, err
	}
	b := &study.BoutSheet{Bout: f.Bout.bout(), Invented: f.Invented, Note: f.Note}
	for _, v := range f.Videos {
		b.Videos = append(b.Videos, study.Video(v))
	}
	for _, w := range f.Words {
		b.Words = append(b.Words, bout.OwnWord{Word: w.Word, Line: w.Line, Kind: bout.ActionKind(w.Kind), About: w.About, French: w.French, German: w.German, Italian: w.Italian})
	}
	return b, nil
}

func decodeBout(data []byte, name string) (*boutSheetFile, error) {
	root, err := plant(data, name)
	if err != nil {
		return nil, err
	}
	if err := heading(root, name, BoutFormat, BoutVersion, false); err != nil {
		return nil, err
	}
	var d decoder
	var f boutSheetFile
	d.fill(root, reflect.ValueOf(&f).Elem(), rule{})
	if len(d.List) == 0 {
		checkBout(&f, &d.problems)
	}
	if err := d.err(name); err != nil {
		return nil, err
	}
	return &f, nil
}

// WriteBout writes a bout file that ReadBout reads back as an equal bout. Equal
// bouts give equal bytes. A bout that ReadBout would refuse is not written: the
// error is then the one that ReadBout would give.
func WriteBout(w io.Writer, b *study.BoutSheet) error {
	const name = "the bout"
	f := &boutSheetFile{Format: BoutFormat, Version: BoutVersion, Invented: b.Invented, Bout: boutOf(b.Bout), Note: b.Note}
	for _, v := range b.Videos {
		f.Videos = append(f.Videos, videoFile(v))
	}
	for _, w := range b.Words {
		f.Words = append(f.Words, wordFile{w.Word, w.Line, string(w.Kind), w.About, w.French, w.German, w.Italian})
	}
	if err := spellable(reflect.ValueOf(f), name); err != nil {
		return err
	}
	data, err := layOut(f)
	if err != nil {
		return fmt.Errorf("bundle: a bout does not encode: %w", err)
	}
	if len(data) > BoutLimit {
		return whole(name, "it would make a file larger than %d MiB, which no reader takes: shorten its notes", BoutLimit>>20)
	}
	if _, err := decodeBout(data, name); err != nil {
		return err
	}
	_, err = w.Write(data)
	return err
}

func (f *boutFile) bout() bout.Bout {
	if f == nil {
		return bout.Bout{}
	}
	b := bout.Bout{
		Event: f.Event, Round: f.Round, Date: f.Date, Weapon: bout.Weapon(f.Weapon), Touches: f.Touches,
		LastDoubleCounts: f.LastDoubleCounts, First: f.First,
		Left: f.Left.fencer(), Right: f.Right.fencer(),
	}
	if f.Start != nil {
		s := f.Start.score()
		b.Start = &s
	}
	if f.Team != nil {
		b.Team = &bout.Team{Left: f.Team.Left, Right: f.Team.Right}
	}
	for _, p := range f.Sheet {
		b.Sheet = append(b.Sheet, p.phrase())
	}
	// A sheet that was cut from a longer one begins where its first line says.
	if len(b.Sheet) > 0 && b.First == 0 && b.Start == nil {
		first := b.Sheet[0]
		if first.Number > 1 {
			b.First = first.Number
		}
		if first.Before != (bout.Score{}) {
			b.Start = &first.Before
		}
	}
	return b
}

func (p *phraseFile) phrase() bout.Phrase {
	q := bout.Phrase{
		ID: p.ID, Number: p.Number, Before: p.Before.score(), After: p.After.score(),
		Lamps: bout.Lamps(p.Lamps), Given: bout.Given(p.Given), Annulled: p.Annulled,
		Measure: p.Measure, Period: p.Period, Clock: p.Clock, Video: p.Video,
		Halt: mark.FileTime(p.Halt), From: mark.FileTime(p.From), To: mark.FileTime(p.To), Note: p.Note,
	}
	if p.Choices != nil {
		c := bout.Choices(*p.Choices)
		q.Choices = &c
	}
	for _, c := range p.Cards {
		q.Cards = append(q.Cards, bout.Card{To: sideOf(c.To), Colour: bout.CardColour(c.Colour)})
	}
	return q
}

func (f *scoreFile) score() bout.Score {
	if f == nil {
		return bout.Score{}
	}
	return bout.Score(*f)
}

func (f *fencerFile) fencer() bout.Fencer {
	if f == nil {
		return bout.Fencer{}
	}
	b := bout.Fencer{
		Name: f.Name, Club: f.Club, Hand: bout.Hand(f.Hand), Sex: f.Sex, Level: f.Level, Grip: f.Grip,
		Stature: f.Stature, Reach: f.Reach, Lunge: f.Lunge,
	}
	for _, o := range f.Own {
		b.Own = append(b.Own, bout.Own(o))
	}
	return b
}

// boutOf spells a bout as its file does; nil where there is nothing to say.
func boutOf(b bout.Bout) *boutFile {
	f := boutFile{
		Event: b.Event, Round: b.Round, Date: b.Date, Weapon: string(b.Weapon), Touches: b.Touches,
		LastDoubleCounts: b.LastDoubleCounts, First: b.First,
		Left: fencerOf(b.Left), Right: fencerOf(b.Right),
	}
	if b.Start != nil {
		s := scoreFile(*b.Start)
		f.Start = &s
	}
	if b.Team != nil {
		f.Team = &teamFile{Left: b.Team.Left, Right: b.Team.Right}
	}
	for _, p := range b.Sheet {
		f.Sheet = append(f.Sheet, phraseOf(p))
	}
	if reflect.ValueOf(f).IsZero() {
		return nil
	}
	return &f
}

func phraseOf(p bout.Phrase) phraseFile {
	f := phraseFile{
		ID: p.ID, Number: p.Number, Before: scoreOf(p.Before), After: scoreOf(p.After),
		Lamps: lampsFile(p.Lamps), Given: string(p.Given), Annulled: p.Annulled,
		Measure: p.Measure, Period: p.Period, Clock: p.Clock, Video: p.Video,
		Halt: float64(p.Halt), From: float64(p.From), To: float64(p.To), Note: p.Note,
	}
	if p.Choices != nil {
		c := choicesFile(*p.Choices)
		f.Choices = &c
	}
	for _, c := range p.Cards {
		f.Cards = append(f.Cards, cardFile{To: sideWord(c.To), Colour: string(c.Colour)})
	}
	return f
}

// scoreOf leaves out nil to nil.
func scoreOf(s bout.Score) *scoreFile {
	if s == (bout.Score{}) {
		return nil
	}
	f := scoreFile(s)
	return &f
}

func fencerOf(b bout.Fencer) *fencerFile {
	if b.IsZero() {
		return nil
	}
	f := &fencerFile{
		Name: b.Name, Club: b.Club, Hand: string(b.Hand), Sex: b.Sex, Level: b.Level, Grip: b.Grip,
		Stature: b.Stature, Reach: b.Reach, Lunge: b.Lunge,
	}
	for _, o := range b.Own {
		f.Own = append(f.Own, ownFile(o))
	}
	return f
}

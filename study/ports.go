package study

import (
	"context"
	"encoding/json"
	"errors"
	"image"
	"io"
	"time"

	"mesure/sport/bout"
	"mesure/sport/mark"
)

// Footage reads video files. Package video fulfils it.
type Footage interface {
	// Probe describes the file at this path; progress may be nil and is called
	// with a share between 0 and 1.
	Probe(ctx context.Context, path string, progress func(share float64)) (mark.Clip, error)
	// Still decodes one frame by its number.
	Still(ctx context.Context, path string, clip mark.Clip, f mark.Frame) (image.Image, error)
}

// Reel is footage that also hands out runs of frames, for a desk that steps
// through them. Package video fulfils it.
type Reel interface {
	Footage
	// Run decodes the frames from and to and all between, in order, and calls fn
	// with each; fn may keep the picture. An error of fn ends the work and is
	// returned.
	Run(ctx context.Context, path string, clip mark.Clip, from, to mark.Frame, fn func(f mark.Frame, picture image.Image) error) error
}

// Papers writes bouts, touches and readings as files and reads them back, each
// checked as a whole. Package bundle fulfils it.
type Papers interface {
	// ReadTouch and WriteTouch are the touch file; name is what messages call it.
	ReadTouch(r io.Reader, name string) (*Touch, error)
	WriteTouch(w io.Writer, t *Touch) error
	// ReadBout and WriteBout are the bout file.
	ReadBout(r io.Reader, name string) (*BoutSheet, error)
	WriteBout(w io.Writer, b *BoutSheet) error
	WriteReading(w io.Writer, r *Reading) error
}

// BoutSheet is one bout of the library: what the score sheet says, and the
// videos that show it.
type BoutSheet struct {
	Bout   bout.Bout `json:"bout"`
	Videos []Video   `json:"videos"`
	// Words are the coach's own words for actions.
	Words []bout.OwnWord `json:"words,omitempty"`
	// Invented is true for material that shows no real person, such as the demo.
	Invented bool   `json:"invented,omitempty"`
	Note     string `json:"note,omitempty"`
}

// ID names a document in the library.
type ID string

// Revision counts the saved states of a document, from 1.
type Revision int

// Kind is what a document holds.
type Kind string

// The kinds of documents.
const (
	KindBout  Kind = "bout"
	KindTouch Kind = "touch"
	// KindTelling is how a touch is told, a document of the touch. It is read by package
	// show/tell alone.
	KindTelling Kind = "telling"
)

// Document is one versioned document of the library. Its body is JSON in the
// form that package bundle writes; the library does not look inside.
type Document struct {
	ID   ID
	Kind Kind
	// Of is the document that this one belongs to: a touch to its bout, a telling to
	// its touch; empty for a bout.
	Of ID
	// Revision is the number of the state shown.
	Revision Revision
	// Gesture says what the user did to get here, for the list of what can be
	// undone.
	Gesture string
	Saved   time.Time
	Body    json.RawMessage
	// CanUndo and CanRedo say whether there is an older or an undone state.
	CanUndo, CanRedo bool
}

// Media is one video file in the library, named by its content.
type Media struct {
	// SHA256 of the content in hexadecimal: its name.
	SHA256 string
	// Name is what the user's file was called.
	Name  string
	Bytes int64
	Added time.Time
}

// Library keeps documents and media. Every method that changes something is
// atomic: it is acknowledged (returns nil) only when the change would survive
// the death of the process and of the machine, and a reader sees either the
// state before or the state after. All methods may be called concurrently.
type Library interface {
	// Create stores a new document and returns it with ID, Revision 1 and time.
	// An empty ID is filled in. Errors: ErrExists, ErrNotFound (for Of).
	Create(ctx context.Context, d Document) (Document, error)
	// Get returns the current state. Errors: ErrNotFound.
	Get(ctx context.Context, id ID) (Document, error)
	// List returns the current states of a kind, of one owner where of is not
	// empty, oldest first.
	List(ctx context.Context, kind Kind, of ID) ([]Document, error)
	// Save stores a new state on top of base, which must be the current
	// revision; what had been undone is then gone. Errors: ErrNotFound,
	// ErrConflict (which carries the current state).
	Save(ctx context.Context, id ID, base Revision, gesture string, body json.RawMessage) (Document, error)
	// Undo steps to the state before base, Redo to the one after it, and both
	// return the state now shown. The revision number of a state that is undone
	// and redone stays its own. Errors: ErrNotFound, ErrConflict, ErrNoStep.
	Undo(ctx context.Context, id ID, base Revision) (Document, error)
	Redo(ctx context.Context, id ID, base Revision) (Document, error)
	// History returns every kept state, oldest first.
	History(ctx context.Context, id ID) ([]Document, error)
	// Delete removes a document and all that belongs to it. Errors: ErrNotFound,
	// ErrConflict.
	Delete(ctx context.Context, id ID, base Revision) error

	// Acts returns the choices that a query wants, as the Indexer of the library finds
	// them in the states now shown: the oldest first, by day (none is the oldest), then
	// in the order in which the bouts were created, then as the Indexer has them. A
	// query without a fencer wants none.
	Acts(ctx context.Context, q ActQuery) ([]Act, error)

	// AddMedia copies a file in and names it by its content; adding the same
	// content twice keeps one copy and the first name. Errors: those of the
	// reader; nothing is left behind then.
	AddMedia(ctx context.Context, name string, r io.Reader) (Media, error)
	// ListMedia returns all media, oldest first.
	ListMedia(ctx context.Context) ([]Media, error)
	// MediaPath returns a path at which the content can be read. Errors:
	// ErrNotFound.
	MediaPath(ctx context.Context, sha256 string) (string, error)

	// RemoveMedia removes a video; the documents that name it keep the name. Errors:
	// ErrNotFound.
	RemoveMedia(ctx context.Context, sha256 string) error

	// Check looks for damage: content that does not match its name, documents
	// that belong to nothing, files that nothing names. It changes nothing.
	Check(ctx context.Context) ([]Warning, error)
	// Close releases the lock.
	Close() error
}

// Errors of a Library. They are matched with errors.Is.
var (
	ErrNotFound = errors.New("there is no such document")
	ErrExists   = errors.New("there is already a document of this name")
	ErrConflict = errors.New("the document was changed elsewhere since it was read")
	ErrNoStep   = errors.New("there is no further state in this direction")
	// ErrLocked is returned by opening a library that another process holds.
	ErrLocked = errors.New("the library is open in another process")
)

// ConflictError is the error behind ErrConflict.
type ConflictError struct {
	// Current is the state that is stored now.
	Current Document
	// Base is the revision that the caller had read.
	Base Revision
}

// Error says what happened, what is safe and what to do.
func (e *ConflictError) Error() string {
	return ErrConflict.Error() + ": nothing was overwritten; read it again and repeat the change"
}

// Unwrap makes errors.Is(err, ErrConflict) true.
func (e *ConflictError) Unwrap() error { return ErrConflict }

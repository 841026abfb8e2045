package main

import (
	"context"
	"errors"
	"fmt"
	"time"

	"github.com/spf13/cobra"

	"mesure/bundle"
	"mesure/sport/bout"
	"mesure/study"
)

func newListCommand(b *bench) *cobra.Command {
	return &cobra.Command{
		Use:   "list",
		Short: "List the bouts, touches and videos of the library",
		Long: `List the bouts, the touches and the videos of the library.

` + exitHelp(library, disk),
		Args: arguments(),
		RunE: func(cmd *cobra.Command, _ []string) error {
			l, err := runList(cmd.Context(), b)
			if err != nil {
				return err
			}
			return b.show(l, func() { b.printList(l) })
		},
	}
}

// listed is what a library holds.
type listed struct {
	Library string        `json:"library"`
	Bouts   []listedBout  `json:"bouts"`
	Touches []listedTouch `json:"touches"`
	Videos  []listedVideo `json:"videos"`
}

type listedBout struct {
	ID       string     `json:"id"`
	Bout     string     `json:"bout"`
	Score    bout.Score `json:"score"`
	Lines    int        `json:"lines"`
	Touches  int        `json:"touches"`
	Revision int        `json:"revision"`
	Saved    time.Time  `json:"saved"`
	// Trouble says why the bout does not read; empty for one that does.
	Trouble string `json:"trouble,omitempty"`
}

type listedTouch struct {
	ID       string    `json:"id"`
	Title    string    `json:"title"`
	Bout     string    `json:"bout"`
	Number   int       `json:"number"`
	Revision int       `json:"revision"`
	Saved    time.Time `json:"saved"`
	// Trouble says why the touch does not read; empty for one that does.
	Trouble string `json:"trouble,omitempty"`
}

type listedVideo struct {
	SHA256 string    `json:"sha256"`
	Name   string    `json:"name"`
	Bytes  int64     `json:"bytes"`
	Added  time.Time `json:"added"`
}

func runList(ctx context.Context, b *bench) (*listed, error) {
	dir, err := libraryFolder(b.library)
	if err != nil {
		return nil, err
	}
	l := &listed{Library: dir, Bouts: []listedBout{}, Touches: []listedTouch{}, Videos: []listedVideo{}}
	lib, there, err := b.openOld(ctx)
	if err != nil || !there {
		return l, err
	}
	defer lib.Close()
	if l.Touches, err = touchesOf(ctx, lib); err != nil {
		return nil, err
	}
	if l.Bouts, err = boutsOf(ctx, lib); err != nil {
		return nil, err
	}
	media, err := lib.ListMedia(ctx)
	if err != nil {
		return nil, err
	}
	for _, m := range media {
		l.Videos = append(l.Videos, listedVideo{m.SHA256, m.Name, m.Bytes, m.Added})
	}
	return l, nil
}

// touchesOf lists the touches of a library, oldest first. One that does not read
// is listed with its trouble.
func touchesOf(ctx context.Context, lib study.Library) ([]listedTouch, error) {
	docs, err := lib.List(ctx, study.KindTouch, "")
	if err != nil {
		return nil, err
	}
	all := []listedTouch{}
	for _, d := range docs {
		touch := listedTouch{ID: string(d.ID), Revision: int(d.Revision), Saved: d.Saved}
		k, err := shelfOf(lib).Touch(ctx, d.ID)
		if touch.Trouble, err = trouble(err); err != nil {
			return nil, err
		}
		if touch.Trouble == "" {
			touch.Title, touch.Number, touch.Bout = k.Touch.Title, k.Touch.Number, boutName(k.Touch.Bout)
		}
		all = append(all, touch)
	}
	return all, nil
}

// boutsOf lists the bouts of a library, as touchesOf does the touches.
func boutsOf(ctx context.Context, lib study.Library) ([]listedBout, error) {
	docs, err := lib.List(ctx, study.KindBout, "")
	if err != nil {
		return nil, err
	}
	all := []listedBout{}
	for _, d := range docs {
		one := listedBout{ID: string(d.ID), Revision: int(d.Revision), Saved: d.Saved}
		touches, err := lib.List(ctx, study.KindTouch, d.ID)
		if err != nil {
			return nil, err
		}
		one.Touches = len(touches)
		k, err := shelfOf(lib).Bout(ctx, d.ID)
		if one.Trouble, err = trouble(err); err != nil {
			return nil, err
		}
		if one.Trouble == "" {
			one.Bout, one.Lines = boutName(k.Sheet.Bout), len(k.Sheet.Bout.Sheet)
			if one.Lines > 0 {
				one.Score = k.Sheet.Bout.Sheet[one.Lines-1].After
			}
		}
		all = append(all, one)
	}
	return all, nil
}

// trouble is the text of an error that says that a document does not read; any
// other error is returned.
func trouble(err error) (string, error) {
	var b *bundle.Error
	if errors.As(err, &b) {
		return err.Error(), nil
	}
	return "", err
}

// unread stands where the title of what does not read would stand.
const unread = `does not read: see "mesure doctor"`

// boutName words a bout: who fenced, and where.
func boutName(b bout.Bout) string {
	name := ""
	if b.Left.Name != "" || b.Right.Name != "" {
		name = b.Left.Name + " – " + b.Right.Name
	}
	if b.Event != "" {
		if name != "" {
			name += ", "
		}
		name += b.Event
	}
	return name
}

func (b *bench) printList(l *listed) {
	fmt.Fprintf(b.out, "Library: %s\n", l.Library)
	if len(l.Bouts) == 0 && len(l.Touches) == 0 && len(l.Videos) == 0 {
		b.note(`It is empty. "mesure add VIDEO --touch FILE" puts a video and its marks in.`)
		return
	}
	b.title("Bouts")
	bouts := b.table("bout", "~who and where", ">score", ">lines", ">touches")
	for _, o := range l.Bouts {
		if o.Trouble != "" {
			o.Bout = unread
		}
		bouts.row(o.ID, o.Bout, fmt.Sprintf("%d–%d", o.Score.Left, o.Score.Right), fmt.Sprint(o.Lines), fmt.Sprint(o.Touches))
	}
	bouts.write(b.out)
	if len(l.Bouts) == 0 {
		fmt.Fprintln(b.out, "  none")
	}
	b.title("Touches")
	touches := b.table("touch", "~title", "~bout", ">saved")
	for _, t := range l.Touches {
		if t.Trouble != "" {
			t.Title = unread
		}
		touches.row(t.ID, t.Title, t.Bout, t.Saved.Format(time.DateOnly))
	}
	touches.write(b.out)
	if len(l.Touches) == 0 {
		fmt.Fprintln(b.out, "  none")
	}
	b.title("Videos")
	videos := b.table("~video", ">size", ">added", "SHA-256")
	for _, v := range l.Videos {
		videos.row(v.Name, bytesOf(v.Bytes), v.Added.Format(time.DateOnly), v.SHA256[:min(len(v.SHA256), shownHash)])
	}
	videos.write(b.out)
}

// shownHash is how many digits of a hash are enough to tell two files apart by
// eye.
const shownHash = 12

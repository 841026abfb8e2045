package main

import (
	"context"
	"fmt"
	"time"

	"github.com/spf13/cobra"

	"mesure/sport/bout"
	"mesure/study"
)

func newListCommand(b *bench) *cobra.Command {
	return &cobra.Command{
		Use:   "list",
		Short: "List the touches and videos of the library",
		Long: `List the touches and the videos of the library.

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
	Touches []listedTouch `json:"touches"`
	Videos  []listedVideo `json:"videos"`
}

type listedTouch struct {
	ID       string    `json:"id"`
	Title    string    `json:"title"`
	Bout     string    `json:"bout"`
	Number   int       `json:"number"`
	Revision int       `json:"revision"`
	Saved    time.Time `json:"saved"`
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
	l := &listed{Library: dir, Touches: []listedTouch{}, Videos: []listedVideo{}}
	lib, there, err := b.openOld(ctx)
	if err != nil || !there {
		return l, err
	}
	defer lib.Close()
	if l.Touches, err = touchesOf(ctx, lib); err != nil {
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

// touchesOf lists the touches of a library, oldest first.
func touchesOf(ctx context.Context, lib study.Library) ([]listedTouch, error) {
	docs, err := lib.List(ctx, study.KindTouch, "")
	if err != nil {
		return nil, err
	}
	all := []listedTouch{}
	for _, d := range docs {
		k, err := shelfOf(lib).Touch(ctx, d.ID)
		if err != nil {
			return nil, damaged(d.ID, err)
		}
		all = append(all, listedTouch{
			ID: string(d.ID), Revision: int(d.Revision), Saved: d.Saved,
			Title: k.Touch.Title, Number: k.Touch.Number, Bout: boutName(k.Touch.Bout),
		})
	}
	return all, nil
}

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
	if len(l.Touches) == 0 && len(l.Videos) == 0 {
		b.note(`It is empty. "mesure add VIDEO --touch FILE" puts a video and its marks in.`)
		return
	}
	b.title("Touches")
	touches := b.table("touch", "~title", "~bout", ">saved")
	for _, t := range l.Touches {
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

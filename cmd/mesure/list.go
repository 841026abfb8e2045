package main

import (
	"context"
	"encoding/json"
	"fmt"
	"time"

	"github.com/spf13/cobra"

	"mesure/study"
	"mesure/web"
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
		touch := listedTouch{ID: string(d.ID), Revision: int(d.Revision), Saved: d.Saved}
		var body struct {
			Title  string
			Number int
		}
		if err := json.Unmarshal(d.Body, &body); err != nil {
			return nil, damaged(d.ID, err)
		}
		touch.Title, touch.Number = body.Title, body.Number
		if d.Of != "" {
			if touch.Bout, err = boutName(ctx, lib, d.Of); err != nil {
				return nil, err
			}
		}
		all = append(all, touch)
	}
	return all, nil
}

// boutName words a bout: who fenced, and where.
func boutName(ctx context.Context, lib study.Library, id study.ID) (string, error) {
	d, err := lib.Get(ctx, id)
	if err != nil {
		return "", err
	}
	var body struct {
		Bout struct {
			Event       string
			Left, Right struct{ Name string }
		}
	}
	if err := json.Unmarshal(d.Body, &body); err != nil {
		return "", damaged(d.ID, err)
	}
	name := ""
	if body.Bout.Left.Name != "" || body.Bout.Right.Name != "" {
		name = body.Bout.Left.Name + " – " + body.Bout.Right.Name
	}
	if body.Bout.Event != "" {
		if name != "" {
			name += ", "
		}
		name += body.Bout.Event
	}
	return name, nil
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

// shelf shows a library to the web room. The library is opened for each look,
// so that other commands can work while the server runs.
type shelf struct{ b *bench }

// Touches lists the touches of the library.
func (s shelf) Touches(ctx context.Context) ([]web.Touch, error) {
	lib, there, err := s.b.openOld(ctx)
	if err != nil || !there {
		return nil, err
	}
	defer lib.Close()
	touches, err := touchesOf(ctx, lib)
	if err != nil {
		return nil, err
	}
	var all []web.Touch
	for _, t := range touches {
		all = append(all, web.Touch{ID: t.ID, Title: t.Title, Of: t.Bout, Saved: t.Saved})
	}
	return all, nil
}

package sqlite

import (
	"context"
	"crypto/sha256"
	"database/sql"
	"encoding/hex"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"time"

	"mesure/study"
)

// A video is taken in by steps that can each be the last:
//
//	media/incoming-123   while it is copied; Open removes it
//	media/ab/ab12….ready complete and on the disk, not yet in the list; Open
//	                     removes it, or names it where the list has it
//	row in the list      from here on it is stored
//	media/ab/ab12…       its name
const (
	incoming = "incoming-"
	ready    = ".ready"
)

func (l *library) mediaDir() string { return filepath.Join(l.dir, mediaName) }

// mediaFile is where the content of this name lies.
func (l *library) mediaFile(sum string) string {
	return filepath.Join(l.mediaDir(), sum[:2], sum)
}

// AddMedia copies a file in. Where the same content is there already, the copy
// replaces its file if that was lost or changed.
func (l *library) AddMedia(ctx context.Context, name string, r io.Reader) (study.Media, error) {
	if err := os.MkdirAll(l.mediaDir(), 0o700); err != nil {
		return study.Media{}, explain(err)
	}
	temp, m, err := l.takeIn(ctx, r)
	if err != nil {
		return study.Media{}, explain(err)
	}
	defer os.Remove(temp) // gone already where all went well
	m.Name = name
	place := l.mediaFile(m.SHA256)
	if err := errors.Join(os.MkdirAll(filepath.Dir(place), 0o700), syncDir(l.mediaDir())); err != nil {
		return study.Media{}, explain(err)
	}

	l.media.Lock()
	defer l.media.Unlock()
	if old, err := l.medium(ctx, m.SHA256); err == nil {
		return old, explain(l.repair(place, temp, old))
	} else if !errors.Is(err, study.ErrNotFound) {
		return study.Media{}, explain(err)
	}
	if err := errors.Join(os.Rename(temp, place+ready), syncDir(filepath.Dir(place))); err != nil {
		return study.Media{}, explain(err)
	}
	m.Added = time.Unix(0, l.clock().UnixNano()).UTC()
	if err := l.enlist(ctx, m, place); err != nil {
		return study.Media{}, explain(errors.Join(err, os.Remove(place+ready)))
	}
	return m, nil
}

// takeIn copies the content into a temporary file, which is on the disk when it
// returns. Nothing is left behind on an error.
func (l *library) takeIn(ctx context.Context, r io.Reader) (temp string, m study.Media, err error) {
	f, err := os.CreateTemp(l.mediaDir(), incoming)
	if err != nil {
		return "", m, err
	}
	defer func() {
		if err != nil {
			err = errors.Join(err, os.Remove(f.Name()))
		}
	}()
	sum := sha256.New()
	m.Bytes, err = io.Copy(io.MultiWriter(f, sum), &patient{ctx, r})
	if err == nil {
		err = f.Sync()
	}
	if err = errors.Join(err, f.Close()); err != nil {
		return "", m, err
	}
	m.SHA256 = hex.EncodeToString(sum.Sum(nil))
	return f.Name(), m, nil
}

// patient is a reader that gives up when its context ends.
type patient struct {
	ctx context.Context
	r   io.Reader
}

func (p *patient) Read(b []byte) (int, error) {
	if err := p.ctx.Err(); err != nil {
		return 0, err
	}
	return p.r.Read(b)
}

// enlist writes the row and gives the file its name. Where the name cannot be
// given, the row is taken back.
func (l *library) enlist(ctx context.Context, m study.Media, place string) error {
	err := l.change(ctx, func(tx *sql.Tx) error {
		_, err := tx.ExecContext(ctx, `INSERT INTO media (sha256, name, bytes, added) VALUES (?, ?, ?, ?)`,
			m.SHA256, m.Name, m.Bytes, m.Added.UnixNano())
		return err
	})
	if err != nil {
		return err
	}
	if err := os.Rename(place+ready, place); err != nil {
		return errors.Join(err, l.change(context.WithoutCancel(ctx), func(tx *sql.Tx) error {
			_, err := tx.Exec(`DELETE FROM media WHERE sha256 = ?`, m.SHA256)
			return err
		}))
	}
	return syncDir(filepath.Dir(place))
}

// repair puts the new copy in place of a file that was lost or has another size.
func (l *library) repair(place, temp string, old study.Media) error {
	if info, err := os.Stat(place); err == nil && info.Size() == old.Bytes {
		return nil
	}
	return errors.Join(os.Rename(temp, place), syncDir(filepath.Dir(place)))
}

// medium returns the row of a content.
func (l *library) medium(ctx context.Context, sum string) (study.Media, error) {
	all, err := l.listMedia(ctx, `WHERE sha256 = ?`, sum)
	if err == nil && len(all) == 0 {
		err = fmt.Errorf("%w: media %s", study.ErrNotFound, sum)
	}
	if err != nil {
		return study.Media{}, err
	}
	return all[0], nil
}

func (l *library) listMedia(ctx context.Context, where string, args ...any) ([]study.Media, error) {
	rows, err := l.db.QueryContext(ctx, `SELECT sha256, name, bytes, added FROM media `+where+` ORDER BY seq`, args...)
	if err != nil {
		return nil, err
	}
	defer rows.Close()
	var all []study.Media
	for rows.Next() {
		var m study.Media
		var added int64
		if err := rows.Scan(&m.SHA256, &m.Name, &m.Bytes, &added); err != nil {
			return nil, err
		}
		m.Added = time.Unix(0, added).UTC()
		all = append(all, m)
	}
	return all, rows.Err()
}

func (l *library) ListMedia(ctx context.Context) ([]study.Media, error) {
	l.media.RLock()
	defer l.media.RUnlock()
	all, err := l.listMedia(ctx, ``)
	return all, explain(err)
}

// MediaPath returns the path of a content that is in the list; whether the file
// is still whole is for Check to say.
func (l *library) MediaPath(ctx context.Context, sum string) (string, error) {
	l.media.RLock()
	defer l.media.RUnlock()
	if _, err := l.medium(ctx, sum); err != nil {
		return "", explain(err)
	}
	return l.mediaFile(sum), nil
}

// RemoveMedia takes the way back: the file loses its name, then the row goes, then
// the file. Where that is cut off, Open names the file again or removes it.
func (l *library) RemoveMedia(ctx context.Context, sum string) error {
	l.media.Lock()
	defer l.media.Unlock()
	if _, err := l.medium(ctx, sum); err != nil {
		return explain(err)
	}
	place := l.mediaFile(sum)
	err := os.Rename(place, place+ready)
	lost := errors.Is(err, fs.ErrNotExist) // its row is all that is left
	if err != nil && !lost {
		return explain(err)
	}
	err = l.change(ctx, func(tx *sql.Tx) error {
		_, err := tx.ExecContext(ctx, `DELETE FROM media WHERE sha256 = ?`, sum)
		return err
	})
	switch {
	case lost:
		return explain(err)
	case err != nil:
		return explain(errors.Join(err, os.Rename(place+ready, place)))
	}
	return explain(errors.Join(os.Remove(place+ready), syncDir(filepath.Dir(place))))
}

// recover finishes or removes what a killed process left of its last video.
func (l *library) recover(ctx context.Context) error {
	return filepath.WalkDir(l.mediaDir(), func(path string, e fs.DirEntry, err error) error {
		switch {
		case errors.Is(err, fs.ErrNotExist) && path == l.mediaDir():
			return nil
		case err != nil:
			return err
		case e.IsDir():
			return nil
		case strings.HasPrefix(e.Name(), incoming):
			return os.Remove(path)
		case !strings.HasSuffix(e.Name(), ready):
			return nil
		}
		place := strings.TrimSuffix(path, ready)
		_, err = l.medium(ctx, filepath.Base(place))
		switch {
		case errors.Is(err, study.ErrNotFound):
			return os.Remove(path)
		case err != nil:
			return err
		}
		return errors.Join(os.Rename(path, place), syncDir(filepath.Dir(place)))
	})
}

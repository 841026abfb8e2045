package sqlite

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"strings"

	"mesure/study"
)

// Codes of the warnings of Check.
const (
	// DatabaseDamaged: SQLite finds its file inconsistent.
	DatabaseDamaged = "database-damaged"
	// DocumentOrphan: a document belongs to one that is not there, or shows a
	// state that is not kept.
	DocumentOrphan = "document-orphan"
	// BodyDamaged: the body of a state is not JSON.
	BodyDamaged = "body-damaged"
	// MediaMissing: a video in the list has no file.
	MediaMissing = "media-missing"
	// MediaAltered: the content of a file does not match its name.
	MediaAltered = "media-altered"
	// MediaUnnamed: a file in the media folder is not in the list. It does no
	// harm and takes space.
	MediaUnnamed = "media-unnamed"
)

// Check reads everything, so it takes as long as reading all videos.
func (l *library) Check(ctx context.Context) ([]study.Warning, error) {
	var c checked
	for _, look := range []func(context.Context, *checked) error{l.checkDatabase, l.checkDocuments, l.checkMedia, l.checkFiles} {
		if err := look(ctx, &c); err != nil {
			return c.found, explain(err)
		}
	}
	return c.found, nil
}

// checked collects what is found.
type checked struct{ found []study.Warning }

func (c *checked) warn(code, about string, doubt float64, text string) {
	c.found = append(c.found, study.Warning{Code: code, About: about, Doubt: doubt, Text: text})
}

// checkDatabase asks SQLite itself.
func (l *library) checkDatabase(ctx context.Context, c *checked) error {
	lines, err := l.strings(ctx, `SELECT integrity_check FROM pragma_integrity_check WHERE integrity_check <> 'ok'`)
	if errors.Is(explain(err), ErrDamaged) {
		lines, err = []string{err.Error()}, nil
	}
	if len(lines) > 0 {
		c.warn(DatabaseDamaged, dbName, float64(len(lines)),
			fmt.Sprintf("The database has %d inconsistencies, the first: %s. Put a copy of %s back.", len(lines), strings.TrimSpace(lines[0]), dbName))
	}
	return err
}

func (l *library) strings(ctx context.Context, query string) ([]string, error) {
	rows, err := l.db.QueryContext(ctx, query)
	if err != nil {
		return nil, err
	}
	defer rows.Close()
	var all []string
	for rows.Next() {
		var s string
		if err := rows.Scan(&s); err != nil {
			return nil, err
		}
		all = append(all, s)
	}
	return all, rows.Err()
}

func (l *library) checkDocuments(ctx context.Context, c *checked) error {
	orphans, err := l.strings(ctx, `
SELECT d.id FROM document d
WHERE (d.owner IS NOT NULL AND NOT EXISTS (SELECT 1 FROM document o WHERE o.id = d.owner))
	OR NOT EXISTS (SELECT 1 FROM state s WHERE s.document = d.id AND s.revision = d.revision)
UNION SELECT s.document FROM state s WHERE NOT EXISTS (SELECT 1 FROM document d WHERE d.id = s.document)
ORDER BY 1`)
	if err != nil {
		return err
	}
	for _, id := range orphans {
		c.warn(DocumentOrphan, id, 1, "The document "+id+" belongs to one that is not there, or shows a state that is not kept. Export what is left of it and delete it.")
	}
	damaged, err := l.strings(ctx, `SELECT document || ' revision ' || revision FROM state WHERE NOT json_valid(body) ORDER BY document, revision`)
	if err != nil {
		return err
	}
	for _, s := range damaged {
		c.warn(BodyDamaged, s, 1, "The state "+s+" is not JSON. Step to another state of the document.")
	}
	return nil
}

// checkMedia compares every listed video with its name.
func (l *library) checkMedia(ctx context.Context, c *checked) error {
	all, err := l.ListMedia(ctx)
	if err != nil {
		return err
	}
	for _, m := range all {
		sum, err := sumOf(ctx, l.mediaFile(m.SHA256))
		switch {
		case errors.Is(err, fs.ErrNotExist):
			c.warn(MediaMissing, m.SHA256, 1, fmt.Sprintf("The file of the video %s is missing. Add the video again.", m.Name))
		case ctx.Err() != nil:
			return ctx.Err()
		case err != nil:
			c.warn(MediaAltered, m.SHA256, 1, fmt.Sprintf("The file of the video %s cannot be read: %v.", m.Name, err))
		case sum != m.SHA256:
			c.warn(MediaAltered, m.SHA256, 1, fmt.Sprintf("The file of the video %s was changed: readings from it no longer hold. Remove %s and add the video again.",
				m.Name, filepath.ToSlash(filepath.Join(mediaName, m.SHA256[:2], m.SHA256))))
		}
	}
	return nil
}

func sumOf(ctx context.Context, path string) (string, error) {
	f, err := os.Open(path)
	if err != nil {
		return "", err
	}
	defer f.Close()
	sum := sha256.New()
	if _, err := io.Copy(sum, &patient{ctx, f}); err != nil {
		return "", err
	}
	return hex.EncodeToString(sum.Sum(nil)), nil
}

// checkFiles looks for files that nothing names.
func (l *library) checkFiles(ctx context.Context, c *checked) error {
	// A temporary file belongs to a video that is being taken in just now: what a
	// killed process left was removed by Open.
	return filepath.WalkDir(l.mediaDir(), func(path string, e fs.DirEntry, err error) error {
		switch {
		case errors.Is(err, fs.ErrNotExist):
			return nil
		case err != nil:
			return err
		case e.IsDir() || strings.HasPrefix(e.Name(), incoming) || strings.HasSuffix(e.Name(), ready):
			return ctx.Err()
		}
		_, err = l.MediaPath(ctx, e.Name())
		if err == nil && l.mediaFile(e.Name()) == path {
			return nil
		}
		if err != nil && !errors.Is(err, study.ErrNotFound) {
			return err
		}
		info, err := e.Info()
		if errors.Is(err, fs.ErrNotExist) {
			return nil
		}
		if err != nil {
			return err
		}
		rel, err := filepath.Rel(l.dir, path)
		if err != nil {
			return err
		}
		rel = filepath.ToSlash(rel)
		c.warn(MediaUnnamed, rel, float64(info.Size()), fmt.Sprintf("The file %s (%d bytes) is not in the library. It may be removed.", rel, info.Size()))
		return nil
	})
}

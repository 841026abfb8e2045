package sqlite

import (
	"context"
	"database/sql"
	"encoding/json"
	"errors"
	"fmt"
	"time"

	"mesure/study"
)

// querier is a database or a transaction.
type querier interface {
	QueryContext(ctx context.Context, query string, args ...any) (*sql.Rows, error)
}

// columns of a state of a document, in the order in which scan reads them. A
// state can be undone where an older one is kept, and redone where a newer one.
const columns = `
SELECT d.id, d.kind, coalesce(d.owner, ''), s.revision, s.gesture, s.saved, s.body,
	EXISTS (SELECT 1 FROM state o WHERE o.document = d.id AND o.revision < s.revision),
	EXISTS (SELECT 1 FROM state n WHERE n.document = d.id AND n.revision > s.revision)
FROM document d JOIN state s ON s.document = d.id `

// documents reads all that a query of columns gives.
func documents(ctx context.Context, q querier, where string, args ...any) ([]study.Document, error) {
	rows, err := q.QueryContext(ctx, columns+where, args...)
	if err != nil {
		return nil, err
	}
	defer rows.Close()
	var all []study.Document
	for rows.Next() {
		var d study.Document
		var saved int64
		var body string
		if err := rows.Scan(&d.ID, &d.Kind, &d.Of, &d.Revision, &d.Gesture, &saved, &body, &d.CanUndo, &d.CanRedo); err != nil {
			return nil, err
		}
		d.Saved = time.Unix(0, saved).UTC()
		d.Body = json.RawMessage(body)
		all = append(all, d)
	}
	return all, rows.Err()
}

// current returns the state now shown.
func current(ctx context.Context, q querier, id study.ID) (study.Document, error) {
	all, err := documents(ctx, q, `WHERE d.id = ? AND s.revision = d.revision`, id)
	if err != nil {
		return study.Document{}, err
	}
	if len(all) == 0 {
		return study.Document{}, notFound(id)
	}
	return all[0], nil
}

func notFound(id study.ID) error { return fmt.Errorf("%w: %q", study.ErrNotFound, string(id)) }

// onto returns the current state where base is its revision, and the conflict
// where it is not.
func onto(ctx context.Context, tx *sql.Tx, id study.ID, base study.Revision) (study.Document, error) {
	d, err := current(ctx, tx, id)
	if err == nil && d.Revision != base {
		err = &study.ConflictError{Current: d, Base: base}
	}
	return d, err
}

// checkBody refuses what no reader could decode.
func checkBody(body json.RawMessage) error {
	if !json.Valid(body) {
		return errors.New("the body of a document must be JSON: nothing was stored")
	}
	return nil
}

func (l *library) Create(ctx context.Context, d study.Document) (study.Document, error) {
	if err := checkBody(d.Body); err != nil {
		return study.Document{}, err
	}
	var made study.Document
	err := l.change(ctx, func(tx *sql.Tx) error {
		if d.Of != "" {
			if _, err := current(ctx, tx, d.Of); err != nil {
				return err
			}
		}
		id, err := l.freeID(ctx, tx, d.ID)
		if err != nil {
			return err
		}
		owner := sql.NullString{String: string(d.Of), Valid: d.Of != ""}
		if _, err := tx.ExecContext(ctx,
			`INSERT INTO document (id, kind, owner, revision, last) VALUES (?, ?, ?, 1, 1)`, id, d.Kind, owner); err != nil {
			return err
		}
		if err := l.keep(ctx, tx, id, 1, d.Gesture, d.Body); err != nil {
			return err
		}
		if made, err = current(ctx, tx, id); err != nil {
			return err
		}
		return l.index(ctx, tx, made)
	})
	if err != nil {
		return study.Document{}, err
	}
	return made, nil
}

// freeID returns the name that was asked for, or a new one where none was.
func (l *library) freeID(ctx context.Context, tx *sql.Tx, asked study.ID) (study.ID, error) {
	for id := asked; ; {
		if id == "" {
			id = l.newID()
		}
		_, err := current(ctx, tx, id)
		switch {
		case errors.Is(err, study.ErrNotFound):
			return id, nil
		case err != nil:
			return "", err
		case asked != "":
			return "", fmt.Errorf("%w: %q", study.ErrExists, string(id))
		}
		id = ""
	}
}

// keep stores one state.
func (l *library) keep(ctx context.Context, tx *sql.Tx, id study.ID, r study.Revision, gesture string, body json.RawMessage) error {
	_, err := tx.ExecContext(ctx, `INSERT INTO state (document, revision, gesture, saved, body) VALUES (?, ?, ?, ?, ?)`,
		id, r, gesture, l.clock().UnixNano(), string(body))
	return err
}

func (l *library) Get(ctx context.Context, id study.ID) (study.Document, error) {
	d, err := current(ctx, l.db, id)
	return d, explain(err)
}

func (l *library) List(ctx context.Context, kind study.Kind, of study.ID) ([]study.Document, error) {
	where, args := `WHERE s.revision = d.revision AND d.kind = ? `, []any{kind}
	if of != "" {
		where, args = where+`AND d.owner = ? `, append(args, of)
	}
	all, err := documents(ctx, l.db, where+`ORDER BY d.seq`, args...)
	return all, explain(err)
}

func (l *library) Save(ctx context.Context, id study.ID, base study.Revision, gesture string, body json.RawMessage) (study.Document, error) {
	if err := checkBody(body); err != nil {
		return study.Document{}, err
	}
	return l.move(ctx, id, base, func(tx *sql.Tx, d study.Document) (study.Revision, error) {
		if _, err := tx.ExecContext(ctx, `DELETE FROM state WHERE document = ? AND revision > ?`, id, base); err != nil {
			return 0, err
		}
		var next study.Revision
		err := tx.QueryRowContext(ctx, `UPDATE document SET last = last + 1 WHERE id = ? RETURNING last`, id).Scan(&next)
		if err != nil {
			return 0, err
		}
		return next, l.keep(ctx, tx, id, next, gesture, body)
	})
}

func (l *library) Undo(ctx context.Context, id study.ID, base study.Revision) (study.Document, error) {
	return l.move(ctx, id, base, func(tx *sql.Tx, d study.Document) (study.Revision, error) {
		return step(ctx, tx, `SELECT max(revision) FROM state WHERE document = ? AND revision < ?`, id, base)
	})
}

func (l *library) Redo(ctx context.Context, id study.ID, base study.Revision) (study.Document, error) {
	return l.move(ctx, id, base, func(tx *sql.Tx, d study.Document) (study.Revision, error) {
		return step(ctx, tx, `SELECT min(revision) FROM state WHERE document = ? AND revision > ?`, id, base)
	})
}

// step finds a neighbour of a state.
func step(ctx context.Context, tx *sql.Tx, query string, id study.ID, base study.Revision) (study.Revision, error) {
	var to sql.NullInt64
	if err := tx.QueryRowContext(ctx, query, id, base).Scan(&to); err != nil {
		return 0, err
	}
	if !to.Valid {
		return 0, fmt.Errorf("%w: %q is at revision %d", study.ErrNoStep, string(id), base)
	}
	return study.Revision(to.Int64), nil
}

// move shows another state of a document: the one that to names.
func (l *library) move(ctx context.Context, id study.ID, base study.Revision,
	to func(tx *sql.Tx, d study.Document) (study.Revision, error)) (study.Document, error) {
	var shown study.Document
	err := l.change(ctx, func(tx *sql.Tx) error {
		d, err := onto(ctx, tx, id, base)
		if err != nil {
			return err
		}
		next, err := to(tx, d)
		if err != nil {
			return err
		}
		if _, err := tx.ExecContext(ctx, `UPDATE document SET revision = ? WHERE id = ?`, next, id); err != nil {
			return err
		}
		if shown, err = current(ctx, tx, id); err != nil {
			return err
		}
		return l.index(ctx, tx, shown)
	})
	if err != nil {
		return study.Document{}, err
	}
	return shown, nil
}

func (l *library) History(ctx context.Context, id study.ID) ([]study.Document, error) {
	all, err := documents(ctx, l.db, `WHERE d.id = ? ORDER BY s.revision`, id)
	if err == nil && len(all) == 0 {
		err = notFound(id)
	}
	return all, explain(err)
}

func (l *library) Delete(ctx context.Context, id study.ID, base study.Revision) error {
	return l.change(ctx, func(tx *sql.Tx) error {
		if _, err := onto(ctx, tx, id, base); err != nil {
			return err
		}
		// The foreign keys take what belongs to it along, its acts among it.
		_, err := tx.ExecContext(ctx, `DELETE FROM document WHERE id = ?`, id)
		return err
	})
}

package sqlite

import (
	"context"
	"database/sql"
	"fmt"
)

// migrations lead from an empty database to the present schema, one step a
// version. A step is never changed once it was released; the next is added.
var migrations = []string{
	// 1: documents with their kept states, and media.
	`
CREATE TABLE document (
	seq      INTEGER PRIMARY KEY AUTOINCREMENT, -- the order in which they were created
	id       TEXT NOT NULL UNIQUE,
	kind     TEXT NOT NULL,
	owner    TEXT REFERENCES document (id) ON DELETE CASCADE, -- NULL: belongs to none
	revision INTEGER NOT NULL, -- the state now shown
	last     INTEGER NOT NULL  -- the greatest revision ever given, so that none is given twice
) STRICT;
CREATE INDEX document_owner ON document (owner);
CREATE INDEX document_kind ON document (kind, owner);

CREATE TABLE state (
	document TEXT NOT NULL REFERENCES document (id) ON DELETE CASCADE,
	revision INTEGER NOT NULL,
	gesture  TEXT NOT NULL,
	saved    INTEGER NOT NULL, -- nanoseconds since 1970, UTC
	body     TEXT NOT NULL,    -- JSON
	PRIMARY KEY (document, revision)
) STRICT;

CREATE TABLE media (
	seq    INTEGER PRIMARY KEY AUTOINCREMENT,
	sha256 TEXT NOT NULL UNIQUE,
	name   TEXT NOT NULL,
	bytes  INTEGER NOT NULL,
	added  INTEGER NOT NULL
) STRICT;`,
	// 2: the index of acts: who chose what in which bout, see acts.go. It follows from
	// the bouts; made names what made it, empty says that it is to be made.
	`
CREATE TABLE act (
	fencer        TEXT NOT NULL,    -- the name as it is compared
	day           TEXT NOT NULL,    -- YYYY-MM-DD; empty: not known, before all
	document      INTEGER NOT NULL REFERENCES document (seq) ON DELETE CASCADE,
	n             INTEGER NOT NULL, -- place of the first act among those of the bout
	opponent      TEXT NOT NULL,    -- the name as it is compared
	weapon        TEXT NOT NULL,
	fencer_name   TEXT NOT NULL,
	opponent_name TEXT NOT NULL,
	touches       INTEGER NOT NULL, -- to how many hits
	packed        BLOB NOT NULL,
	PRIMARY KEY (fencer, day, document, n)
) STRICT, WITHOUT ROWID;
CREATE INDEX act_pair ON act (fencer, opponent, day, document, n);
CREATE INDEX act_document ON act (document);

CREATE TABLE act_index (made TEXT NOT NULL) STRICT;
INSERT INTO act_index VALUES ('');`,
}

// migrate brings the schema to the version that steps lead to, in one
// transaction: it is either the old one or the new one.
func migrate(ctx context.Context, db *sql.DB, steps []string) error {
	tx, err := db.BeginTx(ctx, nil)
	if err != nil {
		return err
	}
	defer tx.Rollback()
	version, err := schemaVersion(ctx, tx)
	if err != nil {
		return err
	}
	if version > len(steps) {
		return fmt.Errorf("%w (its schema is version %d; this program knows %d)", ErrNewer, version, len(steps))
	}
	for _, step := range steps[version:] {
		if _, err := tx.ExecContext(ctx, step); err != nil {
			return err
		}
	}
	if version == len(steps) {
		return nil
	}
	if _, err := tx.ExecContext(ctx, `UPDATE schema_version SET version = ?`, len(steps)); err != nil {
		return err
	}
	return tx.Commit()
}

// schemaVersion returns 0 for a new database.
func schemaVersion(ctx context.Context, tx *sql.Tx) (int, error) {
	var tables, ours int
	err := tx.QueryRowContext(ctx,
		`SELECT count(*), coalesce(sum(name = 'schema_version'), 0) FROM sqlite_schema WHERE type = 'table'`).Scan(&tables, &ours)
	if err != nil {
		return 0, err
	}
	switch {
	case tables == 0:
		_, err := tx.ExecContext(ctx, `CREATE TABLE schema_version (version INTEGER NOT NULL) STRICT; INSERT INTO schema_version VALUES (0)`)
		return 0, err
	case ours == 0:
		return 0, fmt.Errorf("%w: its %s belongs to another program", ErrNotLibrary, dbName)
	}
	var version int
	err = tx.QueryRowContext(ctx, `SELECT version FROM schema_version`).Scan(&version)
	return version, err
}

package sqlite

import (
	"context"
	"database/sql"
	"slices"

	"mesure/sport/bout"
	"mesure/study"
)

// The index of acts follows the bouts: what changes the state that is shown of one
// changes its acts in the same transaction, so that no reader ever sees the one without
// the other. Acts are kept by the key of the fencer's name and in the order in which
// they are asked for, so that a query reads a stretch of the table and nothing else.

// index puts the acts of a document in place of those it had.
func (l *library) index(ctx context.Context, tx *sql.Tx, d study.Document) error {
	if d.Kind != study.KindBout {
		return nil
	}
	if l.acts == nil {
		// Whoever opens the library with an indexer makes all of it anew.
		_, err := tx.ExecContext(ctx, `UPDATE act_index SET version = 0 WHERE version <> 0`)
		return err
	}
	var seq int64
	if err := tx.QueryRowContext(ctx, `SELECT seq FROM document WHERE id = ?`, d.ID).Scan(&seq); err != nil {
		return err
	}
	if _, err := tx.ExecContext(ctx, `DELETE FROM act WHERE document = ?`, seq); err != nil {
		return err
	}
	put, err := tx.PrepareContext(ctx, actInsert)
	if err != nil {
		return err
	}
	defer put.Close()
	for n, a := range l.acts(d) {
		if _, err := put.ExecContext(ctx, actRow(seq, n, a)...); err != nil {
			return err
		}
	}
	return nil
}

// actInsert takes what actRow gives.
const actInsert = `
INSERT INTO act (fencer, day, document, n, opponent, weapon, fencer_name, opponent_name,
	line, number, choice, answer, mine, theirs, touches, measure, outcome)
VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?)`

func actRow(seq int64, n int, a study.Act) []any {
	return []any{bout.NameKey(a.Fencer), a.Day, seq, n, bout.NameKey(a.Opponent), string(a.Weapon), a.Fencer, a.Opponent,
		a.Line, a.Number, a.Choice, a.Answer, a.Mine, a.Theirs, a.To, a.Measure, a.Outcome}
}

// reindex makes the index anew where another version of the indexer made it, or a
// program without one has changed bouts since.
func (l *library) reindex(ctx context.Context) error {
	if l.acts == nil {
		return nil
	}
	var version int
	if err := l.db.QueryRowContext(ctx, `SELECT version FROM act_index`).Scan(&version); err != nil {
		return err
	}
	if version == study.ActsVersion {
		return nil
	}
	return l.change(ctx, func(tx *sql.Tx) error {
		if _, err := tx.ExecContext(ctx, `DELETE FROM act`); err != nil {
			return err
		}
		bouts, err := idsOf(ctx, tx, study.KindBout)
		if err != nil {
			return err
		}
		for _, id := range bouts { // one body at a time: a library may have thousands
			d, err := current(ctx, tx, id)
			if err != nil {
				return err
			}
			if err := l.index(ctx, tx, d); err != nil {
				return err
			}
		}
		_, err = tx.ExecContext(ctx, `UPDATE act_index SET version = ?`, study.ActsVersion)
		return err
	})
}

// idsOf lists the documents of a kind whose shown state is kept, oldest first.
func idsOf(ctx context.Context, tx *sql.Tx, kind study.Kind) ([]study.ID, error) {
	rows, err := tx.QueryContext(ctx, `
SELECT d.id FROM document d JOIN state s ON s.document = d.id AND s.revision = d.revision WHERE d.kind = ? ORDER BY d.seq`, kind)
	if err != nil {
		return nil, err
	}
	defer rows.Close()
	var all []study.ID
	for rows.Next() {
		var id study.ID
		if err := rows.Scan(&id); err != nil {
			return nil, err
		}
		all = append(all, id)
	}
	return all, rows.Err()
}

// actQuery is the SQL of a query of acts. The join is a CROSS JOIN so that SQLite
// begins with the acts, which stand in the order that is asked for.
func actQuery(q study.ActQuery) (string, []any) {
	text := `
SELECT d.id, a.day, a.line, a.number, a.fencer_name, a.opponent_name, a.weapon, a.choice, a.answer,
	a.mine, a.theirs, a.touches, a.measure, a.outcome
FROM act a CROSS JOIN document d ON d.seq = a.document
WHERE a.fencer = ?`
	args := []any{bout.NameKey(q.Fencer)}
	and := func(what string, more ...any) { text, args = text+` AND `+what, append(args, more...) }
	const seqOf = `coalesce((SELECT seq FROM document WHERE id = ?), -1)` // before all where it is not there
	if q.Opponent != "" {
		and(`a.opponent = ?`, bout.NameKey(q.Opponent))
	}
	if q.Weapon != "" {
		and(`a.weapon = ?`, string(q.Weapon))
	}
	if q.Without != "" {
		and(`a.document <> `+seqOf, q.Without)
	}
	switch {
	case q.Before != "" && q.SameDay && q.Without != "":
		and(`a.day <= ? AND (a.day < ? OR a.document < `+seqOf+`)`, q.Before, q.Before, q.Without)
	case q.Before != "":
		and(`a.day < ?`, q.Before)
	}
	if q.Newest > 0 {
		return text + ` ORDER BY a.day DESC, a.document DESC, a.n DESC LIMIT ?`, append(args, q.Newest)
	}
	return text + ` ORDER BY a.day, a.document, a.n`, args
}

func (l *library) Acts(ctx context.Context, q study.ActQuery) ([]study.Act, error) {
	if l.acts == nil || bout.NameKey(q.Fencer) == "" {
		return nil, ctx.Err()
	}
	all, err := l.readActs(ctx, q)
	return all, explain(err)
}

func (l *library) readActs(ctx context.Context, q study.ActQuery) ([]study.Act, error) {
	text, args := actQuery(q)
	rows, err := l.db.QueryContext(ctx, text, args...)
	if err != nil {
		return nil, err
	}
	defer rows.Close()
	var all []study.Act
	for rows.Next() {
		var a study.Act
		if err := rows.Scan(&a.Bout, &a.Day, &a.Line, &a.Number, &a.Fencer, &a.Opponent, &a.Weapon, &a.Choice, &a.Answer,
			&a.Mine, &a.Theirs, &a.To, &a.Measure, &a.Outcome); err != nil {
			return nil, err
		}
		all = append(all, a)
	}
	if q.Newest > 0 {
		slices.Reverse(all)
	}
	return all, rows.Err()
}

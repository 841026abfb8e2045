package sqlite

import (
	"context"
	"database/sql"
	"fmt"
	"slices"

	"mesure/sport/bout"
	"mesure/study"
)

// The index of acts follows the bouts: what changes the state that is shown of one
// changes its acts in the same transaction, so that no reader ever sees the one without
// the other.
//
// A row has a run of acts: those of one fencer against one opponent in one bout, packed
// (see packActs), because a query takes a bout as a whole and reading a row costs more
// than reading an act. Rows are kept by the key of the fencer's name and in the order
// in which they are asked for, so that a query reads a stretch of the table and
// nothing else.

// run is the acts of one row and what they have in common.
type run struct {
	// n is the place of the first among the acts of the bout.
	n    int
	acts []study.Act
}

// alike is what all acts of a run share.
type alike struct {
	day, fencer, opponent string
	weapon                bout.Weapon
	to                    int
}

func alikeOf(a study.Act) alike { return alike{a.Day, a.Fencer, a.Opponent, a.Weapon, a.To} }

// runsOf parts acts into runs, so that those of each fencer keep their order.
func runsOf(acts []study.Act) []run {
	var all []run
	last := map[string]int{} // the newest run of a fencer, from 1
	for n, a := range acts {
		key := bout.NameKey(a.Fencer)
		if key == "" { // nobody can ask for it
			continue
		}
		if i := last[key]; i > 0 && alikeOf(all[i-1].acts[0]) == alikeOf(a) {
			all[i-1].acts = append(all[i-1].acts, a)
			continue
		}
		all = append(all, run{n: n, acts: []study.Act{a}})
		last[key] = len(all)
	}
	return all
}

// index puts the acts of a document in place of those it had.
func (l *library) index(ctx context.Context, tx *sql.Tx, d study.Document) error {
	if d.Kind != study.KindBout {
		return nil
	}
	if l.acts == nil {
		// Whoever opens the library with an indexer makes all of it anew.
		_, err := tx.ExecContext(ctx, `UPDATE act_index SET made = '' WHERE made <> ''`)
		return err
	}
	var seq int64
	if err := tx.QueryRowContext(ctx, `SELECT seq FROM document WHERE id = ?`, d.ID).Scan(&seq); err != nil {
		return err
	}
	if _, err := tx.ExecContext(ctx, `DELETE FROM act WHERE document = ?`, seq); err != nil {
		return err
	}
	for _, r := range runsOf(l.acts(d)) {
		a := r.acts[0]
		if _, err := tx.ExecContext(ctx, `
INSERT INTO act (fencer, day, document, n, opponent, weapon, fencer_name, opponent_name, touches, packed)
VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?)`,
			bout.NameKey(a.Fencer), a.Day, seq, r.n, bout.NameKey(a.Opponent), string(a.Weapon), a.Fencer, a.Opponent, a.To, packActs(r.acts)); err != nil {
			return err
		}
	}
	return nil
}

// indexStamp names the indexer and the way of packing that made an index.
func indexStamp() string { return fmt.Sprintf("acts %d, packed %d", study.ActsVersion, packVersion) }

// reindex makes the index anew where another version of the indexer made it, or a
// program without one has changed bouts since.
func (l *library) reindex(ctx context.Context) error {
	if l.acts == nil {
		return nil
	}
	var made string
	if err := l.db.QueryRowContext(ctx, `SELECT made FROM act_index`).Scan(&made); err != nil {
		return err
	}
	if made == indexStamp() {
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
		_, err = tx.ExecContext(ctx, `UPDATE act_index SET made = ?`, indexStamp())
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

// actQuery is the SQL of a query of acts: its runs, the oldest first, or the newest
// first where only so many are wanted. The join is a CROSS JOIN so that SQLite begins
// with the acts, which stand in the order that is asked for; without statistics it
// takes the table for all of a fencer to be as good for a pair, so the index of the
// pairs is named.
func actQuery(q study.ActQuery) (string, []any) {
	by := ""
	if q.Opponent != "" {
		by = "INDEXED BY act_pair "
	}
	text := `
SELECT d.id, a.day, a.weapon, a.fencer_name, a.opponent_name, a.touches, a.packed
FROM act a ` + by + `CROSS JOIN document d ON d.seq = a.document
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
		return text + ` ORDER BY a.day DESC, a.document DESC, a.n DESC`, args
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
	u := unpacker{words: map[string]string{}}
	for rows.Next() {
		var a study.Act
		var packed sql.RawBytes
		if err := rows.Scan(&a.Bout, &a.Day, &a.Weapon, &a.Fencer, &a.Opponent, &a.To, &packed); err != nil {
			return nil, err
		}
		first := len(all)
		if all, err = u.unpack(all, a, packed); err != nil {
			return nil, fmt.Errorf("%w: the choices of the bout %q: %w", ErrDamaged, string(a.Bout), err)
		}
		if q.Newest > 0 {
			slices.Reverse(all[first:]) // as the rows are
			if len(all) >= q.Newest {
				all = all[:q.Newest]
				break
			}
		}
	}
	if q.Newest > 0 {
		slices.Reverse(all)
	}
	return all, rows.Err()
}

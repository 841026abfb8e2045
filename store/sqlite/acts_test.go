package sqlite

import (
	"context"
	"fmt"
	"strings"
	"testing"

	"mesure/sport/bout"
	"mesure/study"
)

// choices is an indexer that counts how often it was asked: the body is the choice.
func choices(asked *int) study.Indexer {
	return func(d study.Document) []study.Act {
		*asked++
		return []study.Act{{Bout: d.ID, Fencer: "Ash", Choice: string(d.Body)}}
	}
}

// A library of the schema before there was an index is indexed when it is opened, once;
// again where a program without an indexer has changed it, or another version of the
// indexer made the index.
func TestOldLibraryIsIndexed(t *testing.T) {
	ctx, dir := context.Background(), t.TempDir()
	asked := 0
	at := func(steps []string, acts study.Indexer) *library {
		t.Helper()
		l, err := open(ctx, dir, Options{Acts: acts}, steps)
		if err != nil {
			t.Fatal(err)
		}
		return l
	}
	old := at(migrations[:1], nil)
	for i := range 3 {
		// Made as the program of that version made it: it knew no acts.
		_, err := old.db.Exec(`INSERT INTO document (id, kind, revision, last) VALUES (?1, 'bout', 1, 1);
INSERT INTO state VALUES (?1, 1, '', 0, ?2)`, fmt.Sprint("b", i), fmt.Sprint(i))
		if err != nil {
			t.Fatal(err)
		}
	}
	old.Close()
	want := func(l *library, bodies string, calls int) {
		t.Helper()
		all, err := l.Acts(ctx, study.ActQuery{Fencer: "ash"})
		if err != nil {
			t.Fatal(err)
		}
		got := ""
		for _, a := range all {
			got += a.Choice
		}
		if got != bodies || asked != calls {
			t.Errorf("acts %q after the indexer was asked %d times, want %q and %d", got, asked, bodies, calls)
		}
	}
	l := at(migrations, choices(&asked))
	want(l, "012", 3)
	l.Close()
	l = at(migrations, choices(&asked))
	want(l, "012", 3)
	l.Close()

	l = at(migrations, nil)
	if all, err := l.Acts(ctx, study.ActQuery{Fencer: "ash"}); err != nil || all != nil {
		t.Errorf("without an indexer: %v, %v", all, err)
	}
	if _, err := l.Save(ctx, "b1", 1, "", []byte(`7`)); err != nil {
		t.Fatal(err)
	}
	l.Close()
	l = at(migrations, choices(&asked))
	want(l, "072", 6)
	if _, err := l.db.Exec(`UPDATE act_index SET made = 'acts 0'`); err != nil {
		t.Fatal(err)
	}
	l.Close()
	l = at(migrations, choices(&asked))
	want(l, "072", 9)
	l.Close()
}

// What is deleted leaves nothing behind in the index, which no query would show.
func TestDeletedActsAreGone(t *testing.T) {
	ctx := context.Background()
	l, err := open(ctx, t.TempDir(), Options{Acts: choices(new(int))}, migrations)
	if err != nil {
		t.Fatal(err)
	}
	defer l.Close()
	for want := range 2 {
		var rows int
		if err := l.db.QueryRow(`SELECT count(*) FROM act`).Scan(&rows); err != nil || rows != want {
			t.Fatalf("%d rows, %v; want %d", rows, err, want)
		}
		if want == 0 {
			if _, err := l.Create(ctx, study.Document{ID: "a", Kind: study.KindBout, Body: []byte(`1`)}); err != nil {
				t.Fatal(err)
			}
		}
	}
	if err := l.Delete(ctx, "a", 1); err != nil {
		t.Fatal(err)
	}
	var rows int
	if err := l.db.QueryRow(`SELECT count(*) FROM act`).Scan(&rows); err != nil || rows != 0 {
		t.Errorf("%d rows are left, %v", rows, err)
	}
}

// Every query reads a stretch of an index and sorts nothing, by SQLite's own account
// (EXPLAIN QUERY PLAN, sqlite.org/eqp.html): a SCAN reads a whole table, and a TEMP
// B-TREE sorts.
func TestActsAreFoundByIndex(t *testing.T) {
	ctx := context.Background()
	l, err := open(ctx, t.TempDir(), Options{Acts: choices(new(int))}, migrations)
	if err != nil {
		t.Fatal(err)
	}
	defer l.Close()
	plan := func(text string, args ...any) string {
		t.Helper()
		rows, err := l.db.QueryContext(ctx, `EXPLAIN QUERY PLAN `+text, args...)
		if err != nil {
			t.Fatal(err)
		}
		defer rows.Close()
		var all []string
		for rows.Next() {
			var id, parent, unused int
			var detail string
			if err := rows.Scan(&id, &parent, &unused, &detail); err != nil {
				t.Fatal(err)
			}
			all = append(all, detail)
		}
		if err := rows.Err(); err != nil {
			t.Fatal(err)
		}
		return strings.Join(all, "; ")
	}
	for _, c := range []struct {
		q    study.ActQuery
		want string
	}{
		{study.ActQuery{Fencer: "Ash"}, "SEARCH a USING PRIMARY KEY (fencer=?)"},
		{study.ActQuery{Fencer: "Ash", Newest: 200}, "SEARCH a USING PRIMARY KEY (fencer=?)"},
		{study.ActQuery{Fencer: "Ash", Before: "2026-01-01"}, "SEARCH a USING PRIMARY KEY (fencer=? AND day<?)"},
		{study.ActQuery{Fencer: "Ash", Before: "2026-01-01", Without: "b", SameDay: true, Weapon: bout.Epee}, "SEARCH a USING PRIMARY KEY (fencer=? AND day<?)"},
		{study.ActQuery{Fencer: "Ash", Opponent: "Brook"}, "SEARCH a USING INDEX act_pair (fencer=? AND opponent=?)"},
		{study.ActQuery{Fencer: "Ash", Opponent: "Brook", Before: "2026-01-01", Newest: 9}, "SEARCH a USING INDEX act_pair (fencer=? AND opponent=? AND day<?)"},
	} {
		text, args := actQuery(c.q)
		got := plan(text, args...)
		if !strings.HasPrefix(got, c.want) || strings.Contains(got, "SCAN") || strings.Contains(got, "TEMP B-TREE") {
			t.Errorf("%+v:\n%s\nwant it to begin with %s and neither scan nor sort", c.q, got, c.want)
		}
	}
	if got := plan(`DELETE FROM act WHERE document = 1`); !strings.HasPrefix(got, "SEARCH act USING INDEX act_document") {
		t.Errorf("taking the acts of a bout away: %s", got)
	}
}

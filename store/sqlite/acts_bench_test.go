package sqlite

import (
	"context"
	"database/sql"
	"fmt"
	"math/rand/v2"
	"slices"
	"testing"
	"time"

	"mesure/sport/bout"
	"mesure/study"
)

// The library that is asked: a million acts, of whom one fencer has five hundred bouts,
// forty of them against one opponent.
const (
	benchBouts   = 17_250
	benchLines   = 29 // both choose on each
	benchFencers = 800
	benchStar    = 500
	benchPair    = 40
)

// benchActs are the acts of bout i.
func benchActs(i int, r *rand.Rand) []study.Act {
	name := func(n int) string { return fmt.Sprintf("Fencer Number %d", n) }
	sides := [2]string{name(2 + r.IntN(benchFencers)), name(2 + r.IntN(benchFencers))}
	if i%(benchBouts/benchStar) == 0 {
		sides[0] = name(0)
		if i%(benchBouts/benchPair) < benchBouts/benchStar {
			sides[1] = name(1)
		}
	}
	choices := [...]string{"lunge", "flèche", "remise", "parry", "stop hit", "beat", "disengage"}
	measures := [...]string{"", "short", "medium", "long"}
	day := time.Date(2020, 1, 1, 0, 0, 0, 0, time.UTC).AddDate(0, 0, r.IntN(2400)).Format(time.DateOnly)
	var all []study.Act
	score := [2]int{}
	for n := 1; n <= benchLines; n++ {
		chosen := [2]string{choices[r.IntN(len(choices))], choices[r.IntN(len(choices))]}
		hit := r.IntN(2)
		for s := range 2 {
			outcome := study.OutcomeAgainst
			if s == hit {
				outcome = study.OutcomeHit
			}
			all = append(all, study.Act{Day: day, Line: fmt.Sprint("line-", n), Number: n, Fencer: sides[s], Opponent: sides[1-s], Weapon: bout.Epee,
				Choice: chosen[s], Answer: chosen[1-s], Mine: score[s], Theirs: score[1-s], To: 15, Measure: measures[r.IntN(4)], Outcome: outcome})
		}
		score[hit]++
	}
	return all
}

// stock fills a library with bouts in one transaction, along the path of Create.
func stock(tb testing.TB, l *library, bouts int) {
	ctx, r := context.Background(), rand.New(rand.NewPCG(6, 1))
	l.acts = func(d study.Document) []study.Act {
		var i int
		fmt.Sscanf(string(d.Body), "%d", &i)
		return benchActs(i, r)
	}
	err := l.change(ctx, func(tx *sql.Tx) error {
		for i := range bouts {
			d := study.Document{ID: study.ID(fmt.Sprintf("%020d", i)), Kind: study.KindBout, Body: []byte(fmt.Sprint(i))}
			if _, err := tx.ExecContext(ctx, `INSERT INTO document (id, kind, revision, last) VALUES (?, 'bout', 1, 1)`, d.ID); err != nil {
				return err
			}
			if err := l.keep(ctx, tx, d.ID, 1, "", d.Body); err != nil {
				return err
			}
			if err := l.index(ctx, tx, d); err != nil {
				return err
			}
		}
		return nil
	})
	if err != nil {
		tb.Fatal(err)
	}
}

// readAll does without the index: it reads every act there is and counts a fencer's.
func readAll(ctx context.Context, l *library, fencer string) (int, error) {
	rows, err := l.db.QueryContext(ctx, `SELECT fencer_name, packed FROM act`)
	if err != nil {
		return 0, err
	}
	defer rows.Close()
	n, key, u := 0, bout.NameKey(fencer), unpacker{words: map[string]string{}}
	var all []study.Act
	for rows.Next() {
		var a study.Act
		var packed sql.RawBytes
		if err := rows.Scan(&a.Fencer, &packed); err != nil {
			return 0, err
		}
		if all, err = u.unpack(all[:0], a, packed); err != nil {
			return 0, err
		}
		if bout.NameKey(a.Fencer) == key {
			n += len(all)
		}
	}
	return n, rows.Err()
}

// BenchmarkActs asks a library of a million acts; it says the median of 21 times. Run
// it with -benchtime 1x: the library takes longer to be made than to be asked.
func BenchmarkActs(b *testing.B) {
	ctx := context.Background()
	l, err := open(ctx, b.TempDir(), Options{Acts: choices(new(int))}, migrations)
	if err != nil {
		b.Fatal(err)
	}
	defer l.Close()
	stock(b, l, benchBouts)
	if acts := 2 * benchLines * benchBouts; acts < 1_000_000 {
		b.Fatalf("the library has only %d acts", acts)
	}
	star, other := "fencer number 0", "FENCER NUMBER 1"
	median := func(times int, ask func() (int, error)) (time.Duration, int) {
		var all []time.Duration
		n := 0
		for range times {
			start := time.Now()
			var err error
			if n, err = ask(); err != nil {
				b.Fatal(err)
			}
			all = append(all, time.Since(start))
		}
		slices.Sort(all)
		return all[len(all)/2], n
	}
	for _, c := range []struct {
		name string
		q    study.ActQuery
	}{
		{"fencer", study.ActQuery{Fencer: star}},
		{"pair", study.ActQuery{Fencer: star, Opponent: other}},
		{"newest", study.ActQuery{Fencer: star, Newest: 200}},
		{"before", study.ActQuery{Fencer: star, Weapon: bout.Epee, Before: "2023-01-01", SameDay: true, Without: "00000000000000000345"}},
	} {
		b.Run(c.name, func(b *testing.B) {
			for b.Loop() {
				took, n := median(21, func() (int, error) {
					all, err := l.Acts(ctx, c.q)
					return len(all), err
				})
				scan, scanned := median(3, func() (int, error) { return readAll(ctx, l, c.q.Fencer) })
				if n == 0 || scanned == 0 {
					b.Fatalf("%d acts, by reading all %d", n, scanned)
				}
				b.ReportMetric(took.Seconds()*1000, "median_ms")
				b.ReportMetric(float64(n), "acts")
				b.ReportMetric(float64(scan)/float64(took), "times_reading_all")
				b.ReportMetric(0, "ns/op")
			}
		})
	}
}

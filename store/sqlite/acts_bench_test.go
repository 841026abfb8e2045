package sqlite

import (
	"context"
	"database/sql"
	"fmt"
	"math/rand/v2"
	"slices"
	"strings"
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
				// The same rows where no index may be used: a plus makes a column an expression.
				text, args := actQuery(c.q)
				text = strings.NewReplacer("a.fencer = ?", "+a.fencer = ?", "a.opponent = ?", "+a.opponent = ?", "INDEXED BY act_pair ", "").Replace(text)
				scan, scanned := median(3, func() (int, error) {
					rows, err := l.db.QueryContext(ctx, text, args...)
					if err != nil {
						return 0, err
					}
					defer rows.Close()
					k := 0
					for rows.Next() {
						k++
					}
					return k, rows.Err()
				})
				if n == 0 || scanned == 0 {
					b.Fatalf("%d acts, by a scan %d runs", n, scanned)
				}
				b.ReportMetric(took.Seconds()*1000, "median_ms")
				b.ReportMetric(float64(n), "acts")
				b.ReportMetric(float64(scan)/float64(took), "times_a_scan")
				b.ReportMetric(0, "ns/op")
			}
		})
	}
}

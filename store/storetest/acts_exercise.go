package storetest

import (
	"context"
	"encoding/json"
	"fmt"
	"reflect"
	"testing"

	"mesure/sport/bout"
	"mesure/study"
)

// actsOfBody is the indexer of the suite: a body that is a list of acts has them, any
// other has none.
func actsOfBody(d study.Document) []study.Act {
	var all []study.Act
	if json.Unmarshal(d.Body, &all) != nil {
		return nil
	}
	for i := range all {
		all[i].Bout = d.ID
	}
	return all
}

// act is one choice in an épée bout to 15, with every field filled in.
func act(day, fencer, opponent, choice string) study.Act {
	return study.Act{Day: day, Line: "line-1", Number: 1, Fencer: fencer, Opponent: opponent, Weapon: bout.Epee,
		Choice: choice, Answer: "parry", Mine: 3, Theirs: 4, To: 15, Measure: "medium", Outcome: study.OutcomeDouble}
}

func bodyOf(acts []study.Act) json.RawMessage {
	body, err := json.Marshal(acts)
	if err != nil {
		panic(err)
	}
	return body
}

// addActs makes a bout with these acts.
func addActs(t *testing.T, l study.Library, id study.ID, acts ...study.Act) study.Document {
	t.Helper()
	return must[study.Document](t)(l.Create(context.Background(), study.Document{ID: id, Kind: study.KindBout, Body: bodyOf(acts)}))
}

// wantActs asks and compares the choices, each with its bout.
func wantActs(t *testing.T, l study.Library, q study.ActQuery, want ...string) {
	t.Helper()
	var got []string
	for _, a := range must[[]study.Act](t)(l.Acts(context.Background(), q)) {
		got = append(got, fmt.Sprintf("%s %s", a.Bout, a.Choice))
	}
	if !reflect.DeepEqual(got, want) {
		t.Errorf("%+v: got %q, want %q", q, got, want)
	}
}

// The index shows what the library shows: a save replaces, undo and redo follow, and
// what is deleted is gone, with what belonged to it.
func testActsFollow(t *testing.T, l study.Library) {
	ctx := context.Background()
	ash := study.ActQuery{Fencer: "Ash"}
	first := act("2026-03-01", "Ash", "Brook", "lunge")
	d := addActs(t, l, "a", first, act("2026-03-01", "Brook", "Ash", "parry"))
	first.Bout = "a"
	if got := must[[]study.Act](t)(l.Acts(ctx, ash)); !reflect.DeepEqual(got, []study.Act{first}) {
		t.Errorf("got %+v, want %+v", got, first)
	}
	d = must[study.Document](t)(l.Save(ctx, "a", d.Revision, "", bodyOf([]study.Act{
		act("2026-03-01", "Ash", "Brook", "flèche"), act("2026-03-01", "Ash", "Brook", "remise")})))
	wantActs(t, l, ash, "a flèche", "a remise")
	wantActs(t, l, study.ActQuery{Fencer: "Brook"})
	d = must[study.Document](t)(l.Undo(ctx, "a", d.Revision))
	wantActs(t, l, ash, "a lunge")
	wantActs(t, l, study.ActQuery{Fencer: "Brook"}, "a parry")
	d = must[study.Document](t)(l.Redo(ctx, "a", d.Revision))
	wantActs(t, l, ash, "a flèche", "a remise")
	if _, err := l.Save(ctx, "a", d.Revision-1, "", bodyOf(nil)); err == nil {
		t.Error("a stale base was taken")
	}
	wantActs(t, l, ash, "a flèche", "a remise")
	// A touch has no acts whatever stands in it.
	must[study.Document](t)(l.Create(ctx, study.Document{ID: "t", Kind: study.KindTouch, Of: "a", Body: bodyOf([]study.Act{first})}))
	wantActs(t, l, ash, "a flèche", "a remise")
	if err := l.Delete(ctx, "a", d.Revision); err != nil {
		t.Fatal(err)
	}
	wantActs(t, l, ash)
}

// A query folds names and takes opponent, weapon, day and bout into account; the
// oldest come first, whenever they were put in, and Newest cuts the oldest off.
func testActsChosen(t *testing.T, l study.Library) {
	foil := act("2026-05-01", "Zoé Ash", "Brook", "counter-attack")
	foil.Weapon = bout.Foil
	addActs(t, l, "late", act("2026-06-01", "zoe  ash", "Brook", "lunge"), act("2026-06-01", "Brook", "zoe ash", "parry"),
		act("2026-06-01", "ZOÉ ASH", "Brook", "flèche"))
	addActs(t, l, "foil", foil)
	addActs(t, l, "early", act("2026-01-01", "Zoé Ash", "Cedar", "remise"))
	addActs(t, l, "undated", act("", "Zoé Ash", "BROOK ", "feint"))
	addActs(t, l, "other", act("2026-02-01", "Zoé Asher", "Brook", "lunge"))
	addActs(t, l, "nameless", act("2026-02-01", "", "Brook", "lunge"))
	all := []string{"undated feint", "early remise", "foil counter-attack", "late lunge", "late flèche"}
	for _, c := range []struct {
		q    study.ActQuery
		want []string
	}{
		{study.ActQuery{Fencer: "Zoé Ash"}, all},
		{study.ActQuery{Fencer: " zOE ASH"}, all},
		{study.ActQuery{Fencer: "Zoé"}, nil},
		{study.ActQuery{Fencer: ""}, nil},
		{study.ActQuery{Fencer: " "}, nil},
		{study.ActQuery{Opponent: "Brook"}, nil},
		{study.ActQuery{Fencer: "Zoé Ash", Opponent: "brook"}, []string{"undated feint", "foil counter-attack", "late lunge", "late flèche"}},
		{study.ActQuery{Fencer: "Zoé Ash", Opponent: "brook", Newest: 3}, []string{"foil counter-attack", "late lunge", "late flèche"}},
		{study.ActQuery{Fencer: "Zoé Ash", Weapon: bout.Epee}, []string{"undated feint", "early remise", "late lunge", "late flèche"}},
		{study.ActQuery{Fencer: "Zoé Ash", Weapon: bout.Sabre}, nil},
		{study.ActQuery{Fencer: "Zoé Ash", Without: "late"}, all[:3]},
		{study.ActQuery{Fencer: "Zoé Ash", Without: "nowhere"}, all},
		{study.ActQuery{Fencer: "Zoé Ash", Before: "2026-06-01"}, all[:3]},
		{study.ActQuery{Fencer: "Zoé Ash", Before: "2026-05-01", Without: "early"}, []string{"undated feint"}},
		{study.ActQuery{Fencer: "Zoé Ash", Before: "2026-06-02", Newest: 1}, all[4:]},
		{study.ActQuery{Fencer: "Zoé Ash", Newest: 2}, all[3:]},
		{study.ActQuery{Fencer: "Zoé Ash", Newest: 9}, all},
	} {
		wantActs(t, l, c.q, c.want...)
	}
}

// Of one day stand first what was put in first; SameDay keeps what was put in before
// the bout that is asked about, and nothing where that is not there.
func testActsSameDay(t *testing.T, l study.Library) {
	ctx := context.Background()
	const day = "2026-04-04"
	pool := addActs(t, l, "z-pool", act(day, "Ash", "Brook", "lunge"))
	addActs(t, l, "m-eight", act(day, "Ash", "Cedar", "feint"))
	addActs(t, l, "a-final", act(day, "Ash", "Brook", "flèche"))
	addActs(t, l, "before", act("2026-04-03", "Ash", "Brook", "remise"))
	// A later change of the pool does not move it.
	must[study.Document](t)(l.Save(ctx, pool.ID, pool.Revision, "", bodyOf([]study.Act{act(day, "Ash", "Brook", "stop hit")})))
	wantActs(t, l, study.ActQuery{Fencer: "Ash"}, "before remise", "z-pool stop hit", "m-eight feint", "a-final flèche")
	wantActs(t, l, study.ActQuery{Fencer: "Ash", Before: day, Without: "a-final"}, "before remise")
	q := study.ActQuery{Fencer: "Ash", Before: day, SameDay: true, Without: "a-final"}
	wantActs(t, l, q, "before remise", "z-pool stop hit", "m-eight feint")
	q.Without = "m-eight"
	wantActs(t, l, q, "before remise", "z-pool stop hit")
	q.Newest = 1
	wantActs(t, l, q, "z-pool stop hit")
	q.Without, q.Newest = "nowhere", 0
	wantActs(t, l, q, "before remise")
	q.Without = ""
	wantActs(t, l, q, "before remise")
}

// Within a bout acts stand as the indexer has them, also where opponents change and come
// again, as in a relay, and a name is spelt in two ways.
func testActsOrder(t *testing.T, l study.Library) {
	addActs(t, l, "relay", act("", "Ash", "Xan", "one"), act("", "Xan", "Ash", "1"), act("", "Birch", "Yew", "b"), act("", "Ash", "Zed", "two"),
		act("", "Ash", "Xan", "three"), act("", "ASH", "Xan", "four"), act("", "Ash", "Xan", "five"), act("", "Xan", "Ash", "2"))
	wantActs(t, l, study.ActQuery{Fencer: "Ash"}, "relay one", "relay two", "relay three", "relay four", "relay five")
	wantActs(t, l, study.ActQuery{Fencer: "Ash", Opponent: "xan"}, "relay one", "relay three", "relay four", "relay five")
	wantActs(t, l, study.ActQuery{Fencer: "Ash", Newest: 3}, "relay three", "relay four", "relay five")
	wantActs(t, l, study.ActQuery{Fencer: "Xan"}, "relay 1", "relay 2")
}

// What the indexer finds nothing in is stored as well, and takes its acts away.
func testActsUnread(t *testing.T, l study.Library) {
	ctx := context.Background()
	d := addActs(t, l, "a", act("", "Ash", "Brook", "lunge"))
	d = save(t, l, d, "something else")
	wantActs(t, l, study.ActQuery{Fencer: "Ash"})
	must[study.Document](t)(l.Undo(ctx, "a", d.Revision))
	wantActs(t, l, study.ActQuery{Fencer: "Ash"}, "a lunge")
}

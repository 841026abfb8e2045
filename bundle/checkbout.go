package bundle

import (
	"strconv"
	"strings"

	"mesure/sport/bout"
)

// checkBout looks at what no single field of a bout file can show.
func checkBout(f *boutSheetFile, p *problems) {
	videos := newNames("video")
	for i, v := range f.Videos {
		videos.add(p, item("/videos", i)+"/id", v.ID, i)
	}
	checkSheet(f.Bout, p)
	checkWords(f.Words, p)
	if f.Bout == nil {
		return
	}
	for i, q := range f.Bout.Sheet {
		if q.Video != "" {
			videos.find(p, item("/bout/sheet", i)+"/video", q.Video)
		}
	}
}

// checkSheet looks at the names and numbers of the lines of a sheet. Whether they
// follow the rules is no question of the file: see bout.Bout.Doubts.
func checkSheet(f *boutFile, p *problems) {
	if f == nil {
		return
	}
	checkOwn(p, "/bout/left/own", f.Left)
	checkOwn(p, "/bout/right/own", f.Right)
	numbers, ids := map[int]int{}, map[string]int{}
	for i, q := range f.Sheet {
		at := item("/bout/sheet", i)
		if first, twice := numbers[q.Number]; twice && q.Number != 0 {
			p.add(at+"/number", "touch %d is already written in /bout/sheet/%d", q.Number, first)
		}
		numbers[q.Number] = i
		if first, twice := ids[q.ID]; twice && q.ID != "" {
			p.add(at+"/id", "%s is already the name of /bout/sheet/%d: give one of the two another name", quote(q.ID), first)
		}
		ids[q.ID] = i
	}
}

// checkOwn looks at the numbers of a fencer's own: each is known, within the bounds of
// its name, and given once.
func checkOwn(p *problems, at string, f *fencerFile) {
	if f == nil {
		return
	}
	figures := bout.OwnFigures()
	seen := map[string]int{}
	for i, o := range f.Own {
		here := item(at, i)
		figure, known := bout.OwnFigureNamed(o.Name)
		switch {
		case !known:
			var names []string
			for _, g := range figures {
				names = append(names, g.Name)
			}
			hint := ": known are " + strings.Join(names, ", ")
			if near := nearest(o.Name, names); near != "" {
				hint = ": did you mean " + strconv.Quote(near) + "?"
			}
			p.add(here+"/name", "%s is no number that a fencer can have of their own%s", quote(o.Name), hint)
			continue
		case !(o.Value >= figure.Least && o.Value <= figure.Most):
			p.add(here+"/value", "%g %s is no %s (%q): it lies from %g to %g %s",
				o.Value, figure.Unit, figure.Word, figure.Name, figure.Least, figure.Most, figure.Unit)
		}
		if first, twice := seen[o.Name]; twice {
			p.add(here+"/name", "%s is already given in %s: keep one of the two", quote(o.Name), item(at, first))
			continue
		}
		seen[o.Name] = i
	}
}

// checkWords: each of the coach's own words can be added to the trade's.
func checkWords(all []wordFile, p *problems) {
	var v bout.Vocabulary
	for i, w := range all {
		n, err := v.Add(bout.TradeWord{Name: w.Word, Kind: bout.ActionKind(w.Kind), French: w.French, German: w.German, Italian: w.Italian})
		if err != nil {
			p.add(item("/words", i)+"/word", "%v", err)
			continue
		}
		v = n
	}
}

package bundle

// checkBout looks at what no single field of a bout file can show.
func checkBout(f *boutSheetFile, p *problems) {
	videos := newNames("video")
	for i, v := range f.Videos {
		videos.add(p, item("/videos", i)+"/id", v.ID, i)
	}
	checkSheet(f.Bout, p)
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

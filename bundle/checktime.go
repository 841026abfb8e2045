package bundle

// checkBrackets looks at the frames between which a moment lies, in its own take
// and in the others that show it.
func checkBrackets(p *problems, at string, m momentFile, list []takeFile, takes *names) {
	bracket := func(at, take string, after, by int) {
		if k, ok := takes.find(p, at+"/take", take); ok {
			insideTake(p, at+"/after_frame", list[k], after)
			insideTake(p, at+"/by_frame", list[k], by)
		}
		if by <= after {
			p.add(at+"/by_frame", "frame %d does not come after after_frame, %d: a moment lies between two frames", by, after)
		}
	}
	bracket(at, m.Take, m.After, m.By)
	seen := map[string]string{m.Take: at}
	for i, b := range m.Also {
		here := item(at+"/also", i)
		bracket(here, b.Take, b.After, b.By)
		if first, twice := seen[b.Take]; twice {
			p.add(here+"/take", "the take %s already brackets this moment in %s: keep the better bracket", quote(b.Take), first)
			continue
		}
		seen[b.Take] = here
	}
}

// checkHidden looks at the stretches on which a point cannot be seen.
func checkHidden(p *problems, all []hiddenFile, list []takeFile, takes *names) {
	known := pointWords()
	for i, h := range all {
		at := item("/hidden", i)
		if k, ok := takes.find(p, at+"/take", h.Take); ok {
			insideTake(p, at+"/from", list[k], h.From)
			insideTake(p, at+"/to", list[k], h.To)
		}
		if h.To < h.From {
			p.add(at+"/to", "the stretch ends at frame %d, before its first frame %d", h.To, h.From)
		}
		if slip := slipOf(h.What, known); slip != "" {
			p.add(at+"/what", "%s is no point of interest: did you mean %q? A free name must differ by more", quote(h.What), slip)
		}
	}
}

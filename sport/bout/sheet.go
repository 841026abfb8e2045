package bout

// Scored returns the bout with number and score of every line filled in from the
// lines above it, by the rules of weapon and format. The bout handed in is not
// changed.
func (b Bout) Scored() Bout {
	lines := make([]Phrase, len(b.Sheet))
	var score Score
	if b.Start != nil {
		score = *b.Start
	}
	for i, p := range b.Sheet {
		p.Number, p.Before = max(1, b.First)+i, score
		if !p.Annulled {
			score = score.Apply(p.Lamps, b.Touches)
		}
		p.After = score
		lines[i] = p
	}
	b.Sheet = lines
	return b
}

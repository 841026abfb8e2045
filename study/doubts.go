package study

// Doubts returns what the rules make of the sheet, line by line. About is the
// name of the line.
func (b *BoutSheet) Doubts() []Warning {
	all := []Warning{}
	for _, d := range b.Bout.Doubts() {
		all = append(all, Warning{Code: d.Code, About: b.Bout.Sheet[d.Line].ID, Doubt: 1, Text: d.Text})
	}
	return all
}

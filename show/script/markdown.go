package script

import (
	"bufio"
	"fmt"
	"io"
	"math"
	"strings"
)

// WriteMarkdown writes the script as CommonMark: a heading for each part with how long it
// takes to say, a paragraph for each line, and where each number comes from. What is
// stale (see Refresh) is marked where it stands; nil marks nothing. Equal scripts give
// equal bytes. It returns the error of w.
func WriteMarkdown(w io.Writer, s *Script, stale []Stale) error {
	b := bufio.NewWriter(w)
	t := s.language().Titles
	title := s.Title
	if title == "" {
		title = t["page"].Title
	}
	fmt.Fprintf(b, "# %s\n\n", escaped(title))
	lo, hi := s.Time().Lo, s.Time().Hi
	fmt.Fprintf(b, "%s. %s %s.\n", t["level/"+string(s.Level)].Title, t["takes"].Title, span(float64(lo), float64(hi)))
	marks := map[[3]int]Stale{}
	for _, x := range stale {
		marks[[3]int{x.Part, x.Line, x.Piece}] = x
	}
	for i, p := range s.Parts {
		q := s.TimeOf(p)
		fmt.Fprintf(b, "\n## %s (%s)\n", t[p.Kind].Title, span(float64(q.Lo), float64(q.Hi)))
		for j, l := range p.Lines {
			b.WriteString("\n")
			for k, x := range l.Pieces {
				text := escaped(x.Text)
				if k == 0 {
					text = paragraph(text)
				}
				b.WriteString(text)
				if m, ok := marks[[3]int{i, j, k}]; ok {
					fmt.Fprintf(b, " **(%s)**", staleWords(m, t))
				}
			}
			b.WriteString("\n")
			if _, ok := marks[[3]int{i, j, -1}]; ok {
				fmt.Fprintf(b, "\n> **%s**\n", t["claim"].Title)
			}
		}
	}
	if len(s.Sources) > 0 {
		fmt.Fprintf(b, "\n## %s\n\n", t["numbers"].Title)
		said := map[string]bool{}
		for _, f := range s.inOrder() {
			line := fmt.Sprintf("- %s: %s.", escaped(f.Text), escaped(strings.TrimSuffix(f.Title, ".")))
			if f.How != "" {
				line += " " + escaped(strings.TrimSuffix(f.How, ".")) + "."
			}
			if !said[line] {
				said[line] = true
				fmt.Fprintln(b, line)
			}
		}
		fmt.Fprintf(b, "\n%s\n", t["doubts"].How)
	}
	return b.Flush()
}

// inOrder are the sources as the lines name them.
func (s *Script) inOrder() []Fact {
	at := map[string]Fact{}
	for _, f := range s.Sources {
		at[f.Ref] = f
	}
	var all []Fact
	for _, p := range s.Parts {
		for _, l := range p.Lines {
			for _, x := range l.Pieces {
				if f, ok := at[x.Ref]; ok {
					all = append(all, f)
					delete(at, x.Ref)
				}
			}
		}
	}
	return all
}

func staleWords(x Stale, t map[string]Title) string {
	if x.Now == "" {
		return t["gone"].Title
	}
	return t["stale"].Title + " " + escaped(x.Now)
}

// span prints a time to speak between two ends: "7 to 10 s", in steps of 5 s from 20 s
// on, in minutes and seconds from a minute on.
func span(lo, hi float64) string {
	step := 1.0
	if hi > 20 {
		step = 5
	}
	lo, hi = math.Floor(lo/step)*step, math.Ceil(hi/step)*step
	say := func(v float64) string { return fmt.Sprintf("%.0f", v) }
	unit := "\u00a0s"
	if hi > 60 {
		say = func(v float64) string { return fmt.Sprintf("%d:%02d", int(v)/60, int(v)%60) }
		unit = "\u00a0min"
	}
	if lo == hi {
		return say(hi) + unit
	}
	return say(lo) + " to " + say(hi) + unit
}

// marks of CommonMark that would change how a name or a title reads.
var marking = strings.NewReplacer(`\`, `\\`, "`", "\\`", "*", `\*`, "_", `\_`, "[", `\[`, "]", `\]`, "<", `\<`, ">", `\>`, "&", `\&`, "#", `\#`, "|", `\|`, "~", `\~`, "!", `\!`,
	"\r", " ", "\n", " ")

func escaped(s string) string { return marking.Replace(s) }

// paragraph keeps the first words of a line from being read as a list.
func paragraph(s string) string {
	t := strings.TrimLeft(s, " \t")
	if t == "" {
		return t
	}
	if strings.ContainsRune("-+=", rune(t[0])) {
		return `\` + t
	}
	n := 0
	for n < len(t) && t[n] >= '0' && t[n] <= '9' {
		n++
	}
	if n > 0 && n < len(t) && (t[n] == '.' || t[n] == ')') {
		return t[:n] + `\` + t[n:]
	}
	return t
}

package plate

import "testing"

// TestUnnamed: a report with hidden names tells a story that was written with them.
func TestUnnamed(t *testing.T) {
	for _, c := range []struct {
		said        string
		left, right string
		want        string
	}{
		{"Orlen leads Timo Harrak; Harrak's parry waits", "Matthis Orlen", "Timo Harrak", "Left leads Right; Right's parry waits"},
		{"Ash ashen Ashen", "Ash", "Brook", "Left ashen Ashen"},
		{"von Berg and Berg, von der Ahe", "Anna von Berg", "Eva von der Ahe", "von Left and Left, von der Right"},
		{"Anna Berg, Eva Berg, Berg", "Anna Berg", "Eva Berg", "Left, Right, the fencer"},
		{"Left hits Right", "Left", "Right", "Left hits Right"},
		{"Öberg, Maren", "Ida Maren", "Jonas Öberg", "Right, Left"},
		{"小龙 hits", "李 小龙", "Kim Vesper", "Left hits"},
		{"nobody is named", "", "", "nobody is named"},
	} {
		if got := Unnamed(c.said, [2]string{c.left, c.right}); got != c.want {
			t.Errorf("%q is said as %q, not %q", c.said, got, c.want)
		}
	}
}

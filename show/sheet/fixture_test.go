package sheet

import (
	"bytes"
	"image"
	_ "image/png"
	"os"
	"path/filepath"
	"testing"

	"mesure/show/report"
	"mesure/show/specimen"
	"mesure/sport/mark"
	"mesure/study"
)

// told is the invented reading with the timing and tactics of ../testdata, which the
// tests of packages plate, summary and chart write.
func told(t testing.TB) *study.Reading { return specimen.Told(t) }

// grey stands for the decoded frame.
func grey(string, mark.Frame) (image.Image, error) {
	m := image.NewRGBA(image.Rect(0, 0, 128, 72))
	for i := range m.Pix {
		m.Pix[i] = 120
	}
	return m, nil
}

// MESURE_SPECIMEN names a folder to put sheets in, to be looked at.
func TestSpecimenToLookAt(t *testing.T) {
	dir := os.Getenv("MESURE_SPECIMEN")
	if dir == "" {
		t.Skip("set MESURE_SPECIMEN to a folder to get the sheets")
	}
	r, stills := told(t), report.Stills(grey)
	if f, err := os.Open(filepath.Join(dir, "scene.png")); err == nil { // written by the test of package plate
		defer f.Close()
		img, _, err := image.Decode(f)
		if err != nil {
			t.Fatal(err)
		}
		stills = func(string, mark.Frame) (image.Image, error) { return img, nil }
	}
	ps, err := report.Plates(r, stills, false)
	if err != nil {
		t.Fatal(err)
	}
	for name, o := range map[string]Options{"sheet": {Program: "Mesure"}, "sheet-lesson": {Lesson: true, Program: "Mesure"}, "sheet-lesson-beginner": {Lesson: true, Level: "beginner", Names: "anonymous", Paper: Letter},
		"sheet-lesson-competitor": {Lesson: true, Level: "competitor", Names: "initials"}} {
		var h, p bytes.Buffer
		if err := WriteHTML(&h, r, nil, ps, o); err != nil {
			t.Fatal(err)
		}
		if err := WritePDF(&p, r, nil, ps, o); err != nil {
			t.Fatal(err)
		}
		for ext, b := range map[string]*bytes.Buffer{".html": &h, ".pdf": &p} {
			if err := os.WriteFile(filepath.Join(dir, name+ext), b.Bytes(), 0o644); err != nil {
				t.Fatal(err)
			}
		}
	}
}

package album

import (
	"bytes"
	"encoding/json"
	"errors"
	"image"
	"image/png"
	"io"
	"path"
	"regexp"
	"strings"
	"testing"

	"mesure/show/plate"
	"mesure/show/specimen"
	"mesure/sport/mark"
	"mesure/study"
)

// papers writes what it is given as plain JSON.
type papers struct{ study.Papers }

func (papers) WriteTouch(w io.Writer, t *study.Touch) error { return json.NewEncoder(w).Encode(t) }

func (papers) WriteReading(w io.Writer, r *study.Reading) error { return json.NewEncoder(w).Encode(r) }

// made is the album of the invented reading that the tests of package plate write.
func made(t *testing.T, o Options, more ...func(*study.Reading)) (*Album, *study.Reading) {
	t.Helper()
	r := specimen.Reading(t)
	for i := range r.Touch.Videos {
		r.Touch.Videos[i].File = "/home/coach/Ida Maren, final.MP4"
	}
	for _, f := range more {
		f(r)
	}
	a, err := Make(r, func(string, mark.Frame) (image.Image, error) {
		return image.NewRGBA(image.Rect(0, 0, 128, 72)), nil
	}, papers{}, o)
	if err != nil {
		t.Fatal(err)
	}
	return a, r
}

// TestEveryFileIsWhatItsNameSays and can be written twice.
func TestEveryFileIsWhatItsNameSays(t *testing.T) {
	a, _ := made(t, Options{Program: "Mesure 1"})
	seen := map[string]bool{}
	for _, f := range a.Files() {
		if seen[f.Name] || f.About == "" || strings.HasPrefix(f.Name, "/") || strings.Contains(f.Name, "..") {
			t.Errorf("%q: %q", f.Name, f.About)
		}
		seen[f.Name] = true
		var one, two bytes.Buffer
		if err := errors.Join(f.Write(&one), f.Write(&two)); err != nil || one.Len() == 0 || !bytes.Equal(one.Bytes(), two.Bytes()) {
			t.Errorf("%s: %d and %d bytes, %v", f.Name, one.Len(), two.Len(), err)
		}
		switch path.Ext(f.Name) {
		case ".png":
			c, err := png.DecodeConfig(&one)
			want := WidePixels
			if strings.HasSuffix(f.Name, "-phone.png") {
				want = PhonePixels
			}
			if err != nil || c.Width != want {
				t.Errorf("%s: %d pixels wide, want %d, %v", f.Name, c.Width, want, err)
			}
		case ".svg":
			if !strings.HasPrefix(one.String(), "<svg") && !strings.HasPrefix(one.String(), "<?xml") {
				t.Errorf("%s begins with %.20q", f.Name, one.String())
			}
		case ".json":
			if !json.Valid(one.Bytes()) {
				t.Errorf("%s is not JSON", f.Name)
			}
		}
	}
	for _, want := range []string{ReportName, ReadingName, TouchName, "plates/race.svg", "plates/race-phone.png"} {
		if !seen[want] {
			t.Errorf("there is no %s", want)
		}
	}
}

// TestNoFileNamesAnybody where names are hidden; what was read stays as it was.
func TestNoFileNamesAnybody(t *testing.T) {
	for _, o := range []Options{{HideNames: true}, {Names: plate.Initials}} {
		nobodyIsNamed(t, o)
	}
}

func nobodyIsNamed(t *testing.T, o Options) {
	t.Helper()
	a, r := made(t, o, func(r *study.Reading) {
		r.Tactics = specimen.Tactics(t)
	})
	for _, f := range a.Files() {
		if path.Ext(f.Name) == ".png" {
			continue
		}
		var b bytes.Buffer
		if err := f.Write(&b); err != nil {
			t.Fatal(err)
		}
		hidden := []string{"Ida Maren", "Maren", "Öberg", "Salle du Phare", "Ash", "Brook", "/home/coach"}
		if o.HideNames {
			hidden = append(hidden, "Harbour", "quarter-final")
		} else if f.Name == ReportName && (!strings.Contains(b.String(), "<bdi>IM</bdi>") || !strings.Contains(b.String(), "JÖ")) {
			t.Error("the report has no initials")
		}
		for _, name := range hidden {
			word := regexp.MustCompile(`\b` + name + `\b`) // a font in letters may hold any three
			if strings.HasPrefix(name, "/") || strings.HasPrefix(name, "Ö") {
				word = regexp.MustCompile(name)
			}
			if word.MatchString(b.String()) || word.MatchString(f.About) {
				t.Errorf("%s has %q", f.Name, name)
			}
		}
	}
	if r.Touch.Bout.Left.Name == "" || !strings.Contains(r.Touch.Videos[0].File, "Ida") {
		t.Error("the reading that was handed in lost its names")
	}
}

func TestAFrameThatCannotBeHadIsNamed(t *testing.T) {
	_, r := made(t, Options{})
	lost := errors.New("the disk is gone")
	_, err := Make(r, func(string, mark.Frame) (image.Image, error) { return nil, lost }, papers{}, Options{})
	if !errors.Is(err, lost) || !strings.Contains(err.Error(), "frame") {
		t.Errorf("%v", err)
	}
}

// Every form of a picture is what was asked for: as wide, without a ground where it is to
// be clear, in the shape of a screen for video. What is clear is read back from the pixels.
func TestFormsOfThePictures(t *testing.T) {
	a, _ := made(t, Options{})
	race := func(p Pictures, ending string) []byte {
		for _, f := range a.PlateFiles(p) {
			if f.Name == "plates/race"+ending {
				var b bytes.Buffer
				if err := f.Write(&b); err != nil {
					t.Fatal(err)
				}
				return b.Bytes()
			}
		}
		return nil
	}
	decode := func(b []byte) image.Image {
		img, err := png.Decode(bytes.NewReader(b))
		if err != nil {
			t.Fatal(err)
		}
		return img
	}
	opaque, bare := decode(race(Pictures{Width: 640}, ".png")), decode(race(Pictures{Width: 640, Transparent: true}, ".png"))
	if opaque.Bounds().Dx() != 640 || bare.Bounds() != opaque.Bounds() {
		t.Errorf("%v and %v, 640 wide was asked for", opaque.Bounds(), bare.Bounds())
	}
	_, _, _, there := opaque.At(1, 1).RGBA()
	_, _, _, gone := bare.At(1, 1).RGBA()
	if there != 0xffff || gone != 0 {
		t.Errorf("alpha of the corner is %x, without a ground %x", there, gone)
	}
	screen := decode(race(Pictures{Theme: "video", Width: 640}, ".png")).Bounds()
	if screen.Dx()*9 != screen.Dy()*16 {
		t.Errorf("for video it is %v, not 16:9", screen)
	}
	if upright := decode(race(Pictures{Theme: "video", Width: 640}, "-phone.png")).Bounds(); upright.Dx()*16 != upright.Dy()*9 && upright.Dx() != 360 {
		t.Errorf("for video the upright one is %v, not 9:16", upright)
	}
	if pdf := race(Pictures{PDF: true, Theme: "print"}, ".pdf"); !bytes.HasPrefix(pdf, []byte("%PDF-")) {
		t.Errorf("the PDF begins with %.10q", pdf)
	}
	if len(a.PlateFiles(Pictures{PDF: true})) != len(a.PlateFiles(Pictures{}))/2*3 {
		t.Error("not every plate has a PDF")
	}
}

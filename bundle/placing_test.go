package bundle_test

import (
	"bytes"
	"os"
	"strings"
	"testing"

	"mesure/bundle"
	"mesure/sport/mark"
	"mesure/sport/piste"
)

func TestPlacingMeans(t *testing.T) {
	p, err := bundle.ReadPlacing(bytes.NewReader(example(t, "placing")), "f")
	if err != nil {
		t.Fatal(err)
	}
	if p.Width != 1280 || p.Height != 720 || p.Court != 1.8 || !p.Distortion || p.Cropped {
		t.Errorf("read as %+v", p)
	}
	if q := p.Points[0]; q.On != (piste.Place{X: -2, Y: -0.9}) || q.SD != 1 || q.At != (mark.Pixel{U: 212.5, V: 540.25}) {
		t.Errorf("a named point reads as %+v", q)
	}
	if q := p.Points[4]; q.On != (piste.Place{X: 0.5, Y: 0.9}) || q.Name != "" || q.SD != 0 {
		t.Errorf("a free point reads as %+v", q)
	}
}

// A person writes this file by hand: three ways to give the size, no heading.
func TestPlacingByHand(t *testing.T) {
	for _, size := range []string{`"image": {"width": 640, "height": 360}`, `"image_size": [640, 360]`, `"width": 640, "height": 360`} {
		p, err := bundle.ReadPlacing(strings.NewReader(`{`+size+`, "points": [{"x": 1, "y": 2, "u": 3, "v": 4}]}`), "f")
		if err != nil {
			t.Error(err)
			continue
		}
		if p.Width != 640 || p.Height != 360 || p.Court != piste.Width || len(p.Points) != 1 {
			t.Errorf("%s reads as %+v", size, p)
		}
	}
}

// The short form on the page of the format is read too.
func TestPlacingShortestFormOfThePage(t *testing.T) {
	page, err := os.ReadFile("../doc/formats/placing.md")
	if err != nil {
		t.Fatal(err)
	}
	_, rest, _ := strings.Cut(string(page), "\n```\n{")
	body, _, _ := strings.Cut(rest, "```\n")
	p, err := bundle.ReadPlacing(strings.NewReader("{"+body), "f")
	if err != nil {
		t.Fatal(err)
	}
	if len(p.Points) != 4 || p.Width != 1280 {
		t.Errorf("read as %+v", p)
	}
}

func TestPlacingRefusals(t *testing.T) {
	cases := []struct{ data, want string }{
		{`{"points": []}`, `f: the size of the image is missing: write it as "image": {"width": 1280, "height": 720}`},
		{`{"width": 640, "points": []}`, `f: "height" is missing: add it to "width"`},
		{`{"height": 640, "points": []}`, `f: "width" is missing: add it to "height"`},
		{`{"width": 640, "height": 1, "image_size": [1, 2], "points": []}`, `f: the size of the image is given in two ways: keep one, such as "image": {"width": 1280, "height": 720}`},
		{`{"image_size": [1, 2, 3], "points": []}`, `f: /image_size: this list has 3 items; 2 belong here`},
		{`{"image_size": [0, 2], "points": []}`, `f: /image_size/0: 0 is below 1, the least that is allowed`},
		{`{"version": 2, "fields": 3}`, `f: /version: this file is version 2; this program reads 1: update it`},
		{`{"format": "mesure-touch"}`, `f: /format: this is a file of the format "mesure-touch"; "mesure-placing" is needed here`},
		{`{"image_size": [1, 2], "points": [{"u": 3, "v": 4}]}`, `f: /points/0: this point has no place: give it "name", or "x" and "y" in metres`},
		{`{"image_size": [1, 2], "points": [{"name": "centre-nera", "u": 3, "v": 4}]}`, `f: /points/0/name: "centre-nera" is no point of the piste: did you mean "centre-near"?`},
		{`{"image_size": [1, 2], "points": [{"name": "net", "u": 3, "v": 4}]}`, `f: /points/0/name: "net" is no point of the piste: a name is a line and an edge, such as left-on-guard-near, centre-axis or right-rear-far`},
		{`{"image_size": [1, 2], "points": [{"x": 1, "y": nan, "u": 3, "v": 4}]}`, `f: /points/0/y: line 1, column 49: nan is not a number: measure it again or leave it out`},
		{`{"image_size": [1, 2], "points": [{"x": 1, "u": 3, "v": 4}]}`, `f: /points/0: "y" is missing: add it`},
		{`{"image_size": [1, 2], "points": [{"x": 1, "y": 1, "u": 3, "v": 4, "sd": -1}]}`, `f: /points/0/sd: -1 is not above 0`},
		{`{"image_size": [1, 2], "points": [{"x_m": 1, "y": 1, "u": 3, "v": 4}]}`, `f: /points/0/x_m: there is no field "x_m" here: did you mean "x"?`},
	}
	for _, c := range cases {
		p, err := bundle.ReadPlacing(strings.NewReader(c.data), "f")
		if err == nil || p != nil {
			t.Errorf("accepted: %s", c.data)
			continue
		}
		if err.Error() != c.want {
			t.Errorf("%s\n got %s\nwant %s", c.data, err, c.want)
		}
	}
}

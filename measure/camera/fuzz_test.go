package camera

import (
	"encoding/binary"
	"math"
	"math/rand/v2"
	"testing"

	"mesure/quantity"
	"mesure/sport/mark"
	"mesure/sport/piste"
)

// pack writes a picture as the fuzz target reads it: size, options, and five
// numbers a point. Option 16 makes a mark on a line of every other point, along x
// or along y through its place.
func pack(pic Picture, options byte) []byte {
	out := binary.LittleEndian.AppendUint32(nil, uint32(pic.Width))
	out = binary.LittleEndian.AppendUint32(out, uint32(pic.Height))
	out = append(out, options)
	for _, p := range pic.Points {
		for _, v := range [5]float64{p.On.X, p.On.Y, p.At.U, p.At.V, float64(p.SD)} {
			out = binary.LittleEndian.AppendUint64(out, math.Float64bits(v))
		}
	}
	return out
}

func unpack(raw []byte) (Picture, Options, bool) {
	if len(raw) < 9 {
		return Picture{}, Options{}, false
	}
	pic := Picture{Width: int(int32(binary.LittleEndian.Uint32(raw))), Height: int(int32(binary.LittleEndian.Uint32(raw[4:])))}
	opt := Options{Distortion: raw[8]&1 != 0, Cropped: raw[8]&2 != 0}
	if raw[8]&4 != 0 {
		opt.Priors.Flat = true
	}
	if raw[8]&8 != 0 {
		opt.Lens = &Lens{Fx: 900, Fy: 900, Cx: quantity.Pixels(pic.Width) / 2, Cy: quantity.Pixels(pic.Height) / 2}
	}
	n, raw0 := 0, raw[8]
	for raw = raw[9:]; len(raw) >= 40 && n < 16; raw = raw[40:] {
		var v [5]float64
		for i := range v {
			v[i] = math.Float64frombits(binary.LittleEndian.Uint64(raw[8*i:]))
		}
		if n++; raw0&16 != 0 && n%2 == 0 {
			m := LineMark{A: piste.Place{X: v[0], Y: v[1]}, B: piste.Place{X: v[0] + 1, Y: v[1]}, At: mark.Pixel{U: v[2], V: v[3]}, SD: quantity.Pixels(v[4])}
			if n%4 == 0 {
				m.B = piste.Place{X: v[0], Y: v[1] - 2}
			}
			pic.Lines = append(pic.Lines, m)
			continue
		}
		pic.Points = append(pic.Points, Point{On: piste.Place{X: v[0], Y: v[1]}, At: mark.Pixel{U: v[2], V: v[3]}, SD: quantity.Pixels(v[4])})
	}
	return pic, opt, true
}

// FuzzPlace: whatever is marked, Place returns a named error or a camera whose
// every number is finite and whose methods keep their word; it never panics.
func FuzzPlace(f *testing.F) {
	rng := rand.New(rand.NewPCG(31, 3))
	good := sideOn().picture(rng, 1.5, 1)
	f.Add(pack(good, 0))
	f.Add(pack(good, 3))
	f.Add(pack(good, 4))
	f.Add(pack(good, 8))
	edit := func(options byte, change func(p *Picture)) {
		p := good
		p.Points = append([]Point(nil), good.Points...)
		change(&p)
		f.Add(pack(p, options))
	}
	edit(0, func(p *Picture) { p.Points[0].At.U = math.NaN() })
	edit(0, func(p *Picture) { p.Points[1].On.X = math.Inf(-1) })
	edit(1, func(p *Picture) { p.Width, p.Height = 1, 1 })
	edit(2, func(p *Picture) { p.Width, p.Height = 7680, 4320 })
	edit(0, func(p *Picture) { p.Points = p.Points[:4] })
	edit(0, func(p *Picture) { p.Points[3].At = p.Points[2].At })
	edit(3, func(p *Picture) { p.Points[2].At.U = 9e5 })
	edit(0, func(p *Picture) { p.Points[2].On = p.Points[3].On })
	edit(0, func(p *Picture) {
		for i := range p.Points {
			p.Points[i].SD = 1e-300
		}
	})
	f.Add(pack(good, 16))
	f.Add(pack(good, 16+3))
	f.Add(pack(good, 16+4))
	twice := good
	twice.Points = append(append([]Point(nil), good.Points...), good.Points...)
	f.Add(pack(twice, 16))
	f.Add([]byte{})
	f.Fuzz(func(t *testing.T, raw []byte) {
		pic, opt, ok := unpack(raw)
		if !ok {
			return
		}
		p, err := Place(pic, opt)
		if err != nil {
			if p != nil || err.Error() == "" {
				t.Fatalf("a refusal with a camera, or without a sentence: %v", err)
			}
			return
		}
		if !p.Focal.IsValid() || !p.Roll.IsValid() || !p.Covariance().IsValid() {
			t.Fatalf("not finite: %+v", p)
		}
		for k, q := range p.Position {
			if !q.IsValid() {
				t.Fatalf("coordinate %d of the camera is %v", k, q)
			}
		}
		if len(p.Residuals) != len(pic.Points)+len(pic.Lines) {
			t.Fatal("a residual is missing")
		}
		for _, w := range p.Warnings {
			if w.Code == "" || w.Text == "" || math.IsNaN(w.Doubt) {
				t.Fatalf("empty warning %+v", w)
			}
		}
		mid := mark.Pixel{U: float64(pic.Width) / 2, V: float64(pic.Height) * 0.8}
		if j, err := p.Floor(mid, 1.5); err == nil && !j.IsValid() {
			t.Fatalf("floor %v", j)
		}
		if j, err := p.Locate(AxisPlane(), []Sighting{{At: mid}}); err == nil && !j.IsValid() {
			t.Fatalf("action %v", j)
		}
		if pl, err := FitPlane(p, []Sighting{{At: mid}, {At: mark.Pixel{U: 0, V: mid.V}}}); err != nil || !pl.At0.IsValid() {
			t.Fatalf("plane %v %v", pl, err)
		}
		for _, px := range p.ProjectLine(piste.Place{X: -7}, piste.Place{X: 7}, pic.Width, pic.Height) {
			if !(px.U >= -0.5 && px.U <= float64(pic.Width)-0.5 && px.V >= -0.5 && px.V <= float64(pic.Height)-0.5) {
				t.Fatalf("%v is not in the picture", px)
			}
		}
	})
}

// Links of any kind give cameras that are numbers, or none: whatever was followed.
func FuzzLinked(f *testing.F) {
	f.Add(uint64(1), uint8(3), 0.1, 5.0, 1.0)
	f.Add(uint64(2), uint8(9), 1e-9, 1e7, 1e5)
	f.Add(uint64(3), uint8(1), 0.0, 0.0, 0.0)
	f.Fuzz(func(t *testing.T, seed uint64, n uint8, sd, spread, off float64) {
		rng := rand.New(rand.NewPCG(seed, 5))
		cams := sweep(12)
		pics := make([]Picture, len(cams))
		for i := range pics {
			pics[i] = Picture{Width: 1280, Height: 720}
		}
		pics[3] = cams[3].picture(rng, 1.5, 1)
		pics[8] = cams[8].picture(rng, 1.5, 1)
		if !(sd > 0) || math.IsInf(sd, 0) {
			sd = 0.3
		}
		var links []Link
		for i := 1; i < len(pics); i++ {
			l := Link{From: rng.IntN(len(pics)), To: i, SD: quantity.Pixels(sd)}
			if l.From == l.To {
				l.From = (i + 1) % len(pics)
			}
			for range n % 24 {
				p := mark.Pixel{U: 1280 * rng.Float64(), V: 720 * rng.Float64()}
				l.Matches = append(l.Matches, LinkMatch{p, mark.Pixel{U: p.U*off + spread*rng.NormFloat64(), V: p.V*off + spread*rng.NormFloat64()}})
			}
			links = append(links, l)
		}
		got, err := PlaceLinked(pics, links, Options{})
		if err != nil {
			return
		}
		for i, p := range got.Placings {
			if p == nil {
				continue
			}
			if !p.Focal.IsValid() || !p.Position[1].IsValid() || !p.Roll.IsValid() {
				t.Fatalf("picture %d: %+v", i, p)
			}
			if j, err := p.Floor(mark.Pixel{U: 640, V: 500}, 1); err == nil && !j.IsValid() {
				t.Fatalf("picture %d: the floor is %v", i, j)
			}
		}
	})
}

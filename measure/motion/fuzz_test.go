package motion

import (
	"encoding/binary"
	"math"
	"testing"

	"mesure/quantity"
)

// samplesFrom reads samples of two coordinates from bytes: steps of time from none to
// minutes, places from millimetres to a kilometre, errors from a micrometre on.
func samplesFrom(raw []byte) []Sample {
	var all []Sample
	at := 0.0
	for len(raw) >= 8 && len(all) < 60 {
		step := float64(raw[0])
		if raw[0] > 250 {
			step *= 100
		}
		at += step / 500
		place := func(b []byte) float64 {
			v := float64(int16(binary.LittleEndian.Uint16(b))) / 1000
			if raw[7] == 255 {
				v *= 30
			}
			return v
		}
		sd := math.Pow(10, -6+float64(raw[5])/64)
		all = append(all, Sample{
			At:    quantity.Seconds(at),
			Where: quantity.NewJoint([]float64{place(raw[1:3]), place(raw[3:5])}, []float64{sd * sd, 0.5 * sd * sd, 0.5 * sd * sd, sd * sd}),
		})
		raw = raw[8:]
	}
	return all
}

// FuzzMovement: whatever the samples, nothing panics, every number is finite, every
// variance at least nought, and what is found comes in the order of time within it.
func FuzzMovement(f *testing.F) {
	still := make([]byte, 8*30)
	moves := make([]byte, 8*30)
	double := make([]byte, 8*30)
	wild := make([]byte, 8*30)
	for i := range 30 {
		b := still[8*i:]
		b[0], b[5] = 10, 200
		copy(moves[8*i:], b[:8])
		binary.LittleEndian.PutUint16(moves[8*i+1:], uint16(1000*curve((float64(i)-10)/12)))
		copy(double[8*i:], moves[8*i:8*i+8])
		double[8*i] = byte(i % 2 * 10)
		for k := range 8 {
			wild[8*i+k] = byte(i*(k+37) + 91*k)
		}
	}
	for _, s := range [][]byte{nil, still[:8], still, moves, double, wild} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, raw []byte) {
		samples := samplesFrom(raw)
		if len(samples) == 0 {
			return
		}
		marked := make([]bool, len(samples))
		for i := range marked {
			marked[i] = i%5 == 0
		}
		for _, s := range [][]Sample{samples, Walked(samples, marked, 0.5)} {
			p, err := Smooth(s, Options{Jerk: JerkOf(s)})
			if err != nil {
				t.Fatal(err)
			}
			for _, at := range []quantity.Seconds{p.From() - 1, p.From(), (p.From() + p.To()) / 2, p.To(), p.To() + 1} {
				st := p.At(at)
				if !st.Joint.IsValid() || !st.Speed().IsValid() {
					t.Fatalf("at %v: %v, speed %v", at, st.Joint, st.Speed())
				}
				if v, _ := ClosingOn(p, quantity.Independent([]float64{1, 1}, []float64{0.1, 0.1}), at); !v.IsValid() {
					t.Fatalf("at %v: closing %v", at, v)
				}
			}
			if !p.Peak().Speed.IsValid() {
				t.Fatalf("peak %v", p.Peak())
			}
			onsets, err := Onsets(s, OnsetOptions{Least: -1})
			if err != nil {
				t.Fatal(err)
			}
			for i, o := range onsets {
				if !o.At.IsValid() || o.Sure < 0 || o.Sure > 1 || o.At.Mean < p.From() || o.At.Mean > p.To() || o.After > o.By {
					t.Fatalf("onset %+v", o)
				}
				if i > 0 && o.At.Mean < onsets[i-1].At.Mean {
					t.Fatalf("onset %+v after %+v", o, onsets[i-1])
				}
			}
			contacts, err := Contacts(s, samples, ContactOptions{Least: -1})
			if err != nil {
				t.Fatal(err)
			}
			for _, c := range contacts {
				if !c.At.IsValid() || c.Sure < 0 || c.Sure > 1 || c.After > c.By {
					t.Fatalf("contact %+v", c)
				}
			}
		}
	})
}

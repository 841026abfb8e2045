package video

import (
	"image"
	"math"
)

// Transfer is the law between the light and the samples.
type Transfer uint8

// The laws: standard dynamic range (BT.709-6 item 1.2), hybrid log-gamma and
// perceptual quantiser (BT.2100-2 tables 5 and 4). Telephones record the second.
const (
	SDR Transfer = iota
	HLG
	PQ
)

const (
	// whiteNits is the light of a white sheet in high dynamic range, in cd/m²
	// (BT.2408-7 section 2.1); it becomes the white of an ordinary screen.
	whiteNits = 203.0
	// hlgNits and hlgGamma are the peak and the system gamma of the display for
	// which HLG is shown (BT.2100-2 table 5, notes 5e and 5f).
	hlgNits  = 1000.0
	hlgGamma = 1.2
	// screenGamma is the law of an ordinary screen (BT.1886 annex 1).
	screenGamma = 2.4
	// knee is the light, as a share of white, above which highlights are bent so
	// that they do not all become white (common practice, no source).
	knee = 0.7
	// lightSteps is how finely the root of the light is looked up on its way back
	// to samples: the dark steps are then as fine as the bright ones.
	lightSteps = 4096
)

// hlgLight is the inverse of the HLG law: scene light 0…1 of a sample 0…1.
// Constants of BT.2100-2 table 5.
func hlgLight(sample float64) float64 {
	const a = 0.17883277
	const b = 1 - 4*a
	if sample <= 0.5 {
		return sample * sample / 3
	}
	return (math.Exp((sample-(0.5-a*math.Log(4*a)))/a) + b) / 12
}

// pqNits is the light of a PQ sample 0…1 in cd/m². Constants of BT.2100-2
// table 4.
func pqNits(sample float64) float64 {
	const (
		m1 = 2610.0 / 16384
		m2 = 2523.0 / 4096 * 128
		c1 = 3424.0 / 4096
		c2 = 2413.0 / 4096 * 32
		c3 = 2392.0 / 4096 * 32
	)
	p := math.Pow(sample, 1/m2)
	return 10000 * math.Pow(max(p-c1, 0)/(c2-c3*p), 1/m1)
}

// bend brings light in shares of white into 0…1.
func bend(light float64) float64 {
	if light <= knee {
		return max(light, 0)
	}
	return knee + (1-knee)*(1-math.Exp(-(light-knee)/(1-knee)))
}

// narrow turns a picture in BT.2020 colours into one for an ordinary screen.
func narrow(img *image.RGBA, law Transfer) {
	var light [256]float64
	for i := range light {
		s := float64(i) / 255
		switch law {
		case HLG:
			light[i] = hlgLight(s)
		case PQ:
			light[i] = pqNits(s) / whiteNits
		default:
			light[i] = math.Pow(s, screenGamma)
		}
	}
	var sample [lightSteps + 1]uint8
	for i := range sample {
		root := float64(i) / lightSteps
		sample[i] = uint8(math.Pow(root*root, 1/screenGamma)*255 + 0.5)
	}
	back := func(v float64) uint8 {
		if law != SDR {
			v = bend(v)
		}
		return sample[int(math.Sqrt(min(max(v, 0), 1))*lightSteps+0.5)]
	}
	redWeight, blueWeight := BT2020.weights()
	for i := 0; i+3 < len(img.Pix); i += 4 {
		r, g, b := light[img.Pix[i]], light[img.Pix[i+1]], light[img.Pix[i+2]]
		if law == HLG { // the display's part of the law, BT.2100-2 table 5
			y := redWeight*r + (1-redWeight-blueWeight)*g + blueWeight*b
			gain := hlgNits / whiteNits * math.Pow(y, hlgGamma-1)
			r, g, b = r*gain, g*gain, b*gain
		}
		// From the primaries of BT.2020 to those of BT.709: BT.2087-0 annex 2, the
		// inverse of its matrix M2.
		img.Pix[i] = back(1.6605*r - 0.5876*g - 0.0728*b)
		img.Pix[i+1] = back(-0.1246*r + 1.1329*g - 0.0083*b)
		img.Pix[i+2] = back(-0.0182*r - 0.1006*g + 1.1187*b)
	}
}

package picture

import (
	"math"

	"mesure/demo/scene"
	"mesure/sport/piste"
)

type vec = scene.Vec

// The hall, in metres: everything stands behind the piste.
const (
	wallY      = 8.6
	benchY     = 6.3
	seatPitch  = 0.74
	panelTop   = 1.15 // top of the wooden panels
	windowFoot = 2.02
	windowEach = 3.4 // spacing of the windows
	windowWide = 2.3
	lineWidth  = 0.045
	trim       = 0.035 // dark edge of the strip
	backPisteY = 3.55  // axis of the empty strip behind
	zoneBlend  = 0.004
	tableX     = 0.72
	tableY     = 2.05
	tableHalf  = 0.62
	tableDepth = 0.28
	tableTop   = 0.74
	boxHalf    = 0.30
	boxTop     = 1.06
)

// floorColour returns the colour of the floor at (x, y) and how much it mirrors.
func floorColour(x, y float64) (rgb, float32) {
	half := piste.Width / 2
	if math.Abs(y) < half+trim && math.Abs(x) < piste.RearLimit+piste.RunBack {
		return stripColour(x, y, half, true)
	}
	if d := y - backPisteY; math.Abs(d) < half+trim && math.Abs(x) < piste.RearLimit+piste.RunBack {
		c, m := stripColour(x+0.8, d, half, false)
		return c.mul(0.8), m
	}
	return boards(x, y)
}

// stripColour is the piste: a grey metal web with white lines, the last two
// metres in another colour, the run-back duller.
func stripColour(x, y, half float64, ticks bool) (rgb, float32) {
	if math.Abs(y) > half {
		return ink(38, 40, 44), 0.02
	}
	ax := math.Abs(x)
	base := ink(112, 124, 134)
	zone := ink(158, 92, 74)
	back := ink(92, 100, 108)
	c := base.mix(zone, float32(step(piste.WarningZone-zoneBlend, piste.WarningZone+zoneBlend, ax)))
	c = c.mix(back, float32(step(piste.RearLimit-zoneBlend, piste.RearLimit+zoneBlend, ax)))
	// The web: fine ribs along and seams across every 2.33 m, worn where feet go.
	rib := 0.94 + 0.06*math.Sin(y*2*math.Pi/0.035)
	wear := 0.90 + 0.16*clouds(x*1.7, y*3.1) + 0.05*cloud(x*43, y*43)
	wear *= 1 + 0.10*math.Exp(-y*y/0.06)*math.Exp(-x*x/8)
	seam := math.Abs(math.Mod(ax+1.165, 2.33) - 1.165)
	wear *= 1 - 0.22*math.Exp(-seam*seam/0.00006)
	c = c.mul(float32(rib * wear))
	line := 0.0
	for _, l := range piste.Lines() {
		if l.Painted {
			d := math.Abs(x - l.X)
			line = math.Max(line, 1-step(lineWidth/2-0.004, lineWidth/2+0.004, d))
			// A tick where the line meets the long axis.
			if ticks && d < 0.14 {
				line = math.Max(line, 1-step(0.014, 0.02, math.Abs(y)))
			}
		}
	}
	paint := ink(232, 233, 228).mul(float32(0.86 + 0.2*clouds(x*9, y*9)))
	return c.mix(paint, float32(line)*0.95), 0.10
}

// boards is the parquet: planks along the piste, each with its own tone and
// grain.
func boards(x, y float64) (rgb, float32) {
	const wide, long = 0.115, 1.45
	row := math.Floor(y / wide)
	shift := hash(int32(row), 77) * long
	col := math.Floor((x + shift) / long)
	tone := hash(int32(row), int32(col))
	fx, fy := (x+shift)/long-col, y/wide-row
	grain := clouds(x*2.2+tone*50, y*46+tone*20)
	fine := cloud(x*9+tone*31, y*170)
	v := 0.74 + 0.26*tone + 0.24*(grain-0.5) + 0.10*(fine-0.5)
	gap := math.Min(math.Min(fy, 1-fy)*wide, math.Min(fx, 1-fx)*long)
	v *= 0.55 + 0.45*step(0.0006, 0.0034, gap)
	c := ink(170, 121, 78).mix(ink(143, 94, 58), float32(hash(int32(row)+9, int32(col)+3)))
	return c.mul(float32(v) * 0.80), 0.16
}

// wallColour is the far wall: wooden panels, a painted wall with cloth banners,
// and windows above.
func wallColour(x, z float64) rgb {
	if in, c := window(x, z); in {
		return c
	}
	c := ink(70, 84, 97).mul(float32(0.93 + 0.14*clouds(x*0.8, z*1.1)))
	c = c.mul(float32(0.86 + 0.30*step(0.4, 3.2, z)))
	if z < panelTop {
		n := math.Floor(x / 0.24)
		f := x/0.24 - n
		v := 0.78 + 0.22*hash(int32(n), 11) + 0.16*(clouds(x*22, z*1.6)-0.5)
		v *= 0.5 + 0.5*step(0.0, 0.05, math.Min(f, 1-f))
		c = ink(124, 88, 58).mul(float32(v) * 0.82)
	}
	if z > panelTop && z < panelTop+0.06 {
		c = ink(60, 46, 36)
	}
	if b, ok := banner(x, z); ok {
		c = b
	}
	// Darker into the corner with the floor.
	return c.mul(float32(0.62 + 0.38*step(0, 0.7, z)))
}

// window tells whether (x, z) of the wall is glass or frame, and its light.
func window(x, z float64) (bool, rgb) {
	if z < windowFoot-0.05 || z > 4.9 {
		return false, rgb{}
	}
	n := math.Floor(x / windowEach)
	f := x - (n+0.5)*windowEach
	if math.Abs(f) > windowWide/2+0.05 {
		return false, rgb{}
	}
	if math.Abs(f) > windowWide/2 || z < windowFoot {
		return true, ink(52, 58, 64)
	}
	bar := math.Abs(math.Mod(math.Abs(f)+0.0, windowWide/4))
	bar = math.Min(bar, windowWide/4-bar)
	rail := math.Abs(math.Mod(z-windowFoot+0.45, 0.9) - 0.45)
	if bar < 0.022 || math.Abs(rail-0.45) < 0.022 {
		return true, ink(64, 70, 76)
	}
	sky := ink(186, 204, 222).mix(ink(226, 226, 214), float32(clouds(x*0.5, z*0.9)))
	return true, sky.mul(float32(0.80 + 0.22*hash(int32(n), 5)))
}

// banner hangs cloth of plain colours between the windows: shapes only, no
// words.
func banner(x, z float64) (rgb, bool) {
	n := math.Floor(x/windowEach + 0.5)
	f := x - n*windowEach
	if math.Abs(f) > 0.40 || z < 1.34 || z > 2.75 {
		return rgb{}, false
	}
	tints := [...][2]rgb{
		{ink(41, 71, 110), ink(214, 206, 186)}, {ink(186, 92, 42), ink(225, 214, 190)},
		{ink(52, 92, 84), ink(214, 206, 186)}, {ink(120, 46, 48), ink(216, 190, 140)},
	}
	t := tints[int(hash(int32(n), 3)*997)%len(tints)]
	c := t[0]
	// A device of two chevrons over a bar.
	g := z - 2.05 + 0.55*math.Abs(f)
	if math.Abs(g-0.12) < 0.034 || math.Abs(g+0.04) < 0.034 || math.Abs(z-1.72) < 0.022 && math.Abs(f) < 0.24 {
		c = t[1]
	}
	if z < 1.46 || z > 2.66 || math.Abs(f) > 0.365 {
		c = t[1].mul(0.85)
	}
	fold := 0.90 + 0.10*math.Sin(f*19+3*cloud(f*3+float64(n)*9, z))
	return c.mul(float32(fold) * 0.62), true
}

package demo

import (
	"math"
	"reflect"
	"testing"

	"mesure/demo/scene"
	"mesure/sport/mark"
)

// TestHandful: few frames are marked and fewer placed; nothing is marked that
// cannot be seen, everything that can; the errors are of the stated size; the
// replay's clock is left open, with enough moments seen twice to find it.
func TestHandful(t *testing.T) {
	if testing.Short() {
		t.Skip("-short: numbers, not races")
	}
	films := scene.Films()
	var squares, n float64
	skipped := 0
	for seed := range uint64(3) {
		for i, f := range films {
			k, truth := Handful(i, seed+1, HandfulOptions{}), TruthOf(i)
			if len(k.Placings) != 2*len(k.Takes) {
				t.Errorf("touch %d: %d placings in %d takes", i, len(k.Placings), len(k.Takes))
			}
			for _, p := range k.Placings {
				if len(p.Points) < 5 {
					t.Errorf("touch %d, %s, frame %d: %d points of the piste", i, p.Take, p.Frame, len(p.Points))
				}
			}
			marked := map[mark.Mark]bool{} // by place and point alone
			for _, m := range k.Marks {
				if m.Frame%12 != 0 && !isLast(truth, m) {
					t.Fatalf("touch %d: a mark on frame %d of %s", i, m.Frame, m.Take)
				}
				body := truth.frame(m.Take, m.Frame).Of(m.Who)
				if !body.Seen(m.What) {
					t.Fatalf("touch %d, %s, frame %d: the %s of %s was marked and cannot be seen", i, m.Take, m.Frame, m.What, m.Who)
				}
				marked[mark.Mark{Take: m.Take, Frame: m.Frame, Who: m.Who, What: m.What}] = true
				s, _ := f.Shot(m.Take)
				figs := f.At(s.At(m.Frame))
				px, _ := f.Camera(s, s.At(m.Frame)).Project(figs[m.Who].Of(m.What))
				for _, d := range [2]float64{m.At.U - px.U, m.At.V - px.V} {
					squares, n = squares+d*d/(m.SD*m.SD), n+1
				}
			}
			for _, take := range truth.Takes {
				for fr := 0; fr < len(take.Frames); fr += 12 {
					for _, side := range mark.Sides {
						for _, p := range take.Frames[fr].Of(side).Points {
							if is := marked[mark.Mark{Take: take.ID, Frame: mark.Frame(fr), Who: side, What: p.What}]; is != p.Seen {
								t.Errorf("touch %d, %s, frame %d: the %s of %s, seen %t, marked %t", i, take.ID, fr, p.What, side, p.Seen, is)
							}
							if !p.Seen {
								skipped++
							}
						}
					}
				}
			}
		}
	}
	if spread := squares / n; n < 5000 || math.Abs(spread-1) > 3*math.Sqrt(2/n) {
		t.Errorf("variance %.4f of what was stated, n %.0f", spread, n)
	}
	if skipped < 100 {
		t.Errorf("only %d points were hidden where marks are set", skipped)
	}
	last := Handful(3, 1, HandfulOptions{})
	if r := last.Takes[1]; !r.Tied || r.Factor != 0 || r.Offset != 0 || r.OffsetSD != 0 || last.Takes[0].Tied {
		t.Errorf("the takes are %+v", last.Takes)
	}
	twice := 0
	for _, m := range last.Moments {
		for _, b := range m.Also {
			if b.Take == m.Take || b.By <= b.After {
				t.Errorf("%s is bracketed by %+v and by %+v", m.ID, m, b)
			}
			twice++
		}
	}
	if twice < 4 {
		t.Errorf("%d moments are seen twice", twice)
	}
}

func isLast(truth Truth, m mark.Mark) bool {
	for _, k := range truth.Takes {
		if k.ID == m.Take {
			return int(m.Frame) == len(k.Frames)-1
		}
	}
	return false
}

func TestHandfulFollowsFromItsArguments(t *testing.T) {
	if testing.Short() {
		t.Skip("-short: numbers, not races")
	}
	if a, b := Handful(3, 7, HandfulOptions{}), Handful(3, 7, HandfulOptions{}); !reflect.DeepEqual(a, b) {
		t.Error("equal seeds gave two touches")
	}
	one := Handful(1, 7, HandfulOptions{OnePlaced: true, Every: 24})
	if len(one.Placings) != 1 || one.Placings[0].Frame != 0 {
		t.Errorf("%d placings, the first on frame %d", len(one.Placings), one.Placings[0].Frame)
	}
	if full := Handful(1, 7, HandfulOptions{}); len(one.Marks) >= 2*len(full.Marks)/3 {
		t.Errorf("%d marks one in 24 frames, %d one in 12", len(one.Marks), len(full.Marks))
	}
	a, b := Handful(0, 7, HandfulOptions{}), Handful(0, 7, HandfulOptions{Placing: 1})
	if !reflect.DeepEqual(a.Marks, b.Marks) || !reflect.DeepEqual(a.Moments, b.Moments) || reflect.DeepEqual(a.Placings, b.Placings) {
		t.Error("another hand that places the piste changes more than the placing, or nothing")
	}
}

package payoff

import (
	"math"
	"math/rand/v2"

	"gonum.org/v1/gonum/stat/distuv"
)

// blend is what model and counts together say of one cell. With k = a·Sure the
// worth of the model and β = b·n + (1−a)·PriorCount that of the counts,
//
//	a = min(1, 2·weight), b = min(1, 2·(1−weight))
//	shares = B·model + (1−B)·counts, B ~ Beta(k, Σβ), counts ~ Dirichlet(β)
//
// Where the model is Dirichlet(k·m) this is exactly Dirichlet(k·m + β), so that at
// weight ½ the model is the prior and the counts are the evidence (Sethuraman,
// Statistica Sinica 4:639, 1994, lemma 3.1, recalled). Where it comes as draws the
// same mixture keeps what the cells of a draw have in common. Where the draws tell more
// than the model is worth, each is spread by a Dirichlet law of its own, so that by the
// law of total variance all together are worth k: 1/(k+1) = 1/(w+1) + w/(w+1)/(doubt+1).
type blend struct {
	mean  [4]float64   // of the model
	draws [][4]float64 // of the model; none: Dirichlet
	k     float64      // phrases that the model is worth
	doubt float64      // by which its draws are spread further; 0 for not at all
	beta  [4]float64   // of the counts
	n     float64      // Σ beta
}

func (c Cell) blend(weight float64) blend {
	a, b := min(1, 2*weight), min(1, 2*(1-weight))
	if !c.hasModel() {
		a, b = 0, 1 // nothing to weigh against the counts
	}
	var l blend
	if a > 0 {
		if len(c.Draws) == 0 {
			l.mean = unit(c.Model.list())
			l.k = a * c.Sure
		} else {
			for _, p := range c.Draws {
				u := unit(p.list())
				l.draws = append(l.draws, u)
				for o, v := range u {
					l.mean[o] += v / float64(len(c.Draws))
				}
			}
			worth := worthOf(l.draws, l.mean)
			l.k = c.Sure
			switch {
			case l.k == 0:
				l.k = worth
			case l.k < worth:
				l.doubt = l.k * (worth + 1) / (worth - l.k)
			}
			l.k *= a
		}
	}
	for o, v := range [4]float64{c.Seen.Me, c.Seen.Double, c.Seen.Opponent, c.Seen.Nothing} {
		l.beta[o] = float64(b*v) + float64((1-a)*PriorCount)
		l.n += l.beta[o]
	}
	return l
}

// WorthOf returns how many phrases draws of a model are worth by their spread alone: see
// Cell.Sure. 0 where there are none.
func WorthOf(draws []Shares) float64 {
	if len(draws) == 0 {
		return 0
	}
	var all [][4]float64
	var mean [4]float64
	for _, p := range draws {
		u := unit(p.list())
		all = append(all, u)
		for o, v := range u {
			mean[o] += v / float64(len(draws))
		}
	}
	return worthOf(all, mean)
}

// worthOf returns how many phrases draws of a model are worth: the concentration
// of the Dirichlet law with their means and their total variance,
//
//	k = Σ m(1−m) / Σ var − 1
//
// between 1 and MostSure.
func worthOf(draws [][4]float64, mean [4]float64) float64 {
	spread, within := 0.0, 0.0
	for o, m := range mean {
		within += float64(m * (1 - m))
		for _, p := range draws {
			d := p[o] - m
			spread += float64(d*d) / float64(len(draws))
		}
	}
	if float64(spread*(MostSure+1)) <= within {
		return MostSure
	}
	return max(1, within/spread-1)
}

// expected returns the mean of the blend, exactly.
func (l blend) expected() [4]float64 {
	var p [4]float64
	for o := range p {
		p[o] = (float64(l.k*l.mean[o]) + l.beta[o]) / (l.k + l.n)
	}
	return p
}

// draw returns draw number d.
func (l blend) draw(d int, src rand.Source) [4]float64 {
	if len(l.draws) == 0 {
		var alpha [4]float64
		for o := range alpha {
			alpha[o] = float64(l.k*l.mean[o]) + l.beta[o]
		}
		return dirichlet(alpha, src)
	}
	m := l.draws[d%len(l.draws)]
	if l.doubt > 0 {
		var alpha [4]float64
		for o, v := range m {
			alpha[o] = float64(l.doubt * v)
		}
		m = dirichlet(alpha, src)
	}
	if l.n == 0 {
		return m
	}
	counts := dirichlet(l.beta, src)
	x, y := gamma(l.k, src), gamma(l.n, src)
	b := x / (x + y)
	var p [4]float64
	for o := range p {
		p[o] = float64(b*m[o]) + float64((1-b)*counts[o])
	}
	return p
}

// dirichlet draws from the law with these counts, at least one of them ¼ or more;
// what has none stays at nought. gonum's own takes no noughts.
func dirichlet(alpha [4]float64, src rand.Source) [4]float64 {
	var p [4]float64
	for o, a := range alpha {
		p[o] = gamma(a, src)
	}
	return unit(p)
}

// gamma draws from the law with this shape and scale 1. Below the least shape
// every draw would be nought but for rounding.
func gamma(shape float64, src rand.Source) float64 {
	if shape < 1e-9 {
		return 0
	}
	return distuv.Gamma{Alpha: shape, Beta: 1, Src: src}.Rand()
}

// unit divides by the sum, which is above nought.
func unit(p [4]float64) [4]float64 {
	sum := 0.0
	for _, v := range p {
		sum += v
	}
	if !(sum > 0) || math.IsInf(sum, 0) {
		return [4]float64{.25, .25, .25, .25} // beyond what a float holds: nothing is known
	}
	for o := range p {
		p[o] /= sum
	}
	return p
}

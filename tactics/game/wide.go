package game

import "math/big"

// wideBits is the length of the numbers with which a game is solved anew where
// plain ones lose too much: payoffs that differ by a billionth beside ones that
// differ by one cost nine of sixteen digits at each pivot between them.
const wideBits = 640

// wideMixes is mixes on long numbers, by Bland's rule alone, about a thousand
// times slower. What is below 2^−320 counts as nought.
func wideMixes(m, n int, b func(i, j int) float64) (x, y []float64, ended bool) {
	num := func(v float64) *big.Float { return new(big.Float).SetPrec(wideBits).SetFloat64(v) }
	nought := new(big.Float).SetMantExp(num(1), -wideBits/2)
	width := n + m + 1
	v := make([][]*big.Float, m+1)
	basis := make([]int, m)
	for i := range v {
		v[i] = make([]*big.Float, width)
		for j := range v[i] {
			switch {
			case i == m && j < n:
				v[i][j] = num(-1)
			case i < m && j < n:
				v[i][j] = num(b(i, j))
			case i < m && (j == n+i || j == n+m):
				v[i][j] = num(1)
			default:
				v[i][j] = num(0)
			}
		}
		if i < m {
			basis[i] = n + i
		}
	}
	below := new(big.Float).Neg(nought)
	t := num(0)
	for range stopAfter * (m + n) {
		enter := 0
		for enter < n+m && v[m][enter].Cmp(below) >= 0 {
			enter++
		}
		if enter == n+m {
			ended = true
			break
		}
		leave, least := -1, num(0)
		for i := range m {
			if v[i][enter].Cmp(nought) <= 0 {
				continue
			}
			r := num(0).Quo(v[i][n+m], v[i][enter])
			by := -1
			if leave >= 0 {
				if by = t.Sub(r, least).Cmp(nought); by <= 0 && t.Cmp(below) >= 0 {
					by = basis[i] - basis[leave]
				}
			}
			if by < 0 {
				leave, least = i, r
			}
		}
		if leave < 0 {
			break
		}
		p := num(0).Set(v[leave][enter])
		for _, c := range v[leave] {
			c.Quo(c, p)
		}
		for i := range v {
			f := num(0).Set(v[i][enter])
			if i == leave || f.Sign() == 0 {
				continue
			}
			for j, c := range v[i] {
				c.Sub(c, t.Mul(f, v[leave][j]))
			}
		}
		basis[leave] = enter
	}
	x, y = make([]float64, m), make([]float64, n)
	for i, c := range basis {
		if c < n {
			y[c], _ = v[i][n+m].Float64()
			y[c] = max(0, y[c])
		}
		x[i], _ = v[m][n+i].Float64()
		x[i] = max(0, x[i])
	}
	return x, y, ended && share(x) && share(y)
}

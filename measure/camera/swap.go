package camera

import "fmt"

// swapHint looks for the one pair of labels whose exchange makes the points
// visible to a camera, and returns it as the end of a message, or nothing.
func swapHint(points []Point) string {
	if i, j, ok := swappedPair(points); ok {
		return fmt.Sprintf(" (exchanging %s and %s would mend it)", points[i].label(), points[j].label())
	}
	return ""
}

// swappedPair returns the exchange of two labels after which the points fit one
// camera above the floor best; false where none does, or where two do alike.
func swappedPair(points []Point) (a, b int, ok bool) {
	if len(points) > SearchPoints {
		return 0, 0, false
	}
	floor, pixels := split(points)
	nf, _ := normalised(floor)
	np, _ := normalised(pixels)
	best, second := -1.0, -1.0
	for i := range points {
		for j := range i {
			np[i], np[j] = np[j], np[i]
			h, _ := dlt(nf, np)
			h, err := oriented(h, nf)
			if err == nil && determinant(h) < 0 {
				cost := transferCost(h, nf, np)
				switch {
				case best < 0 || cost < best:
					best, second, a, b, ok = cost, best, j, i, true
				case second < 0 || cost < second:
					second = cost
				}
			}
			np[i], np[j] = np[j], np[i]
		}
	}
	// Two exchanges that fit alike leave the choice open.
	return a, b, ok && (second < 0 || best < second/float64(SwapGain))
}

// transferCost is the sum of squared distances in the picture.
func transferCost(h [9]float64, from, to []flat) float64 {
	sum := 0.0
	for i, p := range from {
		w := h[6]*p.x + h[7]*p.y + h[8]
		dx := (h[0]*p.x+h[1]*p.y+h[2])/w - to[i].x
		dy := (h[3]*p.x+h[4]*p.y+h[5])/w - to[i].y
		sum += dx*dx + dy*dy
	}
	return sum
}

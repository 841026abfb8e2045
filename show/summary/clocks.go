package summary

import (
	"mesure/show/plate"
	"mesure/study"
)

// Clock is how a take tells the time of the bout.
type Clock struct {
	Take string `json:"take"`
	// Factor is how many seconds of the file show one of the bout, Offset the instant
	// of its first frame.
	Factor Number `json:"factor"`
	Offset Number `json:"offset"`
	// From says on what it rests, as study has it: declared, the rate of the camera, or
	// moments seen in another take too, which Moments names.
	From    string   `json:"from"`
	Moments []string `json:"moments"`
}

// Order is which of two moments that lie close to each other came first.
type Order struct {
	First  string `json:"first"`
	Second string `json:"second"`
	// Chance that First came first, and how much later Second came.
	Chance Number `json:"chance"`
	Apart  Number `json:"apart"`
}

// timed prints the clocks of a reading and the orders that they leave.
func (s *Summary) timed(r *study.Reading) {
	for _, c := range r.Clocks {
		s.Clocks = append(s.Clocks, Clock{c.Take, number(c.Factor, plate.InRatio), number(c.Offset, plate.InSeconds), c.From, append([]string{}, c.Moments...)})
	}
	for _, o := range r.Orders {
		s.Orders = append(s.Orders, Order{o.First, o.Second, chance(o.Chance), number(o.Apart, plate.InMilliseconds)})
	}
}

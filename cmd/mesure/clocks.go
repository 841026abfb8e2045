package main

import (
	"mesure/quantity"
	"mesure/show/plate"
	"mesure/study"
)

// printClocks says how the takes follow the bout, where one does not simply run
// as it was filmed, and what that rests on.
func (b *bench) printClocks(r *study.Reading) {
	rows := b.table("take", ">times as slow", ">starts at", "from")
	told := false
	for _, c := range r.Clocks {
		told = told || c.From != study.ClockDeclared || c.Factor != quantity.Exactly[quantity.Ratio](1) || len(c.Moments) > 0
		rows.row(c.Take, plate.Ratio(c.Factor), plate.Seconds(c.Offset), clockWords(c))
	}
	if told {
		b.title("Clocks")
		rows.write(b.out)
	}
}

// clockWords says what a clock rests on.
func clockWords(c study.ClockReading) string {
	from := map[string]string{study.ClockDeclared: "as declared", study.ClockCapture: "the capture rate"}[c.From]
	switch n := len(c.Moments); {
	case n == 0:
		return from
	case from == "":
		return shared(n)
	default:
		return from + " and " + shared(n)
	}
}

// shared counts moments that another take shows as well.
func shared(n int) string {
	if n == 1 {
		return "1 moment that another take shows"
	}
	return plate.Count(n) + " moments that other takes show"
}

// sureOrder is the chance from which an order is not in doubt and not printed.
const sureOrder quantity.Chance = 0.995

// printOrders says which of two moments came first, where that is in doubt.
func (b *bench) printOrders(r *study.Reading) {
	rows := b.table("first", "then", ">chance", ">later by")
	for _, o := range r.Orders {
		if o.Chance >= sureOrder {
			continue
		}
		first, _ := r.Touch.Moment(o.First)
		second, _ := r.Touch.Moment(o.Second)
		rows.row(nameOf(first), nameOf(second), plate.Chance(o.Chance), plate.Milliseconds(o.Apart))
	}
	if len(rows.rows) > 0 {
		b.title("Which came first")
		rows.write(b.out)
	}
}

package decoders

import (
	"bytes"
	"fmt"
	"math"
)

// dateOrder tells day-first from month-first, and both from a year of two digits: by a number over twelve, else
// by the date going on: the day changes from one midnight to the next, the
// month does not; else, of lines that come as they are written, by which of the two is today; else by what
// those use beside it who put the month first.
func (t *table) dateOrder(cells [][]byte, today float64) (form, why string, unsure *doubt) {
	var days dayCount
	var years twoDigitYears
	for _, c := range cells {
		years.add(trim(c))
		if form, why = days.add(trim(c)); form != "" {
			return form, why, nil
		}
	}
	if form, why, unsure = years.order(); form == "" {
		form, why, unsure = days.order()
	}
	if unsure != nil && len(cells) > 0 {
		if now := orderToday(trim(cells[len(cells)-1]), today); now != "" {
			return now, "so it is today's date", nil
		}
		if habit := t.monthFirst(cells); habit != "" && unsure.to == formMDY {
			unsure.from, unsure.to = formMDY, formDMY
			return formMDY, "month first is assumed, as by most who write " + habit, unsure
		}
	}
	return form, why, unsure
}

// monthFirst names what stands beside dates with slashes that are written month first, as in the United States:
// degrees Fahrenheit, or hours by AM and PM; "" where neither does (common practice, no source).
func (t *table) monthFirst(dates [][]byte) string {
	if bytes.IndexByte(dates[0], '/') < 0 {
		return ""
	}
	for _, c := range t.cols {
		if u := c.said.unit; u != nil && u.of == Celsius && u.name == "F" {
			return "degrees Fahrenheit"
		}
		if (c.what == isStamp || c.what == isClock) && endsInHalf(c.cells[len(c.cells)-1]) {
			return "AM and PM"
		}
	}
	return ""
}

// endsInHalf tells a cell that ends in AM or PM.
func endsInHalf(cell []byte) bool {
	cell = trim(cell)
	_, n := halfDay(cell[max(0, len(cell)-2):])
	return n > 0
}

// orderToday is the order in which a date is today's, "" where both or none of them is. Its clock
// may go by another zone.
func orderToday(cell []byte, today float64) (form string) {
	const near = 1.5 * day
	for _, f := range []string{formDMY, formMDY, formYMD} {
		if s, n := dateAt(cell[weekdayAt(cell):], f); n > 0 && math.Abs(s+day/2-today) < near {
			if form != "" {
				return ""
			}
			form = f
		}
	}
	return form
}

// dayCount counts the first two numbers of dates.
type dayCount struct {
	first, second               [32]int // how often each number
	lastFirst, lastSecond       int
	changedFirst, changedSecond int // how often it was not the last one
	seen, others                int // dates, and what can be none in either order
}

// add takes a cell; one that gives the order away is enough.
func (d *dayCount) add(c []byte) (form, why string) {
	c = c[weekdayAt(c):]
	a, n := digits(c)
	if n == 8 && n == len(c) {
		return formYMD, "the year stands first"
	}
	if n == 0 || n >= len(c) {
		if _, k := monthAt(c); k > 0 {
			return formMDY, "the month has a name"
		}
		return "", ""
	}
	if n >= 4 {
		return formYMD, "the year stands first"
	}
	b, k := digits(c[n+1:])
	if k == 0 || a > 31 || b > 31 {
		if _, k := monthAt(c[n+1:]); k > 0 {
			return formDMY, "the month has a name"
		}
		d.others++
		return "", ""
	}
	d.first[a]++
	d.second[b]++
	if d.seen > 0 && a != d.lastFirst {
		d.changedFirst++
	}
	if d.seen > 0 && b != d.lastSecond {
		d.changedSecond++
	}
	d.lastFirst, d.lastSecond = a, b
	d.seen++
	return "", ""
}

// order is what all of them together tell.
func (d *dayCount) order() (form, why string, unsure *doubt) {
	if d.others > d.seen {
		return formYMD, "no other order gives a date", nil
	}
	for x := 13; x <= 31; x++ {
		if d.first[x]*rarely > d.seen {
			return formDMY, fmt.Sprintf("the first number reaches %d, so it is the day", x), nil
		}
		if d.second[x]*rarely > d.seen {
			return formMDY, fmt.Sprintf("the second number reaches %d, so it is the day", x), nil
		}
	}
	switch {
	case d.changedFirst > d.changedSecond:
		return formDMY, "the first number changes from day to day", nil
	case d.changedSecond > d.changedFirst:
		return formMDY, "the second number changes from day to day", nil
	case d.lastFirst == d.lastSecond:
		return formDMY, "day and month are the same number", nil
	}
	// The day of the year is open, elapsed time is not: nothing in an
	// ampere-hour depends on it.
	return formDMY, "day first is assumed; nothing in the lines tells day from month",
		&doubt{what: "whether the day or the month stands first is not certain; with the other, only the date would change", from: formDMY, to: formMDY}
}

// doubt is a question that the lines leave open, with two answers.
type doubt struct{ what, from, to string }

package decoders

// A year of two digits may stand first, as in 26-03-14: a number that may be a day as well.

// twoDigitYears looks at the first and the last number of dates for it.
type twoDigitYears struct {
	first, last int
	changed     int // how often the last one was not as before
	seen        int
	not         bool // of one of them no year can stand first
}

const (
	earliestFirst = 20 // the years that may stand so: nobody wrote a log for this before
	latestFirst   = 31 // and what is beyond is no day anyway
	oldLog        = 18 // a last number below this would be the year of a log that old
)

// add takes a cell.
func (y *twoDigitYears) add(c []byte) {
	var p dateParts
	c = c[weekdayAt(c):]
	if p.read(c) == 0 || p.named >= 0 || p.width != [3]int{2, 2, 2} || c[2] == '.' {
		y.not = true
		return
	}
	a, b := p.value[0], p.value[2]
	y.not = y.not || y.seen > 0 && a != y.first || a < earliestFirst || a > latestFirst || p.value[1] > 12 || b < 1 || b > 31
	if y.seen > 0 && b != y.last {
		y.changed++
	}
	y.first, y.last = a, b
	y.seen++
}

// order is what they tell; "" where no year can stand first. With the day first, the last number is
// the year, which does not change from one midnight to the next, while the first one does.
func (y *twoDigitYears) order() (form, why string, unsure *doubt) {
	const what = "whether the year or the day stands first is not certain; with the other, only the date would change"
	switch {
	case y.not || y.seen == 0:
		return "", "", nil
	case y.changed > 0:
		return formYMD, "the last number changes from day to day and the first does not, so that is the year", nil
	case y.last < oldLog:
		return formYMD, "the year is taken to stand first: the last number would be one long ago", &doubt{what: what, from: formYMD, to: formDMY}
	}
	return formDMY, "day first is assumed; the year may stand there", &doubt{what: what, from: formDMY, to: formYMD}
}

package decoders

import "math"

// timer unwraps a device's times. A clock without a date goes back to zero at
// midnight; local time leaps an hour where summer time begins or ends.
type timer struct {
	told
	turned float64 // what the last row turned back from by an hour, as written; 0: it did not
	began  bool

	sure told    // the last row that came soon after the one before it
	pace float64 // s, how soon; 0: not known yet
}

// told is a time as a row told it.
type told struct {
	last  float64 // as written
	shift float64 // s added since
}

// clock unwraps seconds since midnight. Where a row comes soon after the one before the last,
// the last one was torn: 20:40 for 05:20:40 is no midnight, nor is the way back from there.
func (t *timer) clock(s float64) float64 {
	step, shift := t.till(s)
	soon := t.soon(step)
	if !soon && t.began {
		if again, since := t.sure.till(s); t.soon(again) {
			t.told, step, shift, soon = t.sure, again, since, true
		}
	}
	t.shift = shift
	t.summer(s, 60) // no date to support it: only where rows are dense
	t.last = s
	if soon && t.began {
		t.pace = step
	}
	if soon || !t.began {
		t.sure = t.told
	}
	t.began = true
	return s + t.shift
}

// till is how long after it the time s comes, and what is added to that, s.
func (t told) till(s float64) (step, shift float64) {
	if s < t.last-day/2 {
		return s + day - t.last, t.shift + day
	}
	return s - t.last, t.shift
}

// soon tells whether a row may be the next after so many seconds.
func (t *timer) soon(step float64) bool {
	const firstStep = 3600
	return step > 0 && (step <= onItsWay*t.pace || t.pace == 0 && step <= firstStep)
}

// stamp unwraps a full time without a zone.
func (t *timer) stamp(s float64) float64 {
	if t.began && changeDay(math.Floor(t.last/day)) {
		t.summer(s, 660) // rows ten minutes apart, and a little
	}
	t.last, t.began = s, true
	return s + t.shift
}

// summer looks for a leap of one hour and a row's interval, which is at most
// slack, between one and four in the night. Of two lines torn and joined the time may
// be an hour back for one row only.
func (t *timer) summer(s, slack float64) {
	const hour = 3600
	step, now, turned := s-t.last, math.Mod(s, day), t.turned
	t.turned = 0
	switch {
	case turned > 0 && s > turned && s <= turned+slack:
		t.shift -= hour
	case !t.began, now < hour, now > 4*hour:
	case step < 0 && step >= -hour && step <= -hour+slack:
		t.shift += hour
		t.turned = t.last
	case step > hour && step <= hour+slack && math.Mod(t.last, hour) >= hour-slack && math.Mod(s, hour) <= slack:
		t.shift -= hour
	}
}

// changeDay tells whether summer time may begin or end on a day, counted from
// 1970: a Sunday in March, April, September, October or November. Two lines in one may
// tell of a day beyond all calendars, and that is none.
func changeDay(d float64) bool {
	const lastDay = 400 * 365.2425
	if !(d >= 0 && d < lastDay) || int(d+4)%7 != 0 { // 1970-01-01 was a Thursday
		return false
	}
	m := monthOf(int(d))
	return m == 3 || m == 4 || m >= 9 && m <= 11
}

// monthOf is the month of a day counted from 1970.
func monthOf(n int) int {
	y := 1970 + n/366
	for daysFrom1970(y+1, 1, 1) <= n {
		y++
	}
	m := 1
	for m < 12 && daysFrom1970(y, m+1, 1) <= n {
		m++
	}
	return m
}

package logbook

import (
	"errors"
	"fmt"
	"time"
)

// Reading is something measured on a battery and noted by hand. What was not
// measured is nil, or empty text; both are null in JSON.
type Reading struct {
	ID      string    `json:"id"` // given by the book; sorts by the time of the reading
	Battery string    `json:"battery"`
	At      time.Time `json:"at"`      // UTC, whole milliseconds
	Ohm     *float64  `json:"ohm"`     // inner resistance
	Volts   *float64  `json:"volts"`   // at rest; negative where the leads were crossed
	Gravity *float64  `json:"gravity"` // of the acid, against water, such as 1.265
	Celsius *float64  `json:"celsius"` // of the battery
	Remark  Text      `json:"remark"`
	Means   Text      `json:"means"` // what it was measured with
}

// NewReading makes a reading of a battery from the given fields.
func NewReading(battery string, given Fields) (Reading, error) {
	r, err := overlay(Reading{Battery: battery}, given)
	if err != nil {
		return Reading{}, err
	}
	if r.Battery != battery {
		return Reading{}, &Invalid{"battery", fmt.Sprintf("is %q, but the reading is being noted for %q", r.Battery, battery)}
	}
	if r.ID != "" {
		return Reading{}, &Invalid{"id", "is given by the logbook; leave it out"}
	}
	return r.checked()
}

// checked returns the reading in the form that is stored, or says which field
// cannot be right. The limits only catch slips of a unit or of the finger, such
// as milliohms typed as ohms.
func (r Reading) checked() (Reading, error) {
	if r.At.IsZero() {
		return r, &Invalid{"at", "is missing; say when it was measured"}
	}
	r.At = stamp(r.At)
	if r.Ohm == nil && r.Volts == nil && r.Gravity == nil && r.Celsius == nil && r.Remark == "" {
		return r, &Invalid{"", "the reading says nothing; give at least one of ohm, volts, gravity, celsius, remark"}
	}
	return r, errors.Join(
		checkTime("at", &r.At),
		checkRange("ohm", r.Ohm, 0, 10, "ohm (29 mohm is 0.029)"),
		checkRange("volts", r.Volts, -1000, 1000, "V"),
		checkRange("gravity", r.Gravity, 0.9, 1.5, "(1.265, not 1265)"),
		checkRange("celsius", r.Celsius, -80, 200, "degrees Celsius"),
		checkText("remark", r.Remark),
		checkText("means", r.Means),
	)
}

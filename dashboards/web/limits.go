package web

import (
	"encoding/json"
	"errors"
	"fmt"
	"maps"
	"net/http"
	"slices"

	"amphora/analyze/logbook"
	"amphora/dashboards/live"
)

// What a limit may be, above 0 and at most; more is a slip of a unit.
var mostLimits = map[string]struct {
	most float64
	unit string
}{
	"hours": {365 * 24, "h"}, "charge_ah": {100_000, "Ah"}, "celsius": {100, "degrees Celsius"}, "volts": {1000, "V"},
}

// postLimits sets what is to be warned of on a channel, in place of what its
// configuration says; what is not given is as configured. It changes no setting
// of a charger.
func (s *Server) postLimits(w http.ResponseWriter, r *http.Request) error {
	fields, err := readFields(w, r, jsonKind)
	if err != nil {
		return err
	}
	given, err := readLimits(fields)
	if err != nil {
		return err
	}
	if s.options.Setup.Limit == nil {
		return notFound(r)
	}
	now, ok, err := s.options.Setup.Limit(r.PathValue("name"), given)
	switch {
	case err != nil:
		return err
	case !ok:
		return noChannel(r)
	}
	return writeJSON(w, http.StatusOK, now)
}

func readLimits(fields logbook.Fields) (given live.NewLimits, err error) {
	into := map[string]**float64{"hours": &given.Hours, "charge_ah": &given.ChargeAh, "celsius": &given.Celsius, "volts": &given.Volts}
	var wrong []error
	for _, name := range slices.Sorted(maps.Keys(fields)) {
		value := fields[name]
		limit, known := mostLimits[name]
		number, isNumber := value.(json.Number)
		switch {
		case !known:
			wrong = append(wrong, &logbook.Invalid{Field: name, Why: "is not known; known are hours, charge_ah, celsius, volts"})
		case value == nil: // as configured
		case !isNumber:
			text, _ := json.Marshal(value) // it came as JSON
			wrong = append(wrong, &logbook.Invalid{Field: name, Why: fmt.Sprintf("is %s, want a number", text)})
		default:
			x, err := number.Float64()
			if err != nil || x <= 0 || x > limit.most {
				wrong = append(wrong, &logbook.Invalid{Field: name, Why: fmt.Sprintf("is %s, want more than 0 and at most %g %s", number, limit.most, limit.unit)})
				continue
			}
			*into[name] = &x
		}
	}
	return given, errors.Join(wrong...)
}

package plan

import (
	"strconv"
	"strings"

	"amphora/analyze"
)

// limitsYAML is the limits of a channel for the daemon's configuration: a time
// in s, a temperature in degrees Celsius, a charge in C. What is unknown is
// left out. The daemon warns at a limit; it stops nothing.
func limitsYAML(timer, celsius, charge float64) string {
	var parts []string
	add := func(key string, value float64, unit string) {
		if analyze.Known(value) {
			parts = append(parts, key+": "+strconv.FormatFloat(round9(value), 'f', -1, 64)+unit)
		}
	}
	add("hours", timer/hour, "")
	add("celsius", celsius, "")
	add("charge", charge/ampereHour, "Ah")
	return "limits: {" + strings.Join(parts, ", ") + "}"
}

package main

import (
	"fmt"
	"io"
	"time"

	"amphora/analyze/logbook"
	"amphora/analyze/plan"
	"amphora/dashboards/report"
)

func readingTable(w io.Writer, all []logbook.Reading, now time.Time) error {
	if len(all) == 0 {
		_, err := fmt.Fprintln(w, "no readings; `amphora reading add BATTERY` notes one")
		return err
	}
	var rows [][]string
	for _, r := range all {
		rows = append(rows, []string{r.Battery, dated(r.At, now), ago(r.At, now), float(r.Volts, 1), float(r.Ohm, 1000), float(r.Gravity, 1), degrees(r.Celsius), fullByGravity(r), string(r.Remark), string(r.Means)})
	}
	return report.Table(w, []string{"battery", "measured", "", "V", "mohm", "gravity", "C", "full %", "remark", "with"}, rows)
}

// fullByGravity is how full a lead-acid battery was whose acid was weighed. A reading
// without a temperature is taken as one at that of the table.
func fullByGravity(r logbook.Reading) string {
	if r.Gravity == nil {
		return ""
	}
	gravity := *r.Gravity
	if r.Celsius != nil {
		gravity = plan.CorrectGravity(gravity, *r.Celsius)
	}
	return fmt.Sprintf("%.0f", 100*plan.StateFromGravity(gravity))
}

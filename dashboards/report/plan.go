package report

import (
	"bytes"
	"fmt"
	"io"
	"slices"
	"strconv"
	"strings"

	"amphora/analyze"
	"amphora/analyze/plan"
)

// figure is one line of a plan: a number with its unit. of is its name in JSON,
// by which its reason is found.
type figure struct{ label, value, unit, of string }

// Plan writes a plan as a page for a person: what to set, what to mind, then the
// figures with the reason for each, then the cautions and what to paste into
// the daemon's configuration.
func Plan(w io.Writer, a plan.Advice) error {
	var b bytes.Buffer
	fmt.Fprintf(&b, "%s\n\n", planTitle(a))
	Paragraph(&b, "  ", settings(a))
	list(&b, "Warnings", "! ", a.Warnings)
	list(&b, "Taken for granted", "- ", a.Assumptions)
	list(&b, "A better plan needs", "- ", a.Missing)
	figures(&b, "Capacity", capacityFigures(a.Capacity), a.Capacity.Reasons)
	figures(&b, "Current", currentFigures(a.Current), a.Current.Reasons)
	figures(&b, "Voltage", voltageFigures(a.Voltage), a.Voltage.Reasons)
	if h := a.Hours; h != nil {
		figures(&b, "Time, "+h.Spoken, hoursFigures(*h), h.Reasons)
	}
	figures(&b, "The charger's own guards", chargerFigures(a.Charger), a.Charger.Reasons)
	if l := a.Leads; l != nil {
		figures(&b, "Leads", leadsFigures(*l), l.Reasons)
	}
	if v := a.Ventilation; v != nil {
		figures(&b, "Ventilation", ventilationFigures(*v), v.Reasons)
	}
	cautions(&b, a.Cautions)
	fmt.Fprintf(&b, "\nFor the daemon's configuration\n")
	for line := range strings.Lines(a.Limits) {
		fmt.Fprintf(&b, "  %s\n", strings.TrimRight(line, "\n"))
	}
	_, err := w.Write(b.Bytes())
	return err
}

func planTitle(a plan.Advice) string {
	title := fmt.Sprintf("Plan for a %s battery", a.Chemistry)
	if a.Cells > 0 {
		title += fmt.Sprintf(": %s, %.4g V", count(a.Cells, "cell"), float64(a.NominalV))
	}
	return title + fmt.Sprintf(", %.0f %% discharged, at %.3g °C", float64(a.Depth)*100, float64(a.Celsius))
}

// settings says in a sentence what to set the charger to: the answer that most
// people ask a plan for.
func settings(a plan.Advice) string {
	if !a.MayCharge {
		return "It must not be charged as it is."
	}
	if !analyze.Known(a.Current.ChosenA) {
		return "A capacity is needed before a current can be named."
	}
	if c := a.Current; c.ChosenA > c.FastestA*(1+1e-6) { // never so where the fastest is unknown
		return fmt.Sprintf("Do not set %.2f A: this battery should get %.2f A at most, and %.2f A is gentle on it.%s",
			c.ChosenA, c.FastestA, c.CautiousA, amount(a.Voltage.AbsorptionV, " Set the voltage to %.2f V."))
	}
	set := "Set " + amount(a.Current.ChosenA, current(a.Current.ChosenA)+" A") + amount(a.Voltage.AbsorptionV, " and %.2f V") +
		amount(a.Charger.TimerH, ", the safety timer to %.0f h")
	if cutOff := inFull(a.Charger.CutOffAh); cutOff != "" {
		set += ", the capacity cut-off to " + cutOff + " Ah"
	}
	if a.Hours != nil {
		set += "; allow " + a.Hours.Spoken
	}
	return set + "." + amount(a.Charger.TailA, " It is full when the current has fallen to "+current(a.Charger.TailA)+" A.")
}

func list(b *bytes.Buffer, head, mark string, items []string) {
	if len(items) == 0 {
		return
	}
	fmt.Fprintf(b, "\n%s\n", head)
	for _, item := range items {
		Paragraph(b, "  "+mark, item)
	}
}

// figures writes those that are known, each with its reason, and those of which
// the reason says why there is none. A reason that holds for several stands at
// the first of them.
func figures(b *bytes.Buffer, head string, all []figure, reasons []plan.Reason) {
	if all = slices.DeleteFunc(all, func(f figure) bool { return f.value == "" && f.reason(reasons) == "" }); len(all) == 0 {
		return
	}
	fmt.Fprintf(b, "\n%s\n", head)
	told := map[string]bool{}
	for _, f := range all {
		if f.value == "" {
			f.value, f.unit = "none", ""
		}
		lead, why := fmt.Sprintf("  %-24s %14s %-5s  ", f.label, f.value, f.unit), f.reason(reasons)
		if why == "" || told[why] {
			fmt.Fprintln(b, strings.TrimRight(lead, " "))
			continue
		}
		told[why] = true
		Paragraph(b, lead, why)
	}
}

// reason is what was said of a figure, with who says so.
func (f figure) reason(all []plan.Reason) string {
	var why []string
	for _, r := range all {
		if slices.Contains(strings.Split(r.Of, ", "), f.of) {
			why = append(why, fmt.Sprintf("%s (%s)", r.Why, r.Source))
		}
	}
	return strings.Join(why, "; ")
}

func capacityFigures(c plan.CapacityAdvice) []figure {
	return []figure{
		{"on the label", amount(c.RatedAh, "%.1f"), "Ah", "rated_ah"},
		{"rated over", amount(c.RatedHours, "%.1f"), "h", "rated_hours"},
		{"given at 25 A", amount(c.At25AAh, "%.1f"), "Ah", "at_25_a_ah"},
		{"over 20 h", amount(c.TwentyHourAh, "%.1f"), "Ah", "twenty_hour_ah"},
		{"  may lie within", span(c.TwentyHourLowAh, c.TwentyHourHighAh, "%.1f"), "Ah", ""},
		{"taken for currents", amount(c.CautiousAh, "%.1f"), "Ah", "cautious_ah"},
		{"Peukert's exponent", amount(c.Peukert, "%.2f"), "", "peukert_exponent"},
	}
}

func currentFigures(c plan.CurrentAdvice) []figure {
	return []figure{
		{"cautious", amount(c.CautiousA, current(c.CautiousA)), "A", "cautious_a"},
		{"fastest", amount(c.FastestA, current(c.FastestA)), "A", "fastest_a"},
		{"planned with", amount(c.ChosenA, current(c.ChosenA)), "A", "chosen_a"},
	}
}

func voltageFigures(v plan.VoltageAdvice) []figure {
	return []figure{
		{"charge to", amount(v.AbsorptionV, "%.2f"), "V", "absorption_v"},
		{"  makers differ within", span(v.AbsorptionLowV, v.AbsorptionHighV, "%.2f"), "V", ""},
		{"  of one cell", amount(v.AbsorptionPerCellV, "%.3f"), "V", "absorption_per_cell_v"},
		{"float at", amount(v.FloatV, "%.2f"), "V", "float_v"},
		{"  of one cell", amount(v.FloatPerCellV, "%.3f"), "V", "float_per_cell_v"},
	}
}

func hoursFigures(h plan.HoursAdvice) []figure {
	return []figure{
		{"at the least", amount(h.LowH, "%.1f"), "h", "low_h"},
		{"at the most", amount(h.HighH, "%.1f"), "h", "high_h"},
		{"at the fastest current", span(h.FastestLowH, h.FastestHighH, "%.1f"), "h", ""},
		{"goes in", span(h.ReturnLowAh, h.ReturnHighAh, charge(h.ReturnHighAh)), "Ah", "return_low_ah"},
	}
}

func chargerFigures(c plan.ChargerAdvice) []figure {
	return []figure{
		{"safety timer", amount(c.TimerH, "%.1f"), "h", "timer_h"},
		{"  as you stated it", amount(c.OwnH, "%.1f"), "h", "own_timer_h"},
		{"capacity cut-off", amount(c.CutOffAh, charge(c.CutOffAh)), "Ah", "cut_off_ah"},
		{"current when full", amount(c.TailA, current(c.TailA)), "A", "tail_a"},
	}
}

func leadsFigures(l plan.LeadsAdvice) []figure {
	return []figure{
		{"resistance of the pair", amount(l.LoopOhm*1000, "%.1f"), "mohm", "loop_ohm"},
		{"take of the voltage", amount(l.DropV, "%.2f"), "V", "drop_v"},
		{"warmed with", amount(l.HeatW, "%.1f"), "W", "heat_w"},
	}
}

func ventilationFigures(v plan.VentilationAdvice) []figure {
	return []figure{
		{"fresh air", amount(v.AirflowM3PerH, "%.2f"), "m3/h", "airflow_m3_per_h"},
		{"  once it floats", amount(v.FloatM3PerH, "%.2f"), "m3/h", "airflow_float_m3_per_h"},
		{"opening, low and high", amount(v.OpeningCm2, "%.0f"), "cm2", "opening_cm2"},
		{"or a free room of", amount(v.RoomM3, "%.1f"), "m3", "room_m3"},
		{"no sparks within", amount(v.DistanceM, "%.2f"), "m", "distance_m"},
		{"hydrogen per Ah too much", amount(v.HydrogenLPerAh, "%.2f"), "l", "hydrogen_l_per_ah"},
	}
}

func cautions(b *bytes.Buffer, all []plan.Caution) {
	fmt.Fprintf(b, "\nCautions\n")
	for _, c := range all {
		Paragraph(b, "  - ", fmt.Sprintf("%s (%s)", c.Text, c.Source))
	}
}

// span writes a range, or nothing where it is not known or none.
func span(low, high analyze.Number, format string) string {
	from, to := amount(low, format), amount(high, format)
	if from == "" || to == "" || from == to {
		return ""
	}
	return from + " to " + to
}

// charge is how one as large as this is written: that of a small pack would be
// nothing in tenths of an ampere-hour. No digit of a cut-off gets lost by it.
func charge(ah analyze.Number) string {
	if ah < 1 {
		return "%.2g"
	}
	return "%.1f"
}

// current is how one as large as this is written; hundredths are too coarse for that
// of a small pack.
func current(amps analyze.Number) string {
	if amps < 0.1 {
		return "%.2g"
	}
	return "%.2f"
}

// inFull writes what was rounded already, and must not be once more.
func inFull(n analyze.Number) string {
	if !analyze.Known(n) {
		return ""
	}
	return strconv.FormatFloat(float64(n), 'f', -1, 64)
}

// amount writes a number, or nothing where it is not known.
func amount(n analyze.Number, format string) string {
	if !analyze.Known(n) {
		return ""
	}
	return fmt.Sprintf(format, float64(n))
}

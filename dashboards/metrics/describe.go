package metrics

import (
	"amphora/analyze"
	"amphora/dashboards/live"
)

// family is one metric: what it is called behind amphora_, whether it may only
// rise, what it means, and its series.
type family struct {
	name, kind, help string
	lines            lines
}

// lines writes the series of a metric.
type lines func(*writer, *scene)

const (
	gauge     = "gauge"
	counter   = "counter"
	histogram = "histogram"
)

const (
	coulombsPerAh = 3600
	joulesPerWh   = 3600
)

// families is everything that is shown of amphora, by name.
var families = []family{
	{"build_info", gauge, "1, labelled with what this program is.", build},
	{"charge_coulombs_total", counter, "Charge that flowed, over all charges since the program started.", chargeTotals},
	{"clock_set", gauge, "1 while the wall clock of the host can be believed.",
		state(func(c channel) bool { return c.ClockSet })},
	{"current_amperes", gauge, "Current into the battery; negative out of it.",
		reading(func(r *live.Reading) analyze.Number { return r.Amps })},
	{"energy_joules_total", counter, "Energy that flowed, over all charges since the program started.", energyTotals},
	{"finding", gauge, "1 while a finding holds.", findings},
	{"journal_bytes_total", counter, "Bytes handed to the disk.",
		count(func(c channel) int64 { return c.Journal.Bytes })},
	{"journal_degraded", gauge, "1 while lines are kept in memory because the disk refuses them.",
		state(func(c channel) bool { return c.Journal.Degraded != "" })},
	{"journal_lost_lines_total", counter, "Lines given up because the disk refused them for so long that memory had no more room.",
		count(func(c channel) int64 { return c.Journal.Lost })},
	{"journal_pending_lines", gauge, "Lines that are not on the disk yet.",
		count(func(c channel) int { return c.Journal.Pending })},
	{"journal_sync_seconds", histogram, "Time that the disk took to make journal records durable.", syncTimes},
	{"last_sample_timestamp_seconds", gauge, "When the last reading was taken, since 1970-01-01 UTC.", lastSample},
	{"lines_rejected_total", counter, "Rows that were not used, by reason.", rejections},
	{"lines_total", counter, "Lines that came from the source, readable or not.",
		count(func(c channel) int { return c.Source.Lines })},
	{"notifications_total", counter, "Notifications by how they came out.", notifications},
	{"push_dropped_points_total", counter, "Points given up for want of room.",
		targets(func(t *Target) float64 { return float64(t.Dropped) })},
	{"push_failures_total", counter, "Pushes that failed.",
		targets(func(t *Target) float64 { return float64(t.Failures) })},
	{"push_pending_points", gauge, "Points that wait to be pushed.",
		targets(func(t *Target) float64 { return float64(t.Pending) })},
	{"push_refused_points_total", counter, "Points that the target will never take, set aside.",
		targets(func(t *Target) float64 { return float64(t.Refused) })},
	{"samples_total", counter, "Rows that were decoded and used.",
		count(func(c channel) int { return c.Used })},
	{"session_charge_coulombs", gauge, "Charge into the battery in the charge under way or just over.",
		session(func(s *analyze.Session) analyze.Number { return s.ChargeInAh }, coulombsPerAh)},
	{"session_energy_joules", gauge, "Energy into the battery in the charge under way or just over.",
		session(func(s *analyze.Session) analyze.Number { return s.EnergyInWh }, joulesPerWh)},
	{"session_remaining_seconds", gauge, "Time that the charge will still take, as forecast.", remaining},
	{"session_start_time_seconds", gauge, "When the charge began, since 1970-01-01 UTC.", started},
	{"source_reconnects_total", counter, "Times that the source came back after it was lost.",
		count(func(c channel) int { return c.Source.Reconnects })},
	{"source_up", gauge, "1 while the source is there and delivers.",
		state(func(c channel) bool { return c.Source.Up })},
	{"stage", gauge, "1 for the present stage of the charge, 0 for the others.", stages},
	{"temperature_celsius", gauge, "Temperature at the battery.",
		reading(func(r *live.Reading) analyze.Number { return r.Celsius })},
	{"voltage_volts", gauge, "Voltage across the battery.",
		reading(func(r *live.Reading) analyze.Number { return r.Volts })},
}

// Meanings says of each metric of amphora what it is, by its full name.
func Meanings() map[string]string {
	all := make(map[string]string, len(families))
	for _, f := range families {
		all["amphora_"+f.name] = f.help
	}
	return all
}

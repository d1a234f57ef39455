package metrics

import "github.com/prometheus/client_golang/prometheus"

// family is one metric: its name, labels and kind.
type family struct {
	desc *prometheus.Desc
	kind prometheus.ValueType
}

func gauge(name, help string, labels ...string) family {
	return family{prometheus.NewDesc("amphora_"+name, help, labels, nil), prometheus.GaugeValue}
}

func counter(name, help string, labels ...string) family {
	return family{prometheus.NewDesc("amphora_"+name, help, labels, nil), prometheus.CounterValue}
}

// Everything that is shown besides the journal's sync times.
var (
	volts   = gauge("voltage_volts", "Voltage across the battery.", "channel")
	amps    = gauge("current_amperes", "Current into the battery; negative out of it.", "channel")
	celsius = gauge("temperature_celsius", "Temperature at the battery.", "channel")

	charge = counter("charge_coulombs_total", "Charge that flowed, over all charges since the program started.", "channel", "direction")
	energy = counter("energy_joules_total", "Energy that flowed, over all charges since the program started.", "channel", "direction")

	sessionCharge    = gauge("session_charge_coulombs", "Charge into the battery in the charge under way or just over.", "channel")
	sessionEnergy    = gauge("session_energy_joules", "Energy into the battery in the charge under way or just over.", "channel")
	sessionStart     = gauge("session_start_time_seconds", "When the charge began, since 1970-01-01 UTC.", "channel")
	sessionRemaining = gauge("session_remaining_seconds", "Time that the charge will still take, as forecast.", "channel")
	stage            = gauge("stage", "1 for the present stage of the charge, 0 for the others.", "channel", "stage")
	finding          = gauge("finding", "1 while a finding holds.", "channel", "code", "severity")

	samples    = counter("samples_total", "Rows that were decoded and used.", "channel")
	rejected   = counter("lines_rejected_total", "Rows that were not used, by reason.", "channel", "reason")
	lines      = counter("lines_total", "Lines that came from the source, readable or not.", "channel")
	lastSample = gauge("last_sample_timestamp_seconds", "When the last reading was taken, since 1970-01-01 UTC.", "channel")

	sourceUp   = gauge("source_up", "1 while the source is there and delivers.", "channel")
	reconnects = counter("source_reconnects_total", "Times that the source came back after it was lost.", "channel")
	clockSet   = gauge("clock_set", "1 while the wall clock of the host can be believed.", "channel")

	journalBytes    = counter("journal_bytes_total", "Bytes handed to the disk.", "channel")
	journalPending  = gauge("journal_pending_lines", "Lines that are not on the disk yet.", "channel")
	journalDegraded = gauge("journal_degraded", "1 while lines are kept in memory because the disk refuses them.", "channel")

	pushPending   = gauge("push_pending_points", "Points that wait to be pushed.", "target")
	pushFailures  = counter("push_failures_total", "Pushes that failed.", "target")
	pushDropped   = counter("push_dropped_points_total", "Points given up for want of room.", "target")
	pushRefused   = counter("push_refused_points_total", "Points that the target will never take, set aside.", "target")
	notifications = counter("notifications_total", "Notifications by how they came out.", "target", "result")

	buildInfo = gauge("build_info", "1, labelled with what this program is.", "version", "goversion")
)

var families = []family{
	volts, amps, celsius, charge, energy,
	sessionCharge, sessionEnergy, sessionStart, sessionRemaining, stage, finding,
	samples, rejected, lines, lastSample, sourceUp, reconnects, clockSet,
	journalBytes, journalPending, journalDegraded,
	pushPending, pushFailures, pushDropped, pushRefused, notifications, buildInfo,
}

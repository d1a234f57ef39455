package report

import (
	"encoding/csv"
	"errors"
	"io"
	"strconv"
	"strings"
	"time"

	"amphora/analyze"
)

// ErrNoDate says that the rows of a log have no date, which line protocol needs.
var ErrNoDate = errors.New("the log knows no date; say when its first row was with --started")

// exported is a row with what its charge says of it.
type exported struct {
	*row
	session *analyze.Session
	stage   analyze.StageName // "" between the stages
	ah      float64           // into the battery since the session's account began; NaN unknown
	date    *time.Time
}

// each calls use for every row kept, with the session that it belongs to: rows
// between two charges belong to the second, rows after the last to it.
func (t *Track) each(sessions []analyze.Session, use func(*exported) error) error {
	if len(sessions) == 0 {
		return nil
	}
	k, before := 0, 0.0
	for n := range t.rows {
		r := &t.rows[n]
		for k < len(sessions)-1 && r.At > float64(sessions[k].EndS) {
			k++
			before = analyze.Unknown()
			if n > 0 {
				before = t.rows[n-1].in
			}
		}
		s := &sessions[k]
		x := exported{row: r, session: s, stage: stageAt(s, r.At), ah: (r.in - before) / 3600}
		if !analyze.Known(r.in) {
			x.ah = float64(s.ChargeInAh)
		}
		if s.Started != nil {
			x.date = new(s.Started.Add(time.Duration((r.At - float64(s.StartS)) * float64(time.Second))).Round(time.Millisecond))
		}
		if err := use(&x); err != nil {
			return err
		}
	}
	return nil
}

func stageAt(s *analyze.Session, at float64) analyze.StageName {
	for _, g := range s.Stages {
		if float64(g.StartS) <= at && at <= float64(g.EndS) {
			return g.Stage
		}
	}
	return ""
}

// Rows writes every row as CSV (RFC 4180): elapsed time, date where it is known,
// what was measured, the stage, and the charge so far. An empty cell is unknown.
func Rows(w io.Writer, t *Track, sessions []analyze.Session) error {
	c := csv.NewWriter(w)
	c.UseCRLF = true
	if err := c.Write([]string{"elapsed_s", "time", "voltage_v", "current_a", "temperature_c", "stage", "charge_ah", "session"}); err != nil {
		return err
	}
	err := t.each(sessions, func(x *exported) error {
		return c.Write([]string{cell(x.At, 3), date(x.date), cell(x.Volts, 4), cell(x.Amps, 4), cell(x.Celsius, 2),
			string(x.stage), cell(x.ah, 4), harmless(x.session.ID)})
	})
	c.Flush()
	return errors.Join(err, c.Error())
}

// Charges writes one line for every charge as CSV.
func Charges(w io.Writer, sessions []analyze.Session) error {
	c := csv.NewWriter(w)
	c.UseCRLF = true
	rows := [][]string{{"session", "channel", "battery", "started", "outcome", "ended_by", "duration_s", "charge_in_ah", "charge_in_ah_u95", "charge_out_ah",
		"energy_in_wh", "set_a", "held_v", "peak_v", "tail_a", "max_celsius", "settled_v", "resistance_ohm", "charge_factor", "depth_of_discharge", "findings"}}
	for k := range sessions {
		s := &sessions[k]
		settled, ohm, factor, depth := unknown, unknown, unknown, unknown
		if s.Rest != nil {
			settled = s.Rest.SettledV
		}
		if r, ok := surestOf(s.Resistance); ok {
			ohm = r.Ohm
		}
		if s.Capacity != nil {
			factor, depth = s.Capacity.ChargeFactor, s.Capacity.DepthOfDischarge
		}
		var codes []string
		for _, f := range s.Findings {
			codes = append(codes, f.Code)
		}
		n := func(x analyze.Number) string { return cell(float64(x), 5) }
		rows = append(rows, []string{harmless(s.ID), harmless(s.Channel), harmless(string(s.Battery)), date(s.Started), string(s.Outcome), string(s.EndedBy),
			n(s.EndS - s.StartS), n(s.ChargeInAh), n(s.ChargeInAhU95), n(s.ChargeOutAh), n(s.EnergyInWh), n(s.SetA), n(s.HeldV), n(s.PeakV), n(s.TailA),
			n(s.MaxCelsius), n(settled), n(ohm), n(factor), n(depth), strings.Join(codes, " ")})
	}
	return c.WriteAll(rows)
}

var unknown = analyze.Number(analyze.Unknown())

// harmless makes text that came from outside safe to open in a spreadsheet, which
// would take what begins like a formula for one. Numbers are no text.
func harmless(s string) string {
	if s != "" && strings.ContainsRune("=+-@\t\r", rune(s[0])) {
		return "'" + s
	}
	return s
}

// cell writes a number with at most so many decimals, an unknown one not at all.
func cell(x float64, decimals int) string {
	if !analyze.Known(x) {
		return ""
	}
	text := strconv.FormatFloat(x, 'f', decimals, 64)
	if strings.Contains(text, ".") {
		text = strings.TrimRight(strings.TrimRight(text, "0"), ".")
	}
	if text == "-0" {
		return "0"
	}
	return text
}

func date(t *time.Time) string {
	if t == nil {
		return ""
	}
	return t.UTC().Format("2006-01-02T15:04:05.000Z")
}

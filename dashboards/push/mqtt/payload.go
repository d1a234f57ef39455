package mqtt

import (
	"encoding/json"
	"time"

	"amphora/analyze"
	"amphora/dashboards/live"
)

// Each payload is a JSON object whose first field is "time"; what is not known is
// null. The structs hold the other fields.

// stateBody is whether we are there. When we die the broker tells what we left with
// it when we connected, and no time but that.
type stateBody struct {
	State     string     `json:"state"`
	Connected *time.Time `json:"connected"` // when we did last
}

// readingBody is the present reading; all of it is null where there is none.
type readingBody struct {
	Volts       analyze.Number `json:"volts"`
	Amps        analyze.Number `json:"amps"`
	Celsius     analyze.Number `json:"celsius"`
	SilentSince *time.Time     `json:"silent_since"` // the time of the last reading, where that is too old
}

type stageBody struct {
	Stage live.Text  `json:"stage"`
	Why   live.Text  `json:"why"`
	Since *time.Time `json:"since"`
}

// chargeBody is the charge under way, or the last one while its rest is watched.
type chargeBody struct {
	Session       live.Text      `json:"session"`
	Battery       live.Text      `json:"battery"`
	Outcome       live.Text      `json:"outcome"`
	Started       *time.Time     `json:"started"`
	ChargeInAh    analyze.Number `json:"charge_in_ah"`
	ChargeInAhU95 analyze.Number `json:"charge_in_ah_u95"`
	ChargeOutAh   analyze.Number `json:"charge_out_ah"`
	EnergyInWh    analyze.Number `json:"energy_in_wh"`
	Finished      *time.Time     `json:"finished"` // when it was complete
	Expected      *time.Time     `json:"expected"` // when it will be, by the forecast
	ExpectedU95S  analyze.Number `json:"expected_u95_s"`
	RemainingS    analyze.Number `json:"remaining_s"`
}

type findingsBody struct {
	Worst    live.Text     `json:"worst"` // the severity of the worst of them
	Count    int           `json:"count"`
	Findings []findingBody `json:"findings"`
}

type findingBody struct {
	Code     string           `json:"code"`
	Severity analyze.Severity `json:"severity"`
	Message  string           `json:"message"`
	Since    *time.Time       `json:"since"`
}

type sessionBody struct {
	Session *analyze.Session `json:"session"`
}

type sourceBody struct {
	Up    bool       `json:"up"`
	State string     `json:"state"`
	Name  string     `json:"name"`
	Since *time.Time `json:"since"`
}

// body writes the fields of a payload but the time.
func body(fields any) []byte {
	b, err := json.Marshal(fields)
	if err != nil { // only of what no payload holds
		panic("mqtt: " + err.Error())
	}
	return b
}

// payload is a body with its time, in milliseconds, in front.
func payload(at time.Time, body []byte) []byte {
	b := []byte(`{"time":null,`)
	if analyze.Dated(at) {
		b = append(at.UTC().AppendFormat([]byte(`{"time":"`), "2006-01-02T15:04:05.000Z07:00"), `",`...)
	}
	return append(b, body[1:]...)
}

func readingOf(c *live.Channel) readingBody {
	if r := c.Reading; r != nil {
		return readingBody{Volts: r.Volts, Amps: r.Amps, Celsius: r.Celsius}
	}
	b := readingBody{Volts: unknown, Amps: unknown, Celsius: unknown}
	if r := c.LastReading; r != nil {
		b.SilentSince = moment(r.At)
	}
	return b
}

func stageOf(c *live.Channel, o origin) stageBody {
	return stageBody{c.Stage, c.StageWhy, o.date(c.StageSinceS)}
}

func chargeOf(c *live.Channel, o origin) chargeBody {
	s := c.Charge()
	if s == nil {
		return chargeBody{Battery: c.Battery, ChargeInAh: unknown, ChargeInAhU95: unknown, ChargeOutAh: unknown, EnergyInWh: unknown, ExpectedU95S: unknown, RemainingS: unknown}
	}
	b := chargeBody{
		Session: live.Text(s.ID), Battery: live.Text(s.Battery), Outcome: live.Text(s.Outcome), Started: s.Started,
		ChargeInAh: s.ChargeInAh, ChargeInAhU95: s.ChargeInAhU95, ChargeOutAh: s.ChargeOutAh, EnergyInWh: s.EnergyInWh,
		Finished: o.date(s.FinishS), ExpectedU95S: unknown, RemainingS: c.RemainingS,
	}
	if f := s.Forecast; f != nil && s.Outcome == analyze.Running {
		b.Expected, b.ExpectedU95S = o.date(f.FinishS), f.FinishSU95
	}
	return b
}

func findingsOf(c *live.Channel, o origin) findingsBody {
	b := findingsBody{Findings: []findingBody{}}
	if c.Session == nil {
		return b
	}
	for _, f := range c.Session.Findings {
		if analyze.Known(f.EndS) {
			continue // it does not hold any more
		}
		b.Findings = append(b.Findings, findingBody{f.Code, f.Severity, f.Message, o.date(f.AtS)})
		if f.Severity.Worse(analyze.Severity(b.Worst)) {
			b.Worst = live.Text(f.Severity)
		}
	}
	b.Count = len(b.Findings)
	return b
}

func sourceOf(c *live.Channel) sourceBody {
	s := c.Source
	b := sourceBody{Up: s.Up, State: s.State, Name: s.Name}
	if s.Since != nil {
		b.Since = moment(*s.Since)
	}
	return b
}

// moment is a date, to the millisecond; nil where it is none.
func moment(t time.Time) *time.Time {
	if !analyze.Dated(t) {
		return nil
	}
	return new(t.UTC().Truncate(time.Millisecond))
}

var unknown = analyze.Number(analyze.Unknown())

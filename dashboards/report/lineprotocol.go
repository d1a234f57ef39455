package report

import (
	"fmt"
	"io"

	"amphora/analyze"
	"amphora/dashboards/push"
	"amphora/dashboards/push/points"
)

// LineProtocol writes every row and every charge as line protocol with times in
// nanoseconds. A track of nil writes the charges alone. The error is an ErrNoDate
// where rows or charges have no date.
func LineProtocol(w io.Writer, t *Track, sessions []analyze.Session) error {
	for k := range sessions {
		if sessions[k].Started == nil {
			return fmt.Errorf("session %s: %w", sessions[k].ID, ErrNoDate)
		}
	}
	lines := points.New(nil)
	put := func(_ bool, err error) error {
		if err == nil {
			_, err = w.Write(lines.Bytes())
		}
		lines.Reset()
		return err
	}
	if t != nil {
		err := t.each(sessions, func(x *exported) error {
			s := push.Sample{At: *x.date, Stage: x.stage, Volts: x.Volts, Amps: x.Amps, Celsius: x.Celsius, ChargeAh: x.ah}
			return put(lines.Sample(x.session.Channel, string(x.session.Battery), &s))
		})
		if err != nil {
			return err
		}
	}
	for k := range sessions {
		if err := put(lines.Session(&sessions[k])); err != nil {
			return err
		}
	}
	return nil
}

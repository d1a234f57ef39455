package terminal

import (
	"fmt"
	"math"
	"time"

	"amphora/analyze"
	"amphora/dashboards/live"
	"amphora/dashboards/report"
)

// Sentence says in one or two sentences what matters of a channel now, and in which
// mood. The page says the same in the same words.
func Sentence(c *live.Channel) (text string, in mood) {
	s, r := c.Session, c.LastReading
	if s != nil {
		for _, f := range s.Findings {
			if f.Severity == analyze.Alarm && !analyze.Known(f.EndS) {
				if what := report.Meanings()[f.Code]; what != "" {
					return what, alarmed
				}
				return f.Message, alarmed
			}
		}
	}
	switch {
	case r == nil:
		return "Nothing heard yet from " + c.Source.Name + ".", plain
	case c.Reading == nil && c.Source.Up:
		return fmt.Sprintf("No reading for %s: the source is there, but nothing that can be read comes from it.", analyze.Clock(float64(r.AgeS))), warned
	case c.Reading == nil:
		return fmt.Sprintf("No reading for %s: %s.", analyze.Clock(float64(r.AgeS)), c.Source.State), warned
	}
	return inCourse(c, s, r), bold
}

func inCourse(c *live.Channel, s *analyze.Session, r *live.Reading) string {
	v, a := fmt.Sprintf("%.2f V", float64(r.Volts)), fmt.Sprintf("%.2f A", math.Abs(float64(r.Amps)))
	if c.Starting && r.Amps > 0 {
		return "Current flows, " + a + " at " + v + ". Too early to say which stage it is."
	}
	if s == nil || s.Outcome == analyze.NoCharge {
		if r.Amps < -0.01 {
			return "Giving " + a + " at " + v + "."
		}
		return "Not charging. The battery stands at " + v + "."
	}
	switch analyze.StageName(c.Stage) {
	case analyze.ConstantCurrent:
		return "Filling with " + a + ", " + v + " and rising. " + done(s)
	case analyze.ConstantVoltage:
		return "Held at " + v + ", current falling. " + done(s)
	case analyze.Finish:
		if analyze.Known(s.FinishS) {
			return "Full since " + moment(s, s.FinishS) + ". Kept topped up at " + v + "."
		}
		return "Nearly full. Kept topped up at " + v + "."
	case analyze.Rest:
		return over(s) + " It stands at " + v + "."
	}
	if s.Outcome == analyze.Running {
		return "Charging with " + a + " at " + v + ". " + done(s)
	}
	return over(s)
}

// done is when the charge will be done, with the interval of 95 %.
func done(s *analyze.Session) string {
	f := s.Forecast
	if f == nil || !analyze.Known(f.FinishS) {
		return "Too early to say when it will be done."
	}
	about := "Done about " + moment(s, f.FinishS)
	if analyze.Known(f.FinishSU95) && f.FinishSU95 >= 60 {
		about += ", between " + moment(s, f.FinishS-f.FinishSU95) + " and " + moment(s, f.FinishS+f.FinishSU95)
	}
	return about + "."
}

// over says how a charge came out.
func over(s *analyze.Session) string {
	went := within(s.ChargeInAh, s.ChargeInAhU95) + " Ah went in"
	switch s.Outcome {
	case analyze.Complete:
		return "Full at " + moment(s, s.FinishS) + " after " + analyze.Clock(float64(s.FinishS-s.StartS)) + ": " + went + "."
	case analyze.CutShort:
		return "Stopped before it was full, at " + moment(s, s.EndS) + ": " + went + "."
	case analyze.Faulted:
		return "Ended by an alarm at " + moment(s, s.EndS) + ": " + went + "."
	case analyze.Running:
		return "Still charging: " + went + " so far."
	}
	return "Nothing to speak of flowed."
}

// moment is a time of a session: of the day, in the time zone of the process, where
// the date is known, else counted from the first row.
func moment(s *analyze.Session, at analyze.Number) string {
	if s.Started == nil || !analyze.Dated(*s.Started) {
		return analyze.Clock(float64(at)) + " of the log"
	}
	return analyze.TimeOfDay(s.Started.Add(time.Duration(float64(at-s.StartS)*float64(time.Second))).Local(), "15:04")
}

// within is a value with its expanded uncertainty, to the digits that it leaves.
func within(x, u95 analyze.Number) string {
	if !analyze.Known(u95) || u95 <= 0 {
		return fmt.Sprintf("%.2f", float64(x))
	}
	places := min(4, max(0, 1-int(math.Floor(math.Log10(float64(u95))))))
	return fmt.Sprintf("%.*f ± %.*f", places, float64(x), places, float64(u95))
}

package daemon

import (
	"context"
	"fmt"
	"log/slog"

	"amphora/analyze"
)

// report logs what a person wants to find in the log later.
func (c *channel) report(e *analyze.Event) {
	at := []any{"channel", c.set.Name, "at", analyze.Clock(e.At)}
	switch e.Kind {
	case analyze.StageBegan:
		c.log.Info("stage: "+string(e.Stage), append(at, "why", e.Why)...)
	case analyze.FindingRaised:
		level := slog.LevelWarn
		if e.Finding.Severity == analyze.Note {
			level = slog.LevelInfo // nothing to be done about it
		}
		c.log.Log(context.Background(), level, string(e.Finding.Severity)+": "+e.Finding.Code, append(at, "message", e.Finding.Message)...)
	case analyze.FindingCleared:
		c.log.Info("cleared: "+e.Finding.Code, at...)
	case analyze.SessionOver:
		c.log.Info("charge over", append(at, "outcome", e.Session.Outcome, "charge_in_ah", fmt.Sprintf("%.2f", float64(e.Session.ChargeInAh)))...)
	}
}

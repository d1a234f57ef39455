package daemon

import (
	"log/slog"
	"strings"
	"time"

	"amphora/capture"
)

const (
	// logBurst is how many changes of a source are logged as they come, before
	// only one a logEvery is: a plug that wobbles must not fill the log. All of
	// them are in the journal.
	logBurst = 6
	logEvery = time.Minute
)

// sourceLog tells the log when a source opens and is lost, and why, so that
// somebody who looks there in the evening sees what is amiss.
type sourceLog struct {
	log   *slog.Logger
	spent int           // of the burst
	since time.Duration // boot clock: up to when the burst was refilled
}

// frame logs a mark of capture's; lines are not for the log.
func (l *sourceLog) frame(f *capture.Frame) {
	text := string(f.Text)
	switch {
	case f.Flags&capture.Opened != 0 && l.may(f.Boot):
		l.log.Info("source " + text)
	case f.Flags&capture.Lost != 0 && capture.Orderly(text): // as it should
	case f.Flags&capture.Lost != 0 && l.may(f.Boot):
		l.log.Warn("source lost", "why", text)
	case f.Flags&capture.Marked != 0 && strings.Contains(text, capture.HintLost):
		l.log.Warn("source keeps being lost", "why", text)
	case f.Flags&capture.Marked != 0 && strings.Contains(text, capture.WrongDevice) && l.may(f.Boot):
		l.log.Warn("source is another device than expected", "why", text)
	case f.Flags&capture.Marked != 0 && strings.Contains(text, capture.Hint):
		l.log.Warn("source cannot be read", "why", text)
	}
}

// may spends one of the burst, which refills with time.
func (l *sourceLog) may(now time.Duration) bool {
	if n := int((now - l.since) / logEvery); n > 0 {
		l.spent = max(0, l.spent-n)
		l.since += time.Duration(n) * logEvery
	}
	if l.spent == logBurst {
		return false
	}
	l.spent++
	return true
}

package main

import (
	"fmt"
	"time"

	"amphora/analyze"
	"amphora/capture"
)

// now is the host's time of day, where this user is.
func now() time.Time { return capture.SystemClock{}.Wall().Local() }

// moment is the time that was given with --at, else now: the date of something that stays.
func moment(at time.Time) (time.Time, error) {
	if !at.IsZero() {
		return at, nil
	}
	if at = now(); !capture.ClockSet(at) {
		return at, fmt.Errorf("it would be dated %d, since nobody has set the clock of this host yet: say when it was, like --at 2026-03-14T21:40", at.Year())
	}
	return at, nil
}

// parseWhen reads a point in time as people write it; without a zone it is the
// local one.
func parseWhen(text string) (time.Time, error) {
	if t, err := time.Parse(time.RFC3339, text); err == nil {
		return t, nil
	}
	for _, layout := range []string{"2006-01-02T15:04:05", "2006-01-02T15:04", "2006-01-02 15:04", "2006-01-02"} {
		if t, err := time.ParseInLocation(layout, text, time.Local); err == nil {
			return t, nil
		}
	}
	return time.Time{}, fmt.Errorf("%q is not a time, want text like 2026-03-14T21:40 or 2026-03-14", text)
}

// dated writes a time in the zone of another.
func dated(t, now time.Time) string {
	return analyze.TimeOfDay(t.In(now.Location()), "2006-01-02 15:04")
}

// ago says how long ago a time is, as coarsely as people do. Days are those of
// the calendar: what was at 23:00 is yesterday at one in the morning.
func ago(t, now time.Time) string {
	t = t.In(now.Location())
	past, days := now.Sub(t), daysBetween(t, now)
	switch {
	case past < -time.Minute:
		return "ahead of this clock"
	case past < time.Minute:
		return "just now"
	case past < time.Hour:
		return fmt.Sprintf("%d min ago", int(past.Minutes()))
	case days == 0:
		return "today"
	case days == 1:
		return "yesterday"
	case days < 14:
		return fmt.Sprintf("%d days ago", days)
	case days < 60:
		return fmt.Sprintf("%d weeks ago", days/7)
	case days < 2*365:
		return fmt.Sprintf("%d months ago", days*12/365)
	}
	return fmt.Sprintf("%d years ago", days/365)
}

// daysBetween counts midnights. Noon is never skipped by summer time.
func daysBetween(t, now time.Time) int {
	noon := func(t time.Time) time.Time {
		return time.Date(t.Year(), t.Month(), t.Day(), 12, 0, 0, 0, time.UTC)
	}
	return int(noon(now).Sub(noon(t)) / (24 * time.Hour))
}

package main

import (
	"context"
	"log/slog"
	"time"

	systemd "github.com/coreos/go-systemd/v22/daemon"
)

// notifySystemd tells the supervisor, where there is one.
func notifySystemd(log *slog.Logger, state string) {
	if _, err := systemd.SdNotify(false, state); err != nil {
		log.Warn("cannot tell the supervisor", "state", state, "error", err)
	}
}

// watchdog pings a supervisor that asked for it, twice as often as it wants.
func watchdog(ctx context.Context) {
	every, err := systemd.SdWatchdogEnabled(false)
	if err != nil || every == 0 {
		return
	}
	tick := time.NewTicker(every / 2)
	defer tick.Stop()
	for {
		select {
		case <-ctx.Done():
			return
		case <-tick.C:
			_, _ = systemd.SdNotify(false, systemd.SdNotifyWatchdog) // the next tick tries again
		}
	}
}

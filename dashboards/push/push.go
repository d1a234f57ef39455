package push

import (
	"context"
	"log/slog"
	"time"

	"amphora/analyze"
)

// Sample is one reading as it is pushed. What was not measured is NaN.
type Sample struct {
	At       time.Time         // of the log's own account of time
	Stage    analyze.StageName // as far as it was known when the reading came
	Volts    float64           // V across the battery
	Amps     float64           // A into the battery
	Celsius  float64           // degrees Celsius, the last known
	ChargeAh float64           // Ah into the battery in this charge; lags two readings
}

// Record is what one record of a channel's journal brought: readings, mostly one,
// and charges that ended or were revised. It may be kept, and must not be changed:
// every sink is given the same.
type Record struct {
	Channel  string
	Battery  string
	Seq      uint64 // its number in the channel's journal
	Samples  []Sample
	Sessions []*analyze.Session
}

// Outlet is a place outside of this machine, whatever it gets.
type Outlet interface {
	// Status is how it goes, without waiting.
	Status() Status
	// Close keeps what is left and stops, within two seconds whatever the other side
	// does.
	Close()
}

// Sink is a place that gets all that the channels measure. Once it is closed calls of
// Take are void, those of Sync fail.
type Sink interface {
	Outlet
	// Name is what people know the place by: its kind and host, no secret.
	Name() string
	// After is the last record of a channel, by number, that need not be handed over
	// again: what it brought, and all before it, is delivered or on disk.
	After(channel string) uint64
	// Take takes what a record brought. It takes constant time and never waits; what
	// memory has no room for is dropped and counted. The numbers of a channel rise,
	// but lines that are told anew, since their decoder was wrong, come once more:
	// then After falls as well.
	Take(r Record)
	// Sync returns once all that was taken is delivered or on disk.
	Sync(ctx context.Context) error
}

// Status is how a sink is doing.
type Status struct {
	Name     string
	Pending  int       // points that wait
	Dropped  uint64    // points that were given up for want of room, since the program started
	Refused  uint64    // points that the other side will never take, and were set aside
	Failures uint64    // tries that failed, since the program started
	Since    time.Time // when the other side was last well; zero while it is
	Why      string    // it is not
}

// Target is a place as it is configured.
type Target interface {
	// Open begins to serve it. An error is one of the disk; a dead server is none.
	Open(h Host) (Sink, error)
	// Folder is where, below the host's, it keeps what waits; empty for nowhere.
	Folder() string
}

// Host is what a target is given to work with.
type Host struct {
	Dir string // for the push alone, shared by all targets
	Log *slog.Logger
}

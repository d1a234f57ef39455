package live

import (
	"time"

	"amphora/analyze"
)

// Channel is the state of one channel. Its JSON form is the live view of the
// API; what is not known is null there.
//
// The publisher fills everything but the fields that are marked as the hub's.
// What the pointers lead to must not be changed after it was published.
type Channel struct {
	Name    string `json:"name"`
	Battery Text   `json:"battery"`
	Source  Source `json:"source"`

	// Reading is the present one. The hub takes it away when it is too old.
	Reading *Reading `json:"reading"`
	// LastReading is the last one of all, however old. It is the hub's.
	LastReading *Reading `json:"last_reading"`
	// SilenceS is how old a reading may become before it is no reading any more,
	// s; DefaultSilence where it is 0 or less.
	SilenceS float64 `json:"silence_s"`

	Stage       Text           `json:"stage"` // an analyze.StageName
	StageWhy    Text           `json:"stage_why"`
	StageSinceS analyze.Number `json:"stage_since_s"` // s since the log's first row
	Starting    bool           `json:"starting"`      // current flows in that is not surely a charge's yet

	// Session is the charge under way, or the last one while its rest is watched. Where there
	// is neither and something was found, it is the one without a charge.
	Session *analyze.Session `json:"session"`
	// RemainingS is how long the charge will still take, s, by its forecast; from
	// the present moment and never below 0. It is the hub's.
	RemainingS analyze.Number `json:"remaining_s"`
	// Totals run on over all the charges since the program started. They are the
	// hub's.
	Totals Totals `json:"totals"`

	Rows             int            `json:"rows"` // rows that hold data, used or not
	Used             int            `json:"used"`
	RejectedByReason map[string]int `json:"rejected_by_reason"`
	Decoder          Text           `json:"decoder"` // the setting in use
	Journal          Journal        `json:"journal"`
	// Untold is what people should know of the channel and was not told yet,
	// because nobody could be reached; null where there is nothing.
	Untold *Untold `json:"untold"`
	// Push is how it goes with the places that everything is pushed to.
	Push []Push `json:"push"`
	// Limits are what the owner wants to be warned of.
	Limits Limits `json:"limits"`
	// ClockSet is false while the wall clock of the host cannot be believed.
	ClockSet bool `json:"clock_set"`
}

// Charge is the session if it is a charge; nil if there is none.
func (c *Channel) Charge() *analyze.Session {
	if s := c.Session; s != nil && s.Outcome != analyze.NoCharge {
		return s
	}
	return nil
}

// Source is how a channel's source is.
type Source struct {
	Name       string     `json:"name"`   // as a person knows it: a port, an address, a file
	Up         bool       `json:"up"`     // it is there and delivers; the hub takes that away when it is silent for too long
	Silent     bool       `json:"silent"` // it is open, and not up since it says nothing; the hub's
	QuietS     float64    `json:"-"`      // how long it had said nothing when it was published, s; of two meters the quieter one
	State      string     `json:"state"`  // in words, with the reason where it is not up
	Since      *time.Time `json:"since"`  // when that state began
	Reconnects int        `json:"reconnects"`
	Lines      int        `json:"lines"` // that came, readable or not
	LastLineAt *time.Time `json:"last_line_at"`
	Warning    Text       `json:"warning"` // something is odd though lines come
	Hint       Text       `json:"hint"`    // what to do about it
}

// Reading is one measurement.
type Reading struct {
	At      time.Time      `json:"at"`   // wall time
	AtS     analyze.Number `json:"at_s"` // s since the log's first row
	Volts   analyze.Number `json:"volts"`
	Amps    analyze.Number `json:"amps"` // positive into the battery
	Celsius analyze.Number `json:"celsius"`
	// AgeS is how long ago it was measured, s. The publisher says how old it was
	// when it was published first, the hub adds the time since.
	AgeS analyze.Number `json:"age_s"`
}

// Journal is how the raw record of a channel is.
type Journal struct {
	Degraded Text  `json:"degraded"` // why lines are in memory only
	Pending  int   `json:"pending"`  // lines that are not on the disk yet
	Lost     int64 `json:"lost"`     // lines that neither disk nor memory had room for, since the program started
	Bytes    int64 `json:"bytes"`    // written since the program started
}

// Untold are messages that wait to be delivered.
type Untold struct {
	Messages int       `json:"messages"`
	Since    time.Time `json:"since"` // of the first of them
	Why      Text      `json:"why"`   // the last try failed
}

// Push is how one place that everything is pushed to is doing, all channels taken
// together.
type Push struct {
	Target  string     `json:"target"`
	Pending int        `json:"pending"` // points that wait
	Dropped uint64     `json:"dropped"` // points given up for want of room
	Refused uint64     `json:"refused"` // points that it will never take, set aside
	Since   *time.Time `json:"since"`   // it was last well, null while it is
	Why     Text       `json:"why"`     // it is not
}

// Count is how many there are.
func (u *Untold) Count() int {
	if u == nil {
		return 0
	}
	return u.Messages
}

// Totals are what went into and out of a channel's batteries. None of them ever
// falls, not even where the estimate of a charge is revised downwards.
type Totals struct {
	ChargeInAh  analyze.Number `json:"charge_in_ah"`
	ChargeOutAh analyze.Number `json:"charge_out_ah"`
	EnergyInWh  analyze.Number `json:"energy_in_wh"`
	EnergyOutWh analyze.Number `json:"energy_out_wh"`
}

// NewLimits are limits that somebody asks for; nil leaves the configuration's.
type NewLimits struct {
	Hours    *float64 `json:"hours"` // that a charge may take
	ChargeAh *float64 `json:"charge_ah"`
	Celsius  *float64 `json:"celsius"`
	Volts    *float64 `json:"volts"`
}

// Limits are those in force on a channel; null is the default, which follows from
// chemistry, cells and capacity.
type Limits struct {
	Hours    analyze.Number `json:"hours"` // that a charge may take
	ChargeAh analyze.Number `json:"charge_ah"`
	Celsius  analyze.Number `json:"celsius"`
	Volts    analyze.Number `json:"volts"`
	// SetAt is when they were set by the API; null while those of the
	// configuration hold.
	SetAt *time.Time `json:"set_at"`
}

package capture

import "time"

// Clock is the time at the edge. Only this package and the program's wiring
// hold one.
type Clock interface {
	// Wall is the time of day. It may be wrong, and it may jump.
	Wall() time.Time
	// Boot counts from the boot of the host, through suspend too, and never
	// jumps. It means nothing beside that of another boot, see BootID.
	Boot() time.Duration
	// Awake is the same without suspend: beside Boot it tells how long the host slept.
	Awake() time.Duration
}

// earliest is before anything this program can have recorded: a wall clock that
// says less was never set since the host, which has no battery for it, started.
var earliest = time.Date(2020, 1, 1, 0, 0, 0, 0, time.UTC)

// ClockSet says whether a wall time can be believed at all: a host without a
// battery for its clock starts in 1970 until the network sets it.
func ClockSet(wall time.Time) bool { return wall.After(earliest) }

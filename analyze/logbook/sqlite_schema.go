package logbook

import (
	"context"
	"database/sql"
	"fmt"
)

// applicationID marks the file as a logbook, so that another program's database
// is not taken for one. It spells "ampl".
const applicationID = 0x616d706c

// The tables, and in dumps and reports the kinds of record.
const (
	batteryTable = "battery"
	readingTable = "reading"
	noteTable    = "note"
	sessionTable = "session"
)

var tables = []string{batteryTable, readingTable, noteTable, sessionTable}

// steps lead from an empty file to the present tables. A file remembers how
// many it has taken, so a step that was ever released is never changed: what
// comes later is another step at the end.
//
// Times are ms since 1970-01-01 UTC. No table refers to another by a foreign
// key: a reading or a note must outlast the loss of what it was written about.
var steps = []string{
	// 1: what is remembered
	`CREATE TABLE battery (
		name            TEXT PRIMARY KEY NOT NULL,
		chemistry       TEXT,
		cells           INTEGER,
		capacity_ah     REAL,
		capacity_hours  REAL,
		reserve_minutes REAL,
		bought          TEXT NOT NULL,
		place           TEXT NOT NULL,
		note            TEXT NOT NULL,
		retired_ms      INTEGER
	) STRICT;
	CREATE TABLE reading (
		id      TEXT PRIMARY KEY NOT NULL,
		battery TEXT NOT NULL,
		at_ms   INTEGER NOT NULL,
		ohm     REAL,
		volts   REAL,
		gravity REAL,
		celsius REAL,
		remark  TEXT NOT NULL,
		means   TEXT NOT NULL
	) STRICT;
	CREATE INDEX reading_by_battery ON reading (battery, id);
	CREATE TABLE note (
		id      TEXT PRIMARY KEY NOT NULL,
		session TEXT NOT NULL,
		at_ms   INTEGER NOT NULL,
		text    TEXT NOT NULL
	) STRICT;
	CREATE INDEX note_by_session ON note (session, id);
	CREATE TABLE session (
		id           TEXT PRIMARY KEY NOT NULL,
		channel      TEXT NOT NULL,
		battery      TEXT NOT NULL,
		started_ms   INTEGER NOT NULL, -- 0 where the log knows no date
		outcome      TEXT NOT NULL,
		ended_by     TEXT NOT NULL,
		charge_in_ah REAL,
		energy_in_wh REAL,
		set_a        REAL,
		held_v       REAL,
		peak_v       REAL,
		document     TEXT NOT NULL CHECK (json_valid(document)) -- the whole summary; the columns repeat parts of it
	) STRICT;
	CREATE INDEX session_by_time ON session (started_ms, id);
	CREATE INDEX session_by_battery ON session (battery, started_ms, id);
	CREATE INDEX session_by_channel ON session (channel, started_ms, id);`,

	// 2: where a session began in the raw record, and whether it may still be
	// revised. Those written before count as settled: nobody knows where they
	// began, so they cannot be resumed.
	`ALTER TABLE session ADD COLUMN journal_from TEXT NOT NULL DEFAULT '';
	ALTER TABLE session ADD COLUMN settled INTEGER NOT NULL DEFAULT 1;
	CREATE INDEX session_unsettled ON session (started_ms, id) WHERE settled = 0;`,

	// 3: the other orders in which people list sessions; the expressions are those
	// of the queries, to the letter.
	`CREATE INDEX session_by_name ON session (nullif(lower(battery), ''), started_ms, id);
	CREATE INDEX session_by_outcome ON session (outcome, started_ms, id);
	CREATE INDEX session_by_charge ON session (charge_in_ah, started_ms, id);
	CREATE INDEX session_by_length ON session (json_extract(document, '$.end_s') - json_extract(document, '$.start_s'), started_ms, id);`,

	// 4: whether a person said afterwards of which battery a session was.
	`ALTER TABLE session ADD COLUMN assigned INTEGER NOT NULL DEFAULT 0;`,
}

// migrate takes the steps that a file has not taken yet, all or none. It looks
// again inside the transaction, since another process may have been quicker.
func migrate(ctx context.Context, db *sql.DB, steps []string) error {
	taken, err := stepsTaken(ctx, db)
	if err != nil || taken == len(steps) {
		return err
	}
	return inside(ctx, db, func(tx *sql.Tx) error {
		taken, err := stepsTaken(ctx, tx)
		if err != nil {
			return err
		}
		for n := taken; n < len(steps); n++ {
			if _, err := tx.ExecContext(ctx, steps[n]); err != nil {
				return fmt.Errorf("bring the tables from form %d to %d: %w", n, n+1, err)
			}
		}
		_, err = tx.ExecContext(ctx, fmt.Sprintf("PRAGMA user_version = %d; PRAGMA application_id = %d",
			len(steps), applicationID))
		return err
	})
}

// querier is what a handle and a transaction have in common.
type querier interface {
	QueryContext(ctx context.Context, query string, args ...any) (*sql.Rows, error)
	QueryRowContext(ctx context.Context, query string, args ...any) *sql.Row
}

// stepsTaken says how many steps a file has behind it, and refuses files that
// are not ours to change.
func stepsTaken(ctx context.Context, db querier) (int, error) {
	var application, version, objects int
	err := db.QueryRowContext(ctx, `SELECT application_id, user_version, (SELECT count(*) FROM sqlite_schema)
		FROM pragma_application_id, pragma_user_version`).Scan(&application, &version, &objects)
	switch {
	case err != nil:
		return 0, fmt.Errorf("read the form of its tables: %w", err)
	case application == 0 && version == 0 && objects == 0:
		return 0, nil // new and empty
	case application != applicationID:
		return 0, fmt.Errorf("it is another program's database; name another file")
	case version > len(steps):
		return 0, fmt.Errorf("its tables have form %d and this program knows up to %d; use a newer amphora", version, len(steps))
	}
	return version, nil
}

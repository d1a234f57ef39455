-- a logbook of the first form, as an early file held it
PRAGMA application_id = 1634562156;
PRAGMA user_version = 1;
CREATE TABLE battery (
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
CREATE INDEX session_by_channel ON session (channel, started_ms, id);
INSERT INTO battery VALUES ('mower', 'lead-agm', 6, 17, 20, NULL, '2024-05', '', 'by hand', NULL);
INSERT INTO reading VALUES ('20260314T214000.000Z-0001', 'mower', 1773524400000, 0.029, NULL, NULL, NULL, '', 'bridge');
INSERT INTO note VALUES ('20260314T214000.000Z-0001', 'bench-1', 1773524400000, 'first night');
INSERT INTO session VALUES ('bench-1', 'bench', 'mower', 1773524400000, 'complete', 'tail-current', 21.64, NULL, NULL, 14.5, NULL,
 '{"id":"bench-1","channel":"bench","battery":"mower","started":"2026-03-14T21:40:00Z","outcome":"complete","ended_by":"tail-current","charge_in_ah":21.64,"held_v":14.5,"cells":6}');

package keep

import (
	"context"
	"database/sql"
	"fmt"

	"slatbench/sim/require"
)

// What a file of ours is known by: SQLite keeps both numbers in its header.
const (
	applicationID = 0x534C4154 // "SLAT"
	formatVersion = 2          // of the tables; docs/campaign-files.md
	pageSize      = 4096       // bytes
)

const schema = `
CREATE TABLE campaign (
  key   TEXT PRIMARY KEY,
  value TEXT NOT NULL
) STRICT, WITHOUT ROWID;
CREATE TABLE clause (
  id          INTEGER PRIMARY KEY, -- as in the results of a run
  requirement TEXT NOT NULL,
  word        TEXT NOT NULL,
  unit        TEXT NOT NULL,       -- of the margin
  scale       REAL NOT NULL        -- share = margin / scale
) STRICT;
CREATE TABLE requirement (
  id   INTEGER PRIMARY KEY,        -- bit in run.violated, place in run.results
  name TEXT NOT NULL
) STRICT;
CREATE TABLE fault_set (
  id    INTEGER PRIMARY KEY,
  kinds TEXT NOT NULL UNIQUE       -- in the order of slatbench list faults, joined by +; empty: none
) STRICT;
CREATE TABLE run (
  idx         INTEGER PRIMARY KEY, -- from 0, without a gap
  fault_set   INTEGER NOT NULL REFERENCES fault_set,
  violated    INTEGER NOT NULL,    -- bit set of requirements
  hash        INTEGER NOT NULL,    -- of the final state
  transitions BLOB,                -- bit set, little-endian words
  results     BLOB NOT NULL,       -- docs/campaign-files.md
  error       TEXT                 -- why it could not be played
) STRICT;
CREATE TABLE silence (               -- controllers that failed as a whole
  run  INTEGER NOT NULL REFERENCES run,
  n    INTEGER NOT NULL,             -- from 0, in the order of time
  bay  INTEGER,                      -- from 0; null is the lock controller
  step INTEGER NOT NULL,             -- of the model, since the run began
  why  TEXT NOT NULL,
  PRIMARY KEY (run, n)
) STRICT, WITHOUT ROWID;
`

// image is a new file of a campaign, with all but the runs.
func image(id *Identity) ([]byte, error) {
	ctx := context.Background()
	db, err := sql.Open("sqlite", ":memory:")
	if err != nil {
		return nil, err
	}
	defer db.Close()
	conn, err := db.Conn(ctx)
	if err != nil {
		return nil, err
	}
	defer conn.Close()
	settings := fmt.Sprintf("PRAGMA page_size=%d; PRAGMA application_id=%d; PRAGMA user_version=%d;", pageSize, applicationID, formatVersion)
	if _, err := conn.ExecContext(ctx, settings+schema); err != nil {
		return nil, err
	}
	for _, m := range id.marks() {
		if _, err := conn.ExecContext(ctx, "INSERT INTO campaign VALUES (?, ?)", m.key, m.value); err != nil {
			return nil, err
		}
	}
	for i, name := range require.IDs {
		if _, err := conn.ExecContext(ctx, "INSERT INTO requirement VALUES (?, ?)", i, name); err != nil {
			return nil, err
		}
	}
	for i, c := range require.Clauses() {
		if _, err := conn.ExecContext(ctx, "INSERT INTO clause VALUES (?, ?, ?, ?, ?)", i, c.Requirement, c.Word, c.Unit, c.Scale); err != nil {
			return nil, err
		}
	}
	return serialized(conn)
}

// serialized gives the bytes of a database in memory, marked as one with a
// write-ahead log, so that no later step has to change the mode of the file.
func serialized(conn *sql.Conn) (bytes []byte, err error) {
	err = conn.Raw(func(driver any) error {
		bytes, err = driver.(interface{ Serialize() ([]byte, error) }).Serialize()
		return err
	})
	if err == nil {
		bytes[atWrite], bytes[atRead] = logged, logged
	}
	return bytes, err
}

// deserialize turns a connection into one to a copy in memory, which has no log.
func deserialize(conn *sql.Conn, bytes []byte) error {
	bytes[atWrite], bytes[atRead] = unlogged, unlogged
	return conn.Raw(func(driver any) error {
		return driver.(interface{ Deserialize([]byte) error }).Deserialize(bytes)
	})
}

// Write and read version in the header: with a write-ahead log, or without.
const (
	atWrite, atRead  = 18, 19
	unlogged, logged = 1, 2
)

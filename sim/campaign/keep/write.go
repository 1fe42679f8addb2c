package keep

import (
	"context"
	"database/sql"
	"fmt"
	"slices"
	"strings"
	"time"

	"slatbench/sim"
	"slatbench/sim/campaign"
	"slatbench/sim/require"
)

// A batch is committed when it has so many runs, or is so old. The first bounds
// memory, the second what a kill costs: at most that is played again.
const (
	batchRuns = 1024
	batchAge  = time.Second
)

// batch is runs that wait to be written.
type batch struct {
	rows  []row
	began time.Time
}

// row is a run as it stands in the file.
type row struct {
	index       uint64
	kinds       string
	violated    uint64
	hash        uint64
	transitions []byte
	results     []byte
	trouble     sql.NullString
	silent      []sim.Silence
}

// Add keeps a run. Runs come in the order of their index, the first being
// f.Runs(). After an error nothing more is kept.
func (f *File) Add(c *campaign.Case, o *campaign.Outcome) error {
	if f.err != nil {
		return f.err
	}
	if c.Index != f.next {
		return fmt.Errorf("run %d was to be kept, and run %d is next", c.Index, f.next)
	}
	r := row{index: c.Index, kinds: KindsOf(c), violated: violated(o.Results), hash: o.Hash, transitions: encodeWords(o.Transitions), silent: slices.Clone(o.Silent)}
	var err error
	if r.results, err = f.codec.encode(make([]byte, 0, 192), o.Results); err != nil {
		return err
	}
	if o.Err != nil {
		r.trouble = sql.NullString{String: o.Err.Error(), Valid: true}
	}
	if len(f.batch.rows) == 0 {
		f.batch.began = time.Now()
	}
	f.batch.rows = append(f.batch.rows, r)
	f.next++
	if len(f.batch.rows) >= batchRuns || time.Since(f.batch.began) >= batchAge {
		return f.Flush()
	}
	return nil
}

// KindsOf names the kinds of fault of a case, in the order of fault.Kinds, joined
// by +. Events that a controller must cope with are not among them.
func KindsOf(c *campaign.Case) string { return strings.Join(c.Kinds(), "+") }

func violated(results []require.Result) (set uint64) {
	for i := range results {
		if results[i].Verdict == require.Violated {
			set |= 1 << i
		}
	}
	return set
}

// Flush writes what waits: all of it, or nothing.
func (f *File) Flush() error {
	if f.err != nil || len(f.batch.rows) == 0 {
		return f.err
	}
	if err := f.write(); err != nil {
		f.next -= uint64(len(f.batch.rows))
		f.err = worded(f.name, err)
	}
	clear(f.batch.rows)
	f.batch.rows = f.batch.rows[:0]
	return f.err
}

func (f *File) write() error {
	tx, err := f.conn.BeginTx(ctx, nil)
	if err != nil {
		return err
	}
	defer tx.Rollback()
	insert, err := tx.PrepareContext(ctx, "INSERT INTO run VALUES (?, ?, ?, ?, ?, ?, ?)")
	if err != nil {
		return err
	}
	defer insert.Close()
	added := map[string]int64{} // to sets, once they are written
	for i := range f.batch.rows {
		r := &f.batch.rows[i]
		set, err := f.set(tx, added, r.kinds)
		if err != nil {
			return err
		}
		// SQLite's whole numbers are signed: the bits of a hash are kept, not its size.
		if _, err := insert.ExecContext(ctx, int64(r.index), set, int64(r.violated), int64(r.hash), r.transitions, r.results, r.trouble); err != nil {
			return err
		}
		if err := silences(tx, r); err != nil {
			return err
		}
	}
	if err := tx.Commit(); err != nil {
		return err
	}
	for kinds, id := range added {
		f.sets[kinds] = id
	}
	return nil
}

// silences writes which controllers failed as a whole in a run. Most runs have none.
func silences(tx *sql.Tx, r *row) error {
	for n, x := range r.silent {
		bay := sql.NullInt64{Int64: int64(x.Bay), Valid: x.Bay != sim.LockPost}
		if _, err := tx.ExecContext(ctx, "INSERT INTO silence VALUES (?, ?, ?, ?, ?)", int64(r.index), n, bay, x.At, x.Why); err != nil {
			return err
		}
	}
	return nil
}

// set is the number of a set of fault kinds; a new one is written with the runs.
func (f *File) set(tx *sql.Tx, added map[string]int64, kinds string) (int64, error) {
	if id, ok := f.sets[kinds]; ok {
		return id, nil
	}
	if id, ok := added[kinds]; ok {
		return id, nil
	}
	id := int64(len(f.sets) + len(added) + 1)
	_, err := tx.ExecContext(context.Background(), "INSERT INTO fault_set VALUES (?, ?)", id, kinds)
	added[kinds] = id
	return id, err
}

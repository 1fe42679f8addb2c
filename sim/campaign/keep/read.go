package keep

import (
	"database/sql"
	"errors"
	"fmt"
	"strings"

	"slatbench/sim/campaign"
)

// Run is a run as it was kept.
type Run struct {
	Index   uint64
	Kinds   []string // of fault, in the order of slatbench list faults
	Outcome campaign.Outcome
}

// Counted is as much of the run's case as a tally looks at. The whole case is drawn
// from the plan.
func (r *Run) Counted() *campaign.Case {
	c := &campaign.Case{Index: r.Index}
	for _, k := range r.Kinds {
		c.Faults = append(c.Faults, campaign.FaultDraw{Kind: k})
	}
	return c
}

// Each reads the runs below an index, in their order. The run is reused: what is
// wanted of it for longer must be copied. An error of each ends the reading.
func (f *File) Each(below uint64, each func(*Run) error) error {
	return f.between(0, below, each)
}

// Last reads the last run, if there is one.
func (f *File) Last(each func(*Run) error) error {
	if f.next == 0 {
		return nil
	}
	return f.between(f.next-1, f.next, each)
}

func (f *File) between(from, below uint64, each func(*Run) error) error {
	if err := f.Flush(); err != nil {
		return err
	}
	names := map[int64]string{}
	for kinds, id := range f.sets {
		names[id] = kinds
	}
	rows, err := f.conn.QueryContext(ctx, "SELECT idx, fault_set, hash, transitions, results, error FROM run WHERE idx >= ? AND idx < ? ORDER BY idx", int64(from), int64(min(below, f.next)))
	if err != nil {
		return worded(f.name, err)
	}
	defer rows.Close()
	var run Run
	for rows.Next() {
		if err := f.scan(rows, names, &run); err != nil {
			return err
		}
		if err := each(&run); err != nil {
			return err
		}
	}
	return worded0(f.name, rows.Err())
}

func (f *File) scan(rows *sql.Rows, names map[int64]string, run *Run) error {
	var index, set, hash int64
	var transitions, results sql.RawBytes
	var trouble sql.NullString
	if err := rows.Scan(&index, &set, &hash, &transitions, &results, &trouble); err != nil {
		return worded(f.name, err)
	}
	o := &run.Outcome
	var err error
	if o.Results, err = f.codec.decode(o.Results, results); err == nil {
		o.Transitions, err = decodeWords(transitions)
	}
	kinds, ok := names[set]
	if err == nil && !ok {
		err = errResults
	}
	if err != nil {
		return fmt.Errorf("%q is damaged: run %d: %w", f.name, index, err)
	}
	run.Index, o.Hash, o.Err = uint64(index), uint64(hash), nil
	run.Kinds = nil
	if kinds != "" {
		run.Kinds = strings.Split(kinds, "+")
	}
	if trouble.Valid {
		o.Err = errors.New(trouble.String)
	}
	return nil
}

package keep

import (
	"database/sql"
	"errors"
	"fmt"
	"strings"

	"slatbench/sim"
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
	rows, err := f.conn.QueryContext(ctx, readRuns, int64(from), int64(min(below, f.next)))
	if err != nil {
		return worded(f.name, err)
	}
	defer rows.Close()
	var run Run
	some := false
	for rows.Next() {
		var l line
		if err := rows.Scan(&l.index, &l.set, &l.hash, &l.transitions, &l.results, &l.trouble, &l.bay, &l.step, &l.why); err != nil {
			return worded(f.name, err)
		}
		if !some || uint64(l.index) != run.Index {
			if some {
				if err := each(&run); err != nil {
					return err
				}
			}
			some = true
			if err := f.take(&l, names, &run); err != nil {
				return err
			}
		}
		l.silence(&run.Outcome)
	}
	if err := rows.Err(); err != nil || !some {
		return worded0(f.name, err)
	}
	return each(&run)
}

// readRuns gives a line for each run, and one more for each further controller that went
// silent in it.
const readRuns = `SELECT idx, fault_set, hash, transitions, results, error, bay, step, why
FROM run LEFT JOIN silence ON silence.run = idx WHERE idx >= ? AND idx < ? ORDER BY idx, n`

// line of that.
type line struct {
	index, set, hash     int64
	transitions, results sql.RawBytes
	trouble              sql.NullString

	bay, step sql.NullInt64
	why       sql.NullString
}

// silence adds the controller of a line, if it has one.
func (l *line) silence(o *campaign.Outcome) {
	if !l.step.Valid {
		return
	}
	s := sim.Silence{Bay: sim.LockPost, At: l.step.Int64, Why: l.why.String}
	if l.bay.Valid {
		s.Bay = int(l.bay.Int64)
	}
	o.Silent = append(o.Silent, s)
}

// take begins a run.
func (f *File) take(l *line, names map[int64]string, run *Run) error {
	o := &run.Outcome
	var err error
	if o.Results, err = f.codec.decode(o.Results, l.results); err == nil {
		o.Transitions, err = decodeWords(l.transitions)
	}
	kinds, ok := names[l.set]
	if err == nil && !ok {
		err = errResults
	}
	if err != nil {
		return fmt.Errorf("%q is damaged: run %d: %w", f.name, l.index, err)
	}
	run.Index, o.Hash, o.Err, o.Silent = uint64(l.index), uint64(l.hash), nil, o.Silent[:0]
	run.Kinds = nil
	if kinds != "" {
		run.Kinds = strings.Split(kinds, "+")
	}
	if l.trouble.Valid {
		o.Err = errors.New(l.trouble.String)
	}
	return nil
}

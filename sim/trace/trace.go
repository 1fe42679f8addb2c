// Package trace records what happens on the bench in files that other programs open:
// comma-separated values, value change dumps (IEEE 1364) and Parquet.
//
// A [Recorder] is an observer of the bench. It writes as a stream: what it keeps does
// not grow with the length of the run, but for the index of a Parquet file. The same
// run gives the same bytes. docs/traces.md describes the columns and the formats.
package trace

import (
	"errors"
	"fmt"
	"io"
	"math"
	"path/filepath"
	"strings"

	"slatbench/sim"
	"slatbench/sim/wholefile"
)

// Format is a format of trace files.
type Format uint8

// The formats.
const (
	CSV Format = iota
	VCD
	Parquet
)

// Endings are the endings of file names, by format.
var Endings = [...]string{".csv", ".vcd", ".parquet"}

func (f Format) String() string { return strings.ToUpper(Endings[f][1:]) }

// FormatOf tells the format of a file by the ending of its name, in either case.
func FormatOf(name string) (Format, error) {
	ending := filepath.Ext(name)
	for f, e := range Endings {
		if strings.EqualFold(ending, e) {
			return Format(f), nil
		}
	}
	if ending == "" {
		return 0, fmt.Errorf("trace %q has no ending: .csv, .vcd or .parquet was expected", name)
	}
	return 0, fmt.Errorf("trace %q ends in %q: .csv, .vcd or .parquet was expected", name, ending)
}

// About is what a trace says of itself, and how often it samples.
type About struct {
	Scenario string // its name
	Version  string // of the program
	Every    int    // ticks a sample; 0 means 1, every tick
}

// Recorder is an observer that writes a trace. Exactly one of Close and Discard ends
// it; Discard after Close does nothing, so it can be deferred.
type Recorder struct {
	about  About
	format encoder
	file   *wholefile.File // nil when written to a stream
	bench  *sim.Bench      // nil before the first tick
	tick   int64
	now    sample
	list   []Column
	clock  clock
	err    error
	ended  bool
}

// encoder is one format. A sample lends its row for the time of the call only.
type encoder interface {
	begin(h *header) error
	put(s *sample) error
	end(step int64) error // writes out what is left; the run ended at this step
}

// header is what is known when recording begins.
type header struct {
	about   About
	seed    uint64
	clock   clock
	columns []Column // without the time
}

type sample struct {
	step int64
	time float64 // s
	row  []Value
}

// Create begins a trace in the format that the ending of the file's name tells. The
// file stands under its name only after Close; see package wholefile.
func Create(name string, about About) (*Recorder, error) {
	f, err := FormatOf(name)
	if err != nil {
		return nil, err
	}
	file, err := wholefile.Create(name)
	if err != nil {
		return nil, err
	}
	r := New(file, f, about)
	r.file = file
	return r, nil
}

// New begins a trace on a stream.
func New(w io.Writer, f Format, about About) *Recorder {
	about.Every = max(about.Every, 1)
	r := &Recorder{about: about}
	switch f {
	case VCD:
		r.format = newVCD(w)
	case Parquet:
		r.format = newParquet(w)
	default:
		r.format = newCSV(w)
	}
	return r
}

// Tick implements sim.Observer.
func (r *Recorder) Tick(b *sim.Bench) {
	if r.err != nil || r.ended {
		return
	}
	if r.bench == nil {
		r.begin(b)
	}
	if r.err == nil && r.tick%int64(r.about.Every) == 0 {
		r.sample(b)
	}
	r.tick++
}

func (r *Recorder) begin(b *sim.Bench) {
	r.bench = b
	r.list = Columns(b)
	r.now.row = make([]Value, len(r.list))
	r.clock = newClock(b.Truck.StepSize())
	h := header{about: r.about, seed: b.Setup().Seed, clock: r.clock, columns: r.list}
	r.err = r.plain(r.format.begin(&h))
}

func (r *Recorder) sample(b *sim.Bench) {
	r.now.step, r.now.time = b.Now, r.clock.seconds(b.Now)
	for i := range r.list {
		c := &r.list[i]
		c.read(b, c.at, &r.now.row[i])
	}
	r.err = r.plain(r.format.put(&r.now))
}

// plain is an error of the file itself, where there is one, in place of what an encoder
// makes of it: a user is helped by the name of the file, not by a place in its inside.
func (r *Recorder) plain(err error) error {
	if err != nil && r.file != nil && r.file.Err() != nil {
		return r.file.Err()
	}
	return err
}

// Err is the first error that writing has met, such as a full disk. A long run may
// look at it now and then, and stop.
func (r *Recorder) Err() error { return r.err }

// errEmpty is a trace of a run that never started.
var errEmpty = errors.New("no trace was written: the run ended before its first tick")

// Close completes the trace. When it returns an error, there is no file.
func (r *Recorder) Close() error {
	if r.ended {
		return r.err
	}
	r.ended = true
	if r.err == nil && r.bench == nil {
		r.err = errEmpty
	}
	if r.err == nil {
		r.err = r.plain(r.format.end(r.bench.Now))
	}
	if r.file == nil {
		return r.err
	}
	if r.err != nil {
		r.file.Discard()
		return r.err
	}
	r.err = r.file.Commit()
	return r.err
}

// Discard gives the trace up: a file is not made.
func (r *Recorder) Discard() {
	if r.ended {
		return
	}
	r.ended = true
	if r.file != nil {
		r.file.Discard()
	}
}

// clock turns steps into times.
type clock struct {
	step      float64 // s
	perSecond float64 // steps, where they are a whole number; or 0
}

func newClock(step float64) clock {
	n := math.Round(1 / step)
	if math.Abs(n*step-1) > 1e-9 {
		n = 0
	}
	return clock{step, n}
}

// seconds is the time of a step. A division gives the number nearest to it, which
// prints short; a product of 0.001 often does not.
func (c clock) seconds(step int64) float64 {
	if c.perSecond > 0 {
		return float64(step) / c.perSecond
	}
	return float64(step) * c.step
}

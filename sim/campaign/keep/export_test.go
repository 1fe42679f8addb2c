package keep_test

import (
	"bytes"
	"encoding/csv"
	"fmt"
	"io"
	"math"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/parquet-go/parquet-go"

	"slatbench/sim/campaign/keep"
	"slatbench/sim/require"
)

func exported(t *testing.T, runs uint64, to string) []byte {
	t.Helper()
	f, err := keep.OpenToRead(filled(t, runs))
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	var b bytes.Buffer
	if err := f.Export(&b, to); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

func csvRows(t *testing.T, runs uint64) [][]string {
	t.Helper()
	rows, err := csv.NewReader(bytes.NewReader(exported(t, runs, "x.csv"))).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	return rows
}

// TestCSVSaysWhatWasKept reads the lines with the standard library's reader.
func TestCSVSaysWhatWasKept(t *testing.T) {
	const runs = 400
	rows := csvRows(t, runs)
	if len(rows) != runs+1 {
		t.Fatalf("%d lines, want a header and %d", len(rows), runs)
	}
	at := map[string]int{}
	for i, name := range rows[0] {
		at[name] = i
	}
	silent := 0
	for i, row := range rows[1:] {
		c, o := play(uint64(i))
		cell := func(name string) string { return row[at[name]] }
		if cell("run") != strconv.Itoa(i) || cell("faults") != keep.KindsOf(c) || cell("final_hash") != fmt.Sprintf("%016x", o.Hash) {
			t.Fatalf("line %d: run %s of %q with %s", i, cell("run"), cell("faults"), cell("final_hash"))
		}
		if (o.Err != nil) != (cell("error") != "") {
			t.Errorf("run %d: error %q, want %v", i, cell("error"), o.Err)
		}
		if len(o.Silent) > 0 {
			silent++
			first := o.Silent[0]
			who, _, _ := strings.Cut(cell("silent"), "+")
			if want := []string{"locks", "C1", "C2", "R1", "bay 3"}[first.Bay+1]; who != want || cell("silent_why") != first.Why {
				t.Errorf("run %d: silent %q because %q, want %s first because %q", i, cell("silent"), cell("silent_why"), want, first.Why)
			}
			wantNumber(t, cell("silent_s"), float64(first.At)/1000)
		} else if cell("silent")+cell("silent_s")+cell("silent_why") != "" {
			t.Errorf("run %d: silent %q", i, cell("silent"))
		}
		for j := range o.Results {
			r := &o.Results[j]
			if got := cell(r.ID + ".verdict"); got != r.Verdict.String() {
				t.Errorf("run %d: %s is %q, want %v", i, r.ID, got, r.Verdict)
			}
			if slices.Contains(strings.Split(cell("violated"), "+"), r.ID) != (r.Verdict == require.Violated) {
				t.Errorf("run %d: violated %q, and %s is %v", i, cell("violated"), r.ID, r.Verdict)
			}
			wantNumber(t, cell(r.ID+".share"), r.Share)
			if r.Clause != "" {
				wantNumber(t, cell(r.ID+".at_s"), math.Round(float64(r.At))/1000)
			}
		}
	}
	if silent < 5 {
		t.Errorf("controllers went silent in %d runs: the test tests little", silent)
	}
}

func wantNumber(t *testing.T, got string, want float64) {
	t.Helper()
	if math.IsNaN(want) {
		if got != "" {
			t.Errorf("%q, want nothing", got)
		}
		return
	}
	if x, err := strconv.ParseFloat(got, 64); err != nil || x != want {
		t.Errorf("%q, want %v", got, want)
	}
}

// TestParquetIsTheCSV reads the file back and wants the same cells.
func TestParquetIsTheCSV(t *testing.T) {
	const runs = 700
	data := exported(t, runs, "x.parquet")
	file, err := parquet.OpenFile(bytes.NewReader(data), int64(len(data)))
	if err != nil {
		t.Fatal(err)
	}
	if v, ok := file.Lookup("seed"); !ok || v != "7" {
		t.Errorf("the metadata's seed is %q", v)
	}
	want := csvRows(t, runs)
	rows := parquet.NewReader(file)
	defer rows.Close()
	for line := range want {
		var row parquet.Row
		if line == 0 {
			for i, c := range file.Root().Columns() {
				if c.Name() != want[0][i] {
					t.Fatalf("column %d is %q, want %q", i, c.Name(), want[0][i])
				}
			}
			continue
		}
		buffer := make([]parquet.Row, 1)
		if n, err := rows.ReadRows(buffer); n != 1 || err != nil && err != io.EOF {
			t.Fatalf("line %d: %v", line, err)
		}
		row = buffer[0]
		for i, v := range row {
			if got := cell(v); got != want[line][i] {
				t.Fatalf("line %d, %s: %q, want %q", line, want[0][i], got, want[line][i])
			}
		}
	}
}

func cell(v parquet.Value) string {
	switch {
	case v.IsNull():
		return ""
	case v.Kind() == parquet.Int64:
		return strconv.FormatInt(v.Int64(), 10)
	case v.Kind() == parquet.Double:
		return strconv.FormatFloat(v.Double(), 'g', -1, 64)
	}
	return string(v.ByteArray())
}

func TestNothingToExport(t *testing.T) {
	f := open(t, filepath.Join(t.TempDir(), "c.db"), identity())
	if err := f.Export(io.Discard, "x.csv"); err == nil || !strings.Contains(err.Error(), "holds no runs") {
		t.Errorf("the error is %v", err)
	}
	f = open(t, filled(t, 1), identity())
	if err := f.Export(io.Discard, "x.xlsx"); err == nil || !strings.Contains(err.Error(), ".csv or .parquet") {
		t.Errorf("the error is %v", err)
	}
}

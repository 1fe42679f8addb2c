package trace_test

import (
	"bytes"
	"strconv"
	"strings"
	"testing"

	"github.com/parquet-go/parquet-go"

	"slatbench/sim"
	"slatbench/sim/trace"
)

func openParquet(t testing.TB, text []byte) *parquet.File {
	t.Helper()
	f, err := parquet.OpenFile(bytes.NewReader(text), int64(len(text)))
	if err != nil {
		t.Fatal(err)
	}
	return f
}

// readParquet reads all rows back into columns of values.
func readParquet(t testing.TB, f *parquet.File) map[string][]parquet.Value {
	t.Helper()
	columns := map[string][]parquet.Value{}
	names := f.Schema().Columns()
	for _, g := range f.RowGroups() {
		rows := g.Rows()
		buffer := make([]parquet.Row, 100)
		for {
			n, err := rows.ReadRows(buffer)
			for _, row := range buffer[:n] {
				for i, v := range row {
					columns[names[i][0]] = append(columns[names[i][0]], v.Clone())
				}
			}
			if err != nil || n == 0 {
				break
			}
		}
		rows.Close()
	}
	return columns
}

func TestParquetSaysWhatCSVSays(t *testing.T) {
	f := openParquet(t, record(t, trace.Parquet, about))
	tab := readCSV(t, record(t, trace.CSV, about))
	var names []string
	for _, path := range f.Schema().Columns() {
		names = append(names, strings.Join(path, "/"))
	}
	if got, want := strings.Join(names, " "), strings.Join(tab.names, " "); got != want {
		t.Fatalf("the columns are\n%s\nwant those of the CSV header\n%s", got, want)
	}
	columns := readParquet(t, f)
	for _, name := range names {
		if len(columns[name]) != len(tab.of[name]) {
			t.Fatalf("%s: %d rows, want %d", name, len(columns[name]), len(tab.of[name]))
		}
		for i, want := range tab.of[name] {
			if got := text(columns[name][i], name); got != want {
				t.Fatalf("%s, row %d is %q, want %q", name, i, got, want)
			}
		}
	}
}

// text is a value as the CSV has it.
func text(v parquet.Value, name string) string {
	switch {
	case v.IsNull():
		return ""
	case v.Kind() == parquet.Boolean:
		if v.Boolean() {
			return "1"
		}
		return "0"
	case name == trace.Time.Name:
		return strconv.FormatFloat(v.Double(), 'f', -1, 64)
	case v.Kind() == parquet.Double:
		return strconv.FormatFloat(v.Double()+0, 'g', 6, 64)
	}
	return v.String()
}

func TestParquetKeepsEveryBitOfANumber(t *testing.T) {
	c := &exact{}
	f := openParquet(t, record(t, trace.Parquet, about, func(s *sim.Setup) { s.Watch = append(s.Watch, c) }))
	got := readParquet(t, f)["C1.cable_n"]
	for i, want := range c.cable {
		if got[i].Double() != want {
			t.Fatalf("row %d is %v, want %v", i, got[i].Double(), want)
		}
	}
}

type exact struct{ cable []float64 }

func (c *exact) Step(*sim.Bench)   {}
func (c *exact) Tick(b *sim.Bench) { c.cable = append(c.cable, b.Truck.Bays[0].CableForce) }

func TestParquetTypes(t *testing.T) {
	f := openParquet(t, record(t, trace.Parquet, about))
	for name, want := range map[string]string{
		"t_s": "DOUBLE", "C1.height_m": "DOUBLE", "C1.counts": "INT(32,true)", "C1.duty_pct": "INT(32,true)",
		"C1.state": "STRING", "curbside.drive": "STRING", "C1.press": "BOOLEAN",
	} {
		leaf, ok := f.Schema().Lookup(name)
		if !ok {
			t.Errorf("there is no column %s", name)
			continue
		}
		if got := leaf.Node.Type().String(); got != want {
			t.Errorf("%s is %s, want %s", name, got, want)
		}
		chunk := f.Metadata().RowGroups[0].Columns[leaf.ColumnIndex].MetaData
		dictionary := chunk.DictionaryPageOffset > 0
		if want := want == "STRING" || want == "INT(32,true)"; dictionary != want {
			t.Errorf("%s is written by dictionary: %v, want %v", name, dictionary, want)
		}
	}
}

func TestParquetMetadata(t *testing.T) {
	every := about
	every.Every = 3
	f := openParquet(t, record(t, trace.Parquet, every))
	for key, want := range map[string]string{
		"scenario": "a test", "seed": "42", "version": "1.2.3", "step_s": "0.001", "every_ticks": "3",
		"unit:t_s": "s", "unit:C1.height_m": "m", "unit:R2.winding_c": "°C", "unit:C2.counts": "pulses", "unit:roadside.bar_m": "m",
		"meaning:C1.slack_m": "cable that hangs slack", "meaning:C1.state": "state of the controller",
	} {
		if got, ok := f.Lookup(key); !ok || got != want {
			t.Errorf("%s is %q, want %q", key, got, want)
		}
	}
	if _, ok := f.Lookup("unit:C1.state"); ok {
		t.Error("a state has a unit")
	}
	if got, want := f.Metadata().CreatedBy, "slatbench version 1.2.3 (build none)"; got != want {
		t.Errorf("created by %q, want %q", got, want)
	}
}

func TestParquetRowGroupsAreBounded(t *testing.T) {
	var out bytes.Buffer
	r := trace.New(&out, trace.Parquet, about)
	v := newInvented(t)
	const ticks = 40001
	for range ticks {
		v.tick(r)
	}
	if err := r.Close(); err != nil {
		t.Fatal(err)
	}
	f := openParquet(t, out.Bytes())
	sum := int64(0)
	for _, g := range f.RowGroups() {
		if g.NumRows() > 16384 {
			t.Errorf("a row group has %d rows, want 16384 at most", g.NumRows())
		}
		sum += g.NumRows()
	}
	if sum != ticks || len(f.RowGroups()) != 3 {
		t.Errorf("%d rows in %d groups, want %d in 3", sum, len(f.RowGroups()), ticks)
	}
	times := readParquet(t, f)["t_s"]
	for i, v := range times {
		if want := float64(i) / 100; v.Double() != want {
			t.Fatalf("row %d is of %g s, want %g", i, v.Double(), want)
		}
	}
}

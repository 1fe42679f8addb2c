package trace_test

import (
	"bytes"
	"encoding/csv"
	"strconv"
	"strings"
	"testing"

	"slatbench/model"
	"slatbench/sim"
	"slatbench/sim/trace"
)

// table is a trace read back: a list of texts a column.
type table struct {
	names []string
	of    map[string][]string
}

func readCSV(t testing.TB, text []byte) table {
	t.Helper()
	lines, err := csv.NewReader(bytes.NewReader(text)).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	tab := table{lines[0], map[string][]string{}}
	for _, line := range lines[1:] {
		for i, name := range tab.names {
			tab.of[name] = append(tab.of[name], line[i])
		}
	}
	return tab
}

// The first columns and their order are what earlier files had: programs that read
// them go on working.
func TestCSVHeader(t *testing.T) {
	tab := readCSV(t, record(t, trace.CSV, about))
	first := "t_s C1.height_m C1.speed_m_s C1.cable_n C1.slack_m C1.contact_n C1.floor_n C1.current_a C1.supply_v C1.winding_c " +
		"C1.energised C1.counts C1.state C1.drive C1.duty_pct C1.press C1.tone C1.lamp C1.sill C1.awake C2.height_m"
	if got := strings.Join(tab.names, " "); !strings.HasPrefix(got, first+" ") {
		t.Errorf("the header begins %.300s, want %s", got, first)
	}
	last := "curbside.bar_m curbside.drive curbside.permit curbside.lamp " +
		"roadside.bar_m roadside.drive roadside.permit roadside.lamp locks.state locks.tone locks.awake"
	if got := strings.Join(tab.names, " "); !strings.HasSuffix(got, " "+last) {
		t.Errorf("the header does not end in %s", last)
	}
}

// checker watches the same run as a recorder, and keeps what it should have written.
type checker struct{ heights, times, states []string }

func (c *checker) Step(*sim.Bench) {}
func (c *checker) Tick(b *sim.Bench) {
	six := func(x float64) string { return strconv.FormatFloat(x, 'g', 6, 64) }
	c.heights = append(c.heights, six(b.Truck.Bays[1].Height))
	c.times = append(c.times, strconv.FormatFloat(float64(b.Now)/1000, 'f', -1, 64))
	d, _ := b.Door(1)
	c.states = append(c.states, d.(sim.Teller).State())
}

func TestCSVTellsTheTruth(t *testing.T) {
	c := &checker{}
	tab := readCSV(t, record(t, trace.CSV, about, func(s *sim.Setup) { s.Watch = append(s.Watch, c) }))
	for name, want := range map[string][]string{"t_s": c.times, "C2.height_m": c.heights, "C2.state": c.states} {
		if got := tab.of[name]; strings.Join(got, " ") != strings.Join(want, " ") {
			t.Errorf("%s: %d values that are not the %d of the run", name, len(got), len(want))
		}
	}
	if got := len(tab.of["t_s"]); got != 800 {
		t.Errorf("8 s at 10 ms gave %d samples, want 800", got)
	}
	highest := 0.0
	for _, h := range tab.of["C2.height_m"] {
		x, _ := strconv.ParseFloat(h, 64)
		highest = max(highest, x)
	}
	if highest < 1 {
		t.Errorf("the door rose to %g m only: the run shows nothing", highest)
	}
}

func TestCSVLeavesOutWhatIsNotTold(t *testing.T) {
	tab := readCSV(t, record(t, trace.CSV, about))
	for _, name := range []string{"R2.counts", "R2.state", "locks.state"} {
		if got := tab.of[name][0]; got != "" {
			t.Errorf("%s of a mute controller is %q, want nothing", name, got)
		}
	}
	if got := tab.of["R2.awake"][0]; got != "1" {
		t.Errorf("R2.awake is %q, want 1", got)
	}
}

func TestEveryNthTick(t *testing.T) {
	all := readCSV(t, record(t, trace.CSV, about))
	seventh := about
	seventh.Every = 7
	few := readCSV(t, record(t, trace.CSV, seventh))
	if got, want := len(few.of["t_s"]), (800+6)/7; got != want {
		t.Fatalf("%d samples, want %d", got, want)
	}
	for _, name := range all.names {
		for i, got := range few.of[name] {
			if want := all.of[name][7*i]; got != want {
				t.Fatalf("%s, sample %d: %q, want that of tick %d, %q", name, i, got, 7*i, want)
			}
		}
	}
}

func TestOddNamesOfBays(t *testing.T) {
	odd := func(s *sim.Setup) {
		s.Truck.Bays = append([]model.BayParams(nil), s.Truck.Bays...)
		for i, name := range []string{"left, rear", "left  rear", "left__rear", "locks"} {
			s.Truck.Bays[i].Name = name
		}
	}
	for _, f := range formats {
		record(t, f, about, odd) // must not fail
	}
	tab := readCSV(t, record(t, trace.CSV, about, odd))
	var scopes []string
	for _, name := range tab.names {
		if scope, ok := strings.CutSuffix(name, ".height_m"); ok {
			scopes = append(scopes, scope)
		}
	}
	if got, want := strings.Join(scopes, " "), "left__rear left__rear_2 left__rear_3 locks_2"; got != want {
		t.Errorf("bays are called %q, want %q", got, want)
	}
}

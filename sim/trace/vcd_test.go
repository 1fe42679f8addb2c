package trace_test

import (
	"bytes"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"slatbench/sim"
	"slatbench/sim/trace"
)

// dump is a value change dump read back: what each variable was last written as at
// each time that something was written.
type dump struct {
	timescale string
	kinds     map[string]string // type and width, by full name
	changes   map[string][]change
	end       int64 // last time
	comments  []string
}

type change struct {
	time int64
	text string
}

// readVCD reads a dump by the grammar of IEEE Std 1364-2005, 18.2. With hold, a value
// written twice in a row counts once, as in a dump that another program has written.
func readVCD(t testing.TB, text []byte, hold bool) dump {
	t.Helper()
	d := dump{kinds: map[string]string{}, changes: map[string][]change{}, end: -1}
	names := map[string]string{}
	var scope []string
	tokens := strings.Fields(string(text))
	next := func() string {
		if len(tokens) == 0 {
			t.Fatal("the dump ends too soon")
		}
		token := tokens[0]
		tokens = tokens[1:]
		return token
	}
	until := func() (list []string) {
		for token := next(); token != "$end"; token = next() {
			list = append(list, token)
		}
		return list
	}
	now := int64(-1)
	set := func(id, value string) {
		name, ok := names[id]
		if !ok {
			t.Fatalf("value of an undeclared variable %q", id)
		}
		all := d.changes[name]
		if hold && len(all) > 0 && all[len(all)-1].text == value {
			return
		}
		d.changes[name] = append(all, change{now, value})
	}
	for len(tokens) > 0 {
		switch token := next(); {
		case token == "$scope":
			scope = append(scope, until()[1])
		case token == "$upscope":
			until()
			scope = scope[:len(scope)-1]
		case token == "$var":
			v := until()
			name := strings.Join(append(append([]string(nil), scope...), v[3]), ".")
			if names[v[2]] != "" || d.kinds[name] != "" {
				t.Fatalf("variable %s %s is declared twice", v[2], name)
			}
			names[v[2]], d.kinds[name] = name, v[0]+" "+v[1]
		case token == "$timescale":
			d.timescale = strings.Join(until(), " ")
		case token == "$comment":
			d.comments = append(d.comments, strings.Join(until(), " "))
		case token == "$dumpvars" || token == "$end":
		case strings.HasPrefix(token, "$"):
			until()
		case token[0] == '#':
			at, err := strconv.ParseInt(token[1:], 10, 64)
			if err != nil || at <= now {
				t.Fatalf("time %q after %d", token, now)
			}
			now, d.end = at, at
		case token[0] == 'b' || token[0] == 'r':
			set(next(), token)
		case token[0] == '0' || token[0] == '1':
			set(token[1:], token[:1])
		default:
			t.Fatalf("what is %q?", token)
		}
	}
	if len(scope) != 0 {
		t.Errorf("scopes %q are left open", scope)
	}
	return d
}

// plain gives a value of a dump as the CSV has it.
func plain(t testing.TB, kind, value string) string {
	t.Helper()
	bits := strings.TrimPrefix(value, "b")
	switch {
	case bits == "x":
		return ""
	case strings.HasPrefix(kind, "real"):
		return value[1:]
	case strings.HasPrefix(kind, "integer"):
		n, err := strconv.ParseUint(bits, 2, 32)
		if err != nil {
			t.Fatal(err)
		}
		return strconv.Itoa(int(int32(uint32(n))))
	case strings.HasPrefix(kind, "reg"):
		bits = strings.Repeat("0", (8-len(bits)%8)%8) + bits
		var word []byte
		for ; bits != ""; bits = bits[8:] {
			n, _ := strconv.ParseUint(bits[:8], 2, 8)
			word = append(word, byte(n))
		}
		return strings.TrimLeft(string(word), "\x00")
	}
	return value
}

// The dump must say at every time what the CSV of the same run says.
func TestVCDSaysWhatCSVSays(t *testing.T) {
	d := readVCD(t, record(t, trace.VCD, about), false)
	tab := readCSV(t, record(t, trace.CSV, about))
	if d.timescale != "1 ms" {
		t.Errorf("the timescale is %q, want 1 ms", d.timescale)
	}
	if len(d.kinds) != len(tab.names)-1 {
		t.Errorf("%d variables, want %d", len(d.kinds), len(tab.names)-1)
	}
	for _, name := range tab.names[1:] {
		next := 0
		value := ""
		for i, want := range tab.of[name] {
			for changes := d.changes[name]; next < len(changes) && changes[next].time <= int64(10*i); next++ {
				value = changes[next].text
			}
			if got := plain(t, d.kinds[name], value); got != want {
				t.Fatalf("%s at %d ms is %q (%s), want %q", name, 10*i, value, got, want)
			}
		}
	}
	if d.end != 8000 {
		t.Errorf("the dump ends at %d ms, want 8000, the end of the run", d.end)
	}
}

func TestVCDWritesOnlyChanges(t *testing.T) {
	d := readVCD(t, record(t, trace.VCD, about), false)
	for name, changes := range d.changes {
		for i := 1; i < len(changes); i++ {
			if changes[i].text == changes[i-1].text {
				t.Fatalf("%s is written again as %s at %d ms", name, changes[i].text, changes[i].time)
			}
		}
	}
	if got := len(d.changes["R2.duty_pct"]); got != 1 {
		t.Errorf("what never changes is written %d times, want once", got)
	}
}

func TestVCDKinds(t *testing.T) {
	d := readVCD(t, record(t, trace.VCD, about), false)
	for name, want := range map[string]string{
		"C1.height_m": "real 64", "C1.counts": "integer 32", "R1.press": "wire 1",
		"C2.state": "reg 256", "curbside.bar_m": "real 64", "locks.awake": "wire 1",
	} {
		if got := d.kinds[name]; got != want {
			t.Errorf("%s is declared %q, want %q", name, got, want)
		}
	}
	all := strings.Join(d.comments, "\n")
	for _, want := range []string{"C1.height_m [m]: true height", "scenario: a test", "seed: 42"} {
		if !strings.Contains(all, want) {
			t.Errorf("no comment says %q", want)
		}
	}
}

func TestVCDTimescale(t *testing.T) {
	for _, c := range []struct {
		step float64
		want string
		end  int64
	}{
		{1e-3, "1 ms", 100}, {2e-3, "1 ms", 200}, {0.5e-3, "100 us", 500},
		{0.25e-3, "10 us", 2500}, {0.1e-3, "100 us", 100}, {1e-6, "1 us", 100}, {1.0 / 3000, "1 ps", 33333333333},
	} {
		text := record(t, trace.VCD, about, func(s *sim.Setup) {
			s.StepSize, s.Duration, s.Actions = c.step, 100, nil
		})
		if d := readVCD(t, text, false); d.timescale != c.want || d.end != c.end {
			t.Errorf("a step of %g s: the timescale is %q and the end %d, want %q and %d", c.step, d.timescale, d.end, c.want, c.end)
		}
	}
}

func TestVCDCommentCannotBeEnded(t *testing.T) {
	nasty := trace.About{Scenario: "half $end $var wire 1 ! x $end\n$scope", Version: "$end"}
	text := record(t, trace.VCD, nasty, func(s *sim.Setup) { s.Duration = 100 })
	d := readVCD(t, text, false)
	if len(d.kinds) != 4*len(trace.BayColumns)+2*len(trace.SideColumns)+len(trace.LockColumns) {
		t.Errorf("%d variables: the scenario's name got out of its comment", len(d.kinds))
	}
}

// vcd2fst of Debian's package gtkwave is a reader that others wrote: it must take the
// dump without a word, and what its partner fst2vcd gives back must say the same.
func TestVCDThroughAnOutsideReader(t *testing.T) {
	for _, tool := range []string{"vcd2fst", "fst2vcd"} {
		if _, err := exec.LookPath(tool); err != nil {
			t.Skipf("skipped: %s is not installed (Debian package gtkwave)", tool)
		}
	}
	dir := t.TempDir()
	in, fst, back := filepath.Join(dir, "a.vcd"), filepath.Join(dir, "a.fst"), filepath.Join(dir, "b.vcd")
	text := record(t, trace.VCD, about)
	if err := os.WriteFile(in, text, 0o600); err != nil {
		t.Fatal(err)
	}
	run(t, "vcd2fst", "-v", in, "-f", fst)
	run(t, "fst2vcd", "-f", fst, "-o", back)
	again, err := os.ReadFile(back)
	if err != nil {
		t.Fatal(err)
	}
	want, got := readVCD(t, text, true), readVCD(t, again, true)
	if len(got.kinds) != len(want.kinds) {
		t.Errorf("%d variables came through, want %d", len(got.kinds), len(want.kinds))
	}
	n := 0
	for name, list := range want.changes {
		if len(got.changes[name]) != len(list) {
			t.Errorf("%s: %d changes came through, want %d", name, len(got.changes[name]), len(list))
			continue
		}
		for i, w := range list {
			g := got.changes[name][i]
			if g.time != w.time || same(t, want.kinds[name], g.text) != same(t, want.kinds[name], w.text) {
				t.Fatalf("%s: change %d came through as %v, want %v", name, i, g, w)
			}
			n++
		}
	}
	if n < 1000 {
		t.Errorf("only %d changes were compared", n)
	}
}

// same gives equal values equal texts: readers fill up zeros, and print reals anew.
func same(t *testing.T, kind, value string) string {
	t.Helper()
	if allX.MatchString(value) {
		return "x"
	}
	text := plain(t, kind, value)
	if strings.HasPrefix(kind, "real") {
		x, err := strconv.ParseFloat(text, 64)
		if err != nil {
			t.Fatal(err)
		}
		return strconv.FormatFloat(x, 'g', 6, 64)
	}
	return text
}

var allX = regexp.MustCompile(`^bx+$`)

// run wants a program to succeed without complaint.
func run(t *testing.T, name string, args ...string) {
	t.Helper()
	var complaint bytes.Buffer
	c := exec.Command(name, args...)
	c.Stdout, c.Stderr = &complaint, &complaint
	if err := c.Run(); err != nil || complaint.Len() > 0 {
		t.Fatalf("%s: %v\n%s", name, err, complaint.Bytes())
	}
}

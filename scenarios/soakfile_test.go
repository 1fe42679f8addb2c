package scenarios

import (
	"strings"
	"testing"

	"slatbench/sim/soak"

	"github.com/google/go-cmp/cmp"
)

func TestShippedSoakLoads(t *testing.T) {
	l := Loader{Shipped: Shipped(), Set: []string{"cycles=12 cycles", "encoder.slip=1 %", "truck.battery.age=20 %"}}
	f, err := l.LoadSoak(DefaultSoak)
	if err != nil {
		t.Fatal(err)
	}
	if f.Cycles != 12 || f.Encoder.Slip != 0.01 || f.Truck.Params().Battery.Age != 0.2 || f.Route.StopsADay != 30 {
		t.Errorf("loaded %+v", f.Config)
	}
}

// What a file leaves out is what the library's Default says.
func TestSoakDefaultsAreThoseOfTheLibrary(t *testing.T) {
	l := Loader{Shipped: Shipped()}
	var f SoakFile
	if err := l.LoadBytes("plain.yaml", []byte("soak: plain\ntruck: trucks/produce-4bay.yaml\n"), &f); err != nil {
		t.Fatal(err)
	}
	if diff := cmp.Diff(soak.Default(), f.Config); diff != "" {
		t.Errorf("library (-) and file (+) differ:\n%s", diff)
	}
}

func TestBadSoaks(t *testing.T) {
	for _, c := range []struct{ text, want string }{
		{"bay: C7", `bad.yaml:3:6: the truck has no bay "C7"`},
		{"route: {stop every: 12 min, stops a day: 500}", "500 stops do not fit into a day, expected at most 120"},
		{"route: {stop every: 12 kg}", "stop every"},
		{"route: {stop evry: 12 min}", `did you mean "stop every"?`},
		{"counterbalance: {law: cubic}", `unknown word "cubic"`},
		{"encoder: {gap pulses: 99 pulses}", "a turn of this encoder has 40 pulses"},
		{"cycles: 0 cycles", "cycles"},
		{"cycles: 2.5 cycles", "cycles"},
		{"weather: {daily swing: 4 °C}", "daily swing"},
		{"controller tick: 2.5 ms", "a whole number of time steps"},
	} {
		l := Loader{Shipped: Shipped()}
		var f SoakFile
		err := l.LoadBytes("bad.yaml", []byte("soak: bad\ntruck: trucks/produce-4bay.yaml\n"+c.text+"\n"), &f)
		if err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%s: error %v, want one with %q", c.text, err, c.want)
		}
	}
}

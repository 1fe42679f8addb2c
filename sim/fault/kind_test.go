package fault_test

import (
	"math"
	"regexp"
	"strings"
	"testing"

	"slatbench/sim"
	"slatbench/sim/fault"
)

var tradeWord = regexp.MustCompile(`^[a-z]+(-[a-z]+)*$`)

// Words that a fault in a scenario file uses for something else.
var reserved = map[string]bool{"from": true, "to": true, "at": true, "by": true}

func TestListIsConsistent(t *testing.T) {
	seen := map[string]bool{}
	for _, k := range fault.Kinds() {
		if !tradeWord.MatchString(k.Name) || seen[k.Name] {
			t.Errorf("%q: expected a name of its own, in lower case with hyphens", k.Name)
		}
		seen[k.Name] = true
		if k.Doc == "" || k.Changes == "" {
			t.Errorf("%s: no description", k.Name)
		}
		if (k.Place == fault.OnTruck) != (k.Part != "") {
			t.Errorf("%s on the %s: part %q", k.Name, k.Place, k.Part)
		}
		checkParams(t, k)
	}
}

func checkParams(t *testing.T, k fault.Kind) {
	t.Helper()
	seen := map[string]bool{}
	numbers, severities := 0, 0
	for i := range k.Params {
		p := &k.Params[i]
		if !tradeWord.MatchString(p.Name) || seen[p.Name] || reserved[p.Name] {
			t.Errorf("%s: parameter name %q", k.Name, p.Name)
		}
		seen[p.Name] = true
		if p.Doc == "" {
			t.Errorf("%s: %s has no description", k.Name, p.Name)
		}
		if (p.Unit == "") == (p.Words == nil) {
			t.Errorf("%s: %s needs a dimension or words, and not both", k.Name, p.Name)
		}
		if p.Words != nil {
			continue
		}
		numbers++
		if !(p.Min < p.Max && p.Default >= p.Min && p.Default <= p.Max) {
			t.Errorf("%s: %s has default %g in %g to %g", k.Name, p.Name, p.Default, p.Min, p.Max)
		}
		if p.Severity() {
			severities++
			if math.Min(p.Mild, p.Severe) < p.Min || math.Max(p.Mild, p.Severe) > p.Max {
				t.Errorf("%s: %s is drawn from %g to %g, outside %g to %g", k.Name, p.Name, p.Mild, p.Severe, p.Min, p.Max)
			}
		}
	}
	if numbers > 0 && severities != 1 || numbers == 0 && severities != 0 {
		t.Errorf("%s: %d parameters to draw, of %d numbers", k.Name, severities, numbers)
	}
}

func TestListHoldsWhatIsPromised(t *testing.T) {
	promised := strings.Fields(`obstruction added-friction leaning-cargo weak-counterbalance broken-counterbalance
		weak-closing-spring broken-closing-spring jammed-closing-spring low-battery aged-battery corroded-connector
		corroded-feed-connector open-motor-lead manual-release-open missed-pulses extra-pulses slipping-reel stuck-reel
		exchanged-encoder dirty-lens sunlight weak-remote-cell unplugged-receiver reflected-press held-remote-button
		welded-up-contact welded-down-contact open-up-contact open-down-contact welded-enable-contact open-enable-contact
		supply-interruption sill-switch-stuck-made sill-switch-stuck-open stuck-door-down-wire failed-current-sensor
		wrong-supply-reading open-edge-wire shorted-edge-wire deaf-edge blocked-lock-bar open-lock-actuator stuck-lock-switch`)
	for _, name := range promised {
		if _, ok := fault.Find(name); !ok {
			t.Errorf("no kind %s", name)
		}
	}
	want(t, "kinds", len(fault.Kinds()), len(promised))
	if k, ok := fault.Find("gremlin"); ok {
		t.Errorf("found %v", k)
	}
	events := ""
	for _, k := range fault.Kinds() {
		if k.Event {
			events += k.Name + " "
		}
	}
	want(t, "events", events, "obstruction supply-interruption blocked-lock-bar ")
}

func TestBadValuesAreRefused(t *testing.T) {
	for _, c := range []struct {
		kind    string
		place   int
		values  values
		message string
	}{
		{"leaning-cargo", 0, values{"force": -1}, "leaning-cargo: force -1 N, expected 1 to 1000 N"},
		{"leaning-cargo", 0, values{"force": math.NaN()}, "leaning-cargo: force NaN N, expected 1 to 1000 N"},
		{"leaning-cargo", 0, values{"force": math.Inf(1)}, "leaning-cargo: force +Inf N, expected 1 to 1000 N"},
		{"leaning-cargo", -1, nil, "leaning-cargo: no bay -1, expected 0 or more"},
		{"leaning-cargo", 0, values{"weight": 3, "angle": 2}, `leaning-cargo has no parameter "angle", expected force`},
		{"open-motor-lead", 0, values{"angle": 2}, `open-motor-lead has no parameter "angle", nor any other`},
		{"missed-pulses", 0, values{"pulses": 1.5}, "missed-pulses: pulses 1.5, expected a whole number of pulses"},
		{"added-friction", 0, values{"low-end": 1, "high-end": 0.5}, "added-friction: low-end 1 m and high-end 0.5 m, expected the low end below the high end"},
		{"stuck-door-down-wire", 0, values{"wire": 2}, "stuck-door-down-wire: wire 2, expected the number of one of down or not-down, from 0"},
		{"stuck-door-down-wire", 0, values{"wire": 0.5}, "stuck-door-down-wire: wire 0.5, expected the number of one of down or not-down, from 0"},
		{"blocked-lock-bar", 2, nil, "blocked-lock-bar: no side 2, expected 0 for curbside or 1 for roadside"},
		{"low-battery", 1, nil, "low-battery is on the battery, which the truck has once: place 1, expected 0"},
	} {
		k, _ := fault.Find(c.kind)
		f, err := k.New(c.place, c.values)
		if err == nil {
			t.Errorf("%s %v: made %v, expected an error", c.kind, c.values, f)
			continue
		}
		want(t, "message", err.Error(), c.message)
	}
}

func TestEveryEndOfEveryRangeIsTaken(t *testing.T) {
	for _, k := range fault.Kinds() {
		for i := range k.Params {
			p := &k.Params[i]
			lowEnd, highEnd := p.Min, p.Max
			if p.Words != nil {
				lowEnd, highEnd = 0, float64(len(p.Words)-1)
			}
			for _, x := range []float64{lowEnd, highEnd} {
				if p.Name == "low-end" && x == p.Max || p.Name == "high-end" && x == p.Min {
					continue // they must run upwards
				}
				if _, err := k.New(0, values{p.Name: x}); err != nil {
					t.Errorf("%s %s %g: %v", k.Name, p.Name, x, err)
				}
			}
		}
	}
}

func TestFaultsAreComparableValues(t *testing.T) {
	a, b := made(t, "leaning-cargo", values{"force": 50}), made(t, "leaning-cargo", values{"force": 50})
	want(t, "equal faults", a, b)
	if c := made(t, "leaning-cargo", values{"force": 51}); a == c {
		t.Errorf("%v equals %v", a, c)
	}
	want(t, "text", made(t, "stuck-lock-switch", values{"end": 0}).(fault.Fault).String(), "stuck-lock-switch, end unlocked, state made")
	want(t, "text", a.(fault.Fault).String(), "leaning-cargo, force 50 N")
	want(t, "event", made(t, "blocked-lock-bar", nil).(fault.Fault).Event(), true)
	want(t, "event", a.(fault.Fault).Event(), false)
}

func TestStartRefusesWhatTheTruckHasNot(t *testing.T) {
	r := newRig(t)
	cargo, _ := fault.Find("leaning-cargo")
	far, err := cargo.New(4, nil)
	if err != nil {
		t.Fatal(err)
	}
	jam := made(t, "blocked-lock-bar", values{"position": 0.06})
	for _, c := range []struct {
		f       sim.Fault
		message string
	}{
		{far, "leaning-cargo: no bay 4, expected 0 to 3"},
		{jam, "blocked-lock-bar: position 60 mm, expected less than the 60 mm stroke of the curbside bar"},
		{fault.Fault{Name: "gremlin"}, `no kind of fault is named "gremlin"`},
	} {
		err := r.Fault(c.f, true)
		if err == nil {
			t.Errorf("%v: started", c.f)
			continue
		}
		want(t, "message", err.Error(), c.message)
	}
}

package validation

import (
	"os"
	"reflect"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"slatbench/model"
)

var (
	parameterName = regexp.MustCompile("`([A-Za-z.]+)`")
	powerOfTen    = strings.NewReplacer(" ms", "e-3", "·10⁻⁵", "e-5", "·10⁻³", "e-3", "−", "-", " ", "")
)

// The table of the default truck in docs/theory.md, section 14, says what
// model.DefaultTruck does, and leaves no parameter out.
func TestTheoryTable(t *testing.T) {
	theory, err := os.ReadFile("../theory.md")
	if err != nil {
		t.Fatal(err)
	}
	_, section, found := strings.Cut(string(theory), "\n## 14. ")
	if !found {
		t.Fatal("docs/theory.md has no section 14")
	}
	section, _, _ = strings.Cut(section, "\n## 15. ")
	want := map[string]float64{}
	numbers(model.DefaultTruck(), want)
	written := map[string]bool{}
	for line := range strings.Lines(section) {
		cells := strings.Split(strings.Trim(strings.TrimSpace(line), "|"), "|")
		if len(cells) != 4 || !strings.Contains(cells[3], "`") {
			continue
		}
		for i, value := range strings.Split(cells[1], ",") {
			names := parameterName.FindAllStringSubmatch(cells[3], -1)
			if len(names) <= i {
				t.Errorf("more values than names: %s", line)
				continue
			}
			name := names[i][1]
			if i > 0 { // "Contacts.PullIn, DropOut"
				group, _, _ := strings.Cut(names[0][1], ".")
				name = group + "." + name
			}
			got, err := strconv.ParseFloat(powerOfTen.Replace(strings.TrimSpace(value)), 64)
			if w, ok := want[name]; err != nil || !ok || got != w {
				t.Errorf("%s: the table says %q, the model %g (known: %t)", name, value, w, ok)
			}
			written[name] = true
		}
	}
	for name := range want {
		if !written[name] {
			t.Errorf("%s is not in the table", name)
		}
	}
}

// numbers gathers the parameters of a truck, its first bay and its first lock by name.
func numbers(p model.TruckParams, into map[string]float64) {
	groups := map[string]any{"Battery": p.Battery, "Feed": p.Feed, "Remote": p.Remote, "Ambient": p.Ambient, "Lock": p.Locks[0]}
	bay := reflect.ValueOf(p.Bays[0])
	for i := range bay.NumField() {
		if bay.Field(i).Kind() == reflect.Struct {
			groups[bay.Type().Field(i).Name] = bay.Field(i).Interface()
		}
	}
	for group, value := range groups {
		v := reflect.ValueOf(value)
		for i := range v.NumField() {
			name := group + "." + v.Type().Field(i).Name
			switch f := v.Field(i); {
			case f.CanFloat():
				into[name] = f.Float()
			case f.CanInt():
				into[name] = float64(f.Int())
			}
		}
	}
}

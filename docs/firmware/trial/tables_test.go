package trial_test

import (
	"bytes"
	"flag"
	"fmt"
	"go/format"
	"math"
	"os"
	"reflect"
	"slices"
	"strings"
	"testing"

	"slatbench/scenarios"
	"slatbench/sim"
	"slatbench/sim/logic"
)

var update = flag.Bool("update", false, "write the tables of the examples anew")

// The tables of the two examples are those of the shipped logic, written out for a
// compiler. Where they differ from it:
//
//	go test ./docs/firmware/trial -run Tables -update
func TestTables(t *testing.T) {
	table := baseline(t)
	goText, err := format.Source([]byte(goTable(table)))
	if err != nil {
		t.Fatal(err)
	}
	for name, want := range map[string][]byte{"../c/baseline.h": []byte(cTable(table)), "../go/baseline.go": goText} {
		if *update {
			if err := os.WriteFile(name, want, 0o666); err != nil {
				t.Fatal(err)
			}
			continue
		}
		if got, err := os.ReadFile(name); err != nil || !bytes.Equal(got, want) {
			t.Errorf("%s is not what %s says (%v): go test ./docs/firmware/trial -run Tables -update", name, scenarios.BaselineLogic, err)
		}
	}
}

func baseline(t testing.TB) *logic.Table {
	t.Helper()
	table, err := (&scenarios.Loader{Shipped: scenarios.Shipped()}).LoadLogic(scenarios.BaselineLogic)
	if err != nil {
		t.Fatal(err)
	}
	return table
}

// goTable is the table as a Go value.
func goTable(t *logic.Table) string {
	text := fmt.Sprintf("%#v", *t)
	for _, each := range []string{"logic.State{", "logic.Transition{"} {
		text = strings.ReplaceAll(text, "{"+each, "{\n{")
		text = strings.ReplaceAll(text, ", "+each, ",\n{")
	}
	text = strings.ReplaceAll(text, ", Tuning:", ",\nTuning:")
	text = strings.ReplaceAll(text, ", Door:", ",\nDoor:")
	text = strings.ReplaceAll(text, ", Lock:", ",\nLock:")
	text = strings.ReplaceAll(text, "[]string(nil)", "nil")
	return "//go:build wasip1\n\npackage main\n\nimport \"slatbench/sim/logic\"\n\n" +
		"// baseline is scenarios/logic/baseline.yaml. Do not edit:\n// go test ./docs/firmware/trial -run Tables -update\nvar baseline = " + text + "\n"
}

// cTable is the table as C constants.
func cTable(t *logic.Table) string {
	var b strings.Builder
	b.WriteString("/* The states, transitions and tuning of scenarios/logic/baseline.yaml. Do not edit:\n" +
		" * go test ./docs/firmware/trial -run Tables -update */\n#ifndef BASELINE_H\n#define BASELINE_H\n\n#include \"machine.h\"\n\n")
	cTuning(&b, &t.Tuning)
	cAlarms(&b)
	cMachine(&b, "DOOR", &t.Door, &logic.DoorWords)
	cMachine(&b, "LOCK", &t.Lock, &logic.LockWords)
	b.WriteString("#endif\n")
	return b.String()
}

// cTuning writes every threshold in the small unit of its kind, as a whole number.
func cTuning(b *strings.Builder, t *logic.Tuning) {
	small := map[string]struct {
		name  string
		times float64
	}{"voltage": {"MV", 1e3}, "length": {"UM", 1e6}, "time": {"US", 1e6}, "ratio": {"PERCENT", 100}, "speed": {"UM_S", 1e6}, "current": {"MA", 1e3}, "pulses per length": {"PER_M", 1}}
	v := reflect.ValueOf(*t)
	for i := range v.NumField() {
		f := v.Type().Field(i)
		key, _, _ := strings.Cut(f.Tag.Get("yaml"), ",")
		u, ok := small[f.Tag.Get("unit")]
		if !ok {
			panic("no small unit for " + f.Tag.Get("unit"))
		}
		fmt.Fprintf(b, "#define %s_%s %.0f\n", cName(key), u.name, math.Round(v.Field(i).Float()*u.times))
	}
	b.WriteString("\n")
}

func cAlarms(b *strings.Builder) {
	b.WriteString("/* Alarms, by their counted pulses. */\nenum {\n")
	for i, name := range sim.AlarmNames {
		fmt.Fprintf(b, "    ALARM_%s = %d,\n", cName(name), i+1)
	}
	b.WriteString("};\n\n")
}

// cName is a word of the table as C names constants.
func cName(word string) string {
	return strings.ToUpper(strings.NewReplacer(" ", "_", "-", "_").Replace(word))
}

func cEnum(b *strings.Builder, prefix string, words []string) {
	b.WriteString("enum {\n")
	for _, w := range words {
		fmt.Fprintf(b, "    %s_%s,\n", prefix, cName(w))
	}
	b.WriteString("};\n\n")
}

func cMachine(b *strings.Builder, who string, m *logic.Machine, words *logic.Vocabulary) {
	var states []string
	for i := range m.States {
		states = append(states, m.States[i].Name)
	}
	fmt.Fprintf(b, "/* The %s's events in their precedence, guards, actions and states. */\n", strings.ToLower(who))
	for _, list := range []struct {
		part  string
		words []logic.Word
	}{{"EV", words.Events}, {"IF", words.Guards}, {"DO", words.Actions}} {
		var names []string
		for _, w := range list.words {
			names = append(names, w.Name)
		}
		cEnum(b, who+"_"+list.part, names)
	}
	cEnum(b, who, states)
	fmt.Fprintf(b, "#define %s_START %s_%s\n\nstatic const state %s_STATES[] = {\n", who, who, cName(m.Start), who)
	for i := range m.States {
		s := &m.States[i]
		says := "0"
		if s.Says == "down" || s.Permit == "yes" {
			says = "1"
		}
		fmt.Fprintf(b, "    {\"%s\", %s, DUTY_%s, LAMP_%s, %s},\n", s.Name, cDrive(s.Drive), cWord(s.Duty, "full"), cWord(s.Lamp, "off"), says)
	}
	fmt.Fprintf(b, "};\n\nstatic const transition %s_TRANSITIONS[] = {\n", who)
	for i := range m.Transitions {
		fmt.Fprintf(b, "    {%s},\n", cTransition(who, m, &m.Transitions[i]))
	}
	fmt.Fprintf(b, "};\n\n")
}

func cWord(word, absent string) string {
	if word == "" {
		word = absent
	}
	return cName(word)
}

func cDrive(word string) string {
	if i := slices.Index([]string{"down", "unlock"}, word); i >= 0 {
		return "-1"
	}
	if i := slices.Index([]string{"up", "lock"}, word); i >= 0 {
		return "1"
	}
	return "0"
}

func cTransition(who string, m *logic.Machine, t *logic.Transition) string {
	bits := func(prefix string, words []string) string {
		var list []string
		for _, w := range words {
			list = append(list, fmt.Sprintf("BIT(%s%s)", prefix, cName(w)))
		}
		if len(list) == 0 {
			return "0"
		}
		return strings.Join(list, " | ")
	}
	var need, bar []string
	for _, g := range t.If {
		if word, not := strings.CutPrefix(g, "not "); not {
			bar = append(bar, word)
		} else {
			need = append(need, g)
		}
	}
	to, alarm := "STAY", "0"
	if t.To != logic.Stay {
		to = who + "_" + cName(t.To)
	}
	if t.Alarm != "" {
		alarm = "ALARM_" + cName(t.Alarm)
	}
	return strings.Join([]string{
		bits(who+"_", t.From), who + "_EV_" + cName(t.On), bits(who+"_IF_", need), bits(who+"_IF_", bar), to, alarm, bits(who+"_DO_", t.Do),
	}, ", ")
}

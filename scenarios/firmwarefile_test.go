package scenarios

import (
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// The schema of firmware files takes what the reader takes, and refuses what it refuses.
func TestFirmwareSchema(t *testing.T) {
	s, err := SchemaOf(FirmwareKind)
	if err != nil {
		t.Fatal(err)
	}
	schema := compiled(t, s)
	good := map[string]string{
		"a module":                  "firmware: x\ndoor: x.wasm\n",
		"a program":                 "firmware: x\ndoor: [./x, --verbose, 3, yes]\n",
		"a program of one word":     "firmware: x\ndoor: [./x]\nlocks: [./x, --locks]\n",
		"a deadline":                "firmware: x\ndoor: [./x]\nlocks: logic/baseline.yaml\ndeadline: 20 s\n",
		"a deadline in other units": "firmware: x\ndoor: [./x]\ndeadline: 500 ms\n",
	}
	shipped, err := filepath.Glob("../docs/firmware/walk/*.yaml")
	if err != nil || len(shipped) == 0 {
		t.Fatalf("no examples: %v", err)
	}
	for _, name := range shipped {
		text, err := os.ReadFile(name)
		if err != nil {
			t.Fatal(err)
		}
		good[name] = string(text)
	}
	read := func(text string) error {
		var f firmwareFile
		return (&Loader{Shipped: Shipped()}).LoadBytes("x.yaml", []byte(text), &f)
	}
	for what, text := range good {
		if err := read(text); err != nil {
			t.Errorf("%s: the reader refuses it: %v", what, err)
		}
		if err := schema.Validate(asJSON(t, text)); err != nil {
			t.Errorf("%s: the schema refuses it: %v", what, err)
		}
	}
	for what, text := range map[string]string{
		"no name":          "door: x.wasm\n",
		"no door":          "firmware: x\nlocks: x.wasm\n",
		"an unknown key":   "firmware: x\ndoors: x.wasm\n",
		"an empty word":    "firmware: x\ndoor: ''\n",
		"an empty list":    "firmware: x\ndoor: []\n",
		"an empty program": "firmware: x\ndoor: ['', --verbose]\n",
		"a map":            "firmware: x\ndoor: {file: x.wasm}\n",
		"a list in a list": "firmware: x\ndoor: [./x, [--verbose]]\n",
		"no unit":          "firmware: x\ndoor: [./x]\ndeadline: 20\n",
		"another unit":     "firmware: x\ndoor: [./x]\ndeadline: 20 V\n",
	} {
		if read(text) == nil {
			t.Errorf("%s: the reader takes it", what)
		}
		if schema.Validate(asJSON(t, text)) == nil {
			t.Errorf("%s: the schema takes it", what)
		}
	}
	text, err := s.MarshalJSON()
	if err != nil || !strings.Contains(string(text), "controller of every door: a module, a logic table, or a program with its arguments") {
		t.Errorf("an editor is not told what a door is: %v", err)
	}
}

// The schema of soaks takes what ships, and refuses what the reader refuses.
func TestSoakSchemaRefuses(t *testing.T) {
	schema := compileSchema(t, &SoakFile{})
	head := "soak: x\ntruck: trucks/produce-4bay.yaml\n"
	if err := schema.Validate(asJSON(t, head+"route: {stop every: 12 min}\nencoder: {gap pulses: 8 pulses}\nretrain: yes\n")); err != nil {
		t.Error(err)
	}
	for _, text := range []string{"route: {stop evry: 12 min}", "route: {stop every: 12 kg}", "counterbalance: {law: cubic}", "cycles: 7", "retrain: perhaps"} {
		var f SoakFile
		if (&Loader{Shipped: Shipped()}).LoadBytes("x.yaml", []byte(head+text+"\n"), &f) == nil {
			t.Errorf("%s: the reader takes it", text)
		}
		if schema.Validate(asJSON(t, head+text+"\n")) == nil {
			t.Errorf("%s: the schema takes it", text)
		}
	}
}

package scenarios

import (
	"bytes"
	"encoding/json"
	"strings"
	"testing"

	"github.com/goccy/go-yaml"
	"github.com/santhosh-tekuri/jsonschema/v6"
)

// compileSchema turns a generated schema into a validator.
func compileSchema(t *testing.T, target any) *jsonschema.Schema {
	t.Helper()
	return compiled(t, Schema(target, "test"))
}

// compiled turns a schema into a validator.
func compiled(t *testing.T, s any) *jsonschema.Schema {
	t.Helper()
	text, err := json.Marshal(s)
	if err != nil {
		t.Fatal(err)
	}
	document, err := jsonschema.UnmarshalJSON(bytes.NewReader(text))
	if err != nil {
		t.Fatal(err)
	}
	compiler := jsonschema.NewCompiler()
	if err := compiler.AddResource("test.json", document); err != nil {
		t.Fatal(err)
	}
	schema, err := compiler.Compile("test.json")
	if err != nil {
		t.Fatal(err)
	}
	return schema
}

// asJSON reads a YAML text the way an editor does.
func asJSON(t *testing.T, text string) any {
	t.Helper()
	var value any
	if err := yaml.Unmarshal([]byte(text), &value); err != nil {
		t.Fatal(err)
	}
	data, err := json.Marshal(value)
	if err != nil {
		t.Fatal(err)
	}
	document, err := jsonschema.UnmarshalJSON(bytes.NewReader(data))
	if err != nil {
		t.Fatal(err)
	}
	return document
}

func TestSchemaAccepts(t *testing.T) {
	scenario, truck := compileSchema(t, &testScenario{}), compileSchema(t, &testTruck{})
	for name, file := range testShipped() {
		schema := scenario
		if strings.HasPrefix(name, "trucks/") {
			schema = truck
		}
		if err := schema.Validate(asJSON(t, string(file.Data))); err != nil {
			t.Errorf("%s: %v", name, err)
		}
	}
	for _, text := range []string{
		"from: demo/morning.yaml\nduration: 1 min 30 s\n",
		head + "seed: 3\nambient: {temperature: 40 °F, sunlight: 2 klx}\n",
		head[:26] + "truck: {from: a.yaml, battery: {age: 0.4}, bays: {C1: {mass: 70 lb}}}\n",
		head[:26] + "truck: {from: a.yaml, battery: {age: 40 %}, each bay: {height: 6 ft 3-1/4 in, counterbalance: {rate: 20 in-lbf/turn}}}\n",
		head[:26] + "truck: {from: a.yaml, sensing edge: none, wires: [2/0 AWG], locks: no, parked: uphill, lines: {a: A->B}}\n",
	} {
		if err := scenario.Validate(asJSON(t, text)); err != nil {
			t.Errorf("%s: %v", text, err)
		}
	}
}

func TestSchemaRefuses(t *testing.T) {
	schema := compileSchema(t, &testScenario{})
	tests := []struct{ name, text string }{
		{"unknown key", head + "sead: 3\n"},
		{"unknown key below", head + "ambient: {temperatur: 4 °C}\n"},
		{"missing key", "scenario: x\ntruck: trucks/produce.yaml\n"},
		{"missing key of a whole truck", head[:26] + "truck: {name: x}\n"},
		{"unknown key of a changed truck", head[:26] + "truck: {from: a.yaml, nam: x}\n"},
		{"unknown key of common values", head[:26] + "truck: {from: a.yaml, each bay: {mas: 3 kg}}\n"},
		{"missing unit", head[:12] + "duration: 4\ntruck: a.yaml\n"},
		{"wrong dimension", head[:12] + "duration: 4 kg\ntruck: a.yaml\n"},
		{"wrong word", head[:26] + "truck: {from: a.yaml, parked: sideways}\n"},
		{"unknown kind", head + "faults: [{obstuction: C1}]\n"},
		{"missing key of a kind", head + "faults: [{obstruction: C1}]\n"},
		{"key of another kind", head + "faults: [{open lead: C1, height: 3 m}]\n"},
		{"no list", head + "faults: {open lead: C1}\n"},
		{"negative seed", head + "seed: -1\n"},
		{"out of range", head[:26] + "truck: {from: a.yaml, coils: 201}\n"},
	}
	for _, test := range tests {
		if _, err := loadText(test.text); err == nil && !strings.Contains(test.text, "a.yaml") {
			t.Errorf("%s: the reader takes it", test.name)
		}
		if err := schema.Validate(asJSON(t, test.text)); err == nil {
			t.Errorf("%s: the schema takes it", test.name)
		}
	}
}

// What an editor shows while typing: description, range, default and examples.
func TestSchemaHelpsTheEditor(t *testing.T) {
	text, err := json.Marshal(Schema(&testScenario{}, "Scenario"))
	if err != nil {
		t.Fatal(err)
	}
	for _, want := range []string{
		`"title":"Scenario"`,
		`"$schema":"https://json-schema.org/draft/2020-12/schema"`,
		`"description":"how long to run; above 0 and at most 24 h"`,
		`"default":"20 °C"`,
		`"examples":["4 °C","40 °F","277 K"]`,
		`"enum":["level","uphill","downhill"]`,
		`"description":"a thing in the way"`,
		`"description":"values common to all bays; what one says itself wins"`,
	} {
		if !strings.Contains(string(text), want) {
			t.Errorf("%s is not in the schema", want)
		}
	}
	again, _ := json.Marshal(Schema(&testScenario{}, "Scenario"))
	if !bytes.Equal(text, again) {
		t.Error("two schemas of one struct differ")
	}
}

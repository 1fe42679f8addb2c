package scenarios_test

import (
	"slices"
	"testing"

	"slatbench/sim/require"
)

const twoChannels = `scenario: Two channels
truck:
  from: trucks/produce-4bay.yaml
  each bay: {curtain: {mass: 31 kg}, counterbalance: {initial turns: 6.4 turns}, friction: {running: 20 N, viscous: 24 N·s/m}, encoder: {channels: two}}
duration: 20 s
`

// A door with two channels opens, and falls as its release is pulled.
const fallenFromOpen = twoChannels + `
ambient: {grade: -5 %}
start: {charge: 30 %, doors: {C1: 1.48 m}}
steps: [{at: 0.5 s, press: C1}, {at: 16 s, press: C1}]
faults: [{manual-release-open: C1, from: 3 s}]
`

// One that comes down, its counterbalance broken, sinks into its seal further than a floor may be off.
const sunkIntoItsSeal = twoChannels + `
ambient: {temperature: -1 °C, grade: -5 %}
start: {charge: 30 %, doors: {C1: open}}
steps: [{at: 0.5 s, press: C1}]
faults: [{broken-counterbalance: C1, from: 0 s}]
`

// One that stands half way up sinks, its counterbalance broken, and power fails after that.
const sunkBeforeAReset = twoChannels + `
ambient: {temperature: 20 °C}
start: {doors: {C1: 1.2 m}}
steps: [{at: 9 s, press: C1}, {at: 18 s, press: C1}]
faults:
  - {broken-counterbalance: C1, from: 1 s, until: 5 s}
  - {supply-interruption: feed, from: 7 s, until: 7.1 s, left: 0 %}
`

// What two channels tell of a door at rest is made use of: one that has fallen from where it was
// open does not go down at the next press, one that has sunk into its seal goes on to say that it is down, and
// one that has sunk before a reset does not open as far short of the stop.
func TestTwoChannelsAtRest(t *testing.T) {
	for _, c := range []struct{ text, put string }{{fallenFromOpen, "no-surprise"}, {sunkIntoItsSeal, "lock-interlock"}, {sunkBeforeAReset, "no-surprise"}} {
		tried := false
		for _, v := range judge(t, c.text, shippedLogic(t), nil) {
			tried = tried || v.ID == c.put && v.Verdict == require.Holds
			if v.Verdict == require.Violated {
				t.Errorf("%s\n%s", tell(&v), c.text)
			}
		}
		if !tried {
			t.Errorf("%s was not put to the test\n%s", c.put, c.text)
		}
	}
}

// A logic that lets a door be open that has fallen is caught.
func TestStillOpenThoughItHasFallen(t *testing.T) {
	table := shippedLogic(t)
	ignoring(&table.Door, "moved", "open")
	ignoring(&table.Door, "edge pressed", "open") // on the floor edge and sill switch tell as well
	caught := func(v require.Result) bool {
		return v.ID == "no-surprise" && v.Clause == "way" && v.Verdict == require.Violated
	}
	if !slices.ContainsFunc(judge(t, fallenFromOpen, table, nil), caught) {
		t.Error("no-surprise way is not violated")
	}
}

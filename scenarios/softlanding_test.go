package scenarios_test

import (
	"fmt"
	"math"
	"testing"

	"slatbench/sim/logic"
	"slatbench/sim/require"
)

// softly is a truck without sensing edges, at an end of its tolerances, one door of which comes down with its
// springs as they are, onto something of a height in mm and a stiffness in N/mm, or, where that is 0, onto the floor.
func softly(springs string, height, stiffness, cold, part int) string {
	faults := "faults:\n" + springs
	if stiffness > 0 {
		faults += fmt.Sprintf("  - {obstruction: C1, from: 0 s, height: %d mm, stiffness: %d N/mm, appears: when-clear}\n", height, stiffness)
	}
	return fmt.Sprintf(`scenario: Something soft
truck:
  from: trucks/produce-4bay-no-edge.yaml
  each bay: {%s}
ambient: {temperature: %d °C, grade: %d %%}
start: {charge: %d %%, doors: {C1: open}}
duration: 14 s
steps: [{at: 0.5 s, press: C1}]
`, []string{
		"curtain: {mass: 31 kg}, counterbalance: {initial turns: 6.8 turns}, friction: {running: 20 N, viscous: 24 N·s/m}, drive: {resistance: 0.57 Ω, efficiency: 63 %}",
		"curtain: {mass: 33 kg}, counterbalance: {initial turns: 6.4 turns}, friction: {running: 30 N, viscous: 36 N·s/m}, drive: {resistance: 0.63 Ω, efficiency: 57 %}",
	}[part], []int{45, -20}[cold], []int{-5, 5}[part], []int{100, 2}[(cold+part)%2]) + faults
}

const (
	brokenSprings = "  - {broken-counterbalance: C1}\n"
	weakSprings   = "  - {weak-counterbalance: C1, torque: %d %%}\n"
)

// softest is the smallest margin of close-cut, in s, on what is soft, where a door comes down slowly.
func softest(t *testing.T, table *logic.Table) float64 {
	least := math.Inf(1)
	for _, springs := range []string{fmt.Sprintf(weakSprings, 100), fmt.Sprintf(weakSprings, 50), brokenSprings} {
		for _, stiffness := range []int{5, 10, 50} {
			for _, height := range []int{50, 75, 150, 200, 240} {
				for i := range 4 {
					for _, v := range judge(t, softly(springs, height, stiffness, i/2, i%2), table, nil) {
						if v.ID == "close-cut" && v.Verdict != require.NotExercised {
							least = min(least, v.Margin)
						}
					}
				}
			}
		}
	}
	return least
}

// A curtain that outweighs its springs drives its motor down, and on something soft it is hardly slowed down until
// that bears it: a controller knows it by a motor that has to drive again. One that does not look for that is too late.
func TestSoftThingsWhereTheDoorComesSlowly(t *testing.T) {
	if least := softest(t, shippedLogic(t)); least < 0 {
		t.Errorf("the drive is cut %.3f s too late", -least)
	}
	blind := shippedLogic(t)
	blind.Tuning.CurrentTime = 10
	if least := softest(t, blind); least >= 0 {
		t.Errorf("without the current the drive is cut %.3f s before it must be", least)
	}
}

// Springs of any strength bring the door down onto the floor: nothing is taken for something soft.
func TestSpringsAreNothingSoft(t *testing.T) {
	for torque := 20; torque <= 100; torque += 5 {
		for i := range 4 {
			text := softly(fmt.Sprintf(weakSprings, torque), 0, 0, i/2, i%2)
			arrives := false
			for _, v := range judge(t, text, shippedLogic(t), nil) {
				arrives = arrives || v.ID == "lock-interlock" && v.Clause == "down" && v.Verdict == require.Holds
				if v.Verdict == require.Violated || v.ID == "alarm" && v.Verdict != require.NotExercised {
					t.Errorf("%s\n%s", tell(&v), text)
				}
			}
			if !arrives {
				t.Errorf("it does not come down:\n%s", text)
			}
		}
	}
}

// Another door that starts as one lands makes the supply sag, and a motor that takes little takes nothing for a moment.
func TestSagIsNothingSoft(t *testing.T) {
	const text = `scenario: A sag
truck:
  from: trucks/produce-4bay-no-edge.yaml
  bays: {C1: {curtain: {mass: 32.64 kg}, counterbalance: {initial turns: 6.27 turns}}}
start: {doors: {C1: open}}
duration: 8 s
steps: [{at: 1 s, press: C1}, {at: %.2f s, press: R2}]
`
	for at := 4.8; at < 6.5; at += 0.05 {
		for _, v := range judge(t, fmt.Sprintf(text, at), shippedLogic(t), nil) {
			if v.Verdict == require.Violated {
				t.Errorf("at %.2f s: %s", at, tell(&v))
			}
		}
	}
}

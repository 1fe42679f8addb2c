package logic

import (
	"context"
	"fmt"
	"slices"
	"strings"

	"github.com/looplab/fsm"

	"slatbench/sim"
)

// answer is one transition from one state, with its words folded into bits.
type answer struct {
	event     int
	at        int    // of its transition in the table
	name      string // of the machine's event, unique
	need, bar uint32 // guards that must hold, and that must not
	to        int    // state, or -1 to stay
	alarm     sim.Alarm
	do        uint32 // actions
}

// machine runs one compiled table. Bits of events and guards come from the detectors.
type machine struct {
	table   *Machine
	answers [][]answer // by state, in precedence of their events
	listens []uint32   // events that any answer of a state waits for
	fsm     *fsm.FSM
	state   int
	last    int // transition that answered at this tick, or -1
	fired   fired
}

// newMachine compiles a checked table.
func newMachine(m *Machine, words *Vocabulary) *machine {
	c := &machine{table: m, answers: make([][]answer, len(m.States)), listens: make([]uint32, len(m.States)), fired: newFired(m)}
	var events fsm.Events
	for i := range m.Transitions {
		t := &m.Transitions[i]
		for _, from := range t.From {
			a := compile(m, t, words, fmt.Sprintf("%s/%s/%d", from, t.On, i))
			a.at = i
			s := stateIndex(m, from)
			c.answers[s] = append(c.answers[s], a)
			c.listens[s] |= 1 << a.event
			if a.to >= 0 {
				events = append(events, fsm.EventDesc{Name: a.name, Src: []string{from}, Dst: t.To})
			}
		}
	}
	for _, list := range c.answers {
		slices.SortStableFunc(list, func(x, y answer) int { return x.event - y.event })
	}
	c.fsm = fsm.NewFSM(m.Start, events, fsm.Callbacks{})
	c.reset()
	return c
}

func compile(m *Machine, t *Transition, words *Vocabulary, name string) answer {
	a := answer{event: index(words.Events, t.On), name: name, to: -1}
	if t.To != Stay {
		a.to = stateIndex(m, t.To)
	}
	for _, g := range t.If {
		word, not := strings.CutPrefix(g, "not ")
		if bit := uint32(1) << index(words.Guards, word); not {
			a.bar |= bit
		} else {
			a.need |= bit
		}
	}
	for _, d := range t.Do {
		a.do |= 1 << index(words.Actions, d)
	}
	if t.Alarm != "" {
		a.alarm = sim.Alarm(slices.Index(sim.AlarmNames[:], t.Alarm) + 1)
	}
	return a
}

func stateIndex(m *Machine, name string) int {
	return slices.IndexFunc(m.States, func(s State) bool { return s.Name == name })
}

func (c *machine) reset() {
	c.state, c.last = stateIndex(c.table, c.table.Start), -1
	c.fsm.SetState(c.table.Start)
}

// heeds tells that the present state waits for one of these events.
func (c *machine) heeds(events uint32) bool { return events&c.listens[c.state] != 0 }

// answerTo finds the transition that answers the events of a tick: the first in
// precedence whose guards hold. The check has made sure that there is one at most
// to an event.
func (c *machine) answerTo(events, guards uint32) *answer {
	c.last = -1
	if !c.heeds(events) {
		return nil
	}
	list := c.answers[c.state]
	for i := range list {
		a := &list[i]
		if events>>a.event&1 == 1 && guards&a.need == a.need && guards&a.bar == 0 {
			return a
		}
	}
	return nil
}

// fire makes the transition. It tells whether the state has changed.
func (c *machine) fire(a *answer) bool {
	c.fired.mark(a.at)
	c.last = a.at
	if a.to < 0 {
		return false
	}
	if a.to != c.state {
		if err := c.fsm.Event(context.Background(), a.name); err != nil {
			panic("logic: a checked table refused its own transition " + a.name + ": " + err.Error())
		}
	}
	c.state = a.to
	return true
}

// name of the present state.
func (c *machine) name() string { return c.table.States[c.state].Name }

package compare

import (
	"slatbench/model"
	"slatbench/sim"
)

// trail is what all controllers of a truck did in a run: their outputs, from the tick
// on at which they changed, and what their machines tell. Controllers are the doors and
// then the locks; machines are the doors and then the sides of the locks. Its slices
// are used again from run to run.
type trail struct {
	outs    []outChange
	states  []told
	answers []told
}

type outChange struct {
	tick, who int32
	out       sim.Outputs
}

// told is a state that a machine is in from a tick on, or an event that it answers at it.
type told struct {
	tick, machine int32
	word          string
}

func (t *trail) clear() {
	t.outs, t.states, t.answers = t.outs[:0], t.states[:0], t.answers[:0]
}

// recorder is an observer that keeps a trail.
type recorder struct {
	trail  trail
	record bool // keep what is written into the store, too
	voices []voice

	tick   int32
	outs   []sim.Outputs // as last seen, by controller
	state  []string      // by machine
	answer []string      // of this tick, by machine
}

func newRecorder(doors []sim.Controller, locks sim.Controller, record bool) *recorder {
	list, _ := voices(doors, locks)
	return &recorder{record: record, voices: list, outs: make([]sim.Outputs, len(doors)+1), state: make([]string, len(list)), answer: make([]string, len(list))}
}

func (r *recorder) begin() {
	r.trail.clear()
	r.tick = 0
	clear(r.outs)
	clear(r.state)
}

// Tick implements [sim.Observer].
func (r *recorder) Tick(b *sim.Bench) {
	n := len(r.outs) - 1
	for who := range r.outs {
		if out := outputsOf(b, who, n, r.record); out != r.outs[who] {
			r.outs[who] = out
			r.trail.outs = append(r.trail.outs, outChange{r.tick, int32(who), out})
		}
	}
	for m, v := range r.voices {
		r.answer[m] = ""
		if !awake(b, m, n) {
			continue
		}
		if s := v.state(); s != r.state[m] {
			r.state[m] = s
			r.trail.states = append(r.trail.states, told{r.tick, int32(m), s})
		}
		if e := v.answered(); e != "" {
			r.answer[m] = e
			r.trail.answers = append(r.trail.answers, told{r.tick, int32(m), e})
		}
	}
	r.tick++
}

// outputsOf are those of a controller of a truck of n doors, as they are on the wires.
func outputsOf(b *sim.Bench, who, n int, record bool) sim.Outputs {
	if who < n {
		return wires(b.Outputs(who), record)
	}
	return wires(b.LockOutputs(), record)
}

// awake tells that the controller of a machine is at work, so that what it told is of this tick.
func awake(b *sim.Bench, machine, n int) bool {
	if machine < n {
		return b.Awake(machine)
	}
	return b.LocksAwake()
}

// controllerOf is the controller that runs a machine, of a truck of n doors.
func controllerOf(machine, n int) int { return min(machine, n) }

// machines of a truck of n doors.
func machines(n int) int { return n + model.Sides }

// follower goes through a trail, tick by tick.
type follower struct {
	trail                 *trail
	nextOut, nextState    int
	nextAnswer            int
	outs                  []sim.Outputs
	state, before, answer []string
	last                  []string // event answered last
}

func newFollower(t *trail, n int) *follower {
	m := machines(n)
	return &follower{
		trail: t, outs: make([]sim.Outputs, n+1),
		state: make([]string, m), before: make([]string, m), answer: make([]string, m), last: make([]string, m),
	}
}

func (f *follower) begin() {
	f.nextOut, f.nextState, f.nextAnswer = 0, 0, 0
	clear(f.outs)
	clear(f.state)
	clear(f.before)
	clear(f.answer)
	clear(f.last)
}

// to goes on to a tick, which must be the next.
func (f *follower) to(tick int32) {
	for ; f.nextOut < len(f.trail.outs) && f.trail.outs[f.nextOut].tick == tick; f.nextOut++ {
		c := &f.trail.outs[f.nextOut]
		f.outs[c.who] = c.out
	}
	copy(f.before, f.state)
	for ; f.nextState < len(f.trail.states) && f.trail.states[f.nextState].tick == tick; f.nextState++ {
		c := &f.trail.states[f.nextState]
		f.state[c.machine] = c.word
	}
	for m := range f.answer {
		if f.answer[m] != "" {
			f.last[m], f.answer[m] = f.answer[m], ""
		}
	}
	for ; f.nextAnswer < len(f.trail.answers) && f.trail.answers[f.nextAnswer].tick == tick; f.nextAnswer++ {
		c := &f.trail.answers[f.nextAnswer]
		f.answer[c.machine] = c.word
	}
}

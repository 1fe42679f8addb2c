package compare

import "slatbench/sim"

// comparer is an observer of the new controllers that compares what they do with the
// trail of the old ones, tick by tick.
type comparer struct {
	recorder
	old     *follower
	oldSays telling
	newSays telling
	outputs Kinds // that are compared

	differ *Difference // the first
	kinds  Kinds       // ever
	was    []sim.Outputs
	before []string     // states, by machine
	parted []parting    // by machine
	inputs []sim.Inputs // of the tick before, where one side tells no events
	met    []Met
	now    []int // in met, by machine
}

func newComparer(doors []sim.Controller, locks sim.Controller, old *trail, record bool, oldSays telling) *comparer {
	n := len(doors)
	_, says := voices(doors, locks)
	return &comparer{
		recorder: *newRecorder(doors, locks, record), old: newFollower(old, n), oldSays: oldSays, newSays: says, outputs: allKinds,
		was: make([]sim.Outputs, n+1), before: make([]string, machines(n)), parted: make([]parting, machines(n)), inputs: make([]sim.Inputs, n+1), now: make([]int, machines(n)),
	}
}

func (c *comparer) begin() {
	c.recorder.begin()
	c.old.begin()
	c.differ, c.kinds, c.met = nil, 0, c.met[:0]
	clear(c.inputs)
	clear(c.parted)
	for m := range c.now {
		c.now[m] = -1
	}
}

// Tick implements [sim.Observer].
func (c *comparer) Tick(b *sim.Bench) {
	tick := c.tick
	copy(c.was, c.outs)
	copy(c.before, c.state)
	c.recorder.Tick(b)
	c.old.to(tick)
	if c.differ == nil && c.oldSays > tellNothing && c.newSays > tellNothing {
		c.part(b)
	}
	for who := range c.outs {
		if c.outs[who] != c.old.outs[who] {
			k := differing(&c.old.outs[who], &c.outs[who]) & c.outputs
			if c.differ == nil && k != 0 {
				c.differs(b, who, k)
			}
			c.kinds |= k
		}
	}
	if c.differ == nil {
		c.meet()
	}
	if c.oldSays == tellNothing && c.newSays == tellNothing {
		for who := range c.inputs {
			c.inputs[who] = *c.inputsOf(b, who)
		}
	}
}

// parting is the tick at which two machines that had answered alike until then did not:
// often some ticks before an output tells, since a start waits for the store and contacts
// are made one after the other. As soon as both answer the same event at the same tick
// again they are in step, and it is forgotten.
type parting struct {
	is              bool
	state, old, new string
}

func (c *comparer) part(b *sim.Bench) {
	for m := range c.parted {
		p := &c.parted[m]
		old, new := c.did(m)
		inStep := old == new
		if c.oldSays != c.newSays { // one tells events, the other only whether its state has changed
			inStep = stepped(c.old.before[m], c.old.state[m]) == stepped(c.before[m], c.state[m])
		}
		switch {
		case !inStep && !p.is:
			*p = parting{true, c.old.before[m], old, new}
		case inStep && old != Nothing, !awake(b, m, len(c.outs)-1):
			p.is = false
		}
	}
}

// did is what old and new have done at this tick, in words.
func (c *comparer) did(m int) (old, new string) {
	return deed(c.oldSays, c.old.answer[m], c.old.before[m], c.old.state[m]), deed(c.newSays, c.answer[m], c.before[m], c.state[m])
}

func deed(says telling, event, before, state string) string {
	switch {
	case says == tellNothing:
		return Untold
	case says == tellEvents && event != "":
		return event
	case says == tellStates && stepped(before, state):
		return "to " + state
	}
	return Nothing
}

func stepped(before, state string) bool { return before != state && before != "" }

func (c *comparer) inputsOf(b *sim.Bench, who int) *sim.Inputs {
	if who < len(c.outs)-1 {
		return b.Inputs(who)
	}
	return b.LockInputs()
}

// meet counts for how long states go together.
func (c *comparer) meet() {
	n := len(c.outs) - 1
	for m := range c.now {
		if at := c.now[m]; at < 0 || c.met[at].Old != c.old.state[m] || c.met[at].New != c.state[m] {
			c.now[m] = c.meeting(m >= n, c.old.state[m], c.state[m])
		}
		c.met[c.now[m]].Ticks++
	}
}

func (c *comparer) meeting(lock bool, old, new string) int {
	for i := range c.met {
		if m := &c.met[i]; m.Lock == lock && m.Old == old && m.New == new {
			return i
		}
	}
	c.met = append(c.met, Met{Lock: lock, Old: old, New: new})
	return len(c.met) - 1
}

// differs takes up the first difference: by a controller, in kinds of output.
func (c *comparer) differs(b *sim.Bench, who int, k Kinds) {
	n := len(c.outs) - 1
	d := &Difference{Tick: int(c.tick - 1), Bay: who, Side: -1, Was: c.old.outs[who], Is: c.outs[who]}
	kind := k.first()
	machine := who
	if who == n {
		d.Bay, d.Side, d.Lock = -1, sideOf(kind, &d.Was, &d.Is), true
		machine = n + d.Side
	}
	d.Kind = KindNames[kind]
	if p := &c.parted[machine]; p.is {
		d.State, d.Old, d.New = p.state, p.old, p.new
	} else {
		d.State = c.stateBefore(who, machine, d.Side)
		d.Old, d.New = c.events(b, who, machine, d.Side)
	}
	c.differ = d
}

// stateBefore is the state of the old machine before this tick. Where it tells none, it
// is what the controller drove then.
func (c *comparer) stateBefore(who, machine, side int) string {
	for _, s := range [...]string{c.old.before[machine], c.old.state[machine]} {
		if s != "" {
			return s
		}
	}
	if side >= 0 {
		return word(barKind, &c.was[who], side)
	}
	return driveWord(&c.was[who])
}

// events that old and new have answered at this tick.
func (c *comparer) events(b *sim.Bench, who, machine, side int) (old, new string) {
	if c.oldSays == tellNothing && c.newSays == tellNothing {
		s := stimulus(&c.inputs[who], c.inputsOf(b, who), side)
		return s, s
	}
	old, new = c.did(machine)
	if last := c.old.last[machine]; old == Nothing && new == Nothing && last != "" {
		return after + last, after + last
	}
	return old, new
}

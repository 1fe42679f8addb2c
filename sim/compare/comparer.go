package compare

import "slatbench/sim"

// comparer is an observer of the new controllers that compares what they do with the
// trail of the old ones, tick by tick.
type comparer struct {
	recorder
	old     *follower
	oldMute bool
	newMute bool
	outputs Kinds // that are compared

	differ *Difference // the first
	kinds  Kinds       // ever
	was    []sim.Outputs
	parted []parting    // by machine
	inputs []sim.Inputs // of the tick before, where one side tells no events
	met    []Met
	now    []int // in met, by machine
}

func newComparer(doors []sim.Controller, locks sim.Controller, old *trail, record, oldMute bool) *comparer {
	n := len(doors)
	_, events := voices(doors, locks)
	return &comparer{
		recorder: *newRecorder(doors, locks, record), old: newFollower(old, n), oldMute: oldMute, newMute: !events, outputs: allKinds,
		was: make([]sim.Outputs, n+1), parted: make([]parting, machines(n)), inputs: make([]sim.Inputs, n+1), now: make([]int, machines(n)),
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
	c.recorder.Tick(b)
	c.old.to(tick)
	if c.differ == nil && !c.oldMute && !c.newMute {
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
	if c.oldMute && c.newMute {
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
		switch old, new := c.old.answer[m], c.answer[m]; {
		case old != new && !p.is:
			*p = parting{true, c.old.before[m], old, new}
		case old == new && old != "", !awake(b, m, len(c.outs)-1):
			p.is = false
		}
	}
}

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
		d.State, d.Old, d.New = p.state, eventWord(p.old, false), eventWord(p.new, false)
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
	if c.oldMute && c.newMute {
		s := stimulus(&c.inputs[who], c.inputsOf(b, who), side)
		return s, s
	}
	old, new = c.old.answer[machine], c.answer[machine]
	if old == "" && new == "" {
		if last := c.old.last[machine]; last != "" {
			return after + last, after + last
		}
	}
	return eventWord(old, c.oldMute), eventWord(new, c.newMute)
}

func eventWord(event string, mute bool) string {
	switch {
	case mute:
		return Untold
	case event == "":
		return Nothing
	}
	return event
}

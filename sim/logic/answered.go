package logic

// answered is the event that the machine has answered at this tick, or "".
func (c *machine) answered() string {
	if c.last < 0 {
		return ""
	}
	return c.table.Transitions[c.last].On
}

// Answered is the event that the door's machine has answered at the last tick, or "".
// No judgement rests on it: it serves whoever tells what a controller has done.
func (d *Door) Answered() string { return d.machine.answered() }

// SideAnswered is the same for the machine of one side.
func (l *Locks) SideAnswered(side int) string { return l.sides[side].machine.answered() }

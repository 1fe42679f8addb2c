package logic

// fired is a set of transitions, a bit each, by their index in the table: those
// that have answered an event since the set was last cleared. A reset of the
// controller does not clear it, because it is no part of the controller: whoever
// judges how much of a table a campaign has reached reads it.
type fired []uint64

func newFired(m *Machine) fired { return make(fired, (len(m.Transitions)+63)/64) }

func (f fired) mark(i int) { f[i>>6] |= 1 << (i & 63) }

// addTo marks the whole set in another, moved up by so many places.
func (f fired) addTo(set []uint64, places int) {
	for w, word := range f {
		for i := 0; word != 0; i, word = i+1, word>>1 {
			if word&1 == 1 {
				fired(set).mark(places + w*64 + i)
			}
		}
	}
}

// Fired marks in a set the transitions of the table's door machine that have fired
// since ForgetFired, each by its bit. The set must have room for all of them.
func (d *Door) Fired(set []uint64) { d.machine.fired.addTo(set, 0) }

// ForgetFired begins again.
func (d *Door) ForgetFired() { clear(d.machine.fired) }

// Transitions is how many transitions the door machine of the table has.
func (d *Door) Transitions() int { return len(d.machine.table.Transitions) }

// Fired marks in a set the transitions of the table's lock machine that have fired
// on either side since ForgetFired.
func (l *Locks) Fired(set []uint64) {
	for i := range l.sides {
		l.sides[i].machine.fired.addTo(set, 0)
	}
}

// ForgetFired begins again.
func (l *Locks) ForgetFired() {
	for i := range l.sides {
		clear(l.sides[i].machine.fired)
	}
}

// Transitions is how many transitions the lock machine of the table has.
func (l *Locks) Transitions() int { return len(l.sides[0].machine.table.Transitions) }

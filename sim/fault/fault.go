package fault

import (
	"fmt"
	"strings"

	"slatbench/sim"
)

// Fault is one fault at its place: a value that holds no state, so that one setup
// can be run many times, and at once. Make it with [Kind.New].
//
// Faults on the same part add up, multiply, or the later hides the earlier, as
// docs/faults.md says for each kind; the bench keeps the order in which they
// came. Stop takes off this fault's share only, and when the last has gone
// everything is, to the bit, as it was.
type Fault struct {
	Name   string // of its kind
	Place  int    // index of the bay, the side, or 0
	Values Values
}

// Start implements [sim.Fault]. It refuses a bay that the truck does not have,
// and what cannot be on the truck as it stands, such as an obstruction inside the
// curtain.
func (f Fault) Start(b *sim.Bench) error {
	if err := f.Ready(b); err != nil {
		return err
	}
	b.Lay(f)
	return nil
}

// Ready tells why a fault could not come on at this instant, or nil.
func (f Fault) Ready(b *sim.Bench) error {
	k, ok := Find(f.Name)
	if !ok {
		return fmt.Errorf("no kind of fault is named %q", f.Name)
	}
	if n := len(b.Truck.Bays); k.Place == OnBay && f.Place >= n {
		return fmt.Errorf("%s: no bay %d, expected 0 to %d", k.Name, f.Place, n-1)
	}
	if k.ready != nil {
		if err := k.ready(b, f.Place, f.Values); err != nil {
			return fmt.Errorf("%s: %w", k.Name, err)
		}
	}
	return nil
}

// Stop implements [sim.Fault]. It does nothing where the fault was not on.
func (f Fault) Stop(b *sim.Bench) { b.Lift(f) }

// Change implements [sim.Overlay].
func (f Fault) Change(b *sim.Bench, p *sim.Parts) {
	if k, ok := Find(f.Name); ok {
		k.change(b, p, f.Place, f.Values)
	}
}

// Event tells whether the fault is an event rather than a defect.
func (f Fault) Event() bool {
	k, _ := Find(f.Name)
	return k.Event
}

// String is the name and the values in SI units: "added-friction, force 60 N".
func (f Fault) String() string {
	k, _ := Find(f.Name)
	var s strings.Builder
	s.WriteString(f.Name)
	for i := range k.Params {
		p := &k.Params[i]
		if p.Words != nil {
			fmt.Fprintf(&s, ", %s %s", p.Name, p.Words[int(f.Values[i])])
		} else {
			fmt.Fprintf(&s, ", %s %g%s", p.Name, f.Values[i], units[p.Unit])
		}
	}
	return s.String()
}

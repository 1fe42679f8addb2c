package live

import (
	"slatbench/scenarios"
	"slatbench/sim"
)

// past is what was done to a truck up to an instant.
type past struct {
	deeds []sim.Action
	ends  []int64 // of the scenario's own faults: 0 as the scenario says, or dropped
	laid  []laid  // other faults
}

// dropped is the end of a fault that never came.
const dropped = -1

// until is what had been done before an instant.
func (r *rig) until(step int64) *past {
	p := &past{ends: make([]int64, len(r.setup.Faults))}
	for _, a := range r.deeds {
		if a.At < step {
			p.deeds = append(p.deeds, a)
		}
	}
	for i, l := range r.laid {
		if l.to >= step {
			l.to = 0
		}
		l.leaving = false
		switch {
		case l.dropped && l.from < step:
			p.ends[i] = dropped
		case l.scripted && l.to != r.setup.Faults[i].To && l.to != 0:
			p.ends[i] = l.to
		case !l.scripted && l.from >= 0 && l.from < step:
			p.laid = append(p.laid, l)
		}
	}
	return p
}

// story is the run up to now as it is to be written.
func (r *rig) story() scenarios.Story {
	p, end := r.until(r.bench.Now), r.bench.Now
	s := scenarios.Story{Setup: r.setup}
	s.Setup.Doors, s.Setup.Locks, s.Setup.Watch = nil, nil, nil
	s.Setup.Duration = end
	s.Setup.Actions = append(append([]sim.Action(nil), r.setup.Actions...), p.deeds...)
	s.Setup.Faults = nil
	for i, f := range r.setup.Faults {
		if p.ends[i] == dropped {
			continue
		}
		if p.ends[i] > 0 {
			f.To = p.ends[i]
		}
		s.Setup.Faults = appendFault(s.Setup.Faults, f, end)
	}
	for _, l := range p.laid {
		s.Setup.Faults = appendFault(s.Setup.Faults, sim.Scheduled{Fault: l.fault, From: l.from, To: l.to}, end)
	}
	if o := r.src.options(); o.HealedAt <= end {
		s.HealedAt, s.JudgeForce = o.HealedAt, o.JudgeForce
	} else {
		s.JudgeForce = o.JudgeForce
	}
	return s
}

// appendFault leaves out what begins after the end.
func appendFault(list []sim.Scheduled, f sim.Scheduled, end int64) []sim.Scheduled {
	if f.To >= end {
		f.To = 0
	}
	if f.From < end {
		list = append(list, f)
	}
	return list
}

// rewound is the run as it was at an instant, on a bench of its own. stopped is asked
// now and then.
func (r *rig) rewound(step int64, stopped func() bool) (*rig, error) {
	n, err := newRig(r.src, r.until(step))
	if err != nil {
		return nil, err
	}
	n.watch.mute = true
	for i := 0; n.bench.Now < step && n.bench.Err() == nil; i++ {
		if i%256 == 0 && stopped() {
			break
		}
		n.bench.Advance()
	}
	for n.told < len(n.script) && n.script[n.told].At < n.bench.Now {
		n.told++
	}
	for i := range n.deeds { // what was held then is, and can be let go
		if n.lasts(i) {
			n.held[holdOf(&n.deeds[i])] = i
		}
	}
	n.watch.mute = false
	n.watch.rest(n.bench)
	return n, nil
}

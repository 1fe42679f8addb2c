package sim

// AlarmGap is the silence, in s, that ends a count of alarm pulses.
const AlarmGap = alarmGap

// LockInputs are the lock controller's inputs, as last sensed.
func (b *Bench) LockInputs() *Inputs { return &b.locks.in }

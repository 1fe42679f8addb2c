package require

// timed is a test with a deadline: something has to happen within so many steps.
type timed struct {
	on   bool
	late bool // the deadline has passed, and that has been noted
	from int64
	end  int64 // the last step at which it is in time
}

func (d *timed) start(from, limit int64) { *d = timed{on: true, from: from, end: from + limit} }

// due is the step after which pass must be called.
func (d *timed) due() int64 {
	if d.on && !d.late {
		return d.end
	}
	return never
}

// margin is the time that is left, in s.
func (d *timed) margin(dt float64, now int64) float64 { return dt * float64(d.end-now) }

// meet: it has happened.
func (d *timed) meet(m *meter, dt float64, now int64) {
	if !d.on {
		return
	}
	if d.late {
		m.see(d.margin(dt, now), d.end)
	} else {
		m.note(d.margin(dt, now), min(now, d.end))
	}
	d.on = false
}

// drop: it is no longer asked for. In time, that leaves a margin and no test.
func (d *timed) drop(m *meter, dt float64, now int64) {
	if !d.on {
		return
	}
	if d.late {
		m.see(d.margin(dt, now), d.end)
	} else {
		m.see(max(d.margin(dt, now), 0), now)
	}
	d.on = false
}

// pass: the deadline has passed.
func (d *timed) pass(m *meter, dt float64) {
	if d.on && !d.late {
		d.late = true
		m.note(-dt, d.end)
	}
}

// finish is the end of the run: what is late gets later, what is not leaves its
// margin so far.
func (d *timed) finish(m *meter, dt float64, now int64) {
	if d.on && now > d.end {
		d.pass(m, dt)
	}
	d.drop(m, dt, now)
}

package sim

import "slices"

// Faller is a controller that can fail as a whole, as one from outside can: it
// traps, it hangs, it dies. Its outputs are off from then on.
type Faller interface {
	// Silent says why it has gone silent since its last power-on, or nothing.
	Silent() string
}

// Starter is a controller that can be found not to start. The bench asks before a
// run; the error ends it, and is no verdict.
type Starter interface{ Ready() error }

// Silence is a controller that went silent.
type Silence struct {
	Bay int    // index, or LockPost for the lock controller
	At  int64  // step
	Why string // from the controller
}

// Silences is an observer that notes which controllers went silent. Power that
// comes back starts a controller anew, and it may go silent again.
type Silences struct {
	List []Silence

	fallers []Faller // nil where a controller is none
	was     []string
	some    bool // one is not empty
}

// NewSilences keeps nothing until a bench is shown to it.
func NewSilences() *Silences { return &Silences{} }

// mostSilences bounds the list: a controller that falls silent whenever its supply
// comes back is known by the first few.
const mostSilences = 32

// Tick implements Observer. A controller that has fallen silent drives nothing: one that
// says something on its lines, or lets doors move, need not be asked.
func (s *Silences) Tick(b *Bench) {
	if s.was == nil {
		s.begin(b)
	}
	if s.fallers == nil {
		return
	}
	for i := range b.doors {
		if b.doors[i].out.Lines == (DownLines{}) || s.some {
			s.ask(b, i, i)
		}
	}
	if o := &b.locks.out; !o.Sides[0].Permit && !o.Sides[1].Permit || s.some {
		s.ask(b, len(b.doors), LockPost)
	}
}

// ask asks one of them.
func (s *Silences) ask(b *Bench, i, bay int) {
	if s.fallers[i] == nil {
		return
	}
	why := s.fallers[i].Silent()
	if why == s.was[i] {
		return
	}
	if s.was[i] == "" && len(s.List) < mostSilences {
		s.List = append(s.List, Silence{bay, b.Now, why})
	}
	s.was[i] = why
	s.some = slices.ContainsFunc(s.was, func(why string) bool { return why != "" })
}

func (s *Silences) begin(b *Bench) {
	s.was = make([]string, len(b.doors)+1)
	list := make([]Faller, len(b.doors)+1)
	some := false
	for i := range list {
		c := b.locks.controller
		if i < len(b.doors) {
			c = b.doors[i].controller
		}
		list[i], _ = c.(Faller)
		some = some || list[i] != nil
	}
	if some {
		s.fallers = list
	}
}

// ready asks every controller whether it can start.
func (s *Setup) ready() error {
	for i := range len(s.Doors) + 1 {
		c := s.Locks
		if i < len(s.Doors) {
			c = s.Doors[i]
		}
		if r, ok := c.(Starter); ok {
			if err := r.Ready(); err != nil {
				return err
			}
		}
	}
	return nil
}

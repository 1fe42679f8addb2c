package live

import (
	"slices"
	"strings"
	"testing"

	"github.com/coder/websocket"

	"slatbench/scenarios"
	"slatbench/sim"
)

// bomb is controllers that fail when their receiver's line goes on.
type bomb struct{ sim.Logic }

func (b bomb) Controllers(bays int, tick float64) ([]sim.Controller, sim.Controller) {
	doors, locks := b.Logic.Controllers(bays, tick)
	for i := range doors {
		doors[i] = &fuse{doors[i]}
	}
	return doors, locks
}

type fuse struct{ sim.Controller }

func (f *fuse) Tick(in *sim.Inputs, out *sim.Outputs) {
	if in.Press {
		panic("burnt through")
	}
	f.Controller.Tick(in, out)
}

// mute is controllers that fall silent when their receiver's line goes on.
type mute struct{ sim.Logic }

func (m mute) Controllers(bays int, tick float64) ([]sim.Controller, sim.Controller) {
	doors, locks := m.Logic.Controllers(bays, tick)
	for i := range doors {
		doors[i] = &muted{Controller: doors[i]}
	}
	return doors, locks
}

type muted struct {
	sim.Controller
	why string
}

func (m *muted) PowerOn(store *sim.Store) { m.why = ""; m.Controller.PowerOn(store) }

func (m *muted) Silent() string { return m.why }

func (m *muted) Tick(in *sim.Inputs, out *sim.Outputs) {
	if in.Press {
		m.why = "it trapped"
	}
	if *out = (sim.Outputs{}); m.why == "" {
		m.Controller.Tick(in, out)
	}
}

// TestFailedControllerIsTold: a controller that cannot be looked into shows null and −1, and
// when it fails the page is told why, once.
func TestFailedControllerIsTold(t *testing.T) {
	s := newWireless(t, Wanted{})
	table, err := (&scenarios.Loader{Shipped: scenarios.Shipped()}).LoadLogic(scenarios.BaselineLogic)
	if err != nil {
		t.Fatal(err)
	}
	s.shelf.under = scenarios.TableUnderTest(table)
	s.shelf.under.Logic, s.shelf.under.Table = mute{table}, nil
	s.ask(t, Request{Do: DoOpen})
	s.playFor(1)
	s.ask(t, Request{Do: DoPress, Bay: "R1"})
	s.playFor(2)
	var told []Event
	for _, e := range got[Event](t, s, IsEvent) {
		if e.Kind == eventSilent {
			told = append(told, e)
		}
	}
	if len(told) != 1 || told[0].Bay != "R1" || !strings.Contains(told[0].Text, "it trapped") {
		t.Errorf("%+v", told)
	}
	frames := got[Frame](t, s, IsFrame)
	row := frames[len(frames)-1].Bays[2]
	if row[slices.Index(bayColumns, "counts")] != nil || *row[slices.Index(bayColumns, "state")] != -1 {
		t.Errorf("a controller that does not tell has shown %v", row)
	}
}

// TestErrorOfItsOwnEndsOneSession: a panic in one session is said to its page, noted in the
// log, and met by nobody else.
func TestErrorOfItsOwnEndsOneSession(t *testing.T) {
	var noted safeBuffer
	r := serving(t, Config{Log: &noted}, func(s *Server) {
		table, err := (&scenarios.Loader{Shipped: scenarios.Shipped()}).LoadLogic(scenarios.BaselineLogic)
		if err != nil {
			t.Fatal(err)
		}
		s.shelf.under = &scenarios.UnderTest{Logic: bomb{table}}
	}, nil)
	v, other := r.visit(t, nil), r.visit(t, nil)
	for _, x := range []*visitor{v, other} {
		x.say(`{"do":"open"}`)
		x.until("frame", is(IsFrame))
	}
	v.say(`{"do":"press","bay":"C1"}`)
	v.bye(byeReasonTrouble, websocket.StatusInternalError)
	other.say(`{"do":"pause","id":5}`)
	other.until("done", func(m *message) bool { return m.Is == IsDone && m.ID == 5 })
	if text := noted.String(); !strings.Contains(text, "burnt through") || !strings.Contains(text, "failure_test.go") {
		t.Errorf("the log says %q", text)
	}
}

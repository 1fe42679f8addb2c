package live

import (
	"testing"

	"slatbench/sim"
)

// TestTeaching: a whole teaching runs on the truck's clock, also at ten times the speed,
// and is kept as what a person did.
func TestTeaching(t *testing.T) {
	length := 2.0
	s := newWireless(t, Wanted{})
	s.ask(t, Request{Do: DoOpen})
	s.ask(t, Request{Do: DoSpeed, Factor: 10})
	s.playFor(0.1)
	s.ask(t, Request{Do: DoTeach, Bay: "C1", On: true, Length: &length})
	s.playFor(4)
	b := s.rig.bench
	if got := b.Truck.Bays[0].Height; got < 1.7 {
		t.Errorf("after a teaching the edge is at %.3f m", got)
	}
	deeds := s.rig.deeds
	if len(deeds) != 2 || deeds[0].Kind != sim.TeachHold || deeds[1].Kind != sim.Press {
		t.Fatalf("kept are %+v", deeds)
	}
	if after, held := b.Seconds(deeds[1].At-deeds[0].At), b.Seconds(deeds[0].Span); after != 0.5 || held != 2 {
		t.Errorf("the button was held for %g s, and the remote pressed after %g s", held, after)
	}
}

package campaign_test

import (
	"fmt"
	"reflect"
	"testing"

	"slatbench/sim"
	"slatbench/sim/campaign"
	"slatbench/sim/logic"
)

// Passing over ticks at which nothing is new changes nothing: not a margin, not the
// instant of one, not a bit of the final state.
func TestDozingIsExact(t *testing.T) {
	for most := range 3 {
		dozesExactly(t, defaultPlan(most), shipped(t), 60)
	}
}

// dozesExactly plays so many cases of a plan with and without.
func dozesExactly(t *testing.T, p *campaign.Plan, table *logic.Table, cases uint64) {
	t.Helper()
	make := running(p, table)
	dozing := campaign.NewPlayer(p, make)
	awake := campaign.NewPlayer(p, func() (doors []sim.Controller, locks sim.Controller) {
		doors, locks = make()
		for _, d := range doors {
			d.(*logic.Door).KeepAwake()
		}
		locks.(*logic.Locks).KeepAwake()
		return doors, locks
	})
	awake.EveryTick()
	for i := range cases {
		c := p.Draw(i)
		got, want := dozing.Play(c), awake.Play(c)
		if got.Hash != want.Hash || !reflect.DeepEqual(got.Transitions, want.Transitions) || fmt.Sprint(got.Results) != fmt.Sprint(want.Results) {
			t.Fatalf("of %d faults at most, case %d comes out otherwise where ticks are passed over:\n%+v\n%+v", p.Faults, i, got, want)
		}
		if a, b := dozing.Played().End, awake.Played().End; a != b {
			t.Fatalf("of %d faults at most, case %d ends at step %d where ticks are passed over, and at %d", p.Faults, i, a, b)
		}
	}
}

// So it is with waits that outlast everything else that keeps a controller awake: its alarm, and its
// curtain's running out.
func TestDozingIsExactAfterLongWaits(t *testing.T) {
	for name, change := range map[string]func(*logic.Tuning){
		"pause":       func(k *logic.Tuning) { k.Pause = 1.74 },
		"waking":      func(k *logic.Tuning) { k.Waking = 1.5 },
		"lock settle": func(k *logic.Tuning) { k.LockSettle = 3.2 },
	} {
		t.Run(name, func(t *testing.T) {
			table := *shipped(t)
			change(&table.Tuning)
			dozesExactly(t, defaultPlan(1), &table, 40)
		})
	}
}

// A controller that wraps another one, and looks at every tick, gets every tick.
func TestWrappedGetsEveryTick(t *testing.T) {
	p := defaultPlan(1)
	make := running(p, shipped(t))
	var list []*wrapped
	pl := campaign.NewPlayer(p, func() (doors []sim.Controller, locks sim.Controller) {
		doors, locks = make()
		for i, d := range doors {
			w := &wrapped{Door: d.(*logic.Door)}
			doors[i], list = w, append(list, w)
		}
		return doors, locks
	})
	for i := range uint64(5) {
		pl.Play(p.Draw(i))
	}
	for i, w := range list {
		if w.missed > 0 || w.ticks == 0 {
			t.Errorf("door %d: of %d ticks %d were passed over", i, w.ticks, w.missed)
		}
	}
}

// wrapped counts the ticks of a door, and those that it has not been given.
type wrapped struct {
	*logic.Door
	next          uint32
	ticks, missed int
}

func (w *wrapped) Tick(in *sim.Inputs, out *sim.Outputs) {
	if in.Tick != 0 && in.Tick != w.next {
		w.missed++
	}
	w.next = in.Tick + 1
	w.ticks++
	w.Door.Tick(in, out)
}

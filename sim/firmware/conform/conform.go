// Package conform tries whether a controller from outside is fit for the bench: a
// short script of known inputs on the default truck, warm and dry, and plain words
// for what is wrong. Every output of the interface is brought to act where a
// controller would use it: drive, lines, lamps, permits, bars both ways, records, and
// by a crate and a blocked bar the sounders. It is no judgement of the logic: that is
// what the requirements are for. It finds what a first build gets wrong.
package conform

import (
	"fmt"
	"slices"

	"slatbench/model"
	"slatbench/sim"
)

// Tick of the controllers in the script, in s.
const Tick = sim.DefaultTickSteps * model.DefaultStep

// Item is one thing that was tried.
type Item struct {
	Tried string
	Wrong string // what is wrong, in plain words; "" where nothing is
	Note  string // what is worth knowing though it is not wrong
}

// Report is what came of the script.
type Report struct{ Items []Item }

// Wrong tells how many things are.
func (r *Report) Wrong() (n int) {
	for i := range r.Items {
		if r.Items[i].Wrong != "" {
			n++
		}
	}
	return n
}

func (r *Report) add(tried, wrong string) {
	r.Items = append(r.Items, Item{Tried: tried, Wrong: wrong})
}

// Check plays the script to the controllers of a logic. The error says that they
// could not be started at all.
func Check(l sim.Logic) (*Report, error) {
	r := &Report{}
	first, err := play(l, r, false)
	if err != nil {
		return nil, err
	}
	again, err := play(l, &Report{}, false)
	if err != nil {
		return nil, err
	}
	same := ""
	if !slices.Equal(first, again) {
		same = "the same script a second time gave other outputs: it uses memory that it has not set, or a clock or a random number of the machine"
	}
	r.add("the same inputs give the same outputs", same)
	if same == "" {
		return r, asleep(l, r, first)
	}
	return r, nil
}

// asleep plays the script once more to a logic whose controllers pass over ticks, and lets
// them pass over none.
func asleep(l sim.Logic, r *Report, passing []uint64) error {
	awake, err := play(l, &Report{}, true)
	if err != nil {
		return err
	}
	names := controllerNames()
	wrong := ""
	for i := range min(len(passing), len(awake)) {
		if passing[i] != awake[i] {
			wrong = fmt.Sprintf("at %.2f s the controller of %s gave other outputs than it gives when it is called at every tick: "+
				"it says that it sleeps (asleep) while something is still to come, or does not make up for the ticks that it has slept through",
				float64(i/len(names))*Tick, names[i%len(names)])
			break
		}
	}
	if wrong == "" && len(passing) != len(awake) {
		wrong = "the script took another time than when every tick is called: it says that it sleeps (asleep) while something is still to come"
	}
	r.add("ticks that it sleeps through change nothing", wrong)
	return nil
}

// controllerNames are those of the script's truck, in the order of their sums.
func controllerNames() (names []string) {
	truck := model.DefaultTruck()
	for i := range truck.Bays {
		names = append(names, truck.Bays[i].Name)
	}
	return append(names, "the locks")
}

// keepAwake lets controllers pass over nothing.
func keepAwake(doors []sim.Controller, locks sim.Controller) {
	for _, c := range append(doors[:len(doors):len(doors)], locks) {
		if d, ok := c.(sim.Dozer); ok {
			d.KeepAwake()
		}
	}
}

// slowByte is how many steps a byte takes on its way into the store here: more than a
// tick, so that who does not wait for the last is found.
const slowByte = 25

// play plays the script once, and gives all outputs of all ticks as one list of sums.
// Awake lets the controllers pass over no tick.
func play(l sim.Logic, r *Report, awake bool) ([]uint64, error) {
	truck := model.DefaultTruck()
	doors, locks := l.Controllers(len(truck.Bays), Tick)
	defer sim.Return(l, doors, locks)
	if awake {
		keepAwake(doors, locks)
	}
	watch, heard := newWatch(len(doors)), &sim.Listener{}
	ratings := sim.DefaultRatings()
	ratings.ByteWrite = slowByte
	b, err := sim.New(sim.Setup{
		Truck: truck, Duration: 1 << 40, Doors: doors, Locks: locks, Charge: 0.9, Ratings: ratings, Watch: []sim.Observer{watch, heard},
	})
	if err != nil {
		return nil, err
	}
	s := &script{b: b, watch: watch, heard: heard, report: r}
	s.play()
	return watch.sums, nil
}

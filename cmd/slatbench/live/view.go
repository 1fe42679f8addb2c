package live

import (
	"math"

	"slatbench/model"
	"slatbench/sim"
)

// look writes the truck as it stands as the numbers of a frame: each bay's, each
// side's, the truck's. It takes the room of row where that is enough.
func (w *watcher) look(b *sim.Bench, row []float64) []float64 {
	row = row[:0]
	for i := range b.Truck.Bays {
		row = w.lookAtBay(b, i, row)
	}
	for i := range b.Truck.Locks {
		row = w.lookAtSide(b, i, row)
	}
	t := b.Truck
	return append(row,
		t.NodeVolts, t.TotalCurrent, t.Battery.Charge, bit(t.Supply().VoltageFactor > 0),
		bit(b.LockOutputs().Tone), bit(b.LocksAwake()), float64(w.ears.Counting(sim.LockPost)),
	)
}

// lookAtBay appends bayColumns.
func (w *watcher) lookAtBay(b *sim.Bench, i int, row []float64) []float64 {
	y, out := &b.Truck.Bays[i], b.Outputs(i)
	c, _ := b.Door(i)
	counts := math.NaN()
	if t, ok := c.(sim.Teller); ok && b.Awake(i) {
		counts = float64(t.Counts())
	}
	drive := 0.0
	if out.Enable && out.Up != out.Down {
		drive = sign(out.Up)
	}
	edge := -1.0
	if y.Params.Seal.EdgeFitted {
		edge = bit(y.EdgePressed())
	}
	return append(row,
		y.Height, counted(b, i), counts, y.Speed, y.Slack(), y.CableForce, y.ShaftAngle,
		y.Params.Counterbalance.InitialTurns-y.ShaftAngle/(2*math.Pi),
		y.Supply, y.MotorCurrent, y.ContactForce, y.FloorForce, y.WindingTemp, y.Reel.Out(),
		w.states.number(stateOf(b, i)), drive, float64(out.Duty), float64(y.Energised),
		bit(out.Lamp), bit(out.Tone), bit(b.PressLine[i]), bit(b.TeachHeld(i)), bit(y.SillMade()), edge, bit(b.Awake(i)),
		bit(y.Condition.ReleaseOpen), b.UnderEdge(i), float64(w.ears.Counting(i)),
	)
}

// lookAtSide appends sideColumns.
func (w *watcher) lookAtSide(b *sim.Bench, i int, row []float64) []float64 {
	l, out, in := &b.Truck.Locks[i], &b.LockOutputs().Sides[i], &b.LockInputs().Sides[i]
	lock, unlock := b.Asked(model.Side(i))
	return append(row,
		l.Position, float64(out.Drive), w.states.number(sideState(b, i)), bit(out.Lamp), bit(out.Permit),
		endSwitch(in.Locked), endSwitch(in.Unlocked), bit(lock), bit(unlock),
	)
}

func endSwitch(s sim.EndSwitch) float64 {
	if !s.Sound() {
		return -1
	}
	return bit(s.Made)
}

func bit(on bool) float64 {
	if on {
		return 1
	}
	return 0
}

func sign(up bool) float64 {
	if up {
		return 1
	}
	return -1
}

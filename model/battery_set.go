package model

// Become makes the battery one with other parameters, as when it has aged, at the
// charge and temperature that it has. It panics on parameters that
// [BatteryParams.Validate] refuses. Call [Truck.SetCharge] after it, so that the
// truck takes up the new resistance.
func (b *Battery) Become(p BatteryParams) {
	charge := b.Charge
	*b = NewBattery(p, b.Temperature)
	b.SetCharge(charge)
}

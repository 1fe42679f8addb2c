// Package model is the physics of a delivery truck with powered roll-up doors
// and electric side locks: one file a part, SI units inside, a fixed time step.
//
// It knows no controller, no fault and no file. Whoever drives it sets
// contacts ([PowerStage.Command], [Lock.Command]), changes the state of wear of a part
// ([Condition]) and calls [Truck.Step]; everything true about the truck can then
// be read from the [Bay] and [Lock] fields.
//
// docs/theory.md derives every equation and names its source.
//
// The same inputs give the same bytes on every machine: products are rounded
// before they are added (float64(a*b) + c), so that no compiler may fuse them,
// and nothing that is stepped calls a function of package math whose last bit
// differs between processors.
package model

// Package logic is the controller that ships with the bench, and the one that a
// controls engineer edits: a table of states, events, guards and outputs, with
// its tuning.
//
// A [Table] is checked ([Table.Check]), then compiled into state machines
// (looplab/fsm). That machine has no guards and wants unique event names, so the
// table's guards and the order of events that come together are worked out here;
// the machine is fired on transitions only. Detectors in Go ([Door], [Locks]) turn
// converter readings, pulses and switches into the table's events.
package logic

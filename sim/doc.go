// Package sim is the bench: it steps a [model.Truck], carries signals over wires
// to controllers and back, plays a script of presses and requests, brings faults
// on and takes them off, and shows every instant to observers.
//
// A [Controller] sees [Inputs] and answers [Outputs], nothing else; so anything
// that can do that can be judged.
package sim

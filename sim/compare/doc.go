// Package compare plays the same randomized runs to two controllers and tells every
// difference in what they do.
//
// A run is a case of a campaign ([campaign.Plan.Draw]). The old controllers play it
// first, recovery included: there the mechanic answers to where the truck of the old
// controllers stands. What he did is written down, and the new controllers are given
// it at the same times: both see the same presses, requests, faults and chances, and
// nothing that happens to one answers to the other.
//
// The wires decide: the runs differ if at any tick any output differs. States are
// compared up to a renaming, since no wire carries their names. Differing runs are
// grouped by their cause, which is the first differing tick: which machine, in which
// state, at which event, and what it drove otherwise. Where an output tells only some
// ticks later what a machine has decided, its state and event are those of the decision.
//
// [Run] is the whole comparison, [Tally] groups it, [Player.Shrink] makes an example
// small, and [Agree] is what a test of two implementations of one logic wants.
package compare

// Package campaign plays many randomized runs against a controller, and says what
// they are worth: which requirement was put to the test how often, how near it
// came to violation, and with what bound on its probability.
//
// A run is a [Case]: plain data, drawn from a seed and an index alone
// ([Plan.Draw]), so that any run of a campaign can be made again by itself, on any
// machine, in any order. A [Player] plays cases one after the other. Everything
// else (parallel campaigns, statistics, shrinking, search, seeded logic faults)
// is built of these two.
//
// docs/campaigns.md has the fault model and the distributions.
package campaign

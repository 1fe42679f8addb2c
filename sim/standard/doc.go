// Package standard runs the trials of two standards on the bench: an obstruction
// under a closing door, after 16 CFR 1211.7, and the force on an instrument,
// after EN 12453. It measures; what is good enough is for the caller to say.
//
// Both were written for other kinds of door: the first for residential garage
// doors, the second for industrial, commercial and garage doors. Here they are
// a yardstick, and say nothing about conformity.
package standard

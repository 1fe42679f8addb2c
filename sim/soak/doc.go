// Package soak works one door of a truck over many cycles while its parts wear,
// and tells when what was taught, the travel time or the supply no longer do.
//
// It is the bench of package sim with the same controllers, played on without a
// reset: a press, the door opens, it stands open, a press, it closes, the truck
// drives on. Between cycles the wear laws (wear.go) change the truck by
// Bench.Alter and the route (route.go) decides how long it rests and how it is
// charged. Nothing that moves is shortened; a rest in which no controller and no
// part does anything is skipped by the closed form of the model's own slow step
// (rest.go).
//
// The wear laws are common shapes with invented figures. What comes out shows
// what would be felt first and by which margin, not how long a real door lasts.
package soak

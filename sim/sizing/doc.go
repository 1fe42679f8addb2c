// Package sizing answers an upfitter's question: will this door work with this
// spring, this wiring and this battery, where the truck stands?
//
// A [Question] is one door with all that feeds it. [Ask] gives a [Result]: how it
// is balanced, whether it stays where it is left, with how many initial turns it
// works, how long it takes, what it draws, what is left of the supply, and how hard
// the spring works. Each [Answer] passes, is marginal or fails, with a reason and
// the nearest change that would mend it.
//
// Two ways lead to the figures. What stands or moves steadily comes from the
// balance of forces alone, by quadrature over the travel (travel.go); times, sag
// and cable forces also from the whole model, stepped (simulate.go). A test holds
// the two together. Both take every equation from package model.
//
// On top of that, [Study] asks over two inputs at once, [Tolerances] asks of
// trucks that differ a little, and [Pick] asks of every spring of a list.
//
// Nothing here is stepped by a controller, and no answer is a certificate.
package sizing

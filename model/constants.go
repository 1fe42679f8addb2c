package model

// Units in use in the trade, in SI. Multiply to come in, divide to go out:
// 70*Pound is 70 lb in kg.
const (
	// Gravity is the standard one, m/s²: exact by definition, 3rd CGPM, 1901.
	Gravity = 9.80665

	Inch  = 0.0254     // m, exact
	Foot  = 12 * Inch  // m, exact
	Pound = 0.45359237 // kg, exact: a mass. The force is PoundForce

	PoundForce     = Pound * Gravity                                // N
	PoundForceInch = PoundForce * Inch                              // N·m
	PoundForceFoot = PoundForce * Foot                              // N·m
	Psi            = PoundForce / (Inch * Inch)                     // Pa, pound-force a square inch
	RevPerMinute   = 2 * 3.14159265358979323846264338327950288 / 60 // rad/s
)

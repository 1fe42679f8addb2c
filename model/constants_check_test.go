package model

func constantChecks() []check {
	const def = "definition"
	return []check{
		{"N1", "standard gravity, m/s²", "", "3rd CGPM, 1901", confirmed, 9.80665, Gravity, 0},
		{"N2", "pound-force, N", "", def, computed, 4.4482216152605, PoundForce, 1e-14},
		{"N3a", "lbf·in, N·m", "", def, computed, 0.1129848290276167, PoundForceInch, 1e-14},
		{"N3b", "lbf·ft, N·m", "", def, computed, 1.3558179483314006, PoundForceFoot, 1e-14},
		{"S11u", "kpsi, MPa", "", "Shigley solution 10-2", confirmed, 6.894757, Psi / 1e3, 1e-6},
	}
}

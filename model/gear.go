package model

// BackDriveEfficiency returns the share of the power that a gear of forward
// efficiency 0 < η <= 1 passes on when it is driven from its output:
//
//	2 − 1/η, and 0 where that is negative: the gear then holds (self-locking)
//
// It assumes equal loss both ways and is an approximation (Niemann;
// linear-motion handbooks, from memory): the exact formula of a screw thread is
// up to 0.012 above it. Real worm gears are uncertain between 0.45 and 0.55:
// lubrication and vibration decide (secondary).
//
// An η at or below 0 gives 0, one above 1 counts as 1.
func BackDriveEfficiency(efficiency float64) float64 {
	switch {
	case !(efficiency > 0.5):
		return 0
	case efficiency >= 1:
		return 1
	}
	return 2 - 1/efficiency
}

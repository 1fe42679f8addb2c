package sizing

import (
	"math"

	"slatbench/model"
)

// How long a spring lasts under bending that swings between two stresses.
const (
	// repeatedMillion is the stress, as a share of the tensile strength, that may be
	// repeated from nothing a million times: torsion springs of A228 and A302 wire,
	// not peened (Shigley, table 10-10, from memory). It is taken for all three
	// steels here, since the table has no row for A229 and A227.
	repeatedMillion = 0.50
	// reversedThousand is the fully reversed stress, as a share of the tensile
	// strength, that is borne a thousand times: the fatigue strength fraction of
	// strong steel (Shigley, figure 6-18 at 200 kpsi, from memory).
	reversedThousand = 0.77
	// LifeScatter is how far lives of like springs spread, either way, from what a
	// line through two points says. Common practice, no source: wire flaws, rust and
	// nicks decide, and factors of three to ten are usual.
	LifeScatter = 5.0
)

// Life returns the cycles to failure by the finite-life method of Shigley: the
// swing is brought to a fully reversed stress by the Gerber parabola, and that is
// looked up on the line, straight between logarithms, from a thousand cycles at
// 0.77 of the tensile strength to a million at the endurance strength that belongs
// to a stress repeated at half the tensile strength.
//
// most and least are the stresses, Pa, closed and open, sut the tensile strength,
// Pa. At or above the tensile strength it is 0, without a swing +Inf. Beyond a
// million cycles the line goes on, since small springs show no limit of endurance.
//
// It is an estimate of the middle: see LifeScatter. The line is not fitted to door
// springs; that it gives the textbook's door spring (check S3, 0.85 of its
// strength, sold for 10 000 cycles) 13 000 cycles is a comparison, not a proof.
func Life(most, least, sut float64) float64 {
	amplitude, mean := (most-least)/2, (most+least)/2
	switch {
	case !(most < sut):
		return 0
	case amplitude <= 0:
		return math.Inf(1)
	}
	share := mean / sut
	reversed := amplitude / sut / (1 - float64(share*share))
	endurance := model.GerberEndurance(repeatedMillion, 1)
	slope := 3 / (model.Log10(reversedThousand) - model.Log10(endurance)) // decades of cycles a decade of stress
	return model.Pow(10, 3+float64(slope*(model.Log10(reversedThousand)-model.Log10(reversed))))
}

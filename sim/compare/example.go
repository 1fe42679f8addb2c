package compare

import (
	"slatbench/sim/campaign"
)

// ShrinkPlays is the most cases, each played twice, that shrinking an example takes.
const ShrinkPlays = 120

// Shrink looks for the simplest case whose first difference is of the same class as
// that of a given one, which must differ. It plays at most ShrinkPlays cases, and
// always the same ones.
func (pl *Player) Shrink(c *campaign.Case, id string) (small *campaign.Case, plays int) {
	return campaign.ShrinkTo(pl.old, c, ShrinkPlays, func(c *campaign.Case) (at float64, bay int, ok bool) {
		d := pl.Play(c).Difference
		if d == nil || d.ID() != id {
			return 0, -1, false
		}
		return d.At, d.Bay, true
	})
}

package campaign

// EveryTick lets a player's monitors pass over nothing.
func (pl *Player) EveryTick() { pl.everyTick = true }

package campaign

// EveryTick lets a player's monitors pass over nothing.
func (pl *Player) EveryTick() { pl.everyTick = true }

// ParseRare and RareReasons are for tests of rare.txt.
var ParseRare = parseRare

func RareReasons() map[string]string { return rareReasons }

package campaign

// Shows plays a case and tells whether it shows what is looked for, at which time in
// s, and at which bay (-1 where it is at none). It must play the case with the player
// that is being shrunk for, so that [Player.Played] is of it.
type Shows func(c *Case) (at float64, bay int, ok bool)

// ShrinkTo looks for the simplest case that shows something, as [Shrink] does for a
// violation. It plays at most so many cases. Where the case that it was given does not
// show it, that is a copy of it.
func ShrinkTo(pl *Player, c *Case, most int, show Shows) (small *Case, plays int) {
	s := &shrinker{pl: pl, most: most, show: show, best: c.Clone(), seen: map[uint64]bool{}}
	return s.shrink()
}

// shows asks what is asked instead of a requirement.
func (s *shrinker) shows(c *Case) bool {
	at, bay, ok := s.show(c)
	if ok {
		s.at, s.bay = at, bay
	}
	return ok
}

package sim

import "slices"

// Laid are the changes that lie over the parts now, in the order of laying: the
// faults that are on. The list is the caller's own.
func (b *Bench) Laid() []Overlay { return slices.Clone(b.over.laid) }

// HasLaid tells whether any change that lies over the parts satisfies a test.
// It allocates nothing.
func (b *Bench) HasLaid(is func(o Overlay) bool) bool {
	return slices.ContainsFunc(b.over.laid, is)
}

// Sending tells whether a remote is being pressed in front of bay i, heard or not.
func (b *Bench) Sending(i int) bool {
	for j := range b.presses {
		if p := &b.presses[j]; p.Bay == i && b.Now < p.At+p.Span {
			return true
		}
	}
	return false
}

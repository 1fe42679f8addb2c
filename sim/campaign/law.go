package campaign

import (
	"fmt"
	"strings"
)

// law is the distribution of one number. Its String is what docs and reports say of it.
type law interface {
	draw(s *source) float64
	span() (low, high float64)
	String() string
}

// uniform between two ends, rounded to so many steps a unit.
type uniform struct{ low, high, per float64 }

func (u uniform) draw(s *source) float64    { return roundTo(s.between(u.low, u.high), u.per) }
func (u uniform) span() (low, high float64) { return u.low, u.high }
func (u uniform) String() string            { return fmt.Sprintf("uniform, %g to %g", u.low, u.high) }

// logUniform is uniform in the logarithm, rounded likewise.
type logUniform struct{ low, high, per float64 }

func (l logUniform) draw(s *source) float64 {
	return max(roundTo(s.logBetween(l.low, l.high), l.per), l.low)
}
func (l logUniform) span() (low, high float64) { return l.low, l.high }
func (l logUniform) String() string            { return fmt.Sprintf("log-uniform, %g to %g", l.low, l.high) }

// fixed is always the same.
type fixed float64

func (f fixed) draw(*source) float64      { return float64(f) }
func (f fixed) span() (low, high float64) { return float64(f), float64(f) }
func (f fixed) String() string            { return fmt.Sprintf("%g", float64(f)) }

// mixture draws by one of several laws.
type mixture []share

// share is one law of a mixture, with its part in a hundred.
type share struct {
	percent float64
	law     law
}

func (m mixture) draw(s *source) float64 {
	x := float64(s.unit() * 100)
	for _, p := range m {
		if x < p.percent {
			return p.law.draw(s)
		}
		x -= p.percent
	}
	return m[len(m)-1].law.draw(s)
}

func (m mixture) span() (low, high float64) {
	low, high = m[0].law.span()
	for _, p := range m[1:] {
		a, b := p.law.span()
		low, high = min(low, a), max(high, b)
	}
	return low, high
}

func (m mixture) String() string {
	var parts []string
	for _, p := range m {
		parts = append(parts, fmt.Sprintf("%g %%: %v", p.percent, p.law))
	}
	return strings.Join(parts, "; ")
}

// number is a whole number from 0 on, with weights in a hundred.
type number []float64

func (n number) draw(s *source) float64    { return float64(n.count(s)) }
func (n number) count(s *source) int       { return s.pick(n) }
func (n number) span() (low, high float64) { return 0, float64(len(n) - 1) }

func (n number) String() string {
	var parts []string
	for i, w := range n {
		if w > 0 {
			parts = append(parts, fmt.Sprintf("%d: %g %%", i, w))
		}
	}
	return strings.Join(parts, ", ")
}

// chance is the probability of something, in a hundred.
type chance float64

func (p chance) draw(s *source) float64 {
	if p.happens(s) {
		return 1
	}
	return 0
}
func (p chance) happens(s *source) bool    { return s.chance(float64(p) / 100) }
func (p chance) span() (low, high float64) { return 0, 1 }
func (p chance) String() string            { return fmt.Sprintf("%g %%", float64(p)) }

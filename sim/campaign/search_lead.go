package campaign

import (
	"slices"

	"slatbench/sim/require"
)

// pool is the near misses of one clause.
type pool struct {
	id, clause string
	shares     []float64 // of the draws, in rising order
	waiting    []*lead
	turns      int // generations that the clause has had
}

// lead is one near miss that is pushed on.
type lead struct {
	pool  *pool
	best  *Case
	share float64 // of best
	bay   int     // where it is near, or -1
	side  int
	cloud cloud
	tired int // generations without progress
}

const (
	// leadsMost is how many near misses of a clause wait. More would go unpushed.
	leadsMost = 8
	// leadRank is the part of the draws, the nearest, that are taken for near misses
	// once there are enough to choose from.
	leadRank = 0.1
	// leadPatience is after how many generations without progress a lead is given up.
	leadPatience = 6
	// leadProgress is the part of its share by which a generation must have got nearer.
	leadProgress = 0.01
	// flatBelow: a clause whose draws show fewer different shares says nothing about
	// which way to go.
	flatBelow = 4
)

// pool finds or makes the pool of the clause that a result speaks of.
func (s *seeker) pool(r *require.Result) *pool {
	for _, p := range s.pools {
		if p.id == r.ID && p.clause == r.Clause {
			return p
		}
	}
	p := &pool{id: r.ID, clause: r.Clause}
	s.pools = append(s.pools, p)
	return p
}

// offer takes up a draw, as a lead where it is nearer than most.
func (p *pool) offer(c *Case, r *require.Result) {
	share := r.Share
	at, _ := slices.BinarySearch(p.shares, share)
	p.shares = slices.Insert(p.shares, at, share)
	if len(p.shares) > leadsMost && float64(at) > leadRank*float64(len(p.shares)) {
		return
	}
	l := &lead{pool: p}
	l.begin(c, r)
	p.waiting = append(p.waiting, l)
	slices.SortStableFunc(p.waiting, func(a, b *lead) int { return compareShares(a.share, b.share) })
	p.waiting = p.waiting[:min(len(p.waiting), leadsMost)]
}

func compareShares(a, b float64) int {
	switch {
	case a < b:
		return -1
	case a > b:
		return 1
	}
	return 0
}

// flat tells that the shares of the clause are few: words that hold or don't.
func (p *pool) flat() bool {
	n := 0
	for i, x := range p.shares {
		if i == 0 || x != p.shares[i-1] {
			n++
		}
		if n >= flatBelow {
			return false
		}
	}
	return true
}

// choose gives the nearest lead of the clause that has had the fewest turns, nil
// where there is none.
func (s *seeker) choose() *lead {
	var best *pool
	s.result.Flat = s.result.Flat[:0]
	for _, p := range s.pools {
		switch {
		case p.flat():
			s.result.Flat = append(s.result.Flat, p.id+" "+p.clause)
		case len(p.waiting) == 0:
		case best == nil || p.turns < best.turns:
			best = p
		}
	}
	if best == nil {
		return nil
	}
	best.turns++
	return best.waiting[0]
}

// begin starts over from a case.
func (l *lead) begin(c *Case, r *require.Result) {
	l.best, l.share, l.bay, l.side, l.cloud = c, r.Share, r.Bay, r.Side, newCloud(c)
}

// learn takes up a generation: the nearest of it, and the cloud that the best span.
func (l *lead) learn() {
	if c, share := l.cloud.nearest(); c != nil && share < l.share {
		l.best, l.share = c, share
	}
	l.cloud.learn()
}

// rest puts a lead back among those that wait, or gives it up.
func (l *lead) rest(before float64) {
	if l.share < before-leadProgress*before {
		l.tired = 0
	} else if l.tired++; l.tired >= leadPatience {
		l.pool.waiting = slices.DeleteFunc(l.pool.waiting, func(o *lead) bool { return o == l })
		return
	}
	slices.SortStableFunc(l.pool.waiting, func(a, b *lead) int { return compareShares(a.share, b.share) })
}

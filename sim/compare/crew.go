package compare

import (
	"context"
	"fmt"
	"sync"
	"sync/atomic"
)

// windowPerWorker is how far, in runs a worker, the fastest may be ahead of the slowest.
const windowPerWorker = 16

// Play plays the cases from index from up to, but not including, to, shared out among
// workers, and hands each to the caller in the order of its index, in the goroutine
// that called. What is handed over does not depend on the number of workers.
//
// It ends early with the context's error, or with the error of each; what was handed
// over until then is a whole piece from the beginning.
func Play(ctx context.Context, p *Pair, from, to uint64, workers int, each func(*Run) error) error {
	if err := p.Plan.Check(); err != nil {
		return err
	}
	if workers < 1 {
		return fmt.Errorf("%d workers, expected 1 or more", workers)
	}
	ctx, cancel := context.WithCancel(ctx)
	var wait sync.WaitGroup
	defer wait.Wait()
	defer cancel()
	ring := make([]chan Run, workers*windowPerWorker)
	room := make(chan struct{}, len(ring))
	for i := range ring {
		ring[i] = make(chan Run, 1)
		room <- struct{}{}
	}
	var next atomic.Uint64
	next.Store(from)
	for range workers {
		player := NewPlayer(p) // here, so that the caller's functions need not be safe
		wait.Go(func() { work(ctx, p, player, ring, room, &next, from, to) })
	}
	for i := from; i < to; i++ {
		var r Run
		if err := ctx.Err(); err != nil {
			return err
		}
		select {
		case r = <-ring[(i-from)%uint64(len(ring))]:
		case <-ctx.Done():
			return ctx.Err()
		}
		room <- struct{}{} // never waits: this place was taken
		if err := each(&r); err != nil {
			return err
		}
	}
	return nil
}

// work plays one case after the other until there are no more.
func work(ctx context.Context, p *Pair, player *Player, ring []chan Run, room chan struct{}, next *atomic.Uint64, from, to uint64) {
	for {
		select {
		case <-room:
		case <-ctx.Done():
			return
		}
		i := next.Add(1) - 1
		if i >= to {
			return
		}
		ring[(i-from)%uint64(len(ring))] <- player.Play(p.Plan.Draw(i))
	}
}

// Agree plays so many runs to both controllers of a pair and returns nil if not one
// output of any differs at any tick. Else the error is a *Disagreement, of the run with
// the lowest index that differs, or says which run could not be played.
func Agree(ctx context.Context, p *Pair, runs uint64, workers int) error {
	return Play(ctx, p, 0, runs, workers, func(r *Run) error {
		switch {
		case r.Err != nil:
			return fmt.Errorf("run %d of seed %d cannot be played: %w", r.Case.Index, r.Case.Seed, r.Err)
		case r.Difference != nil:
			return &Disagreement{Run: *r}
		}
		return nil
	})
}

// Disagreement is a run that differs, as an error.
type Disagreement struct{ Run Run }

func (d *Disagreement) Error() string {
	f := d.Run.Difference
	where := fmt.Sprintf("bay %d", f.Bay)
	side := -1
	if f.Lock {
		where, side = fmt.Sprintf("the lock of side %d", f.Side), f.Side
	}
	kind := Kinds(differing(&f.Was, &f.Is)).first()
	return fmt.Sprintf("run %d of seed %d differs at %.2f s, at %s (%s): old %s, new %s",
		d.Run.Case.Index, d.Run.Case.Seed, f.At, where, f.Text(), word(kind, &f.Was, side), word(kind, &f.Is, side))
}

package campaign

import (
	"context"
	"fmt"
	"sync"
	"sync/atomic"
)

// windowPerWorker is how far, in cases a worker, the fastest may be ahead of the
// slowest. Less and workers wait for each other; more costs memory and nothing else.
const windowPerWorker = 32

// ticket is a case on its way through the crew.
type ticket struct {
	c *Case
	o Outcome
}

// Run plays the cases from index from up to, but not including, to, shared out
// among workers, and hands each to the caller in the order of its index, in the
// goroutine that called. What is handed over, and in which order, does not depend
// on the number of workers.
//
// It ends early with the context's error, or with the error of each; everything
// handed over until then is a whole piece from the beginning.
func Run(ctx context.Context, p *Plan, c Controllers, from, to uint64, workers int, each func(*Case, Outcome) error) error {
	if err := p.Check(); err != nil {
		return err
	}
	if workers < 1 {
		return fmt.Errorf("%d workers, expected 1 or more", workers)
	}
	ctx, cancel := context.WithCancel(ctx)
	defer cancel()
	crew := newCrew(p, from, to, workers)
	var wait sync.WaitGroup
	defer wait.Wait()
	defer cancel()
	for range workers {
		player := NewPlayer(p, c) // here, so that the caller's function need not be safe
		wait.Go(func() { crew.work(ctx, player) })
	}
	return crew.deliver(ctx, each)
}

// crew hands out indices, and takes results back into a ring in which each has the
// place of its index.
type crew struct {
	plan     *Plan
	from, to uint64
	next     atomic.Uint64
	room     chan struct{} // a token for every place of the ring that may be filled
	ring     []chan ticket
}

func newCrew(p *Plan, from, to uint64, workers int) *crew {
	n := workers * windowPerWorker
	k := &crew{plan: p, from: from, to: to, room: make(chan struct{}, n), ring: make([]chan ticket, n)}
	k.next.Store(from)
	for i := range k.ring {
		k.ring[i] = make(chan ticket, 1)
		k.room <- struct{}{}
	}
	return k
}

// work plays one case after the other until there are no more.
func (k *crew) work(ctx context.Context, pl *Player) {
	for {
		select {
		case <-k.room:
		case <-ctx.Done():
			return
		}
		i := k.next.Add(1) - 1
		if i >= k.to {
			return
		}
		c := k.plan.Draw(i)
		k.place(i) <- ticket{c, pl.Play(c)}
	}
}

func (k *crew) place(i uint64) chan ticket { return k.ring[(i-k.from)%uint64(len(k.ring))] }

// deliver hands the results over in order.
func (k *crew) deliver(ctx context.Context, each func(*Case, Outcome) error) error {
	for i := k.from; i < k.to; i++ {
		if err := ctx.Err(); err != nil {
			return err
		}
		var t ticket
		select {
		case t = <-k.place(i):
		case <-ctx.Done():
			return ctx.Err()
		}
		k.room <- struct{}{} // never waits: this place was taken
		if err := each(t.c, t.o); err != nil {
			return err
		}
	}
	return nil
}

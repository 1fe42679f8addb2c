package sizing

import (
	"context"
	"sync"
	"sync/atomic"
)

// each does work for the numbers 0 to n−1, shared out among workers, and calls done
// after each, from any of them, if it is not nil. What work writes to the place of
// its own number does not depend on the number of workers.
func each(ctx context.Context, n, workers int, done func(), work func(i int)) error {
	var next atomic.Int64
	var wait sync.WaitGroup
	for range max(1, min(workers, n)) {
		wait.Go(func() {
			for ctx.Err() == nil {
				i := int(next.Add(1)) - 1
				if i >= n {
					return
				}
				work(i)
				if done != nil {
					done()
				}
			}
		})
	}
	wait.Wait()
	return ctx.Err()
}

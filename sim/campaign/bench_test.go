package campaign_test

import (
	"context"
	"fmt"
	"testing"

	"slatbench/sim/campaign"
)

// BenchmarkRun is whole campaign runs, one after the other on one core: drawn, with
// up to one fault and two events, mended, recovered and judged.
func BenchmarkRun(b *testing.B) {
	p := defaultPlan(1)
	pl := campaign.NewPlayer(p, running(p, shipped(b)))
	b.ReportAllocs()
	seconds, i := 0.0, uint64(0)
	for b.Loop() {
		if o := pl.Play(p.Draw(i)); o.Err != nil {
			b.Fatal(o.Err)
		}
		seconds += float64(pl.Played().End) * 1e-3
		i++
	}
	b.ReportMetric(float64(i)/b.Elapsed().Seconds(), "runs/s")
	b.ReportMetric(seconds/float64(i), "truck-s/run")
}

// BenchmarkCrew is the same by one worker and by two: the ratio of their runs a
// second, by two, is the parallel efficiency.
func BenchmarkCrew(b *testing.B) {
	for _, workers := range []int{1, 2} {
		b.Run(fmt.Sprintf("workers=%d", workers), func(b *testing.B) {
			p := defaultPlan(1)
			err := campaign.Run(context.Background(), p, running(p, shipped(b)), 0, uint64(b.N), workers,
				func(_ *campaign.Case, o campaign.Outcome) error { return o.Err })
			if err != nil {
				b.Fatal(err)
			}
			b.ReportMetric(float64(b.N)/b.Elapsed().Seconds(), "runs/s")
		})
	}
}

// BenchmarkDraw is drawing alone.
func BenchmarkDraw(b *testing.B) {
	p := defaultPlan(2)
	b.ReportAllocs()
	for i := range uint64(b.N) {
		p.Draw(i)
	}
}

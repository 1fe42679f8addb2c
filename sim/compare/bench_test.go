package compare_test

import (
	"testing"

	"slatbench/sim/compare"
)

// BenchmarkPair is whole runs, each played to two controllers and compared.
func BenchmarkPair(b *testing.B) {
	p := pair(b, 1, same)
	pl := compare.NewPlayer(p)
	b.ReportAllocs()
	i := uint64(0)
	for b.Loop() {
		if r := pl.Play(p.Plan.Draw(i)); r.Err != nil || r.Difference != nil {
			b.Fatal(r.Err, r.Difference)
		}
		i++
	}
	b.ReportMetric(float64(i)/b.Elapsed().Seconds(), "runs/s")
}

package keep_test

import (
	"math"
	"path/filepath"
	"testing"

	"slatbench/sim/campaign/keep"
)

// BenchmarkAdd keeps a run, its share of the commits included.
func BenchmarkAdd(b *testing.B) {
	f, err := keep.Open(filepath.Join(b.TempDir(), "c.db"), identity())
	if err != nil {
		b.Fatal(err)
	}
	defer f.Close()
	c, o := play(1)
	b.ResetTimer()
	for i := range b.N {
		c.Index = uint64(i)
		if err := f.Add(c, o); err != nil {
			b.Fatal(err)
		}
	}
	if err := f.Flush(); err != nil {
		b.Fatal(err)
	}
}

// BenchmarkEach reads a run back, as a campaign does that goes on.
func BenchmarkEach(b *testing.B) {
	f, err := keep.Open(filepath.Join(b.TempDir(), "c.db"), identity())
	if err != nil {
		b.Fatal(err)
	}
	defer f.Close()
	if err := fill(f, 5000); err != nil {
		b.Fatal(err)
	}
	n := 0
	b.ResetTimer()
	for n < b.N {
		if err := f.Each(math.MaxInt64, func(*keep.Run) error { n++; return nil }); err != nil {
			b.Fatal(err)
		}
	}
}

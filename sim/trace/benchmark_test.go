package trace_test

import (
	"io"
	"testing"

	"slatbench/sim"
	"slatbench/sim/trace"
)

// benchmarkRun plays ticks of 10 steps of the truck of four bays, three of them cycling.
func benchmarkRun(b *testing.B, watch ...sim.Observer) {
	s := setup(watch...)
	s.Duration = 1 << 60
	bench := newBench(b, s)
	for range 200 {
		bench.Advance()
	}
	b.ReportAllocs()
	for b.Loop() {
		bench.Advance()
	}
	b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N)/10, "ns/step")
}

func BenchmarkRunNotRecorded(b *testing.B) { benchmarkRun(b) }
func BenchmarkRunCSV(b *testing.B)         { benchmarkRun(b, trace.New(io.Discard, trace.CSV, about)) }
func BenchmarkRunVCD(b *testing.B)         { benchmarkRun(b, trace.New(io.Discard, trace.VCD, about)) }
func BenchmarkRunParquet(b *testing.B) {
	benchmarkRun(b, trace.New(io.Discard, trace.Parquet, about))
}
func BenchmarkRunCSVEveryTenth(b *testing.B) {
	tenth := about
	tenth.Every = 10
	benchmarkRun(b, trace.New(io.Discard, trace.CSV, tenth))
}

// benchmarkSample is a sample alone, of a truck on which every number changes.
func benchmarkSample(b *testing.B, f trace.Format) {
	r := trace.New(io.Discard, f, about)
	v := newInvented(b)
	b.ReportAllocs()
	for b.Loop() {
		v.tick(r)
	}
}

func BenchmarkSampleCSV(b *testing.B)     { benchmarkSample(b, trace.CSV) }
func BenchmarkSampleVCD(b *testing.B)     { benchmarkSample(b, trace.VCD) }
func BenchmarkSampleParquet(b *testing.B) { benchmarkSample(b, trace.Parquet) }

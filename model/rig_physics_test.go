package model

import (
	"encoding/binary"
	"hash/fnv"
	"maps"
	"math"
	"reflect"
	"slices"
	"testing"
)

// drive sets all coils of bay i as a controller would for a direction: +1 up,
// -1 down, 0 off with the leads shorted.
func drive(t *Truck, i, direction int, duty float64) {
	t.Command(i, direction > 0, direction < 0, direction != 0, duty)
}

// run takes the truck seconds on.
func run(t *Truck, seconds float64) {
	for range int(math.Round(seconds / t.dt)) {
		t.Step()
	}
}

// until steps the truck until done, at most limit seconds, and returns the time it
// took in s, or NaN.
func until(t *Truck, limit float64, done func() bool) float64 {
	for n := range int(math.Round(limit / t.dt)) {
		if done() {
			return float64(n) * t.dt
		}
		t.Step()
	}
	return math.NaN()
}

// near reports a value that is off by more than tolerance.
func near(t *testing.T, what string, got, want, tolerance float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tolerance) {
		t.Errorf("%s: got %.6g, want %.6g ± %.3g", what, got, want, tolerance)
	}
}

// within reports a value outside a range.
func within(t *testing.T, what string, got, low, high float64) {
	t.Helper()
	if !(got >= low && got <= high) {
		t.Errorf("%s: got %.6g, want %.6g to %.6g", what, got, low, high)
	}
}

// hashTruck is the FNV-1a hash of everything that the truck is: every number of
// its state, its parameters and what is folded from them, by their bits.
func hashTruck(t *Truck) uint64 {
	h := fnv.New64a()
	var word [8]byte
	put := func(u uint64) {
		binary.LittleEndian.PutUint64(word[:], u)
		h.Write(word[:])
	}
	var walk func(v reflect.Value)
	walk = func(v reflect.Value) {
		switch v.Kind() {
		case reflect.Float64:
			put(math.Float64bits(v.Float()))
		case reflect.Int, reflect.Int32, reflect.Int64:
			put(uint64(v.Int()))
		case reflect.Uint8:
			put(v.Uint())
		case reflect.Bool:
			if v.Bool() {
				put(1)
			} else {
				put(0)
			}
		case reflect.String:
			h.Write([]byte(v.String()))
		case reflect.Struct:
			for i := range v.NumField() {
				walk(v.Field(i))
			}
		case reflect.Slice, reflect.Array:
			for i := range v.Len() {
				walk(v.Index(i))
			}
		default:
			panic("hashTruck: no rule for " + v.Kind().String())
		}
	}
	walk(reflect.ValueOf(*t))
	return h.Sum64()
}

// sortedKeys returns the keys of m in order.
func sortedKeys(m map[string]float64) []string {
	return slices.Sorted(maps.Keys(m))
}

func nextUp(x float64) float64 { return math.Nextafter(x, math.Inf(1)) }

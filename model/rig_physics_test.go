package model

import (
	"encoding/binary"
	"hash"
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

// hasher is an FNV-1a hash of numbers by their bits.
type hasher struct{ hash.Hash64 }

func newHasher() hasher { return hasher{fnv.New64a()} }

func (h hasher) whole(values ...int64) {
	var word [8]byte
	for _, v := range values {
		binary.LittleEndian.PutUint64(word[:], uint64(v))
		h.Write(word[:])
	}
}

func (h hasher) number(values ...float64) {
	for _, v := range values {
		h.whole(int64(math.Float64bits(v)))
	}
}

func (h hasher) flag(values ...bool) {
	for _, v := range values {
		if v {
			h.whole(1)
		} else {
			h.whole(0)
		}
	}
}

// hashTruck is the hash of the state of a truck: what its parts do, not how the
// step keeps its books.
func hashTruck(t *Truck) uint64 {
	h := newHasher()
	h.whole(t.Steps)
	h.number(t.NodeVolts, t.TotalCurrent, t.Battery.OCV, t.Battery.R, t.Battery.Charge)
	for i := range t.Bays {
		b := &t.Bays[i]
		h.number(b.Height, b.Speed, b.ShaftAngle, b.ShaftSpeed, b.MotorSpeed, b.WindingTemp)
		h.number(b.CableForce, b.FloorForce, b.ContactForce, b.MotorCurrent, b.FeedCurrent, b.Supply)
		h.number(b.Reel.out, b.Reel.phase)
		h.whole(b.Reel.mark, b.Reel.Pulses, b.Reel.Net, int64(b.Energised), int64(b.circuit))
		h.flag(b.Stage.UpMade(), b.Stage.DownMade(), b.Stage.EnableMade(), b.latched)
	}
	for i := range t.Locks {
		l := &t.Locks[i]
		h.number(l.Position, l.Speed, l.Current)
		h.whole(int64(l.Drive), int64(l.Condition.ByHand))
	}
	return h.Sum64()
}

// hashEverything takes in every field of a truck, bookkeeping, parameters and
// all.
func hashEverything(t *Truck) uint64 {
	h := newHasher()
	h.walk(reflect.ValueOf(*t))
	return h.Sum64()
}

func (h hasher) walk(v reflect.Value) {
	switch v.Kind() {
	case reflect.Float64:
		h.number(v.Float())
	case reflect.Int, reflect.Int32, reflect.Int64:
		h.whole(v.Int())
	case reflect.Uint64:
		h.whole(int64(v.Uint()))
	case reflect.Pointer: // of a bay, to a field of its truck
	case reflect.Uint8:
		h.whole(int64(v.Uint()))
	case reflect.Bool:
		h.flag(v.Bool())
	case reflect.String:
		h.Write([]byte(v.String()))
	case reflect.Struct:
		for i := range v.NumField() {
			h.walk(v.Field(i))
		}
	case reflect.Slice, reflect.Array:
		for i := range v.Len() {
			h.walk(v.Index(i))
		}
	default:
		panic("hashEverything: no rule for " + v.Kind().String())
	}
}

// sortedKeys returns the keys of m in order.
func sortedKeys(m map[string]float64) []string {
	return slices.Sorted(maps.Keys(m))
}

func nextUp(x float64) float64 { return math.Nextafter(x, math.Inf(1)) }

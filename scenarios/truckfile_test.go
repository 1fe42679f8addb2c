package scenarios

import (
	"math"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"

	"slatbench/model"
)

// The shipped truck file and the model's default truck are one truck.
func TestShippedTruckIsTheDefault(t *testing.T) {
	l := Loader{Shipped: Shipped()}
	f, err := l.LoadTruck(DefaultTruck)
	if err != nil {
		t.Fatal(err)
	}
	want := model.DefaultTruck()
	want.Ambient = model.Ambient{}
	near := cmp.Comparer(func(a, b float64) bool { return math.Abs(a-b) <= 5e-3*math.Abs(b) })
	if diff := cmp.Diff(want, f.Params(), near, cmpopts.EquateEmpty()); diff != "" {
		t.Error(diff)
	}
}

func TestTruckWithoutEdges(t *testing.T) {
	l := Loader{Shipped: Shipped()}
	f, err := l.LoadTruck("trucks/produce-4bay-no-edge.yaml")
	if err != nil {
		t.Fatal(err)
	}
	for _, b := range f.Params().Bays {
		if b.Seal.EdgeFitted {
			t.Errorf("%s: a sensing edge is fitted", b.Name)
		}
	}
}

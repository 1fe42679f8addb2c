package logic_test

import (
	"testing"

	"slatbench/scenarios"
	"slatbench/sim/logic"
)

// baseline is a fresh copy of the shipped logic.
func baseline(t testing.TB) *logic.Table {
	t.Helper()
	l := scenarios.Loader{Shipped: scenarios.Shipped()}
	table, err := l.LoadLogic(scenarios.BaselineLogic)
	if err != nil {
		t.Fatal(err)
	}
	return table
}

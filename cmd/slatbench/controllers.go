package main

import (
	"slatbench/scenarios"
	"slatbench/sim/logic"
)

// underTest loads the controllers of --logic, or those that a file names. They must
// be closed. set holds the changes that --set makes to a logic table.
func underTest(typed string, set []string, named func(*scenarios.Loader) (*scenarios.UnderTest, error)) (*scenarios.UnderTest, error) {
	l := &scenarios.Loader{Shipped: scenarios.Shipped(), Set: set}
	if typed == "" {
		u, err := named(l)
		return u, asTypedLogic(err)
	}
	u, err := l.LoadUnderTest(scenarios.FullName(scenarios.LogicKind, typed))
	return u, asTypedLogic(namedBy("--logic", err))
}

// tableOnly is the table of what is under test, for work that needs to look inside.
func tableOnly(u *scenarios.UnderTest, what string) (*logic.Table, error) {
	if u.Table == nil {
		return nil, wantsTable(what, u.Title())
	}
	return u.Table, nil
}

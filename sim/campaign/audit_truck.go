package campaign

import (
	"slices"

	"slatbench/model"
)

// AuditTruck is a truck cut down to what an audit needs: the first bay of each side,
// since further ones would only cost time, and the last of them without its sensing
// edge, so that the answers of both kinds of door are tried.
func AuditTruck(t model.TruckParams) model.TruckParams {
	var bays []model.BayParams
	for side := range model.Sides {
		if i := slices.IndexFunc(t.Bays, func(b model.BayParams) bool { return b.Side == model.Side(side) }); i >= 0 {
			bays = append(bays, t.Bays[i])
		}
	}
	if len(bays) < 2 && len(t.Bays) >= 2 {
		bays = slices.Clone(t.Bays[:2])
	}
	if len(bays) > 0 {
		bays[len(bays)-1].Seal.EdgeFitted = false
	}
	t.Bays = bays
	return t
}

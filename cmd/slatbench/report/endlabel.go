package report

import "slices"

// endLabel is a name at the right end of a panel.
type endLabel struct {
	y     float64
	text  string
	class string
}

// placeEnds sorts names by height and moves them apart.
func placeEnds(list []endLabel, top, bottom float64) {
	slices.SortStableFunc(list, func(a, b endLabel) int {
		switch {
		case a.y < b.y:
			return -1
		case a.y > b.y:
			return 1
		}
		return 0
	})
	y := make([]float64, len(list))
	for i := range list {
		y[i] = list[i].y
	}
	spread(y, letter+1, top, bottom)
	for i := range list {
		list[i].y = y[i]
	}
}

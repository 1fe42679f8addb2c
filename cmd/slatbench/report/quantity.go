package report

import (
	"strings"

	"slatbench/scenarios"
)

// quantity writes a value that came from a file with a unit that reads well.
func quantity(value float64, dimension string) string {
	if dimension == "ratio" {
		return strings.Replace(short(100*value, 4), "-", "−", 1) + " %"
	}
	return scenarios.FormatQuantity(value, scenarios.Dimension(dimension))
}

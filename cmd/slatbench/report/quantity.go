package report

import "slatbench/scenarios"

// quantity writes a value that came from a file with a unit that reads well.
func quantity(value float64, dimension string) string {
	return scenarios.FormatQuantity(value, scenarios.Dimension(dimension))
}

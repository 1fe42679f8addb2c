package report

// lanes puts texts that hang on instants into as few rows as keep them apart.
type lanes struct {
	until []float64 // where each row is taken up to
	most  int
}

// place finds a row for what reaches from x to end, or -1 where all rows are taken.
func (l *lanes) place(x, end float64) int {
	for i := range l.until {
		if x >= l.until[i] {
			l.until[i] = end
			return i
		}
	}
	if len(l.until) == l.most {
		return -1
	}
	l.until = append(l.until, end)
	return len(l.until) - 1
}

// spread moves wanted heights apart until neighbours keep a distance, within
// bounds, and keeps their order. It changes the slice, which must be sorted.
func spread(y []float64, distance, top, bottom float64) {
	for i := 1; i < len(y); i++ {
		y[i] = max(y[i], y[i-1]+distance)
	}
	for i := len(y) - 1; i >= 0; i-- {
		limit := bottom
		if i < len(y)-1 {
			limit = y[i+1] - distance
		}
		y[i] = max(top, min(y[i], limit))
	}
}

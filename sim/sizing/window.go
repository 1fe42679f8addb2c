package sizing

import "math"

// mostTurns is more than any door spring is wound: where the search ends.
const mostTurns = 40.0

// Window is the range of initial turns in which a door opens, closes and holds.
type Window struct {
	Low, High     float64 // turns; none where Low is above High
	LowBy, HighBy string  // what begins to go wrong below and above
}

// Open tells that there is such a range.
func (w Window) Open() bool { return w.Low <= w.High }

// raise and lower narrow it.
func (w *Window) raise(n float64, by string) {
	if n > w.Low || math.IsNaN(n) {
		w.Low, w.LowBy = n, by
	}
}

func (w *Window) lower(n float64, by string) {
	if n < w.High || math.IsNaN(n) {
		w.High, w.HighBy = n, by
	}
}

// level tells which of its two limits an answer is held against.
type level func(Limit) float64

func atFail(l Limit) float64 { return l.Fail }
func atPass(l Limit) float64 { return l.Pass }

// window finds the range of initial turns. Holding, hand forces, turns left, stress
// and room are linear in the turns and solved for them at every height; the two
// times are monotone, more turns opening faster and closing slower, and searched by
// halving.
func (g *rig) window(q *Question, at level) Window {
	w := Window{Low: 0, High: mostTurns, LowBy: "the spring is not wound", HighBy: "more turns than any door spring takes"}
	l := &q.Limits.Of
	w.raise(g.turnsOfTravel()+at(l[TurnsLeft]), "the spring goes slack before the door is open")
	g.holds(&w, at(l[StaysPut]))
	for i := range q.Springs {
		q.Springs[i].bounds(&w, q, at)
	}
	if !w.Open() {
		return w
	}
	g.opens(&w, at(l[OpeningTime]))
	g.closes(&w, at(l[ClosingTime]))
	return w
}

// holds bounds the turns by what a standing door bears with so much to spare, N.
func (g *rig) holds(w *Window, reserve float64) {
	if math.IsInf(g.grip, 1) {
		return
	}
	for i := range g.heights {
		most := float64(g.r*(g.pull[i]+g.breakaway-reserve)) + g.grip
		least := float64(g.r*(g.pull[i]-g.breakaway+reserve)) - g.grip
		if i > 0 && least > 0 {
			w.raise((least+g.unwound[i])/g.k, "it sinks where it is left")
		}
		if i < pieces {
			w.lower((most+g.unwound[i])/g.k, "it rises where it is left")
		}
	}
}

// handed bounds the turns by the hand forces, N.
func (g *rig) handed(w *Window, up, down float64) {
	band := g.breakaway + g.gripFree/g.r
	for i := range g.heights {
		if least := g.r * (g.pull[i] + band - up); i < pieces && least > 0 {
			w.raise((float64(least)+g.unwound[i])/g.k, "it is heavy to lift by hand")
		}
		if i > 0 {
			w.lower((float64(g.r*(g.pull[i]-band+down))+g.unwound[i])/g.k, "it is heavy to pull down by hand")
		}
	}
}

// bounds are those that a spring sets itself.
func (s *Spring) bounds(w *Window, q *Question, at level) {
	l := &q.Limits.Of
	perTurn := s.Wire.Stress(s.RatePerTurn() * q.RateFactor)
	w.lower(at(l[Stress])*s.Allowable()/perTurn, "the spring sets")
	if q.Shaft.Diameter > 0 {
		// D·N/(N + n) − d − shaft >= clearance, solved for n.
		inside := q.Shaft.Diameter + s.Wire.Wire + at(l[ShaftClearance])
		w.lower(s.Wire.Coils*(s.Wire.MeanDia/inside-1), "the coil binds on the shaft")
	}
	if q.Shaft.Length > 0 {
		room, thick := q.Shaft.Length-at(l[ShaftRoom]), 0.0
		for i := range q.Springs {
			room -= q.Springs[i].Length()
			thick += q.Springs[i].Wire.Wire
		}
		w.lower(room/thick, "the coils have no room to grow")
	}
}

// opens raises the lower end to where the door opens in time.
func (g *rig) opens(w *Window, within float64) {
	if g.travel(true, w.Low).Time <= within {
		return
	}
	low, high := w.Low, w.High
	if !(g.travel(true, high).Time <= within) {
		w.raise(math.Nextafter(w.High, math.Inf(1)), "it does not open in time")
		return
	}
	for high-low > 1e-4 {
		if middle := (low + high) / 2; g.travel(true, middle).Time <= within {
			high = middle
		} else {
			low = middle
		}
	}
	w.raise(high, "it does not open in time")
}

// closes lowers the upper end to where the door closes in time.
func (g *rig) closes(w *Window, within float64) {
	if !w.Open() || g.travel(false, w.High).Time <= within {
		return
	}
	low, high := w.Low, w.High
	if !(g.travel(false, low).Time <= within) {
		w.lower(math.Nextafter(w.Low, math.Inf(-1)), "it does not close in time")
		return
	}
	for high-low > 1e-4 {
		if middle := (low + high) / 2; g.travel(false, middle).Time <= within {
			low = middle
		} else {
			high = middle
		}
	}
	w.lower(low, "it does not close in time")
}

// good is the range in which all that depends on the turns passes, but for the life
// of the springs.
func (g *rig) good(q *Question, works Window) Window {
	w := g.window(q, atPass)
	l := &q.Limits.Of
	w.raise(works.Low+l[InitialTurns].Pass, works.LowBy)
	w.lower(works.High-l[InitialTurns].Pass, works.HighBy)
	g.handed(&w, l[HandUp].Pass, l[HandDown].Pass)
	return w
}

// quarter turns are what winding bars give (common practice).
const quarter = 0.25

// recommend chooses the turns: those with which the hand forces up and down are
// alike, where every answer passes; else where the door works at all; in quarter
// turns where one lies in the range. It is NaN where the door works with none.
func (g *rig) recommend(q *Question, works Window) float64 {
	if !works.Open() {
		return math.NaN()
	}
	good := g.good(q, works)
	if !good.Open() {
		good = works
	}
	n := math.Max(good.Low, math.Min(good.High, g.even()))
	best := math.NaN()
	for _, q := range [...]float64{math.Floor(n/quarter) * quarter, math.Ceil(n/quarter) * quarter} {
		if q >= good.Low && q <= good.High && !(math.Abs(best-n) <= math.Abs(q-n)) {
			best = q
		}
	}
	if math.IsNaN(best) {
		return n
	}
	return best
}

// even is the number of turns with which the greatest hand force up equals the
// greatest down. With w = r·h + what the spring has lost, the forces are
// (w − k·n)/r and (k·n − w)/r but for friction: n = (most w + least w)/(2k).
func (g *rig) even() float64 {
	most, least := math.Inf(-1), math.Inf(1)
	for i := range g.heights {
		x := float64(g.r*g.pull[i]) + g.unwound[i]
		if i < pieces {
			most = math.Max(most, x)
		}
		if i > 0 {
			least = math.Min(least, x)
		}
	}
	return (most + least) / (2 * g.k)
}

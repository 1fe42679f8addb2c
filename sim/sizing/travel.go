package sizing

import (
	"math"

	"slatbench/model"
	"slatbench/sim"
)

// Travel is one run, by quadrature of the balance of forces.
type Travel struct {
	Time    float64 // s from voltage at the motor to arrival; +Inf where it never arrives
	StallAt float64 // m; NaN where it arrives
	Slack   bool    // the drive outruns the curtain, and the cable goes slack: then Time is of the curtain alone
	Applies bool    // what the quadrature leaves out is small: see applies
	Amps    float64 // the most while it runs steadily, A in the motor
	Inrush  float64 // A at standstill
	Volts   float64 // the least at the controller while it runs steadily
	InVolts float64 // V at the controller at standstill
	Slowest float64 // m/s, the least steady speed
	Heat    float64 // A²·s in the winding
	Charge  float64 // A·s in the motor; less where it gives some back
}

// warmth, K, of the winding above which a run is integrated again.
const warmth = 0.5

// travel is a run with the winding at its mean temperature: where the first
// integration warms it, a second takes half of that rise.
func (g *rig) travel(up bool, n float64) Travel {
	t := g.run(up, n)
	if rise := t.Heat * g.ra / g.p.Drive.ThermalCap / 2; rise > warmth {
		hot := *g
		hot.ra = g.p.Drive.Resistance * model.CopperFactor(g.air+float64(rise), 20)
		inrush, volts := t.Inrush, t.InVolts
		t = hot.run(up, n)
		t.Inrush, t.InVolts = inrush, volts
	}
	return t
}

// run integrates over the height.
//
// At every height the door is given the speed v at which all forces balance
// (theory.md, sections 2 to 7, without the accelerations). With the load on the
// shaft A, spring less cable when opening and cable less spring when closing:
//
//	opening   A = T − r(h + R + c·v)      closing   A = r(h − R − c·v) − T
//	A + N·K·(e0 − N·K·v/r)/(ra + rt) − dry − λ|A| = 0
//
// It is linear in v on either side of A = 0. Then t = ∫dy/v, by Simpson's rule. The
// run-up follows v·(1 − e^(−t/τ)), which costs a time of τ; after it the door lags
// behind v by τ·dv/dt, which over a travel costs τ·ln(v at the end/v at the start). τ
// is all that moves, as felt at the shaft, over how fast the balance falls with the
// speed.
//
// Closing, the cable can only pull: where the balance would push the curtain down,
// the curtain goes by itself at (h − R)/c, and the cable is slack.
func (g *rig) run(up bool, n float64) Travel {
	t := Travel{StallAt: math.NaN(), Amps: math.Inf(-1), Slowest: math.Inf(1), Inrush: g.e0 / (g.rt + g.ra)}
	t.InVolts = g.e0 - float64(g.rt*t.Inrush)
	if t.InVolts <= 0 {
		t.Time, t.StallAt, t.Amps = math.Inf(1), g.start(up), 0
		return t
	}
	if at, stuck := g.stuck(up, n); stuck {
		t.Time, t.StallAt = math.Inf(1), at
		t.Amps, t.Volts = t.Inrush, t.InVolts
		return t
	}
	from, to := 0, pieces
	var slow, heat, charge [pieces + 1]float64
	for i := from; i <= to; i++ {
		v, slack := g.speed(up, i, n)
		if !(v > 0) {
			t.Time, t.StallAt = math.Inf(1), g.heights[i]
			t.Amps, t.Volts = t.Inrush, t.InVolts
			return t
		}
		amps := g.amps(v)
		t.Slack = t.Slack || slack
		t.Amps, t.Slowest = math.Max(t.Amps, amps), math.Min(t.Slowest, v)
		slow[i], heat[i], charge[i] = 1/v, amps*amps/v, amps/v
	}
	t.Volts = g.e0 - float64(g.rt*math.Max(0, t.Amps))
	first, last := 0, pieces
	if !up {
		first, last = pieces, 0
	}
	v, end := 1/slow[first], 1/slow[last]
	tau := g.lag(up, first, n, v)
	lost := tau + float64((tau+g.lag(up, last, n, end))/2*model.Log(end/v))
	steady := g.amps(v)
	swing := t.Inrush - steady
	t.Time = g.span(slow[:], up) + lost
	t.Applies = g.applies(up, &t)
	t.Heat = simpson(heat[:], g.step) + float64(tau*(float64(swing*swing/2)+float64(2*steady*swing)))
	t.Charge = simpson(charge[:], g.step) + float64(tau*swing)
	return t
}

// Where the quadrature applies. Slower than crawl, the speed is the small difference
// of large forces. A curtain that falls off the open stop with less than briskly, m/s²,
// is long in catching up with the drive, which must wind the spring alone till then.
const (
	crawl   = 0.1 // m/s
	briskly = 1.5 // m/s²
)

func (g *rig) applies(up bool, t *Travel) bool {
	falls := (g.pull[pieces] - g.running) / g.p.Curtain.Mass
	return !t.Slack && t.Slowest >= crawl && (up || falls >= briskly)
}

// span integrates up to where a door counts as arrived.
func (g *rig) span(f []float64, up bool) float64 {
	whole := simpson(f, g.step)
	if up {
		return whole - float64(f[pieces]*sim.OpenTolerance)
	}
	return whole - float64(f[0]*sim.ClosedTolerance)
}

func (g *rig) start(up bool) float64 {
	if up {
		return 0
	}
	return g.p.Track.Opening
}

// load is A of travel at height i as a − b·v, with friction R.
func (g *rig) load(up bool, i int, n, friction float64) (a, b float64) {
	t, b := g.torque(i, n), float64(g.r*g.viscous)
	if up {
		return t - float64(g.r*(g.pull[i]+friction)), b
	}
	return float64(g.r*(g.pull[i]-friction)) - t, b
}

// speed is the steady speed at height i, m/s, and whether the cable is slack.
func (g *rig) speed(up bool, i int, n float64) (v float64, slack bool) {
	v = g.driven(g.load(up, i, n, g.running))
	if up {
		return v, false
	}
	free := g.pull[i] - g.running
	if free-float64(g.viscous*v) < 0 { // the cable would have to push
		if g.viscous == 0 {
			return 0, true
		}
		return free / g.viscous, true
	}
	return v, false
}

// driven solves the balance for a load of a − b·v.
func (g *rig) driven(a, b float64) float64 {
	line, slope := g.motor()
	for _, loss := range [2]float64{1 + g.lambda, 1 - g.lambda} { // A below, then above 0
		v := (float64(loss*a) + line - g.dry) / (float64(loss*b) + slope)
		if below := a-float64(b*v) <= 0; below == (loss > 1) {
			return v
		}
	}
	return (line - g.dry) / slope // A is 0
}

// motor is the motor's torque at the shaft as line − slope·v.
func (g *rig) motor() (line, slope float64) {
	per := g.nk / (g.rt + g.ra)
	return float64(per * g.e0), per * g.nk / g.r
}

// amps in the motor at a speed of the curtain, cable taut.
func (g *rig) amps(v float64) float64 { return (g.e0 - float64(g.nk*v)/g.r) / (g.rt + g.ra) }

// stuck tells whether the door does not start, for its breakaway friction, and where.
func (g *rig) stuck(up bool, n float64) (at float64, stuck bool) {
	i := 0
	if !up {
		i = pieces
		if g.pull[i] <= g.breakaway {
			return g.heights[i], true // nothing pulls it down, and the cable cannot push
		}
	}
	a, _ := g.load(up, i, n, g.breakaway)
	line, _ := g.motor()
	return g.heights[i], !(a-float64(g.lambda*math.Abs(a))+line > g.dry)
}

// lag is the time that the run-up costs, s.
func (g *rig) lag(up bool, i int, n, v float64) float64 {
	a, b := g.load(up, i, n, g.running)
	loss := 1 + g.lambda
	if a-float64(b*v) > 0 {
		loss = 1 - g.lambda
	}
	_, slope := g.motor()
	return g.inertia(g.p.Curtain.Mass) / ((float64(loss*b) + slope) * g.r)
}

// inertia of all that turns with the shaft, and of a curtain of so much mass, kg·m².
func (g *rig) inertia(mass float64) float64 {
	d, cb := &g.p.Drive, &g.p.Counterbalance
	return cb.ShaftInertia + float64(d.Ratio*d.Ratio*d.Inertia) + float64(mass*g.r*g.r)
}

package soak

import (
	"fmt"

	"slatbench/model"
)

// Config is what is worked, how often, and under which wear. The tags are those
// of package scenarios, which reads it from a file; Default fills what they say.
type Config struct {
	Cycles  int     `yaml:"cycles" unit:"cycles" range:"[1 cycles,100000 cycles]" default:"1000 cycles" doc:"how many"`
	Bay     string  `yaml:"bay" doc:"the bay that is worked; the first one when left out"`
	Seed    uint64  `yaml:"seed" doc:"of the spread of the route"`
	Charge  float64 `yaml:"charge" unit:"ratio" range:"[0,1]" default:"90 %" doc:"of the battery at first"`
	Retrain bool    `yaml:"retrain" default:"no" doc:"teach the travel anew whenever it no longer fits, and go on"`
	Presses int     `yaml:"presses" range:"[1,20]" default:"4" doc:"how often the driver presses to get a door open, or closed, before giving up"`
	GiveUp  int     `yaml:"give up after" unit:"cycles" range:"[1 cycles,100000 cycles]" default:"5 cycles" doc:"so many cycles on end that fail end the soak"`

	Spring  Relaxation   `yaml:"counterbalance" doc:"how the torsion springs relax"`
	Closing Relaxation   `yaml:"closing spring" doc:"how the closing spring tires"`
	Dirt    Dirt         `yaml:"dirt" doc:"how the track gets dirty"`
	Encoder EncoderDrift `yaml:"encoder" doc:"how the draw-wire encoder drifts"`
	Battery BatteryWear  `yaml:"battery" doc:"how the battery grows old"`
	Route   Route        `yaml:"route" doc:"a day's work, and how the battery is charged"`
	Weather Weather      `yaml:"weather" doc:"the temperature"`
}

// Default is a soak of 1,000 cycles in which nothing wears and the battery is not charged.
func Default() Config {
	relaxation := Relaxation{Law: "exponential", Over: 1000}
	return Config{
		Cycles: 1000, Charge: 0.9, Presses: 4, GiveUp: 5,
		Spring: relaxation, Closing: relaxation, Dirt: Dirt{Most: 3},
		Encoder: EncoderDrift{While: "closing", GapSpeed: 1},
		Route: Route{
			StopEvery: 15 * 60, StopsADay: 30, StartsAt: 6 * hour, OpenFor: 4 * 60,
			Efficiency: 0.85, TaperAbove: 0.8,
		},
		Weather: Weather{Mean: 20 + kelvin},
	}
}

// Problem is something wrong with a Config that no single value shows.
type Problem struct {
	Path []string // keys that lead to it
	Text string
}

func (p *Problem) Error() string { return fmt.Sprintf("%s: %s", p.Path[len(p.Path)-1], p.Text) }

// Check returns all that is wrong with the config for a truck, beyond single values.
func (c *Config) Check(truck *model.TruckParams) []*Problem {
	var list []*Problem
	add := func(text string, path ...string) { list = append(list, &Problem{path, text}) }
	bay := c.bay(truck)
	if bay < 0 {
		add(fmt.Sprintf("the truck has no bay %q", c.Bay), "bay")
		bay = 0
	}
	r := &c.Route
	if !(r.StopEvery > 0) || r.StopsADay < 1 {
		add("a route has stops, and time between them", "route")
	} else if float64(r.StopEvery*float64(r.StopsADay)) > day {
		add(fmt.Sprintf("%d stops do not fit into a day, expected at most %d", r.StopsADay, int(day/r.StopEvery)), "route", "stops a day")
	}
	if r.OpenFor >= r.StopEvery {
		add("the door stands open longer than a stop and the way to the next together", "route", "open for")
	}
	if e := &truck.Bays[bay].Encoder; c.Encoder.GapPulses > e.PulsesPerTurn {
		add(fmt.Sprintf("a turn of this encoder has %d pulses", e.PulsesPerTurn), "encoder", "gap pulses")
	}
	low, high := c.Weather.Mean-kelvin-c.Weather.Swing, c.Weather.Mean-kelvin+c.Weather.Swing
	if low < -40 || high > 60 {
		add(fmt.Sprintf("the temperature goes from %.0f to %.0f °C, expected within -40 to 60 °C", low, high), "weather", "daily swing")
	}
	return list
}

// bay is the index of the bay that is worked, or -1.
func (c *Config) bay(truck *model.TruckParams) int {
	if c.Bay == "" {
		return 0
	}
	for i := range truck.Bays {
		if truck.Bays[i].Name == c.Bay {
			return i
		}
	}
	return -1
}

// Package fault is the list of what can be wrong with a truck, or get in its way.
// A fault changes the wear of parts, the wires between the truck and its
// controllers, or what stands around the truck; never the logic.
//
// The list is data: the loader of scenarios, the schemas, help texts, docs and
// random campaigns are all driven from [Kinds].
package fault

import (
	"fmt"
	"strings"

	"slatbench/model"
	"slatbench/sim"
)

// Place is what a kind of fault is on.
type Place int

// Faults are on one bay, on the lock of one side, or on a part that the whole truck shares.
const (
	OnBay Place = iota
	OnSide
	OnTruck
)

func (p Place) String() string { return [...]string{"bay", "side", "truck"}[p] }

// Param is one number that says how bad a fault is, in physical units, or one
// choice between words.
type Param struct {
	Name string
	// Unit is the dimension, in the words that scenario files use for them:
	// "length", "force". It is empty where the parameter is a choice.
	Unit string
	// Words are the choices; the value is the index of one of them.
	Words []string
	// Default, Min and Max are in the SI unit of the dimension, both ends included.
	Default, Min, Max float64
	// Mild and Severe are the ends between which a campaign draws; either may be
	// the greater. Equal ends: this is not the parameter that it draws. The ends
	// are common practice, no source.
	Mild, Severe float64
	Doc          string
}

// Severity tells whether this is the parameter that a campaign draws.
func (p *Param) Severity() bool { return p.Mild != p.Severe }

// SI is the unit of the parameter's numbers, empty for a ratio or a choice: "N/m".
func (p *Param) SI() string { return strings.TrimSpace(units[p.Unit]) }

// maxParams is how many parameters a kind can have.
const maxParams = 3

// Values are those of a kind's parameters, in their order; the rest is zero.
type Values [maxParams]float64

// Kind is one kind of fault.
type Kind struct {
	Name   string
	Place  Place
	Part   string // of the truck, for OnTruck: the word that stands where others name a bay
	Params []Param
	// Event tells that a controller must cope with it as with a press: it does
	// not count as a fault where a requirement allows a single one.
	Event   bool
	Doc     string // what it is in the trade
	Changes string // what it changes in the model

	change change
	check  func(v Values) error                                // of parameters against each other; may be nil
	ready  func(b *sim.Bench, place int, v Values) (err error) // against the truck as it stands; may be nil
}

// change works a fault into the parts.
type change func(b *sim.Bench, p *sim.Parts, place int, v Values)

// kinds is the list, in the order in which everything shows it.
var kinds = join(curtainKinds, driveKinds, encoderKinds, linkKinds, supplyKinds, switchKinds, lockKinds)

func join(lists ...[]Kind) (all []Kind) {
	for _, l := range lists {
		all = append(all, l...)
	}
	return all
}

// Kinds returns the list, in its fixed order. The parameters are shared: don't
// change them.
func Kinds() []Kind { return append([]Kind(nil), kinds...) }

// Find returns the kind of a name.
func Find(name string) (Kind, bool) {
	for i := range kinds {
		if kinds[i].Name == name {
			return kinds[i], true
		}
	}
	return Kind{}, false
}

// Param returns the parameter of a name and its index in Params.
func (k *Kind) Param(name string) (index int, ok bool) {
	for i := range k.Params {
		if k.Params[i].Name == name {
			return i, true
		}
	}
	return 0, false
}

// Severity is the index of the parameter that a campaign draws, if there is one.
func (k *Kind) Severity() (index int, ok bool) {
	for i := range k.Params {
		if k.Params[i].Severity() {
			return i, true
		}
	}
	return 0, false
}

// New makes a fault of this kind. The place is the index of a bay, a
// [model.Side], or 0 for what the whole truck shares. Parameters that values
// does not name have their defaults. It refuses unknown parameters and values
// out of range; whether the truck has such a place is seen when the fault starts.
func (k Kind) New(place int, values map[string]float64) (sim.Fault, error) {
	var v Values
	for i := range k.Params {
		p := &k.Params[i]
		v[i] = p.Default
		if x, ok := values[p.Name]; ok {
			v[i] = x
		}
		if err := p.inRange(v[i]); err != nil {
			return nil, fmt.Errorf("%s: %w", k.Name, err)
		}
	}
	if err := k.known(values); err != nil {
		return nil, err
	}
	if err := k.placeInRange(place); err != nil {
		return nil, err
	}
	if k.check != nil {
		if err := k.check(v); err != nil {
			return nil, fmt.Errorf("%s: %w", k.Name, err)
		}
	}
	return Fault{Name: k.Name, Place: place, Values: v}, nil
}

// known refuses values that no parameter takes.
func (k *Kind) known(values map[string]float64) error {
	taken := 0
	for i := range k.Params {
		if _, ok := values[k.Params[i].Name]; ok {
			taken++
		}
	}
	if taken == len(values) {
		return nil
	}
	unknown := "" // the first in the alphabet, so that the message is the same every time
	for name := range values {
		if _, ok := k.Param(name); !ok && (unknown == "" || name < unknown) {
			unknown = name
		}
	}
	if len(k.Params) == 0 {
		return fmt.Errorf("%s has no parameter %q, nor any other", k.Name, unknown)
	}
	var names []string
	for i := range k.Params {
		names = append(names, k.Params[i].Name)
	}
	return fmt.Errorf("%s has no parameter %q, expected %s", k.Name, unknown, orList(names))
}

func (k *Kind) placeInRange(place int) error {
	switch {
	case k.Place == OnTruck && place != 0:
		return fmt.Errorf("%s is on the %s, which the truck has once: place %d, expected 0", k.Name, k.Part, place)
	case k.Place == OnSide && (place < 0 || place >= model.Sides):
		return fmt.Errorf("%s: no side %d, expected 0 for curbside or 1 for roadside", k.Name, place)
	case k.Place == OnBay && place < 0:
		return fmt.Errorf("%s: no bay %d, expected 0 or more", k.Name, place)
	}
	return nil
}

func (p *Param) inRange(x float64) error {
	if p.Words != nil {
		if i := int(x); x < 0 || i >= len(p.Words) || float64(i) != x {
			return fmt.Errorf("%s %g, expected the number of one of %s, from 0", p.Name, x, orList(p.Words))
		}
		return nil
	}
	unit := units[p.Unit]
	if !(x >= p.Min && x <= p.Max) {
		return fmt.Errorf("%s %g%s, expected %g to %g%s", p.Name, x, unit, p.Min, p.Max, unit)
	}
	if p.Unit == "pulses" && x != float64(int(x)) {
		return fmt.Errorf("%s %g, expected a whole number of pulses", p.Name, x)
	}
	return nil
}

// units are the SI units of the dimensions in use, as messages write them.
var units = map[string]string{
	"length": " m", "force": " N", "stiffness": " N/m", "ratio": "", "voltage": " V", "resistance": " Ω",
	"speed": " m/s", "pulses": " pulses", "pulse rate": " pulses/s", "pulses per length": " pulses/m",
	"illuminance": " lx",
}

// orList writes "a, b or c".
func orList(words []string) string {
	last := len(words) - 1
	if last < 1 {
		return strings.Join(words, "")
	}
	return strings.Join(words[:last], ", ") + " or " + words[last]
}

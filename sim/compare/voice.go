package compare

import (
	"slatbench/model"
	"slatbench/sim"
)

// voice is what a machine of a controller tells of itself: its state, and the event
// that it has answered at the last tick. Both may be "", where it does not tell.
type voice interface {
	state() string
	answered() string
}

type doorTeller interface {
	sim.Teller
	Answered() string
}

type sideTeller interface{ SideState(side int) string }

type sideAnswerer interface {
	sideTeller
	SideAnswered(side int) string
}

type doorVoice struct{ doorTeller }

func (v doorVoice) state() string    { return v.State() }
func (v doorVoice) answered() string { return v.Answered() }

// halfVoice tells its state, and no events.
type halfVoice struct{ sim.Teller }

func (v halfVoice) state() string    { return v.State() }
func (v halfVoice) answered() string { return "" }

type sideVoice struct {
	of   sideAnswerer
	side int
}

// halfSide tells its state, and no events.
type halfSide struct {
	of   sideTeller
	side int
}

func (v halfSide) state() string    { return v.of.SideState(v.side) }
func (v halfSide) answered() string { return "" }

func (v sideVoice) state() string    { return v.of.SideState(v.side) }
func (v sideVoice) answered() string { return v.of.SideAnswered(v.side) }

type mute struct{}

func (mute) state() string    { return "" }
func (mute) answered() string { return "" }

// telling is how much of themselves all machines of a truck tell.
type telling int

const (
	tellNothing telling = iota
	tellStates          // by which of them it changes
	tellEvents          // and the events that they answer
)

// voices of all machines of a truck: its doors, then the sides of its locks.
func voices(doors []sim.Controller, locks sim.Controller) (list []voice, tells telling) {
	tells = tellEvents
	for _, d := range doors {
		switch d := d.(type) {
		case doorTeller:
			list = append(list, doorVoice{d})
		case sim.Teller:
			list, tells = append(list, halfVoice{d}), min(tells, tellStates)
		default:
			list, tells = append(list, mute{}), tellNothing
		}
	}
	for s := range model.Sides {
		switch l := locks.(type) {
		case sideAnswerer:
			list = append(list, sideVoice{l, s})
		case sideTeller:
			list, tells = append(list, halfSide{l, s}), min(tells, tellStates)
		default:
			list, tells = append(list, mute{}), tellNothing
		}
	}
	return list, tells
}

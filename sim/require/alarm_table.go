package require

// alarmRow is a situation that asks for an alarm.
type alarmRow uint8

const (
	slowRow alarmRow = iota
	heldUpRow
	heldTeachingRow
	shortRow
	hungRow
	noVoltsRow
	lowSupplyRow
	refusedRow
	edgeWireRow
	lockRow
)

// alarmRows is the first table of docs/requirements.md, alarm: which alarms serve.
var alarmRows = [...]struct {
	situation string
	alarms    uint16 // by bits of their numbers
}{
	slowRow:         {"a run has lasted more than 8.2 s", 1 << 1},
	heldUpRow:       {"an upward run, and the curtain is held short of open", 1<<2 | 1<<5},
	heldTeachingRow: {"the same while teaching: it may be the check of what was counted that tells", 1<<2 | 1<<5 | 1<<7},
	shortRow:        {"a closing run ended above the sill", 1<<1 | 1<<3 | 1<<4 | 1<<5 | 1<<7 | 1<<9},
	hungRow:         {"driven down, and the curtain stands above the sill", 1<<3 | 1<<4 | 1<<5 | 1<<9},
	noVoltsRow:      {"contacts made, and no voltage at the motor", 1<<2 | 1<<3 | 1<<5 | 1<<7 | 1<<9},
	lowSupplyRow:    {"a press refused, and the supply is low", 1 << 6},
	refusedRow:      {"a press refused, and no interlock stands against it", 1<<6 | 1<<7},
	edgeWireRow:     {"closing with a faulty wire to the sensing edge", 1 << 7},
	lockRow:         {"a bar stopped short of its end", 1 << 8},
}

// Heights, in m, that keep situations of the travel apart from those of the sill.
const (
	aboveSill  = 0.030
	nearlySill = 0.020
)

// suspectAmps is a motor current, in A, that an unhindered closing run does not
// take at 20 °C.
const suspectAmps = 2.5

// lowAsRead is the supply, in V, below which a reading of it may be called low.
const lowAsRead = 11.15

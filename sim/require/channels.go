package require

// channel is a way by which a controller can notice, or a path by which it can act.
type channel uint32

const (
	edgeStrip    channel = 1 << iota // sensing edge
	pulseStop                        // encoder pulses that stop
	pulseCount                       // the counted position
	motorCurrent                     // current into the power stage
	sillSwitch                       // sill switch
	supplyVolts                      // supply converter
	receiverLine                     // press line
	timer                            // its own tick counter
	ownCoils                         // what it drives itself
	memory                           // its store
	hardReset                        // the reset that a brown-out is
	permitLine                       // permit from the lock controller
	unlockedEnd                      // end switch, unlocked
	lockedEnd                        // end switch, locked
	downWire                         // door-down wire
	notDownWire                      // its complement

	cutDirection // opening the direction contact
	cutEnable    // opening the enable contact
	driveUp      // voltage for up at the motor
	lifting      // a motor driven up that lifts the curtain
	holdOff      // not starting at all
	barDrive     // the lock actuator's outputs
	lampTone     // lamps and tones
)

// channelLetters abbreviates the channels in the table of docs/requirements.md.
var channelLetters = []struct {
	of     channel
	letter string
	word   string
}{
	{edgeStrip, "E", "sensing edge"}, {pulseStop, "P", "pulses that stop"}, {pulseCount, "N", "counted position"},
	{motorCurrent, "C", "current"}, {sillSwitch, "S", "sill switch"}, {supplyVolts, "V", "supply converter"},
	{receiverLine, "R", "press line"}, {timer, "T", "time"}, {ownCoils, "O", "what the controller drives itself"},
	{memory, "M", "store"}, {hardReset, "B", "brown-out reset"}, {permitLine, "K", "permit line from the lock controller"},
	{unlockedEnd, "u", "unlocked end switch"}, {lockedEnd, "l", "locked end switch"},
	{downWire, "d", "door-down wire"}, {notDownWire, "n", "its complement"},
	{cutDirection, "X", "direction contact opens"}, {cutEnable, "Y", "enable contact opens"},
	{driveUp, "U", "voltage for up"}, {lifting, "W", "lifting the curtain"}, {holdOff, "H", "not starting"}, {barDrive, "A", "lock actuator's outputs"},
	{lampTone, "L", "lamps and tones"},
}

// means says by which channels the obligation of a clause can be noticed, any one
// of them being enough, and by which paths it can be kept, any one being enough.
type means struct {
	of          clause
	notice, act channel
}

const (
	cut      = cutDirection | cutEnable
	contact  = edgeStrip | pulseStop | motorCurrent
	doorDown = downWire | notDownWire
	barEnds  = unlockedEnd | lockedEnd
)

var clauseMeans = []means{
	{cutClause, contact, cut},
	{reverseClause, contact, driveUp},
	{riseClause, ownCoils, lifting},
	{openClause, ownCoils, lifting},
	{runClause, timer, cut},
	{turnClause, timer, driveUp},
	{barClause, doorDown, holdOff},
	{doorClause, permitLine | barEnds, holdOff},
	{offClause, receiverLine, cut},
	{nextClause, ownCoils, holdOff},
	{startClause, ownCoils, holdOff},
	{gapClause, timer | ownCoils, cut | holdOff},
	{voltsClause, supplyVolts, holdOff},
	{brownClause, hardReset, cut},
	{slackClause, pulseStop | timer | motorCurrent, cut},
	{recordClause, memory, memory},
	{returnClause, barEnds | timer, barDrive},
	{flashClause, barEnds | timer, lampTone},
	{showClause, barEnds, lampTone},
	{soundClause, pulseStop | pulseCount | motorCurrent | timer | supplyVolts | barEnds | edgeStrip, lampTone},
}

// takenAway says which channels a kind of fault takes away. What only degrades a
// channel so that it errs to the safe side (pulses that fail to come look like
// pulses that stop) does not take it away.
var takenAway = []struct {
	fault string
	event bool // an event to be coped with, not a fault
	lost  channel
}{
	{"obstruction", true, 0},
	{"supply-interruption", true, 0},
	{"blocked-lock-bar", true, 0},
	{"added-friction", false, 0},
	{"leaning-cargo", false, 0},
	{"weak-counterbalance", false, 0},
	{"broken-counterbalance", false, motorCurrent},
	{"weak-closing-spring", false, 0},
	{"broken-closing-spring", false, 0},
	{"jammed-closing-spring", false, 0},
	{"low-battery", false, 0},
	{"aged-battery", false, 0},
	{"corroded-connector", false, 0},
	{"corroded-feed-connector", false, 0},
	{"open-motor-lead", false, motorCurrent | driveUp | lifting},
	{"manual-release-open", false, motorCurrent | lifting},
	{"missed-pulses", false, pulseCount},
	{"extra-pulses", false, pulseCount | pulseStop},
	{"slipping-reel", false, pulseCount},
	{"stuck-reel", false, pulseCount},
	{"exchanged-encoder", false, pulseCount},
	{"dirty-lens", false, 0},
	{"sunlight", false, 0},
	{"weak-remote-cell", false, 0},
	{"unplugged-receiver", false, 0},
	{"reflected-press", false, 0},
	{"held-remote-button", false, 0},
	{"welded-up-contact", false, cutDirection},
	{"welded-down-contact", false, cutDirection | driveUp | lifting},
	{"open-up-contact", false, driveUp | lifting},
	{"open-down-contact", false, 0},
	{"welded-enable-contact", false, cutEnable},
	{"open-enable-contact", false, driveUp | lifting},
	{"sill-switch-stuck-made", false, sillSwitch},
	{"sill-switch-stuck-open", false, sillSwitch},
	{"open-edge-wire", false, edgeStrip},
	{"shorted-edge-wire", false, edgeStrip},
	{"deaf-edge", false, edgeStrip},
	{"stuck-door-down-wire", false, downWire},
	{"failed-current-sensor", false, motorCurrent},
	{"wrong-supply-reading", false, supplyVolts},
	{"open-lock-actuator", false, 0},
	{"stuck-lock-switch", false, lockedEnd},
}

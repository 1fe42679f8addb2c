package logic

// Word is a word of the table with what it means.
type Word struct{ Name, Means string }

// Vocabulary is the words that one machine may use. Events stand in their order
// of precedence: of two that come at one tick, the earlier is answered, if a
// transition answers it.
type Vocabulary struct {
	Events, Guards, Actions []Word
	Drives, Duties          []string
}

// Lamps are the words for a lamp.
var Lamps = []string{"off", "on", "flash"}

// DoorEvents, in precedence.
const (
	evAwake = iota
	evBarred
	evPress
	evFloor
	evEdge
	evEdgeFault
	evHeldUp
	evStall
	evSlowed
	evNoMotion
	evTimeUp
	evAtTop
	evNearFloor
	evOverrun
	evRanOut
	evSlow
	evPaused
	evPaidBack
	evMoved
	evSillOpen
)

const (
	gdPermitted = iota
	gdSupply
	gdKnown
	gdNearZero
	gdNearTop
	gdSill
	gdEdgeSound
	gdTaught
	gdTeach
	gdPlausible
	gdWasDown
	gdWasOpen
	gdPastZero
	gdPaidBack
	gdRested
	gdTopConfirmed
	gdSillWorks
	gdLoaded
	gdLifting
	gdMoving
	gdAtStop
	gdShorter
	gdSillWrong
	gdDrawing
	gdIdling
)

const (
	acDoubt = iota
	acTrim
	acZero
	acTop
	acCap
	acFlash
	acStore
)

// DoorWords is the vocabulary of a door.
var DoorWords = Vocabulary{
	Events: []Word{
		{"awake", "the self-test after a reset is over"},
		{"barred", "the side is not permitted, or its bar is not plainly unlocked"},
		{"press", "the receiver's line has just gone on"},
		{"floor", "closing: sill switch made, and the edge pressed, the motor held up, or the pulses gone; where none came, the motor takes current"},
		{"edge pressed", "the sensing edge is pressed"},
		{"edge faulty", "the sensing edge is fitted and its wire is off or shorted"},
		{"held up", "the motor takes more current than this run can need, opening without a pulse for 100 ms as well; or, opening, for 'grace opening' what it would take standing, at its voltage; or, slowly down, it was driven by its curtain, and takes current again too soon for what the spring alone comes to carry"},
		{"stall", "pulses came in this run, and have stopped"},
		{"slowed", "pulses come at less than 'slowed to' of the rate that this state has had, between 'least speed' and 'most speed'; or, closing, the pulses of this run have fallen behind what its drive pays out by 'most lag'"},
		{"no motion", "this run has begun, and no pulse has come"},
		{"time up", "the travel limit is over"},
		{"at top", "opening: the count has come within 'stop before' of the taught travel, and is not suspected of being too high"},
		{"near floor", "closing: the count has come below 'slow below'"},
		{"overrun", "closing: the count has gone past zero by more than 'overrun'"},
		{"ran out", "closing: the count has gone past zero by more than the floor window"},
		{"slow", "this run has just become longer than 'slow travel'"},
		{"paused", "this state has lasted for 'pause'"},
		{"wound back", "the drive has run up as long as it had run down before"},
		{"moved", "pulses came with the drive at rest; with two channels, a door that was down or open is so no longer"},
		{"sill open", "at rest, the sill switch is open"},
	},
	Guards: []Word{
		{"permitted", "the lock controller permits the side, and the bar is plainly unlocked"},
		{"supply low", "the supply, averaged over 100 ms at rest, is below 'supply floor'"},
		{"count known", "the count is believed"},
		{"near zero", "the count is known and within the floor window of zero"},
		{"near top", "the count is known, not below the taught travel by more than the top window, nor above it by more than 'overrun'; on the way up from a floor, and with a count that is suspected of being too high, above it by any amount: nothing lies higher than the stop"},
		{"sill made", "the sill switch is made"},
		{"edge sound", "no sensing edge is fitted, or its wire is sound"},
		{"taught", "a taught travel is on record"},
		{"teach asked", "the teach button is held"},
		{"plausible", "the travel just counted may be taught"},
		{"was down", "the record of the last rest says down"},
		{"was open", "the record of the last rest says open"},
		{"past zero", "the count is known and below zero by more than the floor window"},
		{"wound back", "this run up has lasted as long as the run down before it"},
		{"rested", "the drive has been at rest for 'pause'"},
		{"top confirmed", "the count, believed or not, is within the top window of the taught travel"},
		{"sill works", "the sill switch has been seen both made and not made since the reset, and has not stayed made while this run came twice the floor window"},
		{"loaded", "the motor takes more than 'loaded current': it carries something"},
		{"lifting", "the motor takes more than 'idle current' and less than 'loaded current'"},
		{"moving", "pulses have come in this run"},
		{"at stop", "this can be the open stop: no pulse has come for 'stall opening', or for 100 ms where the motor takes more than 'opening current', the motor is 'loaded', the sill switch is open, and a run that began on the sill has come 'least travel'"},
		{"shorter", "the count is below the taught travel by more than the top window"},
		{"sill wrong", "the sill switch is made although the count is known and above 'slow below'"},
		{"drawing", "the current sensor reads something: a motor that is driven takes 0.2 A at least, whatever it drives"},
		{"idling", "the motor is 'drawing', and takes less than 'idle current': it drives nothing"},
	},
	Actions: []Word{
		{"doubt", "the count is no longer believed"},
		{"trim", "correct the count towards zero by 'trim' at the most; where a fitted sensing edge has not told of the floor the seal is pressed down 10 mm further, and any count from there to zero is right"},
		{"zero", "the count is zero here; 10 mm below zero where a fitted sensing edge has not told of the floor; a door that lay here already, and was counted 10 mm below zero at the most, keeps its count"},
		{"top", "the count is the taught travel here; where it was not within the top window of that, it is suspected of being too high from now on"},
		{"cap", "in a run up after one down that ended at a floor, and with a count that is suspected of being too high, a count above the taught travel becomes the taught travel: higher than the stop nothing lies"},
		{"flash", "flash the lamp for a moment"},
		{"store", "the count is the travel: teach it"},
	},
	Drives: []string{"off", "up", "down"},
	Duties: []string{"full", "closing", "slow", "teaching"},
}

// LockEvents, in precedence.
const (
	lvAwake = iota
	lvUnlockAsked
	lvWrong
	lvDoorsLost
	lvNotLeft
	lvLate
	lvArrivedLocked
	lvArrivedUnlocked
	lvLostLocked
	lvLostUnlocked
	lvLockAsked
	lvSettled
)

const (
	lgDoorsDown = iota
	lgAtUnlocked
	lgAtLocked
	lgInterrupted
)

const (
	laFlash = iota
	laFlashBoth
)

// LockWords is the vocabulary of a side's lock.
var LockWords = Vocabulary{
	Events: []Word{
		{"awake", "a reset is over"},
		{"unlock asked", "the cab switch asks to unlock"},
		{"switches wrong", "the end switches contradict themselves or each other, or a bar that is driven out seems to be at both ends within one tick"},
		{"doors lost", "a door of the side no longer says down, or is not believed"},
		{"not left", "the bar is driven, and the end that it should leave still shows"},
		{"late", "the stroke takes longer than 'lock limit'"},
		{"arrived locked", "the bar is plainly at its locked end"},
		{"arrived unlocked", "the bar is plainly at its unlocked end, and was driven long enough; a switch of that end that was made at a locked bar, or at a reset together with that of the locked end, and still is as the bar leaves, is not believed until it lets go, here and below"},
		{"locked lost", "the bar is not plainly at its locked end"},
		{"unlocked lost", "the bar is not plainly at its unlocked end"},
		{"lock asked", "the cab switch asks to lock"},
		{"settled", "this state has lasted for 'lock settle'"},
	},
	Guards: []Word{
		{"doors down", "every door of the side says down, and is believed: one of which both wires were on, or which fell silent without having said down, is not until it has plainly said not down"},
		{"at unlocked", "the bar is plainly at its unlocked end"},
		{"at locked", "the bar is plainly at its locked end"},
		{"interrupted", "the record says that at the last reset a stroke was under way, or the lock had failed"},
	},
	Actions: []Word{
		{"flash", "flash the side's lamp for a moment"},
		{"flash both", "flash the lamps of both sides for a moment"},
	},
	Drives: []string{"off", "lock", "unlock"},
}

func index(words []Word, name string) int {
	for i := range words {
		if words[i].Name == name {
			return i
		}
	}
	return -1
}

func names(words []Word) []string {
	list := make([]string, len(words))
	for i := range words {
		list[i] = words[i].Name
	}
	return list
}

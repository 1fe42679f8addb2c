package require

// Limits of the requirements; docs/requirements.md says where each comes from.
const (
	touchForce   = 30.0 // N: above it the edge is in contact with an obstruction
	cutLimit     = 0.5  // s
	contactGap   = 0.1  // s: a contact that is lost for less goes on
	exemptTop    = 0.305
	reverseLimit = 2.0    // s, 16 CFR 1211.7(a)
	leastHeight  = 0.0254 // m, 16 CFR 1211.7(b): lower things are not told from the floor
	riseLeast    = 0.050  // m
	runningOut   = 0.5    // s: a curtain has come to rest so long after its drive was cut

	overload    = 0.2   // of the no-load speed
	stillSpeed  = 0.005 // m/s: a curtain that is slower stands
	leastSpeed  = 0.24  // m/s at full duty: an unhindered door closes faster
	leastPace   = 0.18  // m/s at full duty, over paceSpan: 0.19 is the least that 3000 unfaulted runs have had once they had run for 0.3 s
	paceSpan    = 0.16  // s
	pulsesSpare = 2.0   // pulses that a run may miscount at its start and end
	heavyAmps   = 14.0  // A at full duty: an unhindered door opens with less

	openTolerance   = 0.050 // m, as sim.OpenTolerance
	closedTolerance = 0.015 // m, as sim.ClosedTolerance
	countTolerance  = 0.020 // m: heights are counted, and a count may be off by 3.5 pulses of 5 mm and the part of one
	leastOpening    = 0.980 // m: no opening for people and goods ends lower than 1 m, counted to 20 mm
	givesTime       = 0.1   // s: what a curtain has met gives way so long once the drive is cut
	writtenTime     = 1.0   // s at rest: the count may have been put on record

	peakLimit    = 400.0 // N, EN 12453 by secondary summary
	staticLimit  = 150.0 // N, same
	dynamicTime  = 0.75  // s, same
	recordLength = 5.0   // s, same

	runLimit  = 15.0 // s
	turnLimit = 30.0 // s

	stalledLimit = 2.0 // s: a motor that stands is driven no longer

	downLimit   = 0.015 // m
	barScale    = 0.018 // m, scale only: the way of a bar to the curtain
	latchGive   = 0.003 // m, as model.Lock.ReachesCurtain
	saysLimit   = 0.030 // m: a door that is higher does not say down
	permitLimit = 0.2   // s: doors are no longer permitted once their bar is driven
	handLimit   = 0.5   // s: a door that runs while a hand moves the bar out

	saysDownLimit = 0.5 // s: a door that has come down says so
	freesLimit    = 2.0 // s: the doors beside a bar that is home may move

	offLimit = 0.050 // s

	startAfterPress = 1.0 // s
	startAfterRun   = 2.5 // s
	startAfterAsked = 1.0 // s

	wayShort   = 0.100 // m: as high a door may be taken for open, counted to 20 mm, with 60 mm for where it is let stand
	heardLimit = 0.3   // s: whoever gets no answer to a press presses again
	lampWarns  = 0.25  // s: the dark half of a flash is shorter
	lampBreak  = 0.1   // s: a lamp that is out for less has not flashed

	gapLeast   = 0.100 // s
	supplyLow  = 10.9  // V
	supplySpan = 0.100 // s
	brownLimit = 0.050 // s
	slackMost  = 0.150 // m
	slackTried = 0.010 // m: less is no test

	teachOver = 2.0 // s at rest: a teaching run is over

	strokeLimit = 4.0  // s: a bar driven to lock that has not arrived will not
	returnLimit = 1.0  // s
	barStands   = 0.3  // s
	leavesTime  = 0.25 // s: no bar has come home from its locked end so soon; it takes 0.9 s
	flashLimit  = 5.0  // s
	flashes     = 3    // changes of a lamp
	showLimit   = 1.0  // s

	answerLimit = 1.0 // s: an answer at the cab switch, as far as the lamp is

	soundLimit  = 1.0 // s
	alarmWindow = 3.0 // s

	lampOut  = 0.5 // s: a lamp that is out for longer does not flash
	lampRest = 2.0 // s at rest in which a refusal may still flash

	serviceLimit  = 12.0 // s
	teachLimit    = 40.0 // s
	serviceSupply = 11.5 // V
	serviceRest   = 1.0  // s at rest before a press that counts
	lockBusy      = 3.0  // s after a lock request in which a press may be refused

	recoveryPresses = 2
	recoveryTime    = 16.0 // s that a press may take
	standsAtEnd     = 1.0  // s at rest after which a person takes a door for having arrived
	lockBackLimit   = 5.0  // s
)

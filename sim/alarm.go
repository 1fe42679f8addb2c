package sim

import "fmt"

// Alarm is the number of pulses by which a controller says what is wrong.
type Alarm int

// The alarms, by their counted pulses.
const (
	SlowTravel         Alarm = 1
	StalledOpening     Alarm = 2
	ObstructionClosing Alarm = 3
	EarlyFloor         Alarm = 4 // floor met before the taught count
	NoMotion           Alarm = 5
	LowSupply          Alarm = 6
	SelfTest           Alarm = 7
	LockBlocked        Alarm = 8
	CountRanOut        Alarm = 9 // taught count run, and no floor
)

// AlarmNames are the words for the alarms in files and on screens, by pulses less one.
var AlarmNames = [...]string{
	"slow-travel", "stalled-opening", "obstruction-closing", "early-floor", "no-motion",
	"low-supply", "self-test", "lock-blocked", "count-ran-out",
}

func (a Alarm) String() string {
	if a >= 1 && int(a) <= len(AlarmNames) {
		return AlarmNames[a-1]
	}
	return fmt.Sprintf("%d pulses", int(a))
}

// Timing of counted pulses, in s, by which the bench tells them apart: a tone is
// one pulse, and silence longer than alarmGap ends the count.
const alarmGap = 0.55

// Heard is an alarm as somebody beside the truck would count it.
type Heard struct {
	Alarm Alarm
	Bay   int   // index, or LockPost for the lock controller
	From  int64 // step at which its first pulse began
	Until int64 // step at which the count was over
}

// LockPost stands for the lock controller where a bay is named.
const LockPost = -1

// ear counts the pulses of one sounder.
type ear struct {
	sounding bool
	count    int
	from     int64
	silent   int64 // step since which it is silent
}

// Listener is an observer that counts the alarms of all sounders.
type Listener struct {
	Heard []Heard
	// Sounding is called when the count of a sounder is over; may be nil.
	ears []ear
}

// Tick implements Observer: tones change on ticks only.
func (l *Listener) Tick(b *Bench) {
	if l.ears == nil {
		l.ears = make([]ear, len(b.doors)+1)
		l.Heard = make([]Heard, 0, 32)
	}
	gap := b.Steps(alarmGap)
	for i := range b.doors {
		l.hear(i, b.doors[i].out.Tone, b.Now, gap)
	}
	l.hear(LockPost, b.locks.out.Tone, b.Now, gap)
}

func (l *Listener) hear(bay int, tone bool, now, gap int64) {
	e := &l.ears[len(l.ears)-1]
	if bay != LockPost {
		e = &l.ears[bay]
	}
	switch {
	case tone && !e.sounding:
		if e.count == 0 {
			e.from = now
		}
		e.count++
	case !tone && e.sounding:
		e.silent = now
	case !tone && e.count > 0 && now-e.silent > gap:
		l.Heard = append(l.Heard, Heard{Alarm(e.count), bay, e.from, now})
		e.count = 0
	}
	e.sounding = tone
}

// Finish counts what is still sounding at the end of a run as it stands, marked by
// an Until of 0: cut off, its count is a lower bound.
func (l *Listener) Finish() {
	for i := range l.ears {
		if e := &l.ears[i]; e.count > 0 {
			bay := i
			if i == len(l.ears)-1 {
				bay = LockPost
			}
			l.Heard = append(l.Heard, Heard{Alarm: Alarm(e.count), Bay: bay, From: e.from})
			e.count = 0
		}
	}
}
